"use strict";
// Turns and shifts of paper in space. A motion is twelve numbers: the rows of its turn, each with its shift.
window.foldsketchMotion = (() => {
  // Turns of pieces go by quaternions (w, x, y, z), so that a piece turns evenly from the table to its place.
  function quaternion(m) {
    const t = m[0][0] + m[1][1] + m[2][2];
    if (t > 0) {
      const s = 2 * Math.sqrt(t + 1);
      return [s / 4, (m[2][1] - m[1][2]) / s, (m[0][2] - m[2][0]) / s, (m[1][0] - m[0][1]) / s];
    }
    const i = m[0][0] > m[1][1] && m[0][0] > m[2][2] ? 0 : m[1][1] > m[2][2] ? 1 : 2;
    const j = (i + 1) % 3, k = (i + 2) % 3;
    const s = 2 * Math.sqrt(1 + m[i][i] - m[j][j] - m[k][k]);
    const q = [(m[k][j] - m[j][k]) / s, 0, 0, 0];
    q[1 + i] = s / 4; q[1 + j] = (m[j][i] + m[i][j]) / s; q[1 + k] = (m[k][i] + m[i][k]) / s;
    return q;
  }
  function between(a, b, t) {
    let dot = a.reduce((s, v, i) => s + v * b[i], 0);
    const sign = dot < 0 ? -1 : 1;
    dot *= sign;
    let p = 1 - t, r = t;
    if (dot < 0.9999) {
      const angle = Math.acos(dot), s = Math.sin(angle);
      p = Math.sin((1 - t) * angle) / s; r = Math.sin(t * angle) / s;
    }
    const q = a.map((v, i) => v * p + b[i] * r * sign);
    const n = Math.hypot(...q);
    return q.map((v) => v / n);
  }
  function motion([w, x, y, z], o) {
    return [
      1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w), o[0],
      2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w), o[1],
      2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y), o[2],
    ];
  }
  // The motion m after a turn by an angle about the line through a along d, which lies in the paper.
  function hinged(m, [ax, ay], [x, y], angle) {
    const c = Math.cos(angle), s = Math.sin(angle), v = 1 - c;
    const xx = x * x * v + c, xy = x * y * v, yy = y * y * v + c, xz = y * s, yz = -x * s;
    const sx = ax - xx * ax - xy * ay, sy = ay - xy * ax - yy * ay, sz = xz * ax + yz * ay;
    const n = new Array(12);
    for (let r = 0; r < 12; r += 4) {
      const p = m[r], q = m[r + 1], u = m[r + 2];
      n[r] = p * xx + q * xy - u * xz;
      n[r + 1] = p * xy + q * yy - u * yz;
      n[r + 2] = p * xz + q * yz + u * c;
      n[r + 3] = p * sx + q * sy + u * sz + m[r + 3];
    }
    return n;
  }
  function inSpace(loop, m) {
    const out = new Float32Array((loop.length / 2) * 3);
    for (let i = 0, j = 0; i < loop.length; i += 2) {
      const x = loop[i], y = loop[i + 1];
      for (let r = 0; r < 12; r += 4) out[j++] = m[r] * x + m[r + 1] * y + m[r + 3];
    }
    return out;
  }
  const short = (v) => Math.round(v * 1e6) / 1e6;
  // The same motion seen with y down, k pixels to the mm: signs of everything that mixes y with x or z change.
  function css(m, k) {
    return `matrix3d(${short(m[0])},${short(-m[4])},${short(m[8])},0,${short(-m[1])},${short(m[5])},${short(-m[9])},0,` +
      `${short(m[2])},${short(-m[6])},${short(m[10])},0,${short(m[3] * k)},${short(-m[7] * k)},${short(m[11] * k)},1)`;
  }
  return { quaternion, between, motion, hinged, inSpace, css };
})();
