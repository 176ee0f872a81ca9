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
    if (on) requestAnimationFrame(spin); else place();
  }
  // How a set-up is looked at: lying in the machine, from the side of the worked end; without one, standing up.
  const looked = (s) => (s ? [s.from_end === "+z" ? 68 : 112, s.lie] : [62, 0]);
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
    const spun = ((state.spin + 180) % 360) - 180;
    await glide(Math.abs(spun) * 5, (t) => { if (mine === order) state.spin = spun * (1 - t); });
    if (mine !== order) return;
    const room = [state.lie ? state.swung : s ? s.swing : 0, s ? s.swing : state.swung], from = state.at, to = s ? s.at : facts.middle.slice(0, 2), stood = [state.tilt, state.lie], lies = looked(s);
    state.setup = k;
    mark();
    showSetUp(s, was && was.at);
    figures(s);
    const far = Math.hypot(to[0] - from[0], to[1] - from[1]);
    now.textContent = !s ? "" : was && far > 0.01 ? `Moves off centre by ${far.toFixed(2)} mm on paper …` : "";
    await glide(was && s ? 500 + 40 * far : 450, (t) => {
      if (mine !== order) return;
      state.at = [0, 1].map((i) => from[i] + (to[i] - from[i]) * t);
      state.swung = room[0] + (room[1] - room[0]) * t;
      [state.tilt, state.lie] = stood.map((v, i) => v + (lies[i] - v) * t);
    });
    if (mine !== order) return;
    lying(s, s && s.shift ? ` Shift from the set-up before: ${s.shift}, spindle oriented by ${s.orient}.` : "");
    if (resume && s) turning(true);
  }
  function lying(s, more = "") {
    now.replaceChildren(...(s ? ["Axis ", letter(s.axis), ` runs true on the ${s.spindle} spindle.` + more] : []));
  }
  function figures(s) {
    numbers.replaceChildren();
    if (!s) return;
    numbers.append(make("p", {}, make("strong", { text: `Held on ${s.held}` }), `, ${s.way}. Cut from the ${s.from_end} end: ${s.features.join(", ") || "nothing, only turned round"}.`));
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
      if (!waiting && state.lie) { Object.assign(state, { lie: 0, tilt: 62 }); place(); }
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
    Object.assign(state, { setup: before.setup, at: s.at, spin: before.spin, swung: s.swing });
    mark();
    showSetUp(s);
    figures(s);
    lying(s);
    if (before.run) turning(true); else place();
  }
  return { strip, section, go, tell };
};
