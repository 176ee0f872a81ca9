// The side view beside the plan, seen along +y: x to the right, z up; the ends of the material are dragged or moved by keys.
import { movedLevel, paints, sketch, snapped, units, written } from "./partfile.js";
import { dragged, drawn, sight, WORD } from "./sight.js";

export function side(svg, desk) {
  let busy = false, had = null;
  const view = sight(svg, () => draw(had));
  function draw(chosen) {
    had = chosen;
    if (busy) return;
    const text = desk.text(), u = units(text), { axes, rounds } = sketch(text);
    const focused = svg.contains(document.activeElement) ? document.activeElement.dataset.level : null;
    svg.replaceChildren();
    const shown = rounds.filter((r) => axes.has(r.axis) && r.start !== null && r.end > r.start).map((r) => ({ ...r, x: axes.get(r.axis).x + r.mid, centre: axes.get(r.axis).x }));
    if (!shown.length) return;
    const solid = shown.some((r) => !r.cut) ? shown.filter((r) => !r.cut) : shown;
    const left = Math.min(...solid.map((r) => r.x - r.r)), right = Math.max(...solid.map((r) => r.x + r.r));
    const low = Math.min(...solid.map((r) => r.start)), high = Math.max(...solid.map((r) => r.end));
    const levels = [...new Set(solid.flatMap((r) => [r.start, r.end]))].sort((a, b) => a - b);
    const words = WORD * 0.64 * Math.max(...levels.map((z) => written(z, u).length)); // the widest of the numbers beside it
    const px = view.frame(left, -high, right - left, high - low, [12, 34, 40 + words, 24]), air = 16 * px, letter = WORD * px;
    for (const r of shown) {
      const points = [[r.x - r.r0, r.start], [r.x + r.r0, r.start], [r.x + r.r1, r.end], [r.x - r.r1, r.end]];
      drawn(svg, "polygon", { points: points.map(([x, z]) => `${x},${-z}`).join(" "), class: `round${r.cut ? " cut" : ""}${r.name === chosen ? " chosen" : ""}` });
    }
    // Axes one behind the other share a line, each with its letter above it; a letter that has no room goes up by a step.
    const paint = paints([...axes.keys()]), places = new Map();
    for (const r of solid) places.set(r.centre, [...new Set([...(places.get(r.centre) || []), r.axis])].sort());
    let beside = -Infinity, raise = 0;
    for (const [x, names] of [...places].sort((a, b) => a[0] - b[0])) {
      drawn(svg, "line", { x1: x, x2: x, y1: -high - air * 0.7, y2: -low + air * 0.7, class: `middle ${paint(names[0])}` });
      const long = names.join(" ").length * letter * 0.7;
      raise = x - long / 2 < beside ? (raise ? 0 : letter) : 0;
      beside = x + long / 2;
      const over = drawn(svg, "text", { x, y: -high - air * 0.85 - raise * 0.9, "font-size": letter, "text-anchor": "middle", "aria-hidden": "true" }, "");
      names.forEach((n, k) => { if (k) over.append(" "); drawn(over, "tspan", { class: `name ${paint(n)}` }, n); });
    }
    // The ends of the material, each told once, at the right; the highest word stays inside.
    let last = -Infinity;
    for (const z of levels) {
      last = Math.max(z, last + letter * 1.1);
      const line = drawn(svg, "line", { x1: left, x2: right + air * 0.7, y1: -z, y2: -z, class: "dim" });
      const lead = drawn(svg, "line", { x1: right + air * 0.7, x2: right + air * 1.3, y1: -z, y2: -last, class: "dim" });
      const grip = drawn(svg, "circle", { cx: right + air * 0.7, cy: -z, r: 5 * px, class: "axis end", tabindex: 0, role: "slider", "data-level": written(z, u),
        "aria-label": `end at ${written(z, u)} ${u}`, "aria-valuenow": written(z, u), "aria-valuetext": `${written(z, u)} ${u}` });
      const told = drawn(svg, "text", { x: right + air * 1.5, y: -last + letter * 0.35, "font-size": letter, class: "level", "aria-hidden": "true" }, written(z, u));
      hold(grip, z, u, (to) => {
        line.setAttribute("y1", -to);
        line.setAttribute("y2", -to);
        lead.setAttribute("y1", -to);
        grip.setAttribute("cy", -to);
        told.textContent = written(to, u);
      });
      if (grip.dataset.level === focused) grip.focus({ preventScroll: true });
    }
  }
  function hold(grip, z, u, show) {
    let at = z;
    const end = (f) => () => { busy = false; view.tell(""); f(); };
    dragged(svg, grip, (p, fine) => {
      busy = true;
      const to = snapped(-p.y, u, fine);
      if (to === at) return;
      desk.live(movedLevel(desk.before(), z, to));
      at = to;
      show(to);
      view.tell(`${written(to, u)} ${u}, ${to < z ? "−" : "+"}${written(Math.abs(to - z), u)}`);
    }, end(() => desk.settle()), end(() => desk.drop()));
    grip.addEventListener("keydown", (ev) => {
      const step = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 }[ev.key];
      if (!step) return;
      ev.preventDefault();
      const by = (u === "in" ? 0.02 : 0.5) / (ev.shiftKey ? 10 : 1), to = Number((z + step * by).toFixed(6));
      grip.dataset.level = written(to, u); // so that the redrawn mark takes the focus over
      desk.change(movedLevel(desk.text(), z, to));
    });
  }
  return { draw };
}
