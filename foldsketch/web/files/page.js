"use strict";
// Everything around the stage: fold and spin, the set-ups with their figures, the features and axes.
// before: the state of the model shown until now, whose view is kept.
window.foldsketchShow = (facts, page, before = null) => {
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
  const SLOW = 28; // milliseconds a frame above which the printed panels are too much: while they move they are drawn plainly

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
  // A letter in its axis's colour; it is read, the colour only helps the eye.
  const letter = (axis, tag = "span") => make(tag, { class: axis in (facts.paints || {}) ? `letter paint${facts.paints[axis]}` : "letter", text: axis });
  const FIGURES = ["offset", "angle"]; // their heads stand over them
  const table = (name, heads, body) => make("table", { "aria-label": name },
    make("thead", {}, make("tr", {}, ...heads.map((h) => make("th", { scope: "col", text: h, ...(FIGURES.includes(h) ? { class: "figure" } : {}) })))), body);

  // ---- the stage ---------------------------------------------------------------------------------------------------
  const stage = make("div", {
    class: "stage", tabindex: "0", role: "img",
    "aria-label": `Paper model of ${facts.part}. Drag or arrow keys turn it, plus and minus zoom.`,
  });
  const hint = make("p", { text: "drag or arrow keys: turn · wheel, plus, minus: zoom · click a panel: its feature" });
  const { state, place, move, choose: show, showSetUp } = window.foldsketchModel(facts, stage, choose);
  if (facts.picture) {
    stage.replaceChildren(make("img", { src: facts.picture, alt: `Folded model of ${facts.part}` }));
    hint.textContent = `${facts.panels} panels: too many to fold smoothly here, so this is a still picture.`;
  }
  stage.append(hint);
  const tilt = (by) => { state.tilt = Math.max(-90, Math.min(90, state.tilt + by)); };
  const zoom = (by) => { state.zoom = Math.max(0.3, Math.min(6, state.zoom * by)); };
  // Two fingers zoom, one turns.
  const held = new Map();
  stage.addEventListener("pointerdown", (ev) => { held.set(ev.pointerId, [ev.clientX, ev.clientY]); });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) stage.addEventListener(end, (ev) => { held.delete(ev.pointerId); });
  stage.addEventListener("pointermove", (ev) => {
    const from = held.get(ev.pointerId);
    if (!from) return;
    const to = [ev.clientX, ev.clientY], other = [...held].find(([id]) => id !== ev.pointerId);
    if (other) {
      const far = (p) => Math.hypot(p[0] - other[1][0], p[1] - other[1][1]) || 1;
      zoom(far(to) / far(from));
    } else {
      state.swing -= (to[0] - from[0]) * 0.4;
      tilt((from[1] - to[1]) * 0.4);
    }
    held.set(ev.pointerId, to);
    move();
  });
  stage.addEventListener("wheel", (ev) => { ev.preventDefault(); zoom(Math.exp(-ev.deltaY * 0.001)); move(); }, { passive: false });
  stage.addEventListener("keydown", (ev) => {
    const step = { ArrowLeft: [6, 0], ArrowRight: [-6, 0], ArrowUp: [0, 6], ArrowDown: [0, -6] }[ev.key];
    if (step) { state.swing += step[0]; tilt(step[1]); }
    else if (ev.key === "+" || ev.key === "=") zoom(1.15);
    else if (ev.key === "-") zoom(1 / 1.15);
    else return;
    ev.preventDefault();
    place();
  });

  // ---- motion ------------------------------------------------------------------------------------------------------
  // Times the frames of a motion; once the printed panels prove too slow in this browser, motion is drawn plainly.
  function timer() {
    let start = 0, frames = 0;
    return (now) => {
      if (window.foldsketchPlain || calm.matches) return;
      if (!start) start = now;
      else if (++frames >= 3 && (now - start) / frames > SLOW) window.foldsketchPlain = true;
      else if (frames === 30) { start = now; frames = 0; }
    };
  }
  // Before anything moves, a few frames that nobody sees: turned by a hair and back.
  function probe() {
    let start = 0, n = 0;
    const step = (now) => {
      if (going || state.run || !stage.isConnected) return;
      start = start || now;
      if (n === 4) { window.foldsketchPlain = (now - start) / n > SLOW; return; }
      state.swing += n++ % 2 ? -0.02 : 0.02;
      place();
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }
  let going = 0;
  // Calls set with 0 to 1, eased; at once where motion is not wanted. Resolves when it is done.
  function glide(long, set) {
    if (calm.matches || long < 1) { set(1); place(); return Promise.resolve(); }
    return new Promise((done) => {
      const timed = timer();
      let start = 0;
      going++;
      const step = (now) => {
        start = start || now;
        timed(now);
        if (!stage.isConnected) { going--; return done(); } // another model has taken its place
        const t = Math.min(1, (now - start) / long);
        set(t * t * (3 - 2 * t));
        if (t < 1) { move(); requestAnimationFrame(step); } else { going--; place(); done(); }
      };
      requestAnimationFrame(step);
    });
  }
  // Flat, the nets are looked at from above; folded, the model as it was looked at before.
  // The end of a folding on its way is kept in the state, so that a model that takes this one's place goes on with it.
  function foldTo(target) {
    const input = document.getElementById("fold"), from = state.fold, was = [state.tilt, state.swing];
    if (target < 0.5 && state.goal === null) state.looked = was;
    const to = target < 0.5 ? [12, 0] : state.looked || was;
    state.goal = target;
    return glide(2200 * Math.abs(target - from), (t) => {
      if (state.goal !== target) return;
      state.fold = from + (target - from) * t;
      state.tilt = was[0] + (to[0] - was[0]) * t;
      state.swing = was[1] + (to[1] - was[1]) * t;
      input.value = state.fold;
      if (t === 1) state.goal = null;
    });
  }
  let last = 0, timed = null;
  function spin(now) {
    if (!state.run || !stage.isConnected) return;
    timed(now);
    if (calm.matches) { // in steps, with time to look
      if (now - last >= 1000) { state.spin = (state.spin + 15) % 360; last = now; place(); }
    } else {
      state.spin = (state.spin + ((now - last) / 1000) * state.speed * 6) % 360;
      last = now;
      move();
    }
    requestAnimationFrame(spin);
  }
  function turning(on) {
    state.run = on;
    run.setAttribute("aria-pressed", String(on));
    run.textContent = on ? "pause" : "spin";
    last = performance.now();
    timed = timer();
    if (on) requestAnimationFrame(spin); else place();
  }
  // To another set-up: the part comes to rest, moves off centre by the shift, and turns again about the new centreline.
  let order = 0;
  async function setUp(k) {
    const mine = ++order, was = facts.setups[state.setup], s = facts.setups[k], resume = state.run;
    turning(false);
    if (s && state.fold < 1) await foldTo(1);
    const spun = ((state.spin + 180) % 360) - 180;
    await glide(Math.abs(spun) * 5, (t) => { if (mine === order) state.spin = spun * (1 - t); });
    if (mine !== order) return;
    const from = state.at, to = s ? s.at : facts.middle.slice(0, 2);
    state.setup = k;
    showSetUp(s, was && was.at);
    tell(s);
    const far = Math.hypot(to[0] - from[0], to[1] - from[1]);
    now.textContent = !s ? "" : was && far > 0.01 ? `Moves off centre by ${far.toFixed(2)} mm on paper …` : "";
    await glide(was && s ? 500 + 40 * far : 0, (t) => {
      if (mine === order) state.at = [0, 1].map((i) => from[i] + (to[i] - from[i]) * t);
    });
    if (mine !== order) return;
    lying(s, s && s.shift ? ` Shift from the set-up before: ${s.shift}, spindle oriented by ${s.orient}.` : "");
    if (resume && s) turning(true);
  }

  // ---- controls ----------------------------------------------------------------------------------------------------
  function slider(id, label, value, most, change) {
    const input = make("input", { type: "range", id, min: 0, max: most, step: "any", value });
    input.addEventListener("input", () => change(Number(input.value)));
    return [make("label", { for: id, text: label }), input];
  }
  const button = (id, text, click, props = {}) => make("button", { type: "button", id, text, on: { click }, ...props });
  const controls = make("div", { class: "controls folding" });
  controls.append(...slider("fold", "fold", 1, 1, (v) => { state.goal = null; state.fold = v; move(); }), button("play", "fold / unfold", () => foldTo((state.goal ?? state.fold) > 0.5 ? 0 : 1)));
  controls.append(...slider("apart", "blocks apart", 0, 2, (v) => { state.apart = v; move(); }), make("span"));
  const run = button("run", "spin", async () => {
    if (state.run) return turning(false);
    if (state.setup < 0) { choice.value = "0"; await setUp(0); }
    turning(true);
  }, { "aria-pressed": "false" });
  const step = (by) => () => { turning(false); state.spin = (state.spin + by + 360) % 360; place(); };
  const now = make("p", { id: "now", role: "status", "aria-live": "polite" });
  const numbers = make("div", { id: "numbers" });
  const choice = make("select", { id: "setup", "aria-label": "Set-up" });
  choice.addEventListener("change", () => setUp(Number(choice.value)));
  const next = button("next", "next set-up", () => {
    choice.value = String((Number(choice.value) + 1) % facts.setups.length);
    setUp(Number(choice.value));
  });
  const section = make("section", { "aria-label": "Set-ups" });
  // The set-ups may come after the model; the one that was looked at is shown again.
  function setUps(list, cautions) {
    facts.setups = list;
    facts.cautions = cautions;
    section.replaceChildren();
    if (!list.length) return;
    const option = (value, text) => make("option", { value, text });
    choice.replaceChildren(option("-1", "no set-up: the model alone"), ...list.map((s, k) => option(k, `${s.number}  ${s.spindle} spindle, axis ${s.axis} on the centreline`)));
    const speed = make("div", { class: "controls spinning" });
    const [label, input] = slider("speed", `${state.speed} r/min`, state.speed, 60, (v) => { state.speed = v; label.textContent = `${v.toFixed(0)} r/min`; });
    speed.append(label, input, make("span"));
    section.append(make("h2", { text: "Set-ups" }), choice,
      make("div", { class: "row spinning" }, run, button("back", "−15°", step(-15), { "aria-label": "turn back by 15 degrees" }), button("step", "+15°", step(15), { "aria-label": "turn on by 15 degrees" }), next), speed, now, numbers);
    if (!before || before.setup < 0 || before.setup >= list.length) return;
    choice.value = before.setup;
    state.setup = before.setup;
    state.at = list[before.setup].at;
    state.spin = before.spin;
    showSetUp(list[before.setup]);
    tell(list[before.setup]);
    lying(list[before.setup]);
    if (before.run) turning(true); else place();
  }
  function lying(s, more = "") {
    now.replaceChildren(...(s ? ["Axis ", letter(s.axis), " lies on the centreline." + more] : []));
  }
  function tell(s) {
    numbers.replaceChildren();
    if (!s) return;
    numbers.append(make("p", { text: `Held on ${s.held} (${s.way}), worked from ${s.from_end}. ` + `Cut: ${s.features.join(", ")}.` }));
    const body = make("tbody");
    for (const [name, value] of s.figures) body.append(make("tr", {}, make("th", { scope: "row", text: name }), make("td", { class: "figure", text: value })));
    numbers.append(make("table", { "aria-label": "Figures of the set-up" }, body));
    if (s.findings.length) numbers.append(make("ul", {}, ...s.findings.map((f) => make("li", { text: f }))));
    numbers.append(make("div", { class: "caution" }, ...facts.cautions.map((c) => make("p", { text: c }))));
  }

  const rows = make("tbody");
  facts.features.forEach((f, k) => {
    const name = make("button", { type: "button", class: "name", "aria-pressed": "false", text: f.name });
    const row = make("tr", {}, make("td", {}, name), make("td", { text: (f.cut ? "cut " : "") + f.size }), letter(f.axis, "td"));
    row.addEventListener("click", () => choose(k));
    rows.append(row);
  });
  function choose(k) {
    state.chosen = state.chosen === k ? -1 : k;
    [...rows.children].forEach((row, i) => {
      row.classList.toggle("chosen", i === state.chosen);
      row.querySelector("button").setAttribute("aria-pressed", String(i === state.chosen));
    });
    show(state.chosen);
    page.dispatchEvent(new CustomEvent("chosen", { detail: state.chosen < 0 ? null : facts.features[state.chosen].name }));
  }
  const lines = make("tbody");
  for (const a of facts.axes) {
    lines.append(make("tr", {}, letter(a.name, "td"), make("td", { class: "figure", text: a.upright ? a.offset : "crosses" }),
      make("td", { class: "figure", text: a.upright && a.angle !== null ? `${a.angle}°` : "" })));
  }

  const aside = make("aside", { "aria-label": "Fold, spin and figures" }, controls, section);
  aside.append(make("h2", { text: "Features" }), table("Features", ["feature", "size", "axis"], rows),
    make("h2", { text: "Axes" }), table("Axes", ["axis", "offset", "angle"], lines));
  page.classList.toggle("still", Boolean(facts.picture));
  page.replaceChildren(
    make("h1", { text: facts.part }, make("small", { text: `paper model, ${facts.scale}, ${facts.panels} panels` + (facts.checked ? ", folded up and checked" : "") })),
    stage, aside,
  );
  if (before) {
    for (const k of ["fold", "apart", "zoom", "tilt", "swing", "speed", "looked"]) state[k] = before[k];
    for (const k of ["fold", "apart"]) document.getElementById(k).value = state[k];
    before.run = before.run && !calm.matches;
  }
  place();
  setUps(facts.setups, facts.cautions);
  if (before && before.goal !== null) foldTo(before.goal);
  if (window.foldsketchPlain === undefined && !facts.picture) setTimeout(probe, 250);
  window.foldsketch = { state, place, move, choose, setUp, setUps };
};
