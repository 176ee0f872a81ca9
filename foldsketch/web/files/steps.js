"use strict";
// The steps in which a set-up comes to be, one by one or as a film: put in, seated, held; or handed over from the other spindle.
window.foldsketchSteps = (state, { make, move, place, glide, button }) => {
  const words = make("p", { id: "step-words", class: "told", role: "status", "aria-live": "polite" });
  const strip = make("div", { class: "stepping", role: "group", "aria-label": "How it comes into this set-up, step by step" });
  let steps = [], at = 0, order = 0, before = () => {};
  const ease = (a, b, t) => a.map((v, i) => v + (b[i] - v) * t);
  const last = () => steps.length - 1;
  function tell() {
    words.textContent = steps.length ? `${at + 1} of ${steps.length}: ${steps[at].words}` : "";
    strip.hidden = words.hidden = !steps.length;
    first.disabled = back.disabled = at === 0;
    on.disabled = at === last();
  }
  // Everything as it is at a step; the one that held the part before is seen until it is out of the way.
  function put(k) {
    const s = steps[k];
    Object.assign(state, s ? { part: s.part, now: s.now, was: s.was, open: s.open, handing: k < last(), axis: s.axis } : { part: [0, 0, 0], now: [0, 0, 0], was: [0, 0, 0], open: [0, 0], handing: false, axis: null });
  }
  async function go(k) {
    if (!steps[k]) return;
    const mine = ++order, s = steps[k], from = { part: state.part, now: state.now, was: state.was, open: state.open }, room = state.handed;
    before();
    at = k;
    tell();
    Object.assign(state, { handing: true, axis: s.axis });
    const far = Math.max(...["part", "now", "was"].flatMap((w) => s[w].map((v, i) => Math.abs(v - from[w][i]))));
    await glide(350 + 12 * Math.min(60, far), (t) => {
      if (mine !== order) return;
      for (const w of ["part", "now", "was"]) state[w] = ease(from[w], s[w], t);
      state.open = ease(from.open, s.open, t);
      state.handed = room + ((k < last() ? 1 : 0) - room) * t;
    });
    if (mine !== order) return;
    put(k);
    place();
  }
  async function film() {
    const long = (s) => 700 + 22 * s.words.length; // to read it as it is done
    let mine = 0;
    if (at === last()) await go(0);
    for (let k = at; k <= last(); k++) {
      if (k !== at) await go(k);
      mine = order;
      if (k < last()) await new Promise((done) => setTimeout(done, long(steps[k])));
      if (mine !== order) return; // another step was asked for
    }
  }
  const first = button("first-step", "start", () => go(0), { "aria-label": "first step" });
  const back = button("step-back", "back", () => go(Math.max(0, at - 1)), { "aria-label": "step back" });
  const on = button("step-on", "next", () => go(Math.min(last(), at + 1)), { "aria-label": "next step" });
  strip.append(make("span", { text: "steps" }), first, back, on, button("film", "play", film, { "aria-label": "play all steps" }));
  // The steps of a set-up that is shown as it is in the end. resting: called before anything moves.
  function set(list, resting) {
    order++;
    steps = list;
    before = resting;
    at = Math.max(0, last());
    state.handed = 0;
    put(at);
    tell();
  }
  set([], () => {});
  return { strip, words, set, go };
};
