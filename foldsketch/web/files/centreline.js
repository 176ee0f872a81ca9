"use strict";
// The centreline of a set-up, which stands still while the model turns; the circles that it sweeps, and the chuck's face.
window.foldsketchCentreline = (facts, stage, state, { world, model, magnified, shifted, FAR }) => {
  const { K, draw, group, board } = window.foldsketchPaper;
  const overlay = group(), inside = group();
  world.append(overlay);
  model.append(inside);
  const letter = document.createElement("p");
  letter.className = "letter axis-letter";
  letter.hidden = true;
  let top = 0, low = 0, named = null, own = "";
  // The same lines for the plain picture: in space, standing still or moving with the part.
  let standingLines = [], movedLines = [];

  function standing(z, length) {
    const line = () => {
      const svg = board([-0.6, -length, 0.6, length]);
      svg.append(draw("path", { class: "under", d: `M0 ${length}L0 ${-length}` }), draw("path", { class: "centreline", d: `M0 ${length}L0 ${-length}` }));
      return svg;
    };
    const one = line(), two = line();
    one.style.transform = `translateZ(${z * K}px) rotateX(-90deg)`;
    two.style.transform = `translateZ(${z * K}px) rotateZ(90deg) rotateX(-90deg)`;
    return [one, two];
  }
  function ring(r, z, kind = "ring") {
    const svg = board([-r, -r, r, r], 0.6);
    svg.append(draw("circle", { class: kind, cx: 0, cy: 0, r }));
    svg.style.transform = `translateZ(${z * K}px)`;
    return svg;
  }
  // The letter of the axis on the centreline stands beyond its end as it is seen, on whichever side that is.
  function place() {
    const shown = state.fold > 0.98;
    // While the part is handed over, it is another axis that is on the line.
    const axis = state.axis || own;
    if (axis !== named) {
      const paint = (facts.paints || {})[axis];
      named = letter.textContent = axis;
      letter.className = `letter axis-letter${paint === undefined ? "" : ` paint${paint}`}`;
      for (const e of overlay.querySelectorAll(".panel:has(.centreline)")) e.setAttribute("class", `panel${paint === undefined ? "" : ` paint${paint}`}`);
    }
    for (const e of overlay.querySelectorAll(".swept")) e.style.display = state.handing ? "none" : "";
    for (const e of [overlay, inside]) e.style.display = shown ? "" : "none";
    letter.hidden = !(top > low) || !shown;
    if (letter.hidden) return;
    const rad = Math.PI / 180, k = magnified(), tilt = state.tilt * rad, lie = state.lie * 90 * rad;
    const worked = (Math.cos(tilt) < 0 ? low : top) - state.mid;
    const seen = FAR / (FAR - worked * Math.cos(tilt) * k), up = worked * Math.sin(tilt) * k * seen; // what is nearer is larger
    const x = Math.sin(lie) * up, y = -Math.cos(lie) * up;
    letter.style.transform = `translate(${stage.clientWidth / 2 + x}px, ${stage.clientHeight / 2 + y}px) translate(${50 * Math.sign(Math.round(x)) - 50}%, ${state.lie ? -50 : -100}%)`;
  }
  // before: where the centreline was in the part at the set-up before, drawn on the part with an arrow to where it is now.
  function show(s, before) {
    overlay.replaceChildren();
    inside.replaceChildren();
    standingLines = [];
    movedLines = [];
    top = low = 0;
    place();
    if (!s) return;
    const [from, to] = s.sight, middle = (from + to) / 2, long = (to - from) / 2, paint = (facts.paints || {})[s.axis];
    const beyond = long + Math.max(10, long * 0.25), lines = standing(middle, beyond);
    overlay.append(...lines);
    top = middle + beyond;
    low = middle - beyond;
    named = null;
    own = s.axis;
    const end = Math.max(...s.rings.filter((w) => w[1] >= s.high - 0.01).map((w) => w[3]), 0);
    const around = (r, z) => {
      const swept = ring(r, z);
      swept.classList.add("swept");
      overlay.append(swept);
      standingLines.push(Array.from({ length: 73 }, (_, i) => [r * Math.cos((i * Math.PI) / 36), r * Math.sin((i * Math.PI) / 36), z]).flat());
    };
    standingLines.push(Object.assign([0, 0, middle - beyond, 0, 0, middle + beyond], { paint }));
    around(s.swing, s.low);
    if (end) around(end, s.high);
    // What is held before it is turned to size, as the blank still is.
    for (const [x, y, z, r] of s.holding.blank) {
      const svg = ring(r, z, "blank");
      svg.style.transform = `translate3d(${x * K}px, ${-y * K}px, ${z * K}px)`;
      inside.append(svg);
      movedLines.push(Array.from({ length: 73 }, (_, i) => [x + r * Math.cos((i * Math.PI) / 36), y + r * Math.sin((i * Math.PI) / 36), z]).flat());
    }
    if (!before || Math.hypot(before[0] - s.at[0], before[1] - s.at[1]) < 0.01) return;
    const [x, y] = before, [u, v] = s.at, far = Math.hypot(u - x, v - y), head = Math.min(3, far / 3);
    const cos = (u - x) / far, sin = (v - y) / far;
    const tip = (side) => `M${u} ${-v}L${u - head * (cos - side * sin * 0.4)} ${-(v - head * (sin + side * cos * 0.4))}`;
    const svg = board([x, y, u, v], 2);
    svg.append(draw("path", { class: "shift", d: `M${x} ${-y}L${u} ${-v}${tip(1)}${tip(-1)}` }));
    const z = s.high + Math.max(12, long * 0.6) * 0.35;
    svg.style.transform = `translateZ(${z * K}px)`;
    movedLines.push([x, y, z, u, v, z]);
    inside.append(svg);
  }
  // What stands still is told in the frame of what moves.
  function lines(colour) {
    const warm = colour("--swept"), c = Math.cos((state.spin * Math.PI) / 180), s = Math.sin((state.spin * Math.PI) / 180), [x, y, up] = shifted();
    const made = (state.fold > 0.98 ? standingLines : []).map((l) => ({
      colour: l.paint === undefined ? warm : colour(`--axis${l.paint}`), dash: true, loop: l.flatMap((v, i) => (i % 3 ? [] : [c * v + s * l[i + 1] + x, c * l[i + 1] - s * v + y, l[i + 2] - up])),
    }));
    return [...made, ...movedLines.map((loop) => ({ colour: warm, loop }))];
  }
  return { letter, place, show, lines };
};
