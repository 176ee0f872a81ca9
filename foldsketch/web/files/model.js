"use strict";
// The paper model on its stage: the printed panels in CSS 3-D, folded, pulled apart, turned and set on a centreline.
// Paper has x right and y up; the screen has y down: a paper point (x, y) stands at (x, -y), and turns change sign.
window.foldsketchModel = (facts, stage, picked) => {
  const NS = "http://www.w3.org/2000/svg";
  const K = 4; // pixels to the millimetre before the view is scaled: fine enough to stay sharp
  const OPEN = 0.04; // folded further than this, the tabs are behind the panels

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

  // ---- panels ------------------------------------------------------------------------------------------------------
  const state = { fold: 1, apart: 0, zoom: 1, tilt: 62, swing: -28, spin: 0, at: facts.middle.slice(0, 2), setup: -1, chosen: -1, speed: 12, run: false, goal: null, looked: null };
  const world = group(), model = group(), overlay = group(), inside = group();
  world.classList.add("world");
  world.append(model, overlay);
  model.append(inside);
  const roots = [], panels = [];

  function svgOf(panel) {
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
    svg.append(draw("path", { class: "flap", d: path(tab.loop) }));
    if (tab.size) svg.append(word(tab.at, String(tab.number), tab.size, tab.turn));
    return svg;
  }
  for (const piece of facts.pieces) {
    const known = new Map();
    const root = { piece, q: quaternion(piece.turn), flat: facts.flat[piece.id] || [0, 0, 0] };
    for (const panel of piece.panels) {
      const e = svgOf(panel);
      if (panel.rolled) e.classList.add("rolled");
      const tabs = panel.tabs.map(tabOf);
      const p = { e, tabs, loops: panel.loops, bare: panel.rolled, feature: panel.feature, root, on: null, m: null };
      if (panel.hinge) {
        const [ax, ay, bx, by] = panel.hinge.line, long = Math.hypot(bx - ax, by - ay);
        Object.assign(p, { on: known.get(panel.hinge.on), a: [ax, ay], d: [(bx - ax) / long, (by - ay) / long], angle: panel.hinge.angle });
      }
      known.set(panel.id, p);
      panels.push(p);
      model.append(e, ...tabs);
    }
    roots.push(root);
  }

  // ---- motion ------------------------------------------------------------------------------------------------------
  // A motion is twelve numbers: the rows of its turn, each with its shift. Turns of pieces go by quaternions (w, x, y, z),
  // so that a piece turns evenly from the table to its place.
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
  function motion([w, x, y, z], o) {
    return [
      1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w), o[0],
      2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w), o[1],
      2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y), o[2],
    ];
  }
  // The motion m after a turn by an angle about the line through a along d, which lies in the paper.
  function hinged(m, [ax, ay], [x, y], angle) {
    const c = Math.cos(angle), s = Math.sin(angle), v = 1 - c;
    const xx = x * x * v + c, xy = x * y * v, yy = y * y * v + c, xz = y * s, yz = -x * s;
    const sx = ax - xx * ax - xy * ay, sy = ay - xy * ax - yy * ay, sz = xz * ax + yz * ay;
    const n = new Array(12);
    for (let r = 0; r < 12; r += 4) {
      const p = m[r], q = m[r + 1], u = m[r + 2];
      n[r] = p * xx + q * xy - u * xz;
      n[r + 1] = p * xy + q * yy - u * yz;
      n[r + 2] = p * xz + q * yz + u * c;
      n[r + 3] = p * sx + q * sy + u * sz + m[r + 3];
    }
    return n;
  }
  function inSpace(loop, m) {
    const out = new Float32Array((loop.length / 2) * 3);
    for (let i = 0, j = 0; i < loop.length; i += 2) {
      const x = loop[i], y = loop[i + 1];
      for (let r = 0; r < 12; r += 4) out[j++] = m[r] * x + m[r + 1] * y + m[r + 3];
    }
    return out;
  }
  const short = (v) => Math.round(v * 1e6) / 1e6;
  // The same motion seen with y down: signs of everything that mixes y with x or z change.
  function css(m) {
    return `matrix3d(${short(m[0])},${short(-m[4])},${short(m[8])},0,${short(-m[1])},${short(m[5])},${short(-m[9])},0,` +
      `${short(m[2])},${short(-m[6])},${short(m[10])},0,${short(m[3] * K)},${short(-m[7] * K)},${short(m[11] * K)},1)`;
  }

  // Where the flat nets lie on the table, all sheets side by side.
  const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
  for (const { piece, flat: [angle, x, y] } of roots) {
    const c = Math.cos(angle), s = Math.sin(angle);
    for (const panel of piece.panels) {
      const loop = panel.loops[0];
      for (let i = 0; i < loop.length; i += 2) {
        const at = [c * loop[i] - s * loop[i + 1] + x, s * loop[i] + c * loop[i + 1] + y];
        for (const k of [0, 1]) { low[k] = Math.min(low[k], at[k]); high[k] = Math.max(high[k], at[k]); }
      }
    }
  }
  const tableMiddle = [0, 1].map((k) => (low[k] + high[k]) / 2 || 0);
  const across = [0, 1].map((k) => high[k] - low[k]).map((v) => (v > 0 ? v : 2 * facts.reach));
  const turningReach = () => Math.max(facts.reach, ...facts.setups.map((s) => Math.hypot(s.swing, (s.high - s.low) / 2)));

  let folded = "";
  function foldPanels() {
    const now = `${state.fold} ${state.apart}`, t = state.fold;
    if (now === folded) return;
    folded = now;
    fresh = false;
    for (const r of roots) {
      const [angle, x, y] = r.flat;
      const b = facts.blocks[String(r.piece.block)];
      const flat = [x - tableMiddle[0] + facts.middle[0], y - tableMiddle[1] + facts.middle[1], facts.middle[2]];
      const o = [0, 1, 2].map((i) => flat[i] * (1 - t) + (r.piece.origin[i] + (b[i] - facts.middle[i]) * state.apart) * t);
      r.m = motion(between([Math.cos(angle / 2), 0, 0, Math.sin(angle / 2)], r.q, t), o);
    }
    for (const p of panels) p.m = p.on ? hinged(p.on.m, p.a, p.d, p.angle * t) : p.root.m;
  }
  let fresh = false, resting = 0;
  // Pixels to the millimetre on the stage.
  function magnified() {
    const w = stage.clientWidth || 800, h = stage.clientHeight || 600;
    const folded = Math.min(w, h) / (2.2 * (state.setup < 0 ? facts.reach : turningReach()));
    // Flat, the sheets fill the stage as they lie on it.
    const c = Math.abs(Math.cos((state.swing * Math.PI) / 180)), s = Math.abs(Math.sin((state.swing * Math.PI) / 180));
    const flat = 0.9 * Math.min(w / (c * across[0] + s * across[1]), h / (s * across[0] + c * across[1]));
    return state.zoom * (folded * state.fold + flat * (1 - state.fold));
  }
  // The printed panels where they belong.
  function place() {
    clearTimeout(resting);
    foldPanels();
    if (!fresh) {
      fresh = true;
      model.classList.toggle("closed", state.fold > OPEN);
      for (const p of panels) {
        const at = (p.e.style.transform = css(p.m));
        if (state.fold <= OPEN) for (const tab of p.tabs) tab.style.transform = at;
      }
    }
    const [x, y] = state.at, z = facts.middle[2], k = magnified() / K;
    model.style.transform = `rotateZ(${-state.spin}deg) translate3d(${-x * K}px, ${y * K}px, 0)`;
    world.style.transform = `scale3d(${k}, ${k}, ${k}) rotateX(${state.tilt}deg) rotateZ(${state.swing}deg) translate3d(0, 0, ${-z * K}px)`;
    overlay.style.display = state.fold > 0.98 ? "" : "none";
    name();
    canvas.hidden = true;
    world.style.display = "";
  }
  // The letter of the axis on the centreline stands above its upper end as it is seen, on whichever side that is.
  function name() {
    letter.hidden = !top || state.fold <= 0.98;
    if (letter.hidden) return;
    const rad = (state.tilt * Math.PI) / 180, k = magnified(), up = Math.sin(rad) < 0 ? -top : top;
    const seen = FAR / (FAR - up * Math.cos(rad) * k); // what is nearer is larger
    letter.style.transform = `translate(${stage.clientWidth / 2}px, ${stage.clientHeight / 2 - up * Math.sin(rad) * k * seen}px) translate(-50%, -100%)`;
  }
  // The same while something moves: plainly where the browser has shown that it is too slow for the printed panels.
  function move() {
    if (!window.foldsketchPlain) return place();
    clearTimeout(resting);
    resting = setTimeout(place, 200);
    foldPanels();
    quick = quick || window.foldsketchQuick(canvas);
    quick.size(stage.clientWidth, stage.clientHeight);
    const style = getComputedStyle(stage), colour = (name) => quick.bytes(style.getPropertyValue(name));
    const sheet = colour("--sheet"), chosen = colour("--chosen"), warm = colour("--swept");
    name();
    const rad = Math.PI / 180, k = magnified(), [x, y] = state.at, z = facts.middle[2];
    const ct = Math.cos(state.tilt * rad), st = Math.sin(state.tilt * rad);
    const turned = (angle) => { // the rows of scale, tilt and turn, from paper's y up to the screen's y down
      const c = Math.cos(angle * rad) * k, s = Math.sin(angle * rad) * k;
      return [[c, s], [ct * s, -ct * c, -st * k], [st * s, -st * c, ct * k]];
    };
    const rows = (angle, dx, dy) => {
      const [[a, b], [d, e, f], [g, h, i]] = turned(angle);
      return [a, b, 0, a * dx + b * dy, d, e, f, d * dx + e * dy - f * z, g, h, i, g * dx + h * dy - i * z];
    };
    const moving = rows(state.swing - state.spin, -x, -y);
    const faces = panels.map((p) => ({ loops: p.loops.map((l) => inSpace(l, p.m)), bare: p.bare, colour: state.chosen >= 0 && p.feature === state.chosen ? chosen : sheet }));
    // What stands still is told in the frame of what moves.
    const c = Math.cos(state.spin * rad), s = Math.sin(state.spin * rad);
    const lines = (state.fold > 0.98 ? standingLines : []).map((l) => ({
      colour: l.paint === undefined ? warm : colour(`--axis${l.paint}`), dash: true, loop: l.flatMap((v, i) => (i % 3 ? [] : [c * v + s * l[i + 1] + x, c * l[i + 1] - s * v + y, l[i + 2]])),
    }));
    lines.push(...movedLines.map((loop) => ({ colour: warm, loop })));
    quick.frame(faces, lines, colour("--edge"), moving);
    canvas.hidden = false;
    world.style.display = "none";
  }
  function choose(feature) {
    for (const p of panels) p.e.classList.toggle("chosen", feature >= 0 && p.feature === feature);
  }

  const FAR = 1800; // pixels from the eye to the stage, as in the style sheet
  const letter = document.createElement("p");
  letter.className = "letter axis-letter";
  letter.hidden = true;
  let top = 0;
  const canvas = document.createElement("canvas");
  canvas.hidden = true;
  let quick = null;

  // ---- the centreline of a set-up, which stands still while the model turns ------------------------------------------
  function standing(z, length) {
    const line = () => {
      const svg = board([-0.5, -length, 0.5, length]);
      svg.append(draw("path", { class: "centreline", d: `M0 ${length}L0 ${-length}` }));
      return svg;
    };
    const one = line(), two = line();
    one.style.transform = `translateZ(${z * K}px) rotateX(-90deg)`;
    two.style.transform = `translateZ(${z * K}px) rotateZ(90deg) rotateX(-90deg)`;
    return [one, two];
  }
  function ring(r, z) {
    const svg = board([-r, -r, r, r], 0.6);
    svg.append(draw("circle", { class: "ring", cx: 0, cy: 0, r }));
    svg.style.transform = `translateZ(${z * K}px)`;
    return svg;
  }
  // before: where the centreline was in the part at the set-up before, drawn on the part with an arrow to where it is now.
  let standingLines = [], movedLines = [];
  function showSetUp(s, before) {
    overlay.replaceChildren();
    inside.replaceChildren();
    standingLines = [];
    movedLines = [];
    top = 0;
    name();
    if (!s) return;
    const middle = (s.low + s.high) / 2, long = (s.high - s.low) / 2, paint = (facts.paints || {})[s.axis];
    const lines = standing(middle, long + Math.max(12, long * 0.6));
    for (const e of lines) if (paint !== undefined) e.classList.add(`paint${paint}`);
    overlay.append(...lines);
    top = middle + long + Math.max(12, long * 0.6) - facts.middle[2];
    letter.className = `letter axis-letter${paint === undefined ? "" : ` paint${paint}`}`;
    letter.textContent = s.axis;
    const end = Math.max(...s.rings.filter((w) => w[1] >= s.high - 0.01).map((w) => w[3]), 0);
    const around = (r, z) => {
      overlay.append(ring(r, z));
      standingLines.push(Array.from({ length: 73 }, (_, i) => [r * Math.cos((i * Math.PI) / 36), r * Math.sin((i * Math.PI) / 36), z]).flat());
    };
    const beyond = long + Math.max(12, long * 0.6);
    standingLines.push(Object.assign([0, 0, middle - beyond, 0, 0, middle + beyond], { paint }));
    around(s.swing, s.low);
    if (end) around(end, s.high);
    if (!before || Math.hypot(before[0] - s.at[0], before[1] - s.at[1]) < 0.01) return;
    const [x, y] = before, [u, v] = s.at, far = Math.hypot(u - x, v - y), head = Math.min(3, far / 3);
    const cos = (u - x) / far, sin = (v - y) / far;
    const tip = (side) => `M${u} ${-v}L${u - head * (cos - side * sin * 0.4)} ${-(v - head * (sin + side * cos * 0.4))}`;
    const svg = board([x, y, u, v], 2);
    svg.append(draw("path", { class: "shift", d: `M${x} ${-y}L${u} ${-v}${tip(1)}${tip(-1)}` }));
    const z = s.high + Math.max(12, long * 0.6) * 0.35;
    svg.style.transform = `translateZ(${z * K}px)`;
    movedLines.push([x, y, z, u, v, z]);
    inside.append(svg);
  }

  stage.append(world, canvas, letter);
  new ResizeObserver(place).observe(stage);
  return { state, place, move, choose, showSetUp };
};
