"use strict";
// Around the stage: fold and spin below it; beside it the set-ups with their figures, the features and axes.
// before: the state of the model shown until now, whose view is kept; beside: where the figures go, if not on the page.
window.foldsketchShow = (facts, page, before = null, beside = page) => {
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
    const input = document.getElementById("fold"), from = state.fold, was = [state.tilt, state.swing, state.lie];
    if (target < 0.5 && state.goal === null) state.looked = was;
    const to = target < 0.5 ? [12, 0, 0] : state.looked || was;
    state.goal = target;
    return glide(2200 * Math.abs(target - from), (t) => {
      if (state.goal !== target) return;
      state.fold = from + (target - from) * t;
      [state.tilt, state.swing, state.lie] = was.map((v, k) => v + (to[k] - v) * t);
      input.value = state.fold;
      if (t === 1) state.goal = null;
    });
  }
  const view = window.foldsketchView(stage, state, { place, move, glide, make });
  const setUps = window.foldsketchSetUps(facts, state, { make, letter, place, move, glide, timer, foldTo, showSetUp, slider, button, calm, stage, before });

  stage.append(setUps.words);

  // ---- below the stage ---------------------------------------------------------------------------------------------
  function slider(id, label, value, most, change) {
    const input = make("input", { type: "range", id, min: 0, max: most, step: "any", value });
    input.addEventListener("input", () => change(Number(input.value)));
    return [make("label", { for: id, text: label }), input];
  }
  function button(id, text, click, props = {}) { return make("button", { type: "button", id, text, on: { click }, ...props }); }
  const strip = make("div", { class: "strip", role: "group", "aria-label": "Fold, look and spin" },
    make("div", { class: "controls folding" }, ...slider("fold", "fold", 1, 1, (v) => { state.goal = null; state.fold = v; move(); }),
      button("play", "fold / unfold", () => foldTo((state.goal ?? state.fold) > 0.5 ? 0 : 1)),
      ...slider("apart", "apart", 0, 2, (v) => { state.apart = v; move(); })),
    view.buttons, setUps.strip, setUps.stepping);

  // ---- beside it ---------------------------------------------------------------------------------------------------
  const rows = make("tbody");
  facts.features.forEach((f, k) => {
    const name = make("button", { type: "button", class: "name", "aria-pressed": "false", text: f.name });
    const row = make("tr", {}, make("td", {}, name), make("td", { text: (f.cut ? "cut " : "") + f.size + (f.drawn ? ", drawn only" : "") }), letter(f.axis, "td"));
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

  const aside = make("aside", { "aria-label": "Set-ups, features and axes" }, setUps.section,
    make("h2", { text: "Features" }), table("Features", ["feature", "size", "axis"], rows),
    make("h2", { text: "Axes" }), table("Axes", ["axis", "offset", "angle"], lines));
  page.classList.toggle("still", Boolean(facts.picture));
  page.replaceChildren(
    make("h1", { text: facts.part }, make("small", { text: `paper model, ${facts.scale}, ${facts.panels} panels` + (facts.checked ? ", folded up and checked" : "") })),
    stage, strip,
  );
  if (beside === page) page.append(aside); else beside.replaceChildren(aside);
  if (before) {
    for (const k of ["fold", "apart", "zoom", "tilt", "swing", "lie", "speed", "looked", "mid", "long"]) state[k] = before[k];
    for (const k of ["fold", "apart"]) document.getElementById(k).value = state[k];
    before.run = before.run && !calm.matches;
  }
  place();
  setUps.tell(facts.setups, facts.cautions, facts.machine, beside !== page);
  if (before && before.goal !== null) foldTo(before.goal);
  if (window.foldsketchPlain === undefined && !facts.picture) setTimeout(probe, 250);
  window.foldsketch = { state, place, move, choose, view: view.go, setUp: setUps.go, step: setUps.step, setUps: setUps.tell };
};
