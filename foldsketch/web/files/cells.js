// Fields of the table: what is typed in them is worked out, asked about, or told to be wrong; only a good value is written.
import { quoted, raw, setKey, tables, top, truth, units, word, written } from "./partfile.js";

export function element(tag, props = {}, ...children) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(props)) {
    if (k === "text") e.textContent = v; else if (k === "on") for (const [n, f] of Object.entries(v)) e.addEventListener(n, f); else e.setAttribute(k, v);
  }
  e.append(...children);
  return e;
}

// A number as it is typed, sums too: "14+35", "90/2", "12,5". Gives { value } as it is to be written, { either } where a
// comma may part thousands or be a decimal comma, or null for what is no number.
export function worked(typed) {
  const text = typed.trim(), doubtful = /(?<![\d.,])(\d{1,3}),(\d{3})(?![\d.,])/.exec(text);
  if (doubtful) return { either: [`${doubtful[1]}.${doubtful[2]}`, doubtful[1] + doubtful[2]].map((v) => text.replace(doubtful[0], v)) };
  const plain = text.replace(/(\d),(\d)/g, "$1.$2");
  if (/^-?\d*\.?\d+$/.test(plain)) return { value: plain.replace(/^(-?)\./, "$10.") };
  let rest = plain.replace(/\s+/g, "");
  const next = (...signs) => (signs.includes(rest[0]) ? [rest[0], (rest = rest.slice(1))][0] : null);
  function single() {
    if (next("-")) return -single();
    if (next("(")) { const v = sum(); return next(")") ? v : NaN; }
    const m = /^\d*\.?\d+/.exec(rest);
    if (!m) return NaN;
    rest = rest.slice(m[0].length);
    return Number(m[0]);
  }
  function product() { let v = single(); for (let s; (s = next("*", "/"));) v = s === "*" ? v * single() : v / single(); return v; }
  function sum() { let v = product(); for (let s; (s = next("+", "-"));) v = s === "+" ? v + product() : v - product(); return v; }
  const found = sum();
  return rest === "" && Number.isFinite(found) ? { value: String(Number(found.toFixed(6)) + 0) } : null;
}

// What stands over a cell where the table has no heads.
const COLUMNS = { name: "feature", start: "from", end: "to", length: "long", diameter: "Ø", start_diameter: "Ø from", end_diameter: "Ø to", cut: "is", bore: "bore", on: "on Ø", first: "first at °" };

// The cells of one table: each knows the k-th table of the text (-1: the top of the file) and its key.
export function cellMaker(desk, rows, cells, wrote) {
  const at = (k) => (k < 0 ? null : tables(desk.text())[k]);
  const body = (k) => (k < 0 ? top(desk.text()) : at(k) ? at(k).body : "");
  const write = (k, key, value) => desk.change(setKey(desk.text(), at(k), key, value));
  function tell(k, words, ...more) {
    const row = rows()[k];
    if (!row) return;
    row.told.hidden = !words;
    row.told.className = "error";
    row.told.replaceChildren(words, ...more);
  }
  // kind: of what is typed, a value or words; none: words may be empty. A cell that holds no value says so and writes nothing.
  // get, set: of a value that stands for several lines of the text.
  function cell(k, key, name, kind, { bare = true, none = false, hint = "", get = null, set = null } = {}) {
    const label = key.replace("_", " "), input = element("input", { "aria-label": `${name}, ${label}`, autocomplete: "off", spellcheck: "false", class: key === "at" ? "pair" : kind, placeholder: hint });
    const shown = () => (get ? get() : kind === "words" ? word(body(k), key) : raw(body(k), key)) ?? "";
    input.value = shown();
    function take(typed) {
      const pair = key === "at", found = kind === "words" || pair ? null : worked(typed.replace(/^\+/, ""));
      const value = kind === "words" ? quoted(typed) : pair ? typed : found && found.value;
      const empty = none && typed === "", good = empty || (kind === "words" ? typed !== "" : pair ? /^\[\s*-?[\d.]+\s*,\s*-?[\d.]+\s*\]$/.test(typed) : Boolean(value));
      input.setAttribute("aria-invalid", String(!good));
      if (found && found.either) {
        tell(k, `${label}: is ${typed} `, ...found.either.flatMap((v, n) => [n ? " or " : "", element("button", { type: "button", text: v, on: { click: () => { input.value = v; take(v); } } })]), "?");
        return;
      }
      tell(k, good ? "" : `${label}: ${kind === "words" ? "a name is wanted" : pair ? "two numbers are wanted, such as [0, 0]" : "a number is wanted, such as 12.5"}`);
      if (!good) return;
      if (empty) { if (raw(body(k), key) !== null) write(k, key, null); return; }
      if (set) { if (typed !== shown()) set(kind === "words" ? typed : value); }
      else if (value !== raw(body(k), key)) wrote(k, key, value, typed);
      if (at(k) || k < 0) input.value = shown();
    }
    input.addEventListener("change", () => take(input.value.trim()));
    cells.push({ k, key, input, shown, last: shown() });
    return element("label", {}, element("span", bare ? { text: COLUMNS[key] || label, class: "column" } : { text: label }), input);
  }
  function choice(k, key, name, options, change, shown = () => word(body(k), key) || "") {
    const select = element("select", { "aria-label": `${name}, ${key}` }, ...options.map((o) => new Option(o, o)));
    if (!options.includes(shown())) select.append(new Option(shown(), shown()));
    select.value = shown();
    select.addEventListener("change", () => change(select.value));
    cells.push({ k, key, input: select, shown });
    return element("label", {}, element("span", { text: COLUMNS[key] || key, class: "column" }), select);
  }
  // The k-th table cut from the lowest to the highest end of the material: what goes through runs a little past both.
  function through(k, had = null) {
    const u = units(desk.text()), past = u === "in" ? 0.04 : 1, solid = tables(desk.text()).filter((t) => t.kind === "feature" && !truth(t.body, "cut"));
    const ends = solid.flatMap((t) => {
      const start = Number(raw(t.body, "start")), end = raw(t.body, "end");
      return [start, end === null ? start + Number(raw(t.body, "length")) : Number(end)];
    }).filter(Number.isFinite);
    let text = had ?? desk.text();
    if (ends.length) {
      text = setKey(setKey(text, tables(text)[k], "cut", "true"), tables(text)[k], "length", null);
      for (const [key, v] of [["start", Math.min(...ends) - past], ["end", Math.max(...ends) + past]]) text = setKey(text, tables(text)[k], key, written(v, u));
    }
    return had === null ? desk.change(text) : text;
  }
  return { at, body, write, cell, choice, through };
}
