// The part's name, axes and features as a table of typed values; every cell writes back into the text, and nothing else does.
import { isValue, number, paints, quoted, raised, raw, setKey, tables, top, truth, units, word, written } from "./partfile.js";

const LENGTHS = {
  axis: ["at", "offset", "angle"],
  feature: ["diameter", "start_diameter", "end_diameter", "bore", "sides", "across_flats", "across_corners", "start", "end", "length", "stock"],
};
// What each shape needs; a change of shape keeps what both have and fills in the rest from the size there was.
const SHAPES = { cylinder: ["diameter"], cone: ["start_diameter", "end_diameter"], ring: ["diameter", "bore"] };

function element(tag, props = {}, ...children) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(props)) {
    if (k === "text") e.textContent = v; else if (k === "on") for (const [n, f] of Object.entries(v)) e.addEventListener(n, f); else e.setAttribute(k, v);
  }
  e.append(...children);
  return e;
}

export function table(where, desk) {
  let shape = "", cells = [], rows = [];
  const named = (t) => word(t.body, "name") || "?";
  const at = (k) => (k < 0 ? null : tables(desk.text())[k]);
  const body = (k) => (k < 0 ? top(desk.text()) : at(k) ? at(k).body : "");
  const write = (k, key, value) => desk.change(setKey(desk.text(), at(k), key, value));

  // kind: of what is typed, a value or words. A cell that holds no value says so and writes nothing.
  function cell(k, key, name, kind, bare = false) {
    const label = key.replace("_", " "), input = element("input", { "aria-label": `${name}, ${label}`, autocomplete: "off", spellcheck: "false", class: key === "at" ? "pair" : kind });
    const shown = () => (kind === "words" ? word(body(k), key) : raw(body(k), key)) ?? "";
    input.value = shown();
    input.addEventListener("change", () => {
      const typed = input.value.trim().replace(/^\+/, "").replace(/^(-?\d*),(\d+)$/, "$1.$2"), value = kind === "words" ? quoted(typed) : typed;
      const good = kind === "words" ? typed !== "" : key === "at" ? /^\[\s*-?[\d.]+\s*,\s*-?[\d.]+\s*\]$/.test(typed) : isValue(typed) && Number.isFinite(Number(typed));
      input.setAttribute("aria-invalid", String(!good));
      const row = rows[k];
      if (row) {
        row.told.hidden = good;
        row.told.className = "error";
        row.told.textContent = good ? "" : `${label}: ${kind === "words" ? "a name is wanted" : key === "at" ? "two numbers are wanted, such as [0, 0]" : "a number is wanted, such as 12.5"}`;
      }
      if (!good || value === raw(body(k), key)) return;
      if (k < 0 || at(k).kind !== "feature" || (key !== "end" && key !== "length") || number(body(k), "start") === null) return write(k, key, value);
      const { text, along } = raised(desk.text(), k, key, value);
      desk.change(text);
      if (along.length) desk.remark(`${along.join(", ")} went along`);
    });
    cells.push({ k, key, input, shown, last: shown() });
    return element("label", {}, ...(bare ? [] : [element("span", { text: label })]), input);
  }
  function choice(k, key, name, options, change) {
    const select = element("select", { "aria-label": `${name}, ${key}` }, ...options.map((o) => new Option(o, o)));
    const shown = () => word(body(k), key) || "";
    if (!options.includes(shown())) select.append(new Option(shown(), shown()));
    select.value = shown();
    select.addEventListener("change", () => change(select.value));
    cells.push({ k, key, input: select, shown });
    if (key === "axis") painted(select, shown());
    return element("label", {}, ...(key === "shape" ? [] : [element("span", { text: key })]), select);
  }
  function reshape(k, to) {
    const keys = Object.values(SHAPES).flat(), b = body(k), u = units(desk.text());
    const old = keys.map((key) => number(b, key)).find((v) => v > 0) || number(b, "across_flats") || (u === "in" ? 1 : 20);
    let text = setKey(desk.text(), at(k), "shape", quoted(to));
    const t = () => tables(text)[k];
    for (const key of [...keys, "sides", "across_flats", "across_corners", "turn", "outline", "hull"]) if (!SHAPES[to].includes(key)) text = setKey(text, t(), key, null);
    for (const key of SHAPES[to]) if (raw(t().body, key) === null) text = setKey(text, t(), key, written(key === "bore" ? old / 2 : old, u));
    desk.change(text);
  }
  // The letter of an axis in its colour, wherever the table has it.
  function painted(e, name) {
    e.className = `letter ${paints(tables(desk.text()).filter((t) => t.kind === "axis").map(named))(name)}`;
  }
  const remove = (k) => { const t = at(k); if (t) desk.change(desk.text().slice(0, t.head) + desk.text().slice(t.end)); };
  function addFeature() {
    const text = desk.text(), all = tables(text), u = units(text), k = (mm) => written(u === "in" ? mm / 25 : mm, u);
    const names = all.map(named), first = all.find((t) => t.kind === "axis");
    const high = Math.max(0, ...all.filter((t) => t.kind === "feature" && !truth(t.body, "cut")).map((t) => number(t.body, "end") ?? 0));
    let n = 1;
    while (names.includes(`spigot ${n}`)) n++;
    desk.change(`${text.trimEnd()}\n\n[[feature]]\nname     = "spigot ${n}"\naxis     = "${first ? named(first) : "A"}"\nshape    = "cylinder"\ndiameter = ${k(20)}\nstart    = ${written(high, u)}\nend      = ${written(high + Number(k(25)), u)}\n`);
    focusOn(`spigot ${n}, name`);
  }
  function addAxis() {
    const text = desk.text(), all = tables(text), u = units(text), names = all.filter((t) => t.kind === "axis").map(named);
    const letter = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((c) => !names.includes(c)) || `A${names.length}`;
    const place = names.length ? `offset = ${written(u === "in" ? 0.5 : 10, u)}\nangle  = 0` : "at   = [0, 0]";
    const first = all.find((t) => t.kind === "feature"), cut = first ? first.head : text.length;
    const axis = `[[axis]]\nname = "${letter}"\n${place}\n\n`;
    desk.change(text.slice(0, cut).trimEnd() + "\n\n" + axis + text.slice(cut));
    focusOn(`axis ${letter}, ${names.length ? "offset" : "at"}`);
  }
  let wanted = null;
  function focusOn(name) {
    const c = cells.find((v) => v.input.getAttribute("aria-label") === name);
    wanted = c ? null : name;
    if (c) { c.input.focus(); c.input.select?.(); }
  }

  function entry(k, name, ...content) {
    const told = element("p", { hidden: "" }), row = element("div", { class: "entry", "data-name": name }, ...content, told);
    return { row, told };
  }
  const button = (text, name, click, id) => element("button", { type: "button", text, ...(name ? { "aria-label": name } : {}), ...(id ? { id } : {}), on: { click } });
  function build(all) {
    cells = [];
    const axes = all.filter((t) => t.kind === "axis").map(named);
    rows = all.map((t, k) => {
      const name = t.kind === "axis" ? `axis ${named(t)}` : named(t);
      const values = LENGTHS[t.kind].filter((key) => raw(t.body, key) !== null).map((key) => cell(k, key, name, "value"));
      const away = button("×", `remove ${name}`, () => remove(k));
      if (t.kind === "axis") {
        const letter = element("span", { text: named(t) });
        painted(letter, named(t));
        return entry(k, name, element("b", {}, "axis ", letter), ...values, ...(raw(t.body, "point") ? [element("span", { class: "quiet", text: "a line in space: see the text" })] : []), ...(k ? [away] : []));
      }
      const cut = element("input", { type: "checkbox", "aria-label": `${name}, cut` });
      cut.checked = truth(t.body, "cut");
      cut.addEventListener("change", () => write(k, "cut", cut.checked ? "true" : null));
      cells.push({ k, key: "cut", input: cut, box: true, shown: () => truth(body(k), "cut") });
      const form = word(t.body, "shape") in SHAPES ? [choice(k, "shape", name, Object.keys(SHAPES), (to) => reshape(k, to))] : [element("span", { class: "quiet", text: word(t.body, "shape") || "" })];
      return entry(k, name, cell(k, "name", name, "words", true), choice(k, "axis", name, axes, (v) => write(k, "axis", quoted(v))), ...form,
        element("label", {}, element("span", { text: "cut" }), cut), away, element("i", {}), ...values);
    });
    const head = entry(-1, "part", cell(-1, "name", "part", "words"), ...(raw(top(desk.text()), "material") !== null ? [cell(-1, "material", "part", "words")] : []));
    const split = all.findIndex((t) => t.kind === "feature"), n = split < 0 ? rows.length : split;
    where.replaceChildren(head.row, ...rows.slice(0, n).map((r) => r.row), button("add an axis", "", addAxis, "add-axis"), ...rows.slice(n).map((r) => r.row), button("add a feature", "", addFeature, "add"));
  }
  function rebuild() {
    const had = cells.find((c) => c.input === document.activeElement);
    build(tables(desk.text()));
    const has = had && cells.find((c) => c.k === had.k && c.key === had.key);
    if (wanted) focusOn(wanted);
    else if (has) { has.input.focus(); has.input.select?.(); }
  }
  // Cells are kept while the part keeps its shape, so that typing on in the next one is not disturbed.
  function draw() {
    if (desk.text().trimStart()[0] === "{") {
      shape = "";
      cells = rows = [];
      where.replaceChildren(element("p", { class: "quiet", text: "A part file in JSON: edit it as text." }));
      return;
    }
    const all = tables(desk.text());
    const now = JSON.stringify([raw(top(desk.text()), "material") !== null, all.map((t) => [t.kind, named(t), word(t.body, "shape"), raw(t.body, "point"), LENGTHS[t.kind].filter((k) => raw(t.body, k) !== null)])]);
    if (now !== shape) {
      shape = now;
      // The cell that was just left hands the focus on first; then the one that has it now is built anew and has it again.
      if (rows.length) setTimeout(rebuild); else build(all);
      return;
    }
    for (const c of cells) {
      if (c.box) c.input.checked = c.shown();
      else if (c.key === "axis") { c.input.value = c.shown(); painted(c.input, c.shown()); }
      else if (c.input !== document.activeElement || c.input.value === c.last) { c.input.value = c.shown(); c.input.removeAttribute("aria-invalid"); }
      c.last = c.shown(); // what stands in a cell that is being typed in stays; what nobody has touched follows
    }
  }
  // A finding stands beside the entry that it speaks of: by its line, or else by the name in its words.
  function tell(findings) {
    const all = tables(desk.text()), lines = desk.text().split("\n");
    for (const r of rows) { r.told.hidden = true; r.told.textContent = ""; }
    for (const c of cells) c.input.removeAttribute("aria-invalid");
    for (const f of findings) {
      if (f.level === "note") continue;
      const line = /line (\d+)/.exec(f.text), n = line ? Number(line[1]) : 0;
      const from = n ? lines.slice(0, n - 1).join("\n").length + (n > 1 ? 1 : 0) : -1;
      const k = all.findIndex((t) => (n ? from >= t.head && from < t.end : f.text.includes(`'${named(t)}'`)));
      if (k < 0 || !rows[k]) continue;
      rows[k].told.hidden = false;
      rows[k].told.className = f.level;
      rows[k].told.textContent += (rows[k].told.textContent ? " " : "") + f.text;
      const key = n ? (/^\s*(\w+)\s*=/.exec(lines[n - 1]) || [])[1] : "";
      for (const c of cells) if (c.k === k && c.key === key) c.input.setAttribute("aria-invalid", "true");
    }
  }
  function choose(name) {
    for (const e of where.querySelectorAll(".entry")) e.classList.toggle("chosen", name !== null && e.dataset.name === name);
  }
  return { draw, tell, choose };
}
