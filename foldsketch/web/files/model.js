"use strict";
// The paper model on its stage: the printed panels in CSS 3-D, folded, pulled apart, turned and set on a centreline.
window.foldsketchModel = (facts, stage, picked) => {
  const { K, draw, group, board, panelOf, tabOf } = window.foldsketchPaper;
  const { quaternion, between, motion, hinged, inSpace, css } = window.foldsketchMotion;
  const OPEN = 0.04; // folded further than this, glued tabs are behind the panels
  const SHUT = 0.995; // and what is tucked in has gone in
  const FAR = 1800; // pixels from the eye to the stage, as in the style sheet
  const SHADES = 12; // steps between the lightest and the darkest face
  const LIGHT = [-0.77, -0.64]; // where the light on the walls comes from, in the part's own x and y: its left front

  // lie: a quarter turn of the whole picture, 1 with the part's +z to the right, -1 to the left, 0 upright.
  const state = { fold: 1, apart: 0, zoom: 1, tilt: 62, swing: -28, lie: 0, spin: 0, at: facts.middle.slice(0, 2), setup: -1, chosen: -1, speed: 12, run: false, goal: null, looked: null, swung: facts.reach,
    // where the part and the chucks are, (x, y, z) from where they end up in the set-up, and the height at the stage's middle
    part: [0, 0, 0], now: [0, 0, 0], was: [0, 0, 0], open: [0, 0], handing: false, handed: 0, whole: false, mid: facts.middle[2], long: 0 };
  const world = group(), model = group();
  world.classList.add("world");
  world.append(model);
  const roots = [], panels = [];
  for (const [nth, piece] of facts.pieces.entries()) {
    const known = new Map();
    const root = { nth, piece, q: quaternion(piece.turn), flat: facts.flat[piece.id] || [0, 0, 0] };
    for (const panel of piece.panels) {
      const e = panelOf(panel, picked);
      if (panel.rolled) e.classList.add("rolled");
      // What is tucked in or goes through a slit folds with its panel; what is glued is seen flat only.
      const tabs = panel.tabs.map((tab) => {
        const [ax, ay, bx, by] = tab.line, long = Math.hypot(bx - ax, by - ay);
        return { e: tabOf(tab), loop: tab.loop, tucked: Boolean(tab.kind), a: [ax, ay], d: [(bx - ax) / long, (by - ay) / long], angle: tab.angle, m: null };
      });
      const p = { e, id: panel.id, painted: null, tabs, loops: panel.loops, bare: panel.rolled, feature: panel.feature, root, on: null, m: null, shade: -1 };
      if (panel.hinge) {
        const [ax, ay, bx, by] = panel.hinge.line, long = Math.hypot(bx - ax, by - ay);
        Object.assign(p, { on: known.get(panel.hinge.on), a: [ax, ay], d: [(bx - ax) / long, (by - ay) / long], angle: panel.hinge.angle });
      }
      known.set(panel.id, p);
      panels.push(p);
      for (const tab of tabs) if (tab.tucked) tab.e.classList.add("tucked");
      model.append(e, ...tabs.map((tab) => tab.e));
    }
    roots.push(root);
  }

  // ---- where the flat nets lie on the table, all sheets side by side ----------------------------------------------
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
  // Half the width and the height of what turns, as it lies in the machine; from one set-up to the next its room glides.
  function turning() {
    const rad = Math.PI / 180, st = Math.abs(Math.sin(state.tilt * rad)), ct = Math.abs(Math.cos(state.tilt * rad));
    const around = state.swung, long = state.long * (1 + state.handed);
    return [long * st + around * ct, long * ct + around];
  }

  let folded = "", fresh = false, resting = 0;
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
    for (const p of panels) {
      p.m = p.on ? hinged(p.on.m, p.a, p.d, p.angle * t) : p.root.m;
      for (const tab of p.tabs) tab.m = tab.tucked ? hinged(p.m, tab.a, tab.d, tab.angle * t) : p.m;
      // Matt paper: end faces light, walls as they face the light; flat on the table all of it is plain paper.
      const level = Math.abs(p.m[10]), facing = p.m[2] * LIGHT[0] + p.m[6] * LIGHT[1];
      p.dark = Math.round((1 - level) * (0.62 - 0.38 * facing) * Math.min(1, 1.6 * t) * SHADES);
    }
  }
  // The point of the part that is at the centreline, and how far it is up along it: while it is put in, not the one it will be.
  const shifted = () => [state.at[0] - state.part[0], state.at[1] - state.part[1], state.part[2]];
  // The rows of scale, tilt and turn that take a point of the part to the stage: x right, y down, z to the eye.
  function viewRows(angle, k) {
    const rad = Math.PI / 180, c = Math.cos(angle * rad) * k, s = Math.sin(angle * rad) * k;
    const ct = Math.cos(state.tilt * rad), st = Math.sin(state.tilt * rad), cl = Math.cos(state.lie * 90 * rad), sl = Math.sin(state.lie * 90 * rad);
    const up = [[c, s, 0], [ct * s, -ct * c, -st * k], [st * s, -st * c, ct * k]];
    return [up[0].map((v, i) => cl * v - sl * up[1][i]), up[0].map((v, i) => sl * v + cl * up[1][i]), up[2]];
  }
  // Pixels to the millimetre at which the panels, as far as they are folded, fill the stage and stay inside it.
  function fitted(w, h) {
    const [u, v, n] = viewRows(state.swing, 1), [mx, my, mz] = facts.middle;
    let k = Infinity;
    for (const p of panels) {
      const loop = p.loops[0], m = p.m;
      for (let i = 0; i < loop.length; i += 2) {
        const x = m[0] * loop[i] + m[1] * loop[i + 1] + m[3] - mx, y = m[4] * loop[i] + m[5] * loop[i + 1] + m[7] - my, z = m[8] * loop[i] + m[9] * loop[i + 1] + m[11] - mz;
        const near = n[0] * x + n[1] * y + n[2] * z;
        for (const [row, room] of [[u, w], [v, h]]) {
          // At k pixels to the mm it is seen at k a FAR / (FAR - k near), which may be half the room at most.
          const a = Math.abs(row[0] * x + row[1] * y + row[2] * z);
          k = Math.min(k, (room / 2) * FAR / Math.max(1e-9, a * FAR + (room / 2) * near));
        }
      }
    }
    return k;
  }
  function magnified() {
    const w = stage.clientWidth || 800, h = stage.clientHeight || 600;
    const half = 0.49 * Math.min(w, h); // as a ball of that radius is seen, whose near side is larger
    let whole = half / (1 + half / FAR) / facts.reach;
    if (state.lie && facts.setups.length) {
      const [wide, tall] = turning(), lying = 0.84 * Math.min(w / (2 * wide), h / (2 * tall));
      whole += (lying - whole) * Math.abs(state.lie);
    }
    // In the middle of folding nets reach out further than at either end.
    if (state.fold >= 0.98 || !panels.length) return state.zoom * whole;
    foldPanels();
    const fit = fitted(w * 0.94, h * 0.88), t = state.fold;
    return state.zoom * Math.min(fit, whole * t + fit * (1 - t));
  }
  // The printed panels where they belong.
  function place() {
    clearTimeout(resting);
    foldPanels();
    if (!fresh) {
      fresh = true;
      model.classList.toggle("closed", state.fold > OPEN);
      model.classList.toggle("shut", state.fold > SHUT);
      for (const p of panels) {
        p.e.style.transform = css(p.m, K);
        if (p.dark !== p.shade) p.e.style.setProperty("--dark", `${((p.shade = p.dark) * 30) / SHADES}%`);
        for (const tab of p.tabs) if (state.fold <= (tab.tucked ? SHUT : OPEN)) tab.e.style.transform = css(tab.m, K);
      }
    }
    const [x, y, up] = shifted(), z = state.mid, k = magnified() / K;
    model.style.transform = `rotateZ(${-state.spin}deg) translate3d(${-x * K}px, ${y * K}px, ${up * K}px)`;
    world.style.transform = `scale3d(${k}, ${k}, ${k}) rotateZ(${state.lie * 90}deg) rotateX(${state.tilt}deg) rotateZ(${state.swing}deg) translate3d(0, 0, ${-z * K}px)`;
    centre.place();
    holding.place();
    canvas.hidden = true;
    world.style.display = "";
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
    const tinted = (name) => { const own = style.getPropertyValue(name); return (dark) => quick.bytes(own, (dark * 0.3) / SHADES); };
    const sheet = tinted("--sheet"), chosen = tinted("--chosen");
    centre.place();
    const k = magnified(), [x, y, up] = shifted(), z = state.mid - up;
    const moving = viewRows(state.swing - state.spin, k).flatMap((r) => [...r, -r[0] * x - r[1] * y - r[2] * z]);
    const shown = (p) => [...(p.painted || []).map((q) => ({ loops: q.loops.map((l) => inSpace(l, p.m)), bare: true, colour: tinted(`--${q.kind}`)(p.dark) })),
      { loops: p.loops.map((l) => inSpace(l, p.m)), bare: p.bare, colour: (state.chosen >= 0 && p.feature === state.chosen ? chosen : sheet)(p.dark) }];
    const flap = tinted("--flap"), flaps = state.fold > SHUT ? [] : panels.flatMap((p) => p.tabs.filter((tab) => tab.tucked)).map((tab) => ({ loops: [inSpace(tab.loop, tab.m)], colour: flap(0) }));
    const faces = [...panels.flatMap(shown), ...flaps, ...holding.faces().map((f) => ({ loops: f.loops, colour: quick.bytes(style.getPropertyValue(f.name), f.dark) }))];
    quick.frame(faces, centre.lines(colour), colour("--edge"), moving);
    canvas.hidden = false;
    world.style.display = "none";
  }
  function choose(feature) {
    for (const p of panels) p.e.classList.toggle("chosen", feature >= 0 && p.feature === feature);
  }
  const canvas = document.createElement("canvas");
  canvas.hidden = true;
  let quick = null;
  const centre = window.foldsketchCentreline(facts, stage, state, { world, model, magnified, shifted, FAR });
  const holding = window.foldsketchHolding(facts, stage, state, { model, panels });
  stage.append(world, canvas, centre.letter);
  new ResizeObserver(place).observe(stage);
  return { state, place, move, choose, showSetUp: (s, before) => { centre.show(s, before); holding.show(s); } };
};
