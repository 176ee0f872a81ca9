"use strict";
// What holds the work: chuck or plate and jaws, cut open on the viewer's side; held and turned surfaces on the panels in their colours.
// All of it comes as flat faces with their motions; here they are only hung up, moved and shown.
window.foldsketchHolding = (facts, stage, state, { model, panels }) => {
  const { K, draw, group, board, path, word } = window.foldsketchPaper;
  const { css, inSpace } = window.foldsketchMotion;
  const hatch = draw("svg", { width: 0, height: 0, "aria-hidden": "true", class: "hatches" });
  for (const [id, turn, wide] of [["jaw", 45, 2.2], ["chuck", -45, 3.2], ["plate", -45, 3.2]]) {
    const pattern = draw("pattern", { id: `cut-${id}`, width: wide, height: wide, patternUnits: "userSpaceOnUse", patternTransform: `rotate(${turn})` });
    pattern.append(draw("rect", { width: wide, height: wide, class: `metal ${id}` }), draw("path", { d: `M0 0V${wide}`, class: "hatch" }));
    hatch.append(pattern);
  }
  stage.append(hatch);
  const chucks = []; // of the set-up shown: the one that holds, and the one that held before
  let painted = [];

  function hang(held, which) {
    const jaws = new Map(), all = group(), faces = [];
    for (const f of held.faces) {
      const key = `${f.number} ${f.near}`;
      if (!jaws.has(key)) {
        const e = group();
        if (f.near) e.classList.add("near");
        jaws.set(key, { e, opens: held.opens[f.number] || [0, 0] });
        all.append(e);
      }
      const svg = board(f.loop);
      svg.append(draw("path", { ...(f.cut ? { class: "sawn", fill: `url(#cut-${f.what})` } : { class: `metal ${f.what}` }), d: path(f.loop) }));
      if (f.word) {
        const name = word(f.word, String(f.number), 5, 0);
        if (f.m[10] > 0 === state.under) name.setAttribute("transform", `${name.getAttribute("transform")} scale(1,-1)`);
        svg.append(name);
      }
      svg.style.transform = css(f.m, K);
      svg.style.setProperty("--dark", `${shade(f.m)}%`);
      jaws.get(key).e.append(svg);
      faces.push({ ...f, opens: jaws.get(key).opens });
    }
    model.append(all);
    chucks.push({ all, jaws: [...jaws.values()], faces, which });
  }
  const shade = (m) => Math.round((1 - Math.abs(m[10])) * (0.62 - 0.38 * (m[2] * -0.77 + m[6] * -0.64)) * 30);
  function clear() {
    for (const c of chucks.splice(0)) c.all.remove();
    for (const e of painted.splice(0)) e.remove();
    for (const p of panels) { p.painted = null; p.e.classList.remove("painted"); }
  }
  function show(s) {
    clear();
    if (!s) return;
    const { now, was } = s.holding;
    hang(now, "now");
    if (was) hang(was, "was");
    for (const q of s.holding.painted) {
      const p = panels.find((v) => v.root.nth === q.piece && v.id === q.panel);
      if (!p) continue;
      const e = draw("path", { class: `surface ${q.kind}`, "fill-rule": "evenodd", d: q.loops.map((l) => path(l)).join("") });
      p.e.querySelector(".face").after(e);
      p.e.classList.add("painted");
      p.painted = [...(p.painted || []), q];
      painted.push(e);
    }
  }
  // Chucks are hung in the part's own frame; where they stand is told from where they end up, as the part's place is.
  const shift = (which) => state[which].map((v, i) => v - state.part[i]);
  const seen = (which) => state.fold > 0.98 && state.apart < 0.02 && (which === "now" || state.handing);
  function place() {
    for (const c of chucks) {
      c.all.style.display = seen(c.which) ? "" : "none";
      const [x, y, z] = shift(c.which), open = state.open[c.which === "now" ? 0 : 1];
      c.all.style.transform = `translate3d(${x * K}px, ${-y * K}px, ${z * K}px)`;
      for (const j of c.jaws) j.e.style.transform = `translate3d(${j.opens[0] * open * K}px, ${-j.opens[1] * open * K}px, 0)`;
    }
  }
  // The same for the plain picture: faces in the part's frame with the names of their colours.
  function faces() {
    return chucks.filter((c) => seen(c.which)).flatMap((c) => {
      const [x, y, z] = shift(c.which), open = state.open[c.which === "now" ? 0 : 1];
      return c.faces.filter((f) => (state.whole ? !f.cut : !f.near)).map((f) => {
        const m = [...f.m];
        m[3] += x + f.opens[0] * open; m[7] += y + f.opens[1] * open; m[11] += z;
        return { loops: [inSpace(f.loop, m)], name: f.cut ? "--cut" : f.what === "jaw" ? "--jaw" : "--chuck", dark: f.cut ? 0 : shade(f.m) / 100 };
      });
    });
  }
  return { show, place, faces };
};
