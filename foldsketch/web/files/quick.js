"use strict";
// Draws the moving model plainly where a browser cannot move the printed panels fast enough: coloured faces and lines
// on a canvas, each point against the depth already there. It needs no graphics card.
window.foldsketchQuick = (canvas) => {
  const MOST = 700000; // points of the picture; a larger stage is drawn coarser
  const AWAY = 1800; // pixels from the eye to the stage, as the stage's perspective
  const pen = canvas.getContext("2d");
  let wide = 0, tall = 0, grain = 1, picture = null, points = null, near = null;

  function size(w, h) {
    const g = Math.min(1, Math.sqrt(MOST / (w * h || 1)));
    if (picture && wide === Math.max(1, Math.round(w * g)) && tall === Math.max(1, Math.round(h * g))) return;
    grain = g;
    wide = canvas.width = Math.max(1, Math.round(w * g));
    tall = canvas.height = Math.max(1, Math.round(h * g));
    picture = pen.createImageData(wide, tall);
    points = new Uint32Array(picture.data.buffer);
    near = new Float32Array(wide * tall); // one over the distance from the eye: it is even along a flat face
  }
  // A colour as the picture's bytes hold it, whatever way round the machine counts them; dark: share of shadow in it.
  function bytes(colour, dark = 0) {
    const [r, g, b] = colour.match(/[0-9a-f]{2}/gi).map((v) => parseInt(v, 16) * (1 - dark));
    return new Uint32Array(new Uint8ClampedArray([r, g, b, 255]).buffer)[0];
  }
  // Points of a loop on the picture: x, y and one over the distance, three numbers each.
  function seen(loop, view) {
    const n = loop.length / 3, out = new Float32Array(loop.length), far = AWAY * grain;
    for (let i = 0; i < n; i++) {
      const x = loop[3 * i], y = loop[3 * i + 1], z = loop[3 * i + 2];
      const px = view[0] * x + view[1] * y + view[2] * z + view[3], py = view[4] * x + view[5] * y + view[6] * z + view[7];
      const s = 1 / Math.max(1, far - (view[8] * x + view[9] * y + view[10] * z + view[11]));
      out[3 * i] = wide / 2 + px * far * s;
      out[3 * i + 1] = tall / 2 + py * far * s;
      out[3 * i + 2] = s;
    }
    return out;
  }
  // Along a flat face one over the distance is a x + b y + c, found where the loop bends most.
  function slope(p) {
    let best = 0, found = null;
    const n = p.length / 3;
    for (let i = 1; i + 1 < n; i++) {
      const ux = p[3 * i] - p[0], uy = p[3 * i + 1] - p[1], vx = p[3 * i + 3] - p[0], vy = p[3 * i + 4] - p[1];
      const cross = ux * vy - uy * vx;
      if (Math.abs(cross) > Math.abs(best)) { best = cross; found = [ux, uy, p[3 * i + 2] - p[2], vx, vy, p[3 * i + 5] - p[2]]; }
    }
    if (!found || Math.abs(best) < 0.5) return null; // seen from the edge
    const [ux, uy, us, vx, vy, vs] = found, a = (us * vy - vs * uy) / best, b = (vs * ux - us * vx) / best;
    return [a, b, p[2] - a * p[0] - b * p[1]];
  }
  function face(loops, colour) {
    const flat = slope(loops[0]);
    if (!flat) return;
    const [a, b, c] = flat;
    let top = Infinity, low = -Infinity;
    for (let i = 1; i < loops[0].length; i += 3) { top = Math.min(top, loops[0][i]); low = Math.max(low, loops[0][i]); }
    const cuts = [];
    for (let y = Math.max(0, Math.ceil(top - 0.5)); y < Math.min(tall, low - 0.5); y++) {
      const at = y + 0.5;
      cuts.length = 0;
      for (const p of loops) {
        for (let i = 0, j = p.length - 3; i < p.length; j = i, i += 3) {
          if (p[i + 1] <= at === p[j + 1] <= at) continue;
          cuts.push(p[i] + ((at - p[i + 1]) / (p[j + 1] - p[i + 1])) * (p[j] - p[i]));
        }
      }
      if (cuts.length > 2) cuts.sort((u, v) => u - v);
      else if (cuts[0] > cuts[1]) cuts.reverse();
      for (let k = 0; k + 1 < cuts.length; k += 2) {
        const from = Math.max(0, Math.ceil(cuts[k] - 0.5)), to = Math.min(wide, Math.ceil(cuts[k + 1] - 0.5));
        let s = a * (from + 0.5) + b * at + c;
        for (let i = y * wide + from, end = y * wide + to; i < end; i++, s += a) {
          if (s > near[i]) { near[i] = s; points[i] = colour; }
        }
      }
    }
  }
  // A line; before: how much nearer than it is it may count, so that the edges of a face lie on it.
  function line(p, i, j, colour, before, dash) {
    const dx = p[j] - p[i], dy = p[j + 1] - p[i + 1], n = Math.ceil(Math.max(Math.abs(dx), Math.abs(dy)));
    if (!(n < 20000)) return;
    for (let k = 0; k <= n; k++) {
      if (dash && (k & 15) > 10) continue;
      const t = n ? k / n : 0, x = (p[i] + dx * t) | 0, y = (p[i + 1] + dy * t) | 0;
      if (x < 0 || y < 0 || x >= wide || y >= tall) continue;
      const s = (p[i + 2] + (p[j + 2] - p[i + 2]) * t) * before, at = y * wide + x;
      if (s >= near[at]) points[at] = colour;
    }
  }
  // faces: { loops (corners in space, flat triples), colour, bare (no edges) }; lines: { loop, colour }; view: the rows of the motion to
  // the stage in pixels, x right, y down, z to the eye.
  function frame(faces, lines, edge, view) {
    const scaled = view.map((v) => v * grain);
    points.fill(0);
    near.fill(0);
    const drawn = faces.map((f) => ({ ...f, loops: f.loops.map((l) => seen(l, scaled)) }));
    for (const f of drawn) face(f.loops, f.colour);
    for (const f of drawn) {
      if (f.bare) continue;
      for (const p of f.loops) for (let i = 0, j = p.length - 3; i < p.length; j = i, i += 3) line(p, j, i, edge, 1.0015, false);
    }
    for (const l of lines) {
      const p = seen(l.loop, scaled);
      for (let i = 3; i < p.length; i += 3) { line(p, i - 3, i, l.colour, 1, l.dash); }
    }
    pen.putImageData(picture, 0, 0);
  }
  return { size, bytes, frame };
};
