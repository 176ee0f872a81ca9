"use strict";
// Folds the printed nets in CSS 3-D and spins the folded model about the axis that a set-up puts on the centreline.
// Paper has x right and y up; the screen has y down: a paper point (x, y) stands at (x, -y), and turns change sign.
window.foldsketchShow = (facts, page) => {
  const NS = "http://www.w3.org/2000/svg";
  const K = 4; // pixels to the millimetre before the view is scaled: fine enough to stay sharp
  const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;

  function make(tag, props = {}, ...children) {
    const e = document.createElement(tag);
    for (const [k, v] of Object.entries(props)) {
      if (k === "text") e.textContent = v;
      else if (k === "on") for (const [name, f] of Object.entries(v)) e.addEventListener(name, f);
      else e.setAttribute(k, v);
    }
    e.append(...children);
    return e;
  }
  function draw(tag, props) {
    const e = document.createElementNS(NS, tag);
    for (const [k, v] of Object.entries(props)) {
      if (k === "text") e.textContent = v; else e.setAttribute(k, v);
    }
    return e;
  }
  // An SVG as large as what it shows, in millimetres of the paper, hung so that its own origin is the paper's.
  function board(points, air = 0.3) {
    const xs = points.filter((_, i) => i % 2 === 0), ys = points.filter((_, i) => i % 2 === 1);
    const x = Math.min(...xs) - air, y = -Math.max(...ys) - air;
    const w = Math.max(...xs) + air - x, h = -Math.min(...ys) + air - y;
    const svg = draw("svg", { viewBox: `${x} ${y} ${w} ${h}`, width: w * K, height: h * K, "aria-hidden": "true" });
    svg.style.left = `${x * K}px`;
    svg.style.top = `${y * K}px`;
    return svg;
  }
  function path(points, closed = true) {
    let d = "";
    for (let i = 0; i < points.length; i += 2) d += (i ? "L" : "M") + points[i] + " " + -points[i + 1];
    return closed ? d + "Z" : d;
  }

  // ---- the model -------------------------------------------------------------------------------------------------
  const state = { fold: 1, apart: 0, zoom: 1, tilt: 62, swing: -28, spin: 0, setup: -1, chosen: -1, speed: 12, run: false };
  const world = make("div", { class: "world" });
  const model = make("div", { class: "model" });
  const overlay = make("div", { class: "model" });
  world.append(model);
  model.append(overlay);
  const roots = [];
  const faces = [];

  function svgOf(panel) {
    const svg = board(panel.loops[0]);
    const face = draw("path", { class: "face", "fill-rule": "evenodd", d: panel.loops.map((l) => path(l)).join("") });
    face.addEventListener("click", () => choose(panel.feature));
    svg.append(face);
    for (const m of panel.marks) {
      for (const p of m.paths || []) svg.append(draw("path", { class: "line " + m.kind, d: path(p, false) }));
      for (const [x, y, r] of m.dots || []) svg.append(draw("circle", { class: "dot", cx: x, cy: -y, r }));
      if (m.text) svg.append(word(m.at, m.text, m.size, m.turn));
    }
    return svg;
  }
  function word([x, y], text, size, turn) {
    // The size is the height of capitals, 0.714 of the font's.
    const t = `translate(${x} ${-y}) rotate(${(-turn * 180) / Math.PI})`;
    return draw("text", { class: "word", transform: t, y: size / 2, "font-size": size / 0.714, text });
  }
  function hinged(e, line, angle) {
    const [ax, ay, bx, by] = line;
    e.style.transformOrigin = `${ax * K}px ${-ay * K}px 0`;
    e.style.transform = `rotate3d(${bx - ax}, ${-(by - ay)}, 0, calc(var(--fold) * ${-angle}rad))`;
  }
  for (const piece of facts.pieces) {
    let root = null;
    const made = new Map();
    for (const panel of piece.panels) {
      const e = make("div", { class: "panel" });
      e.append(svgOf(panel));
      for (const tab of panel.tabs) {
        const flap = make("div", { class: "tab" });
        const svg = board(tab.loop, 0.2);
        svg.append(draw("path", { class: "flap", d: path(tab.loop) }));
        if (tab.size) svg.append(word(tab.at, String(tab.number), tab.size, tab.turn));
        flap.append(svg);
        hinged(flap, tab.line, tab.angle);
        e.append(flap);
      }
      if (panel.hinge) {
        hinged(e, panel.hinge.line, panel.hinge.angle);
        made.get(panel.hinge.on).append(e);
      } else root = e;
      made.set(panel.id, e);
      faces.push({ e, feature: panel.feature });
    }
    model.append(root);
    roots.push({ e: root, piece, q: quaternion(piece.turn), flat: facts.flat[piece.id] || [0, 0, 0] });
  }

  // Rotations as quaternions (w, x, y, z), so that a piece turns evenly from the table to its place.
  function quaternion(m) {
    const t = m[0][0] + m[1][1] + m[2][2];
    if (t > 0) {
      const s = 2 * Math.sqrt(t + 1);
      return [s / 4, (m[2][1] - m[1][2]) / s, (m[0][2] - m[2][0]) / s, (m[1][0] - m[0][1]) / s];
    }
    const i = m[0][0] > m[1][1] && m[0][0] > m[2][2] ? 0 : m[1][1] > m[2][2] ? 1 : 2;
    const j = (i + 1) % 3, k = (i + 2) % 3;
    const s = 2 * Math.sqrt(1 + m[i][i] - m[j][j] - m[k][k]);
    const q = [(m[k][j] - m[j][k]) / s, 0, 0, 0];
    q[1 + i] = s / 4; q[1 + j] = (m[j][i] + m[i][j]) / s; q[1 + k] = (m[k][i] + m[i][k]) / s;
    return q;
  }
  function between(a, b, t) {
    let dot = a.reduce((s, v, i) => s + v * b[i], 0);
    const sign = dot < 0 ? -1 : 1;
    dot *= sign;
    let p = 1 - t, r = t;
    if (dot < 0.9999) {
      const angle = Math.acos(dot), s = Math.sin(angle);
      p = Math.sin((1 - t) * angle) / s; r = Math.sin(t * angle) / s;
    }
    const q = a.map((v, i) => v * p + b[i] * r * sign);
    const n = Math.hypot(...q);
    return q.map((v) => v / n);
  }
  function matrix([w, x, y, z]) {
    return [
      [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
      [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
      [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ];
  }
  function css(m, o) {
    // The same motion seen with y down: signs of everything that mixes y with x or z change.
    const n = [m[0][0], -m[1][0], m[2][0], 0, -m[0][1], m[1][1], -m[2][1], 0, m[0][2], -m[1][2], m[2][2], 0, o[0] * K, -o[1] * K, o[2] * K, 1];
    return "matrix3d(" + n.map((v) => v.toFixed(6)).join(",") + ")";
  }

  // Where the flat nets lie on the table, all sheets side by side.
  const table = { low: [Infinity, Infinity], high: [-Infinity, -Infinity] };
  for (const { piece, flat: [angle, x, y] } of roots) {
    const c = Math.cos(angle), s = Math.sin(angle);
    for (const panel of piece.panels) {
      const loop = panel.loops[0];
      for (let i = 0; i < loop.length; i += 2) {
        const at = [c * loop[i] - s * loop[i + 1] + x, s * loop[i] + c * loop[i + 1] + y];
        for (const k of [0, 1]) {
          table.low[k] = Math.min(table.low[k], at[k]);
          table.high[k] = Math.max(table.high[k], at[k]);
        }
      }
    }
  }
  const sheetMiddle = [0, 1].map((k) => (table.low[k] + table.high[k]) / 2 || 0);
  const tableReach = Math.hypot(table.high[0] - table.low[0], table.high[1] - table.low[1]) / 2 || facts.reach;
  function place() {
    document.documentElement.style.setProperty("--fold", state.fold.toFixed(4));
    // Tabs are behind the panels soon; without them a browser has half as much to move.
    model.classList.toggle("closed", state.fold > 0.04);
    for (const r of roots) {
      const [angle, x, y] = r.flat;
      const from = [Math.cos(angle / 2), 0, 0, Math.sin(angle / 2)];
      const t = state.fold;
      const m = matrix(between(from, r.q, t));
      const b = facts.blocks[String(r.piece.block)];
      const away = [0, 1, 2].map((i) => (b[i] - facts.middle[i]) * state.apart * t);
      const flat = [x - sheetMiddle[0] + facts.middle[0], y - sheetMiddle[1] + facts.middle[1], facts.middle[2]];
      const o = [0, 1, 2].map((i) => flat[i] * (1 - t) + (r.piece.origin[i] + away[i]) * t);
      r.e.style.transform = css(m, o);
    }
    const [mx, my, mz] = facts.middle;
    const s = facts.setups[state.setup];
    const at = s ? s.at : [mx, my];
    const about = (t) => `translate3d(${at[0] * K}px, ${-at[1] * K}px, 0) rotateZ(${t}deg) translate3d(${-at[0] * K}px, ${at[1] * K}px, 0)`;
    model.style.transform = about(-state.spin);
    // The ring and the centreline stand still while the model turns.
    overlay.style.transform = about(state.spin);
    const room = Math.min(stage.clientWidth, stage.clientHeight) || 500;
    const reach = Math.max(facts.reach, s ? s.swing : 0) * state.fold + tableReach * (1 - state.fold);
    const k = (state.zoom * room) / (2.4 * reach);
    world.style.transform =
      `scale3d(${k / K}, ${k / K}, ${k / K}) rotateX(${state.tilt}deg) rotateZ(${state.swing}deg) translate3d(${-mx * K}px, ${my * K}px, ${-mz * K}px)`;
  }

  function showSetUp() {
    overlay.replaceChildren();
    const s = facts.setups[state.setup];
    if (!s) return;
    const [x, y] = s.at;
    for (const z of [s.low, s.high]) {
      const near = s.rings.filter((w) => w[0] <= z + 0.01 && w[1] >= z - 0.01).map((w) => w[3]);
      const r = z === s.low ? s.swing : Math.max(...near, 0);
      if (!r) continue;
      const e = make("div", { class: "panel" });
      const svg = board([x - r, y - r, x + r, y + r]);
      svg.append(draw("circle", { class: "ring", cx: x, cy: -y, r }));
      e.append(svg);
      e.style.transform = `translateZ(${z * K}px)`;
      overlay.append(e);
    }
    const long = s.high - s.low, far = long * 0.35;
    const line = make("div", { class: "panel" });
    const svg = board([-0.5, -far, 0.5, long + far]);
    svg.append(draw("path", { class: "centreline", d: `M0 ${far}L0 ${-long - far}` }));
    line.append(svg);
    const foot = `translate3d(${x * K}px, ${-y * K}px, ${s.low * K}px)`;
    line.style.transform = `${foot} rotateX(-90deg)`;
    const across = line.cloneNode(true);
    across.style.transform = `${foot} rotateZ(90deg) rotateX(-90deg)`;
    overlay.append(line, across);
  }

  // ---- the stage ---------------------------------------------------------------------------------------------------
  const stage = make("div", {
    class: "stage", tabindex: "0", role: "img",
    "aria-label": `Paper model of ${facts.part}. Drag or arrow keys turn it, plus and minus zoom.`,
  });
  if (facts.picture) {
    stage.append(make("img", { src: facts.picture, alt: `Folded model of ${facts.part}` }));
    stage.append(make("p", { text: `${facts.panels} panels: too many to fold smoothly here, so this is a still picture.` }));
  } else {
    stage.append(world, make("p", { text: "drag to turn, wheel to zoom, click a panel to find its feature" }));
  }
  let held = null;
  stage.addEventListener("pointerdown", (ev) => { held = [ev.clientX, ev.clientY]; });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) stage.addEventListener(end, () => { held = null; });
  stage.addEventListener("pointermove", (ev) => {
    if (!held) return;
    state.swing -= (ev.clientX - held[0]) * 0.4;
    state.tilt = Math.max(-90, Math.min(90, state.tilt - (ev.clientY - held[1]) * 0.4));
    held = [ev.clientX, ev.clientY];
    place();
  });
  stage.addEventListener("wheel", (ev) => {
    ev.preventDefault();
    state.zoom = Math.max(0.3, Math.min(6, state.zoom * Math.exp(-ev.deltaY * 0.001)));
    place();
  }, { passive: false });
  stage.addEventListener("keydown", (ev) => {
    const step = { ArrowLeft: [6, 0], ArrowRight: [-6, 0], ArrowUp: [0, 6], ArrowDown: [0, -6] }[ev.key];
    if (step) { state.swing += step[0]; state.tilt = Math.max(-90, Math.min(90, state.tilt + step[1])); }
    else if (ev.key === "+" || ev.key === "=") state.zoom = Math.min(6, state.zoom * 1.15);
    else if (ev.key === "-") state.zoom = Math.max(0.3, state.zoom / 1.15);
    else return;
    ev.preventDefault();
    place();
  });

  // ---- controls ----------------------------------------------------------------------------------------------------
  function slider(id, label, value, most, change) {
    const input = make("input", { type: "range", id, min: 0, max: most, step: "any", value });
    input.addEventListener("input", () => change(Number(input.value)));
    return [make("label", { for: id, text: label }), input];
  }
  function toward(target) {
    const input = document.getElementById("fold");
    const set = (v) => { state.fold = v; input.value = v; place(); };
    if (still) return set(target);
    const from = state.fold, start = performance.now(), long = 2200 * Math.abs(target - from) + 1;
    world.classList.add("moving");
    const step = (now) => {
      const t = Math.min(1, (now - start) / long);
      set(from + (target - from) * (t * t * (3 - 2 * t)));
      if (t < 1) requestAnimationFrame(step); else world.classList.toggle("moving", state.run);
    };
    requestAnimationFrame(step);
  }
  const controls = make("div", { class: "controls" });
  const foldButton = make("button", { type: "button", id: "play", text: "fold / unfold", on: { click: () => toward(state.fold > 0.5 ? 0 : 1) } });
  controls.append(...slider("fold", "fold", 1, 1, (v) => { state.fold = v; place(); }), foldButton);
  controls.append(...slider("apart", "blocks apart", 0, 2, (v) => { state.apart = v; place(); }), make("span"));

  const features = make("table", { "aria-label": "Features" });
  features.append(make("thead", {}, make("tr", {}, make("th", { text: "feature" }), make("th", { text: "size" }), make("th", { text: "axis" }))));
  const rows = make("tbody");
  facts.features.forEach((f, k) => {
    const row = make("tr", { tabindex: "0", "aria-selected": "false" }, make("td", { text: f.name }),
      make("td", { text: (f.cut ? "cut " : "") + f.size }), make("td", { text: f.axis }));
    row.addEventListener("click", () => choose(k));
    row.addEventListener("keydown", (ev) => { if (ev.key === "Enter" || ev.key === " ") { ev.preventDefault(); choose(k); } });
    rows.append(row);
  });
  features.append(rows);
  function choose(k) {
    state.chosen = state.chosen === k ? -1 : k;
    [...rows.children].forEach((row, i) => {
      row.classList.toggle("chosen", i === state.chosen);
      row.setAttribute("aria-selected", String(i === state.chosen));
    });
    for (const f of faces) f.e.classList.toggle("chosen", state.chosen >= 0 && f.feature === state.chosen);
  }

  const axes = make("table", { "aria-label": "Axes" });
  axes.append(make("thead", {}, make("tr", {}, make("th", { text: "axis" }), make("th", { text: "offset" }), make("th", { text: "angle" }))));
  const lines = make("tbody");
  for (const a of facts.axes) {
    lines.append(make("tr", {}, make("td", { text: a.name }),
      make("td", { class: "figure", text: a.upright ? `${a.offset} mm` : "crosses" }),
      make("td", { class: "figure", text: a.upright && a.offset ? `${a.angle}°` : "" })));
  }
  axes.append(lines);

  const numbers = make("div", { id: "numbers", "aria-live": "polite" });
  const aside = make("aside", {}, controls);
  if (facts.setups.length) {
    const choice = make("select", { id: "setup", "aria-label": "Set-up" }, make("option", { value: "-1", text: "no set-up: the model alone" }));
    facts.setups.forEach((s, k) => choice.append(make("option", { value: k, text: `${s.number}  ${s.spindle} spindle, axis ${s.axis} on the centreline` })));
    choice.addEventListener("change", () => {
      state.setup = Number(choice.value);
      state.spin = 0;
      if (state.fold < 1) toward(1);
      showSetUp();
      place();
      tell();
    });
    const run = make("button", { type: "button", id: "run", "aria-pressed": "false", text: "spin" });
    run.addEventListener("click", () => {
      state.run = !state.run;
      run.setAttribute("aria-pressed", String(state.run));
      world.classList.toggle("moving", state.run);
      if (state.setup < 0) { choice.value = "0"; choice.dispatchEvent(new Event("change")); }
      last = performance.now();
      if (state.run) requestAnimationFrame(spin);
    });
    const step = make("button", { type: "button", id: "step", text: "15° on", on: { click: () => { state.spin += 15; place(); } } });
    aside.append(make("h2", { text: "Set-ups" }), choice, make("div", { class: "row" }, run, step));
    const speed = make("div", { class: "controls" });
    speed.append(...slider("speed", "r/min", 12, 60, (v) => { state.speed = v; }), make("span"));
    aside.append(speed, numbers);
  }
  let last = 0;
  function spin(now) {
    if (!state.run || !stage.isConnected) return;
    state.spin = (state.spin + ((now - last) / 1000) * state.speed * 6) % 360;
    last = now;
    place();
    requestAnimationFrame(spin);
  }
  function tell() {
    numbers.replaceChildren();
    const s = facts.setups[state.setup];
    if (!s) return;
    numbers.append(make("p", { text: `Held on ${s.held} (${s.way}), worked from ${s.from_end}. ` + (s.features.length ? `Turned: ${s.features.join(", ")}.` : "Takes the part over.") }));
    const t = make("table", { "aria-label": "Figures of the set-up" });
    const body = make("tbody");
    for (const [name, value] of s.figures) body.append(make("tr", {}, make("td", { text: name }), make("td", { class: "figure", text: value })));
    t.append(body);
    numbers.append(t);
    if (s.findings.length) {
      const list = make("ul");
      for (const f of s.findings) list.append(make("li", { text: f }));
      numbers.append(list);
    }
    const care = make("div", { class: "caution" });
    for (const c of facts.cautions) care.append(make("p", { text: c }));
    numbers.append(care);
  }
  aside.append(make("h2", { text: "Features" }), features, make("h2", { text: "Axes" }), axes);

  page.replaceChildren(
    make("h1", { text: facts.part }, make("small", { text: `paper model, ${facts.scale}, ${facts.panels} panels` + (facts.checked ? ", folded up and checked" : "") })),
    stage, aside,
  );
  new ResizeObserver(place).observe(stage);
  place();
  window.foldsketch = { state, place };
};
