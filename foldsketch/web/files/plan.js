// The plan, seen along the datum: round features, the centres with their distances; centres are dragged or moved by keys.
import { number, paints, setKey, sketch, snapped, units, written } from "./partfile.js";

const NS = "http://www.w3.org/2000/svg";
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
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export function plan(svg, desk) {
  let busy = false;
  function draw(chosen) {
    if (busy) return;
    const text = desk.text(), u = units(text), { axes, rounds } = sketch(text);
    const focused = svg.contains(document.activeElement) ? document.activeElement.dataset.axis : null;
    svg.replaceChildren();
    const marks = rounds.filter((r) => axes.has(r.axis)).map((r) => ({ ...r, ...axes.get(r.axis) }));
    if (!marks.length) return;
    const corners = marks.flatMap((m) => (m.outline ? m.outline.map(([x, y]) => [m.x + x, m.y + y]) : [[m.x - m.r, m.y - m.r], [m.x + m.r, m.y + m.r]]));
    const xs = [...corners.map((c) => c[0]), ...[...axes.values()].map((a) => a.x)], ys = [...corners.map((c) => c[1]), ...[...axes.values()].map((a) => a.y)];
    const left = Math.min(...xs), right = Math.max(...xs), low = Math.min(...ys), high = Math.max(...ys);
    const far = Math.max(right - left, high - low, u === "in" ? 0.05 : 1) * 0.57, letter = far / 8;
    svg.setAttribute("viewBox", `${(left + right) / 2 - far} ${-(low + high) / 2 - far} ${2 * far} ${2 * far}`);
    for (const m of marks) {
      const props = { class: `round${m.cut ? " cut" : ""}${m.name === chosen ? " chosen" : ""}` };
      if (m.outline) drawn(svg, "polygon", { ...props, points: m.outline.map(([x, y]) => `${m.x + x},${-m.y - y}`).join(" ") });
      else drawn(svg, "circle", { ...props, cx: m.x, cy: -m.y, r: m.r });
    }
    const paint = paints([...axes.keys()]);
    for (const [name, a] of axes) {
      if (!a.polar) continue;
      drawn(svg, "line", { x1: a.o.x, y1: -a.o.y, x2: a.x, y2: -a.y, class: `dim ${paint(name)}` });
      if (axes.size <= 4) drawn(svg, "text", { x: (a.x + a.o.x) / 2, y: -(a.y + a.o.y) / 2 + letter * 0.8, "font-size": letter * 0.75, "text-anchor": "middle", class: `size ${paint(name)}` }, written(a.offset, u));
    }
    let k = 0;
    for (const [name, a] of axes) {
      const place = `${written(a.x, u)}, ${written(a.y, u)} ${u}`, movable = k++ > 0;
      const dot = drawn(svg, "circle", { cx: a.x, cy: -a.y, r: far / 30, class: `${movable ? "axis" : "datum"} ${paint(name)}`, "data-axis": name });
      drawn(svg, "text", { x: a.x + far / 22, y: -a.y - far / 26, "font-size": letter, "aria-hidden": "true", class: `name ${paint(name)}` }, name);
      if (!movable) continue;
      for (const [p, v] of Object.entries({ tabindex: 0, role: "slider", "aria-label": `centre of axis ${name}`, "aria-valuenow": written(a.x, u), "aria-valuetext": place })) dot.setAttribute(p, v);
      grip(dot, name, a, u);
      if (name === focused) dot.focus({ preventScroll: true });
    }
  }
  // Centres snap to half millimetres or fiftieths of an inch, angles to whole degrees; with shift ten times finer.
  function moved(name, x, y, fine) {
    const text = desk.text(), u = units(text), a = sketch(text).axes.get(name);
    if (!a) return text;
    if (!a.polar) return setKey(text, a.t, "at", `[${written(snapped(x, u, fine), u)}, ${written(snapped(y, u, fine), u)}]`);
    const turn = fine ? 10 : 1;
    const d = snapped(Math.hypot(x - a.o.x, y - a.o.y), u, fine), g = Math.round((Math.atan2(y - a.o.y, x - a.o.x) * 180 * turn) / Math.PI) / turn;
    const next = setKey(text, a.t, "offset", written(d, u));
    return setKey(next, sketch(next).axes.get(name).t, "angle", String((g + 360) % 360));
  }
  function grip(dot, name, a, u) {
    dragged(svg, dot, (p, fine) => {
      busy = true;
      const next = moved(name, p.x, -p.y, fine), now = sketch(next).axes.get(name);
      dot.setAttribute("cx", now.x);
      dot.setAttribute("cy", -now.y);
      desk.live(next);
    }, () => { busy = false; desk.settle(); }, () => { busy = false; desk.drop(); });
    dot.addEventListener("keydown", (ev) => {
      const step = ARROWS[ev.key];
      if (!step) return;
      ev.preventDefault();
      const by = (u === "in" ? 0.02 : 0.5) / (ev.shiftKey ? 10 : 1), text = desk.text(), now = sketch(text).axes.get(name);
      if (!now.polar) return desk.change(moved(name, now.x + step[0] * by, now.y + step[1] * by, true));
      // A centre given by distance and angle: right and left change the distance, up and down the angle.
      if (step[0]) return desk.change(setKey(text, now.t, "offset", written(now.offset + step[0] * by, u)));
      const g = (number(now.t.body, "angle") || 0) + step[1] * (ev.shiftKey ? 0.1 : 1);
      desk.change(setKey(text, now.t, "angle", String(Number(((g + 360) % 360).toFixed(3)))));
    });
  }
  return { draw };
}
