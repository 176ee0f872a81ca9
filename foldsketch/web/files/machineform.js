// A form for a machine file's main keys. Every field writes back into the file's text; the rest of it, comments too, stays.
import { element, worked } from "./cells.js";
import { quoted, raw, setKey, word } from "./partfile.js";

const TOP = { name: "name", swing: "largest Ø that may turn", cross_travel: "sub-spindle off centre, up to", grade: "balance grade G" };
const SPINDLE = { smallest: "chuck holds Ø, from", largest: "chuck holds Ø, to", grip: "shortest grip", depth: "room behind the grip", jaw_width: "jaw width", jaw_height: "jaw height",
  speed: "speed limit, r/min", grip_force: "grip force, N", rotating_mass: "spindle and chuck, kg" };
const HOLDING = { packed_three_jaw: "three-jaw, packed", four_jaw: "four-jaw", bored_jaws: "bored jaws", offset_fixture: "fixture", between_centres: "between centres", face_plate: "face plate",
  driven: "milled, driven tool", interpolated: "turned by X and Y" };
const TOOL = { room: "room beside a tool", overhang: "longest stick-out", driven_diameter: "driven tool, shank Ø", drill: "drilled up to Ø" };
const NEEDED = ["swing", ...Object.keys(SPINDLE).slice(0, 7), ...Object.keys(TOOL)];

// The stretches of the text: what stands before the first table, then every table.
export function sections(text) {
  const heads = [...text.matchAll(/^[ \t]*\[\[?(\w+)\]\]?[^\n]*\n?/gm)];
  const at = [{ kind: "", start: 0 }, ...heads.map((m) => ({ kind: m[1], head: m.index, start: m.index + m[0].length }))];
  return at.map((s, k) => ({ ...s, end: k + 1 < at.length ? at[k + 1].head : text.length, get body() { return text.slice(this.start, this.end); } }));
}

// where: the element that it fills; take: called with the text after every change.
export function machineForm(where, take) {
  let text = "";
  function field(kind, nth, key, label, of) {
    const find = () => sections(text).filter((s) => s.kind === kind)[nth], told = element("p", { hidden: "", class: "error" });
    const shown = () => { const s = find(); return (s && (key === "name" ? word(s.body, key) : raw(s.body, key))) ?? ""; };
    const input = element("input", { "aria-label": of ? `${of}, ${label}` : label, autocomplete: "off", spellcheck: "false", "data-key": key, ...(NEEDED.includes(key) || key === "name" ? {} : { placeholder: "not given" }) });
    input.value = shown();
    function typed(value) {
      const got = key === "name" ? value && { value: quoted(value) } : worked(value), empty = value === "" && !NEEDED.includes(key) && key !== "name", good = empty || Boolean(got && got.value);
      input.setAttribute("aria-invalid", String(!good));
      told.hidden = good;
      if (!good) {
        const either = got && got.either;
        told.replaceChildren(...(either ? [`${label}: is ${value} `, ...either.flatMap((v, n) => [n ? " or " : "", element("button", { type: "button", text: v, on: { click: () => { input.value = v; typed(v); } } })]), "?"]
          : [`${label}: ${key === "name" ? "a name is wanted" : "a number is wanted, such as 210"}`]));
        return;
      }
      if (!find()) { if (empty) return; text = `${text.trimEnd()}\n\n[${kind}]\n`; }
      const next = setKey(text, find(), key, empty ? null : got.value);
      if (next !== text) take((text = next));
      input.value = shown();
    }
    input.addEventListener("change", () => typed(input.value.trim()));
    return [element("label", { class: key === "name" ? "whole" : "" }, label, input), told];
  }
  const group = (title, kind, nth, fields, of = "") => element("fieldset", { "data-kind": kind, "data-nth": String(nth) }, element("legend", { text: title }),
    ...Object.entries(fields).flatMap(([key, label]) => field(kind, nth, key, label, of)));
  function show(to) {
    text = to;
    const unit = word(sections(text)[0].body, "units") || "mm", spindles = sections(text).filter((s) => s.kind === "spindle"), twin = word(sections(text)[0].body, "kind") === "twin";
    const { cross_travel, ...single } = TOP;
    where.replaceChildren(group(`Machine, lengths in ${unit}`, "", 0, twin ? TOP : single),
      ...spindles.map((s, k) => { const of = word(s.body, "name") === "sub" ? "sub-spindle" : `${word(s.body, "name") || "?"} spindle`; return group(of[0].toUpperCase() + of.slice(1), "spindle", k, SPINDLE, of); }),
      group("Off centre, at most (empty: not to be had)", "holding", 0, HOLDING), group("Tools", "tool", 0, TOOL));
  }
  // The field that a line of the file fills; null where the form has none.
  function fieldOf(line) {
    const at = text.split("\n").slice(0, line - 1).join("\n").length + 1, all = sections(text), s = all.find((v) => at >= (v.head ?? 0) && at < v.end);
    const key = (/^\s*(\w+)\s*=/.exec(text.split("\n")[line - 1] || "") || [])[1];
    return s && key ? where.querySelector(`[data-kind="${s.kind}"][data-nth="${all.filter((v) => v.kind === s.kind).indexOf(s)}"] [data-key="${key}"]`) : null;
  }
  return { show, fieldOf };
}
