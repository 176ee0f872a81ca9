"use strict";
// The set-ups: the part as it lies in the machine, spinning about the axis that runs true, and the figures to set it by.
window.foldsketchSetUps = (facts, state, { make, letter, place, move, glide, timer, foldTo, showSetUp, slider, button, calm, stage, before }) => {
  const run = button("run", "Spin", async () => {
    if (state.run) return turning(false);
    if (state.setup < 0) await go(0);
    turning(true);
  }, { "aria-pressed": "false" });
  const step = (by) => () => { turning(false); state.spin = (state.spin + by + 360) % 360; place(); };
  const [label, speed] = slider("speed", `${state.speed} r/min`, state.speed, 60, (v) => { state.speed = v; label.textContent = `${v.toFixed(0)} r/min`; });
  const strip = make("div", { class: "spinning", hidden: "" }, run,
    button("back", "−15°", step(-15), { "aria-label": "turn back by 15 degrees" }), button("step", "+15°", step(15), { "aria-label": "turn on by 15 degrees" }),
    button("next", "next set-up", () => go((state.setup + 1) % facts.setups.length)), label, speed);
  // Two choices of how it is looked at: lying as in the machine or standing up, cut open or whole.
  const choice = (id, text, pick, props) => button(id, text, async () => { const b = document.getElementById(id); b.setAttribute("aria-pressed", String(pick(b.getAttribute("aria-pressed") !== "true"))); }, { "aria-pressed": "true", ...props });
  const lies = choice("lies", "lying", (yes) => { state.standing = !yes; go(state.setup); return yes; }, { title: "the centreline lies as in the machine" });
  const cut = choice("cut-open", "cut open", (yes) => { whole(!yes); place(); return yes; }, { title: "chuck and jaws cut open towards you" });
  function whole(yes) { state.whole = yes; stage.classList.toggle("whole", yes); }
  const steps = window.foldsketchSteps(state, { make, move, place, glide, button });
  strip.append(lies, cut);
  const section = make("section", { "aria-label": "Set-ups", class: "setups" });
  const now = make("p", { id: "now", role: "status", "aria-live": "polite" });
  const numbers = make("div", { id: "numbers" });

  let last = 0, timed = null;
  function spin(time) {
    if (!state.run || !stage.isConnected) return;
    timed(time);
    if (calm.matches) { // in steps, with time to look
      if (time - last >= 1000) { state.spin = (state.spin + 15) % 360; last = time; place(); }
    } else {
      state.spin = (state.spin + ((time - last) / 1000) * state.speed * 6) % 360;
      last = time;
      move();
    }
    requestAnimationFrame(spin);
  }
  function turning(on) {
    state.run = on;
    run.setAttribute("aria-pressed", String(on));
    run.textContent = on ? "Pause" : "Spin";
    last = performance.now();
    timed = timer();
    if (on) { if (state.handing) steps.set(facts.setups[state.setup].holding.steps, () => turning(false)); requestAnimationFrame(spin); } else place();
  }
  // How a set-up is looked at: lying in the machine, from the side of the worked end; without one, standing up.
  // The swing turns the side towards the viewer on which chuck and jaws are cut open, a little off square so that depth is seen.
  const ASIDE = 16;
  const looked = (s) => (!s ? [62, 0, state.swing, state.mid] : state.standing ? [s.from_end === "+z" ? 62 : 118, 0, s.holding.facing - ASIDE, (s.sight[0] + s.sight[1]) / 2]
    : [s.from_end === "+z" ? 72 : 108, s.lie, s.holding.facing - ASIDE * (s.from_end === "+z" ? s.lie : -s.lie), (s.sight[0] + s.sight[1]) / 2]);
  const half = (s) => (s ? (s.sight[1] - s.sight[0]) / 2 : state.long);
  function mark() {
    for (const b of section.querySelectorAll("[data-setup]")) b.setAttribute("aria-pressed", String(Number(b.dataset.setup) === state.setup));
    strip.hidden = !facts.setups.length;
  }
  // To another set-up: the part comes to rest, moves off centre by the shift, and turns again about the new centreline.
  let order = 0;
  async function go(k) {
    const mine = ++order, was = facts.setups[state.setup], s = facts.setups[k], resume = state.run;
    turning(false);
    if (s && state.fold < 1) await foldTo(1);
    steps.set([], () => {});
    const spun = ((state.spin + 180) % 360) - 180;
    await glide(Math.abs(spun) * 5, (t) => { if (mine === order) state.spin = spun * (1 - t); });
    if (mine !== order) return;
    const room = [state.lie ? [state.swung, state.long] : [s ? s.holding.room : 0, half(s)], s ? [s.holding.room, half(s)] : [state.swung, state.long]], from = state.at, to = s ? s.at : facts.middle.slice(0, 2), stood = [state.tilt, state.lie, state.swing, state.mid], will = looked(s);
    if (!s) will[3] = facts.middle[2];
    will[2] = stood[2] + ((((will[2] - stood[2]) % 360) + 540) % 360) - 180; // the shorter way round
    state.setup = k;
    mark();
    state.under = Boolean(s) && s.from_end === "-z";
    showSetUp(s, was && was.at);
    steps.set(s ? s.holding.steps : [], () => turning(false));
    figures(s);
    const far = Math.hypot(to[0] - from[0], to[1] - from[1]);
    now.textContent = !s ? "" : was && far > 0.01 ? `Moves off centre by ${far.toFixed(2)} mm on paper …` : "";
    await glide(was && s ? 500 + 40 * far : 450, (t) => {
      if (mine !== order) return;
      state.at = [0, 1].map((i) => from[i] + (to[i] - from[i]) * t);
      [state.swung, state.long] = room[0].map((v, i) => v + (room[1][i] - v) * t);
      [state.tilt, state.lie, state.swing, state.mid] = stood.map((v, i) => v + (will[i] - v) * t);
    });
    if (mine !== order) return;
    lying(s, s && s.shift ? ` Shift from the set-up before: ${s.shift}, spindle oriented by ${s.orient}.` : "");
    if (resume && s) turning(true);
  }
  function lying(s, more = "") {
    now.replaceChildren(...(s ? ["Axis ", letter(s.axis), ` runs true on the ${s.spindle_name}.` + more] : []));
  }
  function figures(s) {
    numbers.replaceChildren();
    if (!s) return;
    numbers.append(make("p", {}, make("strong", { text: `Held on ${s.held}` }), `, ${s.way}. Cut from the ${s.from_end} end: ${s.features.join(", ") || "nothing, only turned round"}.`));
    const key = [["held", "held"], ["turned", "cut here"], ...(s.holding.now.faces.length ? [["sawn", `${s.holding.now.faces[0].what === "plate" ? "fixture plate" : "chuck and jaws"}, cut open`]] : []), ...(s.holding.blank.length ? [["blank", "the blank's size"]] : [])];
    numbers.append(make("ul", { class: "colours", "aria-label": "Colours on the model" }, ...key.map(([kind, text]) => make("li", {}, make("i", { class: kind }), text))));
    const main = make("dl", { class: "main" });
    for (const f of s.main) main.append(make("div", {}, make("dt", { text: f.name }), make("dd", {}, make("b", { text: f.value }), ` ${f.unit}`), make("dd", { class: "of", text: f.of })));
    const body = make("tbody");
    for (const [name, value] of s.figures) body.append(make("tr", {}, make("th", { scope: "row", text: name }), make("td", { class: "figure", text: value })));
    numbers.append(main);
    if (s.findings.length) numbers.append(make("ul", {}, ...s.findings.map((f) => make("li", { text: f }))));
    numbers.append(make("div", { class: "caution" }, ...facts.cautions.map((c) => make("p", { text: c }))));
    numbers.append(make("details", {}, make("summary", { text: "All figures of this set-up" }), make("table", { "aria-label": "Figures of the set-up" }, body)));
  }
  // The set-ups may come after the model; the one that was looked at is shown again.
  // waiting: they are still being worked out, and the model lies as it lay.
  function tell(list, cautions, machine, waiting = false) {
    Object.assign(facts, { setups: list, cautions, machine });
    section.replaceChildren();
    mark();
    if (!list.length) {
      if (!waiting && state.lie) { Object.assign(state, { lie: 0, tilt: 62, mid: facts.middle[2] }); place(); }
      return;
    }
    const ways = make("div", { class: "ways", role: "group", "aria-label": "Set-up" });
    const way = (k, one, two) => ways.append(make("button", { type: "button", id: `setup-${k}`, "data-setup": k, "aria-pressed": "false", on: { click: () => go(k) } }, make("b", {}, ...one), make("small", { text: two })));
    way(-1, ["Model"], "alone");
    list.forEach((s, k) => way(k, [`${s.number} `, letter(s.axis)], s.spindle));
    section.append(make("h2", { text: "Set-ups" }), make("p", { class: "machine", text: `on ${machine}` }), ways, now, numbers);
    mark();
    if (!before || before.setup < 0 || before.setup >= list.length) return;
    const s = list[before.setup];
    Object.assign(state, { setup: before.setup, at: s.at, spin: before.spin, swung: s.holding.room, long: half(s), mid: (s.sight[0] + s.sight[1]) / 2, under: s.from_end === "-z" });
    mark();
    showSetUp(s);
    steps.set(s.holding.steps, () => turning(false));
    figures(s);
    lying(s);
    if (before.run) turning(true); else place();
  }
  if (before) {
    whole(before.whole);
    state.standing = before.standing;
    lies.setAttribute("aria-pressed", String(!state.standing));
    cut.setAttribute("aria-pressed", String(!state.whole));
  }
  return { strip, stepping: steps.strip, words: steps.words, section, go, step: steps.go, tell };
};
