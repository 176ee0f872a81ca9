// What plan and side view share: zoom and where they look, words of one size on the screen, and the read-out of a drag.
import { element } from "./cells.js";

const NS = "http://www.w3.org/2000/svg";
const STEP = 1.4, MOST = 20; // a zoom step, and how far in
export const WORD = 14; // pixels of the screen

export function sight(svg, redraw) {
  let zoom = 1, at = null, whole = null, px = 1;
  const told = element("output", { class: "readout", "aria-hidden": "true", hidden: "" });
  const by = (text, name, f) => element("button", { type: "button", text, tabindex: "-1", "aria-label": name, title: name, on: { click: f } });
  const box = element("div", { class: "sight" });
  svg.replaceWith(box);
  box.append(svg, element("div", { class: "zooms" }, by("+", "zoom in", () => go(STEP)), by("−", "zoom out", () => go(1 / STEP)), by("all", "show all", () => { zoom = 1; at = null; redraw(); })), told);
  // Nearer by a factor, about a point of the drawing that stays where it is on the screen.
  function go(factor, about = null) {
    const was = zoom, here = at || middle();
    zoom = Math.min(MOST, Math.max(1, zoom * factor));
    at = zoom === 1 ? null : about ? here.map((v, k) => about[k] + (v - about[k]) * (was / zoom)) : here;
    redraw();
  }
  const middle = () => [whole[0] + whole[2] / 2, whole[1] + whole[3] / 2];
  const point = (ev) => { const p = new DOMPoint(ev.clientX, ev.clientY).matrixTransform(svg.getScreenCTM().inverse()); return [p.x, p.y]; };
  // The page scrolls under the wheel as elsewhere; with Ctrl, or once the view is zoomed, the wheel zooms.
  svg.addEventListener("wheel", (ev) => {
    if (!whole || !(ev.ctrlKey || ev.metaKey || zoom > 1)) return;
    ev.preventDefault();
    go(STEP ** (-Math.sign(ev.deltaY) / 2), point(ev));
  }, { passive: false });
  svg.addEventListener("keydown", (ev) => {
    const factor = { "+": STEP, "=": STEP, "-": 1 / STEP, 0: 1 / MOST }[ev.key];
    if (factor && !ev.ctrlKey) { ev.preventDefault(); go(factor, ev.target.cx ? [ev.target.cx.baseVal.value, ev.target.cy.baseVal.value] : null); }
  });
  // The ground is taken hold of and shifted while the view is zoomed.
  svg.addEventListener("pointerdown", (ev) => {
    if (ev.button || zoom === 1 || ev.target.closest(".axis")) return;
    svg.setPointerCapture(ev.pointerId);
    let last = [ev.clientX, ev.clientY];
    const move = (e) => { at = (at || middle()).map((v, k) => v - ([e.clientX, e.clientY][k] - last[k]) * px); last = [e.clientX, e.clientY]; redraw(); };
    const end = () => { svg.removeEventListener("pointermove", move); svg.removeEventListener("pointerup", end); svg.removeEventListener("pointercancel", end); };
    svg.addEventListener("pointermove", move);
    svg.addEventListener("pointerup", end);
    svg.addEventListener("pointercancel", end);
  });
  // The drawing's frame in its own lengths; air: pixels left free around it. Gives the lengths that a pixel stands for.
  function frame(left, top, wide, high, air) {
    const w = svg.clientWidth || 260, h = svg.clientHeight || 170, [l, t, r, b] = air;
    px = Math.max(wide / Math.max(40, w - l - r), high / Math.max(40, h - t - b));
    whole = [left + wide / 2 - px * (w + l - r) / 2, top + high / 2 - px * (h + t - b) / 2, px * w, px * h];
    px /= zoom;
    const c = at || middle();
    svg.setAttribute("viewBox", `${c[0] - whole[2] / 2 / zoom} ${c[1] - whole[3] / 2 / zoom} ${whole[2] / zoom} ${whole[3] / zoom}`);
    return px;
  }
  function tell(words) { told.hidden = !words; told.textContent = words; }
  new ResizeObserver(() => redraw()).observe(box);
  return { frame, tell };
}
export function drawn(svg, tag, props, words) {
  const e = document.createElementNS(NS, tag);
  for (const [k, v] of Object.entries(props)) e.setAttribute(k, v);
  if (words !== undefined) e.textContent = words;
  svg.append(e);
  return e;
}
// Dragging of one mark: moved(point, fine) while it moves, done(point, fine) at its end, dropped() when it is broken off.
export function dragged(svg, mark, moved, done, dropped) {
  const at = (ev) => new DOMPoint(ev.clientX, ev.clientY).matrixTransform(svg.getScreenCTM().inverse());
  mark.addEventListener("pointerdown", (ev) => {
    if (ev.button) return;
    ev.preventDefault();
    mark.focus({ preventScroll: true });
    mark.setPointerCapture(ev.pointerId);
    const move = (e) => moved(at(e), e.shiftKey);
    const finish = (f) => (e) => {
      for (const [name, g] of Object.entries(ways)) mark.removeEventListener(name, g);
      f(at(e), e.shiftKey);
    };
    const ways = { pointermove: move, pointerup: finish(done), pointercancel: finish(dropped) };
    for (const [name, g] of Object.entries(ways)) mark.addEventListener(name, g);
  });
}
// Room for words: each is put at the first of its places that is free, and has null where none is.
export function room() {
  const taken = [];
  const boxed = (x, y, wide, high) => [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];
  const free = (b) => !taken.some((t) => b[0] < t[2] && b[2] > t[0] && b[1] < t[3] && b[3] > t[1]);
  function put(places, wide, high) {
    const p = places.find(([x, y]) => free(boxed(x, y, wide, high))) || null;
    if (p) taken.push(boxed(...p, wide, high));
    return p;
  }
  return { put, take: (x, y, wide, high) => taken.push(boxed(x, y, wide, high)) };
}
