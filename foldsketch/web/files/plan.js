// The plan, seen along the datum: round features, the centres with their distances; centres are dragged or moved by keys.
import { number, paints, setKey, sketch, snapped, units, written } from "./partfile.js";
import { circles, turned, widened } from "./patterns.js";
import { dragged, drawn, room, sight, WORD } from "./sight.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const ALONG = [0.5, 0.66, 0.34, 0.8]; // where on its line a distance may stand

export function plan(svg, desk) {
  let busy = false, had = null;
  const view = sight(svg, () => draw(had));
  function draw(chosen) {
    had = chosen;
    if (busy) return;
    const text = desk.text(), u = units(text), { axes, rounds } = sketch(text);
    const focused = svg.contains(document.activeElement) ? document.activeElement.dataset.axis : null;
    svg.replaceChildren();
    const marks = rounds.filter((r) => axes.has(r.axis)).map((r) => ({ ...r, ...axes.get(r.axis) }));
    if (!marks.length) return;
    const corners = marks.flatMap((m) => (m.outline ? m.outline.map(([x, y]) => [m.x + x, m.y + y]) : [[m.x - m.r, m.y - m.r], [m.x + m.r, m.y + m.r]]));
    const xs = [...corners.map((c) => c[0]), ...[...axes.values()].map((a) => a.x)], ys = [...corners.map((c) => c[1]), ...[...axes.values()].map((a) => a.y)];
    const left = Math.min(...xs), low = Math.min(...ys), least = u === "in" ? 0.05 : 1;
    const px = view.frame(left, -Math.max(...ys), Math.max(Math.max(...xs) - left, least), Math.max(Math.max(...ys) - low, least), [8, 8, 8, 8]), letter = WORD * px;
    for (const m of marks) {
      const props = { class: `round${m.cut ? " cut" : ""}${m.name === chosen ? " chosen" : ""}` };
      if (m.outline) drawn(svg, "polygon", { ...props, points: m.outline.map(([x, y]) => `${m.x + x},${-m.y - y}`).join(" ") });
      else drawn(svg, "circle", { ...props, cx: m.x, cy: -m.y, r: m.r });
    }
    const paint = paints([...axes.keys()]), free = room(), said = circles(text);
    for (const [name, a] of axes) {
      free.take(a.x, -a.y, 11 * px, 11 * px);
      if (a.polar) drawn(svg, "line", { x1: a.o.x, y1: -a.o.y, x2: a.x, y2: -a.y, class: `dim ${paint(name)}` });
    }
    const dots = [];
    let k = 0;
    for (const [name, a] of axes) {
      const place = `${written(a.x, u)}, ${written(a.y, u)} ${u}`, movable = k++ > 0;
      const dot = drawn(svg, "circle", { cx: a.x, cy: -a.y, r: 5 * px, class: `${movable ? "axis" : "datum"} ${paint(name)}`, "data-axis": name });
      word(name, `name ${paint(name)}`, [[1, -1], [-1, -1], [1, 1], [-1, 1], [0, -1.5], [0, 1.5], [1.4, 0], [-1.4, 0]].map(([x, y]) => [a.x + x * 11 * px, -a.y + y * 11 * px]));
      if (!movable) continue;
      for (const [p, v] of Object.entries({ tabindex: 0, role: "slider", "aria-label": `centre of axis ${name}`, "aria-valuenow": written(a.x, u), "aria-valuetext": place })) dot.setAttribute(p, v);
      grip(dot, name, u);
      if (name === focused) dot.focus({ preventScroll: true });
      dots.push(dot);
    }
    // Words at their first free place; one that has none anywhere goes to the list at the top, under its letter.
    let unplaced = 0;
    function word(words, kind, places) {
      const p = free.put(places, (words.length * 0.62 + 0.3) * letter, letter * 1.05);
      if (p) drawn(svg, "text", { x: p[0], y: p[1] + letter * 0.36, "font-size": letter, "text-anchor": "middle", "aria-hidden": "true", class: kind }, words);
      return Boolean(p);
    }
    for (const [name, a] of axes) {
      if (!a.polar) continue;
      const own = said.find((c) => c.letters.includes(name)); // one word for all holes of a circle
      if (own && own.letters[0] !== name) continue;
      const words = own ? `${own.letters.length} on Ø${own.on}` : written(a.offset, u);
      const places = (own ? own.letters.map((l) => axes.get(l)) : [a]).flatMap((b) => ALONG.flatMap((t) => [0, 1, -1].map((s) => [b.o.x + (b.x - b.o.x) * t + (s * (b.y - b.o.y) * 11 * px) / (b.offset || 1), -(b.o.y + (b.y - b.o.y) * t) + (s * (b.x - b.o.x) * 11 * px) / (b.offset || 1)])));
      const outer = own ? own.letters.map((l) => axes.get(l)).map((b) => [b.x * 1.02, -b.y - Math.sign(b.y) * 24 * px]) : [];
      if (word(words, `size ${paint(name)}`, [...outer, ...places])) continue;
      const [x, y] = svg.getAttribute("viewBox").split(" ").map(Number);
      drawn(svg, "text", { x: x + 5 * px, y: y + letter * (1.1 + 1.15 * unplaced++), "font-size": letter, "aria-hidden": "true", class: `size ${paint(name)}` }, own ? words : `${name} ${words}`);
    }
    svg.append(...dots); // over every word, so that each can be taken hold of
    if (focused) dots.find((d) => d.dataset.axis === focused)?.focus({ preventScroll: true });
  }
  // An axis moved: the others of its bolt circle go along, so that they stay on one.
  function placed(text, name, offset, angle) {
    const u = units(text), own = circles(text).find((c) => c.letters.includes(name)), a = sketch(text).axes.get(name);
    if (own) return turned(widened(text, own, 2 * offset), own, Number(own.first) + angle - (number(a.t.body, "angle") || 0));
    const next = setKey(text, a.t, "offset", written(offset, u));
    return setKey(next, sketch(next).axes.get(name).t, "angle", String(Number((((angle % 360) + 360) % 360).toFixed(3))));
  }
  // Centres snap to half millimetres or fiftieths of an inch, angles to whole degrees; with shift ten times finer.
  function moved(name, x, y, fine) {
    const text = desk.text(), u = units(text), a = sketch(text).axes.get(name);
    if (!a) return text;
    if (!a.polar) return setKey(text, a.t, "at", `[${written(snapped(x, u, fine), u)}, ${written(snapped(y, u, fine), u)}]`);
    const turn = fine ? 10 : 1, d = snapped(Math.hypot(x - a.o.x, y - a.o.y), u, fine);
    return placed(text, name, d, Math.round((Math.atan2(y - a.o.y, x - a.o.x) * 180 * turn) / Math.PI) / turn);
  }
  function grip(dot, name, u) {
    const end = (f) => () => { busy = false; view.tell(""); f(); };
    dragged(svg, dot, (p, fine) => {
      busy = true;
      const next = moved(name, p.x, -p.y, fine), now = sketch(next).axes.get(name);
      dot.setAttribute("cx", now.x);
      dot.setAttribute("cy", -now.y);
      view.tell(now.polar ? `${name} ${written(now.offset, u)} ${u} ∠ ${number(now.t.body, "angle") || 0}°` : `${name} x ${written(now.x, u)}, y ${written(now.y, u)} ${u}`);
      desk.live(next);
    }, end(() => desk.settle()), end(() => desk.drop()));
    dot.addEventListener("keydown", (ev) => {
      const step = ARROWS[ev.key];
      if (!step) return;
      ev.preventDefault();
      const by = (u === "in" ? 0.02 : 0.5) / (ev.shiftKey ? 10 : 1), text = desk.text(), now = sketch(text).axes.get(name);
      if (!now.polar) return desk.change(moved(name, now.x + step[0] * by, now.y + step[1] * by, true));
      // A centre given by distance and angle: right and left change the distance, up and down the angle.
      const angle = (number(now.t.body, "angle") || 0) + step[1] * (ev.shiftKey ? 0.1 : 1);
      desk.change(placed(text, name, now.offset + step[0] * by, angle));
    });
  }
  return { draw };
}
