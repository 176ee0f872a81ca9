"use strict";
// Looking at the stage: hand, wheel and keys turn and zoom the model; buttons go to the views that a drawing has.
window.foldsketchView = (stage, state, { place, move, glide, make }) => {
  const VIEWS = { home: [62, -28], front: [90, 0], top: [0, 0], end: [90, -90], below: [118, -28] };
  const tilt = (by) => { state.tilt = Math.max(-90, Math.min(180, state.tilt + by)); };
  const zoom = (by) => { state.zoom = Math.max(0.3, Math.min(6, state.zoom * by)); };
  // The part lies on its side in the machine: what goes right on the screen goes up along its axis.
  const upright = (x, y) => (state.lie ? [y * Math.sign(state.lie), -x * Math.sign(state.lie)] : [x, y]);
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
      const [x, y] = upright(to[0] - from[0], to[1] - from[1]);
      state.swing -= x * 0.4;
      tilt(-y * 0.4);
    }
    held.set(ev.pointerId, to);
    move();
  });
  stage.addEventListener("wheel", (ev) => { ev.preventDefault(); zoom(Math.exp(-ev.deltaY * 0.001)); move(); }, { passive: false });
  stage.addEventListener("keydown", (ev) => {
    const step = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[ev.key];
    if (step) { const [x, y] = upright(...step); state.swing += x * 6; tilt(-y * 6); }
    else if (ev.key === "+" || ev.key === "=") zoom(1.15);
    else if (ev.key === "-") zoom(1 / 1.15);
    else return;
    ev.preventDefault();
    place();
  });
  // The shortest way round to a view; blocks, zoom and folding stay as they are.
  let order = 0;
  function go(name, zoomed = state.zoom) {
    const mine = ++order, was = [state.tilt, state.swing, state.zoom], to = VIEWS[name], round = ((((to[1] - was[1]) % 360) + 540) % 360) - 180;
    return glide(350, (t) => {
      if (mine !== order) return;
      state.tilt = was[0] + (to[0] - was[0]) * t;
      state.swing = was[1] + round * t;
      state.zoom = was[2] + (zoomed - was[2]) * t;
    });
  }
  const buttons = make("div", { class: "views-of", role: "group", "aria-label": "Look from" });
  for (const name of Object.keys(VIEWS)) buttons.append(make("button", { type: "button", "data-view-of": name, text: name, on: { click: () => go(name) } }));
  buttons.append(make("button", { type: "button", "data-view-of": "reset", text: "reset", on: { click: () => go("home", 1) } }));
  return { buttons, go };
};
