// The part file as text: its tables, what stands in them, and small changes that leave the rest, comments too, as it is.
const VALUE = '-?[\\d.]+(?:e[-+]?\\d+)?|"[^"\\n]*"|true|false|\\[[^\\]\\n]*\\]';
const LENGTHS = ["at", "offset", "point", "diameter", "start_diameter", "end_diameter", "bore", "across_flats", "across_corners",
  "start", "end", "length", "stock", "outline", "hull"];

// Every [[axis]] and [[feature]] with where it begins (head), where its keys begin (start) and where it ends.
export function tables(text) {
  const heads = [...text.matchAll(/^[ \t]*\[\[(axis|feature)\]\][^\n]*\n?/gm)];
  return heads.map((m, k) => {
    const start = m.index + m[0].length, end = k + 1 < heads.length ? heads[k + 1].index : text.length;
    return { kind: m[1], head: m.index, start, end, body: text.slice(start, end) };
  });
}
const find = (body, key) => new RegExp(`^([ \\t]*${key}[ \\t]*=[ \\t]*)(${VALUE})`, "m").exec(body);
export function raw(body, key) { const m = find(body, key); return m ? m[2] : null; }
export function number(body, key) { const v = raw(body, key); return v !== null && v !== "" && Number.isFinite(Number(v)) ? Number(v) : null; }
export function word(body, key) { const v = raw(body, key); return v !== null && v[0] === '"' ? v.slice(1, -1) : null; }
export const truth = (body, key) => raw(body, key) === "true";
export const quoted = (words) => `"${words.replace(/[\\"\u0000-\u001f]/g, " ").trim()}"`;

export function top(text) {
  const first = tables(text)[0];
  return text.slice(0, first ? first.head : text.length);
}
export const units = (text) => (word(top(text), "units") === "in" ? "in" : "mm");
// One key of a stretch of the text (null: of the top) set to a value as TOML has it, or taken out with null.
export function setKey(text, t, key, value) {
  const start = t ? t.start : 0, end = t ? t.end : top(text).length, body = text.slice(start, end), m = find(body, key);
  if (m && value === null) {
    const line = body.indexOf("\n", m.index);
    return text.slice(0, start + m.index) + text.slice(line < 0 ? end : start + line + 1);
  }
  if (m) return text.slice(0, start + m.index + m[1].length) + value + text.slice(start + m.index + m[0].length);
  if (value === null) return text;
  const keys = [...body.matchAll(/^[ \t]*\w+[ \t]*=[^\n]*(?:\n|$)/gm)], last = keys[keys.length - 1];
  const at = start + (last ? last.index + last[0].length : 0), line = `${key.padEnd(8)} = ${value}\n`;
  return text.slice(0, at) + (at && text[at - 1] !== "\n" ? "\n" : "") + line + text.slice(at);
}
export const isValue = (typed) => new RegExp(`^(?:${VALUE})$`).test(typed);

// The class of every axis's colour, as on the sheets: A to Z have their own, other names take what is free in their order.
export function paints(names) {
  const own = new Map(), many = 26, at = (n) => (n.length === 1 ? n.charCodeAt(0) - 65 : -1), all = [...new Set(names)].sort();
  for (const n of all) if (at(n) >= 0 && at(n) < many) own.set(n, at(n));
  const taken = [...own.values()], free = [...Array(many).keys()].filter((k) => !taken.includes(k));
  for (const n of all) if (!own.has(n)) own.set(n, free.length ? free.shift() : own.size % many);
  return (name) => (own.has(name) ? `paint${own.get(name)}` : "");
}

// A length as it is written: no more places than the shop reads.
export const written = (v, u) => String(Number(v.toFixed(u === "in" ? 4 : 3)) + 0);
export const snapped = (v, u, fine = false) => {
  const step = (u === "in" ? 0.02 : 0.5) / (fine ? 10 : 1);
  return Number((Math.round(v / step) * step).toFixed(6)) + 0;
};

// A length in the other unit, with as many places more as it takes to come back unchanged: 12.5 mm is 0.49213 in, since
// 0.4921 in would be 12.499 mm.
const PLACES = { in: 4, mm: 3 };
export function turned(v, from, to) {
  const had = Math.max(PLACES[from], (/\.(\d+)$/.exec(v) || ["", ""])[1].length), k = to === "in" ? 1 / 25.4 : 25.4;
  const there = Number(v) * k, same = Number(Number(v).toFixed(had));
  let places = PLACES[to];
  while (places < 9 && Number((Number(there.toFixed(places)) / k).toFixed(had)) !== same) places++;
  return String(Number(there.toFixed(places)) + 0);
}
// The same part in the other unit: every length turned, angles and counts left alone.
export function converted(text, to) {
  const from = units(text);
  if (from === to) return text;
  const keys = new RegExp(`^([ \\t]*(?:${LENGTHS.join("|")})[ \\t]*=[ \\t]*)`, "gm");
  let out = "", last = 0;
  for (const m of text.matchAll(keys)) {
    const at = m.index + m[0].length;
    let end = at, deep = 0;
    for (; end < text.length; end++) {
      const c = text[end];
      if (c === "[") deep++;
      else if (c === "]" && --deep === 0) { end++; break; }
      else if (!deep && (c === "\n" || c === "#")) break;
    }
    out += text.slice(last, at) + text.slice(at, end).replace(/-?\d+(?:\.\d+)?(?:e[-+]?\d+)?/gi, (v) => turned(v, from, to));
    last = end;
  }
  return setKey(out + text.slice(last), null, "units", `"${to}"`);
}

// What plan and side view need: the axes along z with their places, and the round features with their ends.
export function sketch(text) {
  const axes = new Map(), rounds = [];
  for (const t of tables(text)) {
    const b = t.body, name = word(b, "name");
    if (t.kind === "axis") {
      const at = /^\[\s*(-?[\d.]+)\s*,\s*(-?[\d.]+)\s*\]$/.exec(raw(b, "at") || ""), offset = number(b, "offset");
      if (at) axes.set(name, { t, x: Number(at[1]), y: Number(at[2]), polar: false });
      else if (offset !== null) {
        const from = word(b, "from"), o = axes.get(from) || [...axes.values()][0] || { x: 0, y: 0 }, a = ((number(b, "angle") || 0) * Math.PI) / 180;
        axes.set(name, { t, x: o.x + offset * Math.cos(a), y: o.y + offset * Math.sin(a), polar: true, o, offset });
      }
      continue;
    }
    const size = ["diameter", "start_diameter", "end_diameter", "across_flats", "across_corners"].map((k) => number(b, k)).filter((v) => v > 0);
    const start = number(b, "start"), long = number(b, "length"), end = number(b, "end") ?? (start !== null && long !== null ? start + long : null);
    const shape = outline(b);
    if (shape) {
      const xs = shape.map((q) => q[0]), mid = (Math.max(...xs) + Math.min(...xs)) / 2, r = (Math.max(...xs) - Math.min(...xs)) / 2;
      rounds.push({ t, name, axis: word(b, "axis"), outline: shape, mid, r, r0: r, r1: r, start, end, cut: truth(b, "cut") });
    }
    if (!size.length) continue;
    const d0 = number(b, "start_diameter") ?? Math.max(...size), d1 = number(b, "end_diameter") ?? Math.max(...size);
    rounds.push({ t, name, axis: word(b, "axis"), mid: 0, r: Math.max(...size) / 2, r0: d0 / 2, r1: d1 / 2, start, end, cut: truth(b, "cut") });
  }
  return { axes, rounds };
}
// The outline of a plate about its own axis: as given, or the hull of its circles; null for anything else.
function outline(body) {
  const m = /^[ \t]*(outline|hull)[ \t]*=[ \t]*/m.exec(body);
  if (!m) return null;
  const from = m.index + m[0].length;
  let deep = 0, end = from;
  for (; end < body.length; end++) if (body[end] === "[") deep++; else if (body[end] === "]" && --deep === 0) break;
  let found;
  try { found = JSON.parse(body.slice(from, end + 1).replace(/#[^\n]*/g, "").replace(/,\s*\]/g, "]")); } catch { return null; }
  if (!Array.isArray(found) || found.length < 2 || !found.every((p) => Array.isArray(p) && p.every(Number.isFinite))) return null;
  if (m[1] === "outline") return found.length > 2 ? found : null;
  const points = found.flatMap(([x, y, r]) => Array.from({ length: 48 }, (_, k) => [x + (r || 0) * Math.cos((k * Math.PI) / 24), y + (r || 0) * Math.sin((k * Math.PI) / 24)]));
  points.sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const half = (list) => list.reduce((hull, p) => {
    const left = (a, b) => (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0;
    while (hull.length > 1 && !left(hull[hull.length - 2], hull[hull.length - 1])) hull.pop();
    hull.push(p);
    return hull;
  }, []);
  return [...half(points).slice(0, -1), ...half([...points].reverse()).slice(0, -1)];
}
// The ends at one level moved to another; cuts that ran a little past it go along, so that a through hole stays one.
export function movedLevel(text, from, to) {
  const u = units(text), past = u === "in" ? 0.08 : 2, same = (a, b) => Math.abs(a - b) < 1e-6;
  for (const [k] of tables(text).entries()) {
    const t = () => tables(text)[k];
    const r = sketch(text).rounds.find((v) => v.t.head === t().head) || plate(t());
    if (!r || r.start === null || r.end === null) continue;
    const beyond = r.cut && r.end > from && r.end - from <= past, before = r.cut && r.start < from && from - r.start <= past;
    let { start, end } = r;
    if (same(r.end, from)) end = to; else if (beyond) end = r.end + to - from;
    if (same(r.start, from)) start = to; else if (before) start = r.start + to - from;
    if (start === r.start && end === r.end) continue;
    if (start !== r.start) text = setKey(text, t(), "start", written(start, u));
    if (raw(t().body, "end") !== null) { if (end !== r.end) text = setKey(text, t(), "end", written(end, u)); }
    else text = setKey(text, t(), "length", written(end - start, u));
  }
  return text;
}
// The ends of a table that has no diameter.
function plate(t) {
  if (t.kind !== "feature") return null;
  const start = number(t.body, "start"), long = number(t.body, "length");
  return { start, end: number(t.body, "end") ?? (start !== null && long !== null ? start + long : null), cut: truth(t.body, "cut") };
}
// The k-th table's end typed anew (as end or length): what stood on it goes along whole, and what stands on that.
// Cuts that ran a little past a moved end still do. Gives the text and the names of what moved.
export function raised(text, k, key, value) {
  const u = units(text), past = u === "in" ? 0.08 : 2;
  const all = tables(text).map((t, i) => ({ i, name: word(t.body, "name"), ...(sketch(text).rounds.find((r) => r.t.head === t.head) || plate(t) || {}) }));
  const own = all[k], end = key === "end" ? Number(value) : own.start + Number(value), by = end - own.end;
  let next = setKey(text, tables(text)[k], key, value);
  if (own.cut || !Number.isFinite(by) || !by) return { text: next, along: [] };
  const levels = [own.end], along = [];
  for (const level of levels) {
    for (const f of all) {
      if (f.i === k || along.includes(f) || !Number.isFinite(f.start) || !Number.isFinite(f.end)) continue;
      if (Math.abs(f.start - level) > 1e-6) continue;
      along.push(f);
      if (!f.cut) levels.push(f.end);
    }
  }
  for (const f of all) {
    if (f.i === k || !Number.isFinite(f.start) || !Number.isFinite(f.end)) continue;
    const whole = along.includes(f), t = () => tables(next)[f.i];
    if (whole) next = setKey(next, t(), "start", written(f.start + by, u));
    else if (!(f.cut && levels.some((z) => f.end > z && f.end - z <= past))) continue;
    if (raw(t().body, "end") !== null) next = setKey(next, t(), "end", written(f.end + by, u));
    else if (!whole) next = setKey(next, t(), "length", written(f.end + by - f.start, u));
  }
  return { text: next, along: along.map((f) => f.name) };
}

export function newPart(u) {
  const v = (mm) => written(u === "in" ? mm / 25 : mm, u);
  return `name     = "New part"
units    = "${u}"
material = "steel"

[[axis]]
name = "A"
at   = [0, 0]

[[axis]]
name   = "B"
offset = ${v(15)}
angle  = 0

[[feature]]
name     = "flange"
axis     = "A"
shape    = "cylinder"
diameter = ${v(75)}
start    = 0
end      = ${v(12.5)}

[[feature]]
name     = "spigot"
axis     = "B"
shape    = "cylinder"
diameter = ${v(30)}
start    = ${v(12.5)}
end      = ${v(40)}
`;
}
