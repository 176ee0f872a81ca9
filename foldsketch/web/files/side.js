"use strict";
// The side view beside the plan, seen along +y: x to the right, z up, every round feature as a rectangle about its centre.
window.foldsketchSide = (svg, rounds) => {
  const NS = "http://www.w3.org/2000/svg";
  function put(tag, props, words) {
    const e = document.createElementNS(NS, tag);
    for (const [k, v] of Object.entries(props)) e.setAttribute(k, v);
    if (words) e.textContent = words;
    svg.append(e);
  }
  svg.replaceChildren();
  const shown = rounds.filter((r) => Number.isFinite(r.start) && Number.isFinite(r.end) && r.end > r.start);
  if (!shown.length) return;
  const solid = shown.some((r) => !r.cut) ? shown.filter((r) => !r.cut) : shown;
  const left = Math.min(...solid.map((r) => r.x - r.r)), right = Math.max(...solid.map((r) => r.x + r.r));
  const low = Math.min(...solid.map((r) => r.start)), high = Math.max(...solid.map((r) => r.end));
  const size = Math.max(right - left, high - low), air = size * 0.1, letter = size * 0.075;
  svg.setAttribute("viewBox", `${left - air} ${-high - air} ${right - left + 3.4 * air} ${high - low + 2 * air}`);
  for (const r of shown) {
    put("rect", { x: r.x - r.r, y: -r.end, width: 2 * r.r, height: r.end - r.start, class: r.cut ? "round cut" : "round" });
  }
  for (const x of new Set(solid.map((r) => r.x))) put("line", { x1: x, x2: x, y1: -high - air * 0.7, y2: -low + air * 0.7, class: "middle" });
  // The ends of the material, each told once, at the right.
  let last = -Infinity;
  for (const z of [...new Set(solid.flatMap((r) => [r.start, r.end]))].sort((a, b) => a - b)) {
    put("line", { x1: right, x2: right + air * 0.9, y1: -z, y2: -z, class: "dim" });
    // Ends that lie close keep their words apart.
    last = Math.max(z, last + letter);
    put("text", { x: right + air, y: -last + letter * 0.35, "font-size": letter }, String(Number(z.toFixed(2))));
  }
};
