"use strict";
// Printed paper as SVG, each panel an element of its own that CSS 3-D can fold.
// Paper has x right and y up; the screen has y down: a paper point (x, y) stands at (x, -y), and turns change sign.
window.foldsketchPaper = (() => {
  const NS = "http://www.w3.org/2000/svg";
  const K = 4; // pixels to the millimetre before the view is scaled: fine enough to stay sharp

  function draw(tag, props) {
    const e = document.createElementNS(NS, tag);
    for (const [k, v] of Object.entries(props)) {
      if (k === "text") e.textContent = v; else e.setAttribute(k, v);
    }
    return e;
  }
  function group() {
    const e = document.createElement("div");
    e.className = "model";
    return e;
  }
  // An SVG as large as what it shows, in millimetres of the paper, hung so that its own origin is the paper's.
  function board(points, air = 0.3) {
    let x = Infinity, y = Infinity, right = -Infinity, low = -Infinity;
    for (let i = 0; i < points.length; i += 2) {
      x = Math.min(x, points[i]); right = Math.max(right, points[i]);
      y = Math.min(y, -points[i + 1]); low = Math.max(low, -points[i + 1]);
    }
    const w = right - x + 2 * air, h = low - y + 2 * air;
    const svg = draw("svg", { viewBox: `${x - air} ${y - air} ${w} ${h}`, width: w * K, height: h * K, "aria-hidden": "true" });
    svg.classList.add("panel");
    svg.style.left = `${(x - air) * K}px`;
    svg.style.top = `${(y - air) * K}px`;
    svg.style.transformOrigin = `${(air - x) * K}px ${(air - y) * K}px 0`;
    return svg;
  }
  function path(points, closed = true) {
    let d = "";
    for (let i = 0; i < points.length; i += 2) d += (i ? "L" : "M") + points[i] + " " + -points[i + 1];
    return closed ? d + "Z" : d;
  }
  function word([x, y], text, size, turn, paint = "") {
    // The size is the height of capitals, 0.714 of the font's.
    const t = `translate(${x} ${-y}) rotate(${(-turn * 180) / Math.PI})`;
    return draw("text", { class: "word" + paint, transform: t, y: size / 2, "font-size": size / 0.714, text });
  }

  function panelOf(panel, picked) {
    const svg = board(panel.loops[0]);
    const face = draw("path", { class: "face", "fill-rule": "evenodd", d: panel.loops.map((l) => path(l)).join("") });
    face.addEventListener("click", () => picked(panel.feature));
    svg.append(face);
    for (const m of panel.marks) {
      const paint = m.paint === undefined ? "" : ` paint${m.paint}`;
      if (m.paths) svg.append(draw("path", { class: `line ${m.kind}${paint}`, d: m.paths.map((p) => path(p, false)).join("") }));
      for (const [x, y, r] of m.circles || []) svg.append(draw("circle", { class: `line ${m.kind}${paint}`, cx: x, cy: -y, r }));
      for (const [x, y, r] of m.dots || []) svg.append(draw("circle", { class: "dot" + paint, cx: x, cy: -y, r }));
      if (m.text) svg.append(word(m.at, m.text, m.size, m.turn, paint));
    }
    return svg;
  }
  function tabOf(tab) {
    const svg = board(tab.loop, 0.2);
    svg.classList.add("tab");
    svg.append(draw("path", { class: `flap ${tab.kind || "glued"}`, d: path(tab.loop) }));
    for (const slit of tab.slits || []) svg.append(draw("path", { class: "line slit", d: path(slit, false) }));
    if (tab.bend) svg.append(draw("path", { class: "line bend", d: path(tab.bend, false) }));
    if (tab.size) svg.append(word(tab.at, String(tab.number), tab.size, tab.turn));
    return svg;
  }
  return { K, draw, group, board, path, word, panelOf, tabOf };
})();
