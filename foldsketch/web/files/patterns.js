// Features that repeat: holes on one circle, which the table and the plan take as one, and mirrored copies.
import { number, quoted, raw, setKey, tables, word, written, units } from "./partfile.js";

const EVEN_DEGREES = 0.02; // holes of one circle may be off their even places by as much
const around = (degrees) => String(Number((((degrees % 360) + 360) % 360).toFixed(3)));
const name = (t) => word(t.body, "name") || "";
const without = (body) => body.replace(/^[ \t]*(name|axis)[ \t]*=[^\n]*\n?/gm, "").replace(/\s+/g, " ").trim();

// The circles of a part: equal features "bolt hole 1", "bolt hole 2" …, each alone on an axis, the axes at one distance
// from one centre and evenly turned. axes, features: places in the list of tables; on: diameter of the circle.
export function circles(text) {
  const all = tables(text), found = new Map(), used = all.map((t) => word(t.body, t.kind === "axis" ? "from" : "axis"));
  all.forEach((t, k) => {
    const stem = t.kind === "feature" && /^(.+) \d+$/.exec(name(t)), letter = word(t.body, "axis"), a = all.findIndex((v) => v.kind === "axis" && name(v) === letter);
    if (!stem || a < 0 || used.filter((v) => v === letter).length > 1) return;
    const offset = number(all[a].body, "offset"), angle = number(all[a].body, "angle");
    if (!(offset > 0) || angle === null) return;
    const key = JSON.stringify([stem[1], without(t.body), offset, word(all[a].body, "from")]);
    found.set(key, [...(found.get(key) || []), { k, a, angle, offset, stem: stem[1] }]);
  });
  const even = (list) => list.every((m, n) => { const off = (m.angle - list[0].angle - (360 * n) / list.length) % 360; return Math.min(Math.abs(off), Math.abs(off + 360), Math.abs(off - 360)) < EVEN_DEGREES; });
  return [...found.values()].filter((list) => list.length > 1 && even(list)).map((list) => ({
    stem: list[0].stem, features: list.map((m) => m.k), axes: list.map((m) => m.a), letters: list.map((m) => name(all[m.a])),
    on: written(2 * list[0].offset, units(text)), first: around(list[0].angle),
  }));
}
// One key of every hole, or of every axis, of a circle.
export const setAll = (text, places, key, value) => places.reduce((now, k) => setKey(now, tables(now)[k], key, value), text);
export const turned = (text, c, first) => c.axes.reduce((now, k, n) => setKey(now, tables(now)[k], "angle", around(Number(first) + (360 * n) / c.axes.length)), text);
export const widened = (text, c, on) => setAll(text, c.axes, "offset", written(Number(on) / 2, units(text)));
export const renamed = (text, c, stem) => c.features.reduce((now, k, n) => setKey(now, tables(now)[k], "name", quoted(`${stem} ${n + 1}`)), text);
export function taken(text, places) {
  const all = tables(text);
  return [...places].sort((p, q) => q - p).reduce((now, k) => now.slice(0, all[k].head) + now.slice(all[k].end), text);
}
function freeLetters(text, many) {
  const had = tables(text).filter((t) => t.kind === "axis").map(name), letters = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"];
  for (let n = 1; letters.length < had.length + many + 26; n++) letters.push(`H${n}`);
  return letters.filter((c) => !had.includes(c)).slice(0, many);
}
// A copy of the k-th table behind it, with other values under some keys.
function copied(text, k, values) {
  const t = tables(text)[k], twin = text.slice(t.head, t.end).trimEnd();
  const next = `${text.slice(0, t.end).trimEnd()}\n\n${twin}\n\n${text.slice(t.end)}`.trimEnd() + "\n";
  return Object.entries(values).reduce((now, [key, v]) => setKey(now, tables(now)[k + 1], key, v), next);
}
// The same circle with another number of holes, evenly turned from the first.
export function recounted(text, c, many) {
  const all = tables(text), own = [name(all[c.features[0]]), c.letters[0]];
  let now = taken(text, [...c.features.slice(1), ...c.axes.slice(1)]);
  const kept = c.letters.slice(1, many), letters = [...kept, ...freeLetters(`${now}\n${kept.map((l) => `[[axis]]\nname = "${l}"\n`).join("")}`, many - 1 - kept.length)];
  const place = (kind, called) => tables(now).findIndex((t) => t.kind === kind && name(t) === called);
  for (const letter of [...letters].reverse()) now = copied(now, place("axis", own[1]), { name: quoted(letter) });
  for (const [n, letter] of [...letters.entries()].reverse()) now = copied(now, place("feature", own[0]), { name: quoted(`${c.stem} ${n + 2}`), axis: quoted(letter) });
  const made = { axes: [own[1], ...letters].map((l) => place("axis", l)) };
  return turned(now, made, c.first);
}
// A copy of the k-th table on the other side of its centre: way "x" left to right, "y" top to bottom. Gives the text, or
// null for what lies on the mirror line or has an outline of its own.
export function mirrored(text, k, way, called) {
  const all = tables(text), t = all[k], a = all.findIndex((v) => v.kind === "axis" && name(v) === word(t.body, "axis"));
  if (a < 0 || /^[ \t]*(outline|hull)[ \t]*=/m.test(t.body)) return null;
  const flip = (degrees) => around(way === "x" ? 180 - degrees : -degrees), axis = all[a], values = {};
  if (raw(axis.body, "offset") !== null) values.angle = flip(number(axis.body, "angle") || 0);
  else {
    const at = /^\[\s*(-?[\d.]+)\s*,\s*(-?[\d.]+)\s*\]$/.exec(raw(axis.body, "at") || ""), own = a && at && [Number(at[1]), Number(at[2])];
    if (!own) return null;
    values.at = `[${way === "x" ? -own[0] : own[0]}, ${way === "x" ? own[1] : -own[1]}]`;
  }
  if (Object.entries(values).every(([key, v]) => (key === "angle" ? around(number(axis.body, key) || 0) : raw(axis.body, key)) === v)) return null;
  const same = all.find((v) => v.kind === "axis" && ["offset", "from"].every((key) => raw(v.body, key) === raw(axis.body, key)) && Object.entries(values).every(([key, v2]) => raw(v.body, key) === v2));
  const letter = same ? name(same) : freeLetters(text, 1)[0], turn = number(t.body, "turn");
  const next = copied(text, k, { name: quoted(called), axis: quoted(letter), ...(turn === null ? {} : { turn: flip(turn) }) });
  return same ? next : copied(next, a, { name: quoted(letter), ...values });
}
