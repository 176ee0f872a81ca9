// The part's name, axes and features, one line each; every cell writes back into the text, and nothing else does.
import { cellMaker, element } from "./cells.js";
import { placeOf } from "./findings.js";
import { number, paints, quoted, raised, raw, setKey, tables, top, truth, units, word, written } from "./partfile.js";

const PLACES = ["at", "offset", "angle"];
const SIZES = ["diameter", "start_diameter", "end_diameter", "bore", "sides", "across_flats", "across_corners"];
const HEADS = ["feature", "axis", "shape", "Ø", "from", "to", "", ""];
// What each shape needs; a change of shape keeps what both have and fills in the rest from the size there was.
const SHAPES = { cylinder: ["diameter"], cone: ["start_diameter", "end_diameter"], ring: ["diameter", "bore"] };

export function table(where, desk) {
  let shape = "", cells = [], rows = [];
  const named = (t) => word(t.body, "name") || "?";
  let make = null;

  function wrote(k, key, value, typed) {
    const body = make.body(k), start = number(body, "start");
    if (k < 0 || make.at(k).kind !== "feature" || (key !== "end" && key !== "length") || start === null) return make.write(k, key, value);
    // "+30" is a length from where the feature begins.
    const to = key === "end" && typed.startsWith("+") ? written(start + Number(value), units(desk.text())) : value;
    const { text, along } = raised(desk.text(), k, key, to);
    if (along.length) desk.remark(`${along.join(", ")} went along`);
    desk.change(text);
  }
  function reshape(k, to) {
    const keys = Object.values(SHAPES).flat(), b = make.body(k), u = units(desk.text());
    const old = keys.map((key) => number(b, key)).find((v) => v > 0) || number(b, "across_flats") || (u === "in" ? 1 : 20);
    let text = setKey(desk.text(), make.at(k), "shape", quoted(to));
    const t = () => tables(text)[k];
    for (const key of [...keys, "sides", "across_flats", "across_corners", "turn", "outline", "hull"]) if (!SHAPES[to].includes(key)) text = setKey(text, t(), key, null);
    for (const key of SHAPES[to]) if (raw(t().body, key) === null) text = setKey(text, t(), key, written(key === "bore" ? old / 2 : old, u));
    desk.change(text);
  }
  const remove = (k) => { const t = make.at(k); if (t) desk.change(desk.text().slice(0, t.head) + desk.text().slice(t.end)); };
  function freeName(stem) {
    const names = tables(desk.text()).map(named);
    let n = 1;
    while (names.includes(`${stem} ${n}`)) n++;
    return `${stem} ${n}`;
  }
  // A new line stands on what was clicked, or else on the first feature.
  function addFeature() {
    const text = desk.text(), all = tables(text), u = units(text), k = (mm) => written(u === "in" ? mm / 25 : mm, u), name = freeName("spigot");
    const solid = all.filter((t) => t.kind === "feature" && !truth(t.body, "cut")), on = solid.find((t) => named(t) === desk.chosen()) || solid[0], first = all.find((t) => t.kind === "axis");
    const start = on ? number(on.body, "end") ?? (number(on.body, "start") || 0) + (number(on.body, "length") || 0) : 0, axis = on ? word(on.body, "axis") : first ? named(first) : "A";
    focusOn(`${name}, name`);
    desk.change(`${text.trimEnd()}\n\n[[feature]]\nname     = "${name}"\naxis     = "${axis}"\nshape    = "cylinder"\ndiameter = ${k(20)}\nstart    = ${written(start, u)}\nend      = ${written(start + Number(k(25)), u)}\n`);
  }
  function copy(k) {
    const t = make.at(k), name = freeName(named(t).replace(/ \d+$/, "")), text = desk.text(), twin = text.slice(t.head, t.end).trimEnd();
    const next = `${text.slice(0, t.end).trimEnd()}\n\n${twin}\n\n${text.slice(t.end)}`.trimEnd() + "\n";
    focusOn(`${name}, name`);
    desk.change(setKey(next, tables(next)[k + 1], "name", quoted(name)));
  }
  function addAxis() {
    const text = desk.text(), all = tables(text), u = units(text), names = all.filter((t) => t.kind === "axis").map(named);
    const letter = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((c) => !names.includes(c)) || `A${names.length}`;
    const place = names.length ? `offset = ${written(u === "in" ? 0.5 : 10, u)}\nangle  = 0` : "at   = [0, 0]";
    const first = all.find((t) => t.kind === "feature"), cut = first ? first.head : text.length;
    focusOn(`axis ${letter}, ${names.length ? "offset" : "at"}`);
    desk.change(text.slice(0, cut).trimEnd() + `\n\n[[axis]]\nname = "${letter}"\n${place}\n\n` + text.slice(cut));
  }
  function bolts() {
    const box = document.getElementById("spoken");
    box.value = "4 holes 9 on 74 from 45 deg";
    box.focus();
    box.select();
    box.dispatchEvent(new Event("input"));
  }
  let wanted = null;
  function focusOn(name) {
    const c = cells.find((v) => v.input.getAttribute("aria-label") === name);
    wanted = c ? null : name;
    if (c) { c.input.focus(); c.input.select?.(); c.input.scrollIntoView({ block: "nearest" }); }
  }

  const button = (text, name, click, id) => element("button", { type: "button", text, ...(name ? { "aria-label": name, title: name } : {}), ...(id ? { id } : {}), on: { click } });
  function entry(name, kind, ...content) {
    const told = element("p", { hidden: "" });
    return { row: element("div", { class: `entry ${kind}`, "data-name": name, role: "group", "aria-label": name }, ...content, told), told };
  }
  function axisRow(t, k) {
    const name = `axis ${named(t)}`, letter = element("span", { text: named(t), class: `letter ${paintOf(named(t))}` });
    const values = PLACES.filter((key) => raw(t.body, key) !== null).map((key) => make.cell(k, key, name, "value", {}));
    if (values.length === 2) values.splice(1, 0, element("span", { class: "quiet", text: "∠" }));
    return entry(name, "", letter, ...values, ...(raw(t.body, "point") ? [element("span", { class: "quiet", text: "a line in space: see the text" })] : []), ...(k ? [button("×", `remove ${name}`, () => remove(k))] : []));
  }
  const paintOf = (name) => paints(tables(desk.text()).filter((t) => t.kind === "axis").map(named))(name);
  function featureRow(t, k, axes) {
    const name = named(t), form = word(t.body, "shape"), has = (key) => raw(t.body, key) !== null;
    const axis = make.choice(k, "axis", name, axes, (v) => make.write(k, "axis", quoted(v)));
    axis.className = `letter ${paintOf(axis.value)}`;
    const sizes = element("span", { class: "sizes" }, ...SIZES.filter(has).map((key) => make.cell(k, key, name, "value")));
    const cut = make.choice(k, "cut", name, ["solid", "cut", "through"], (v) => (v === "through" ? make.through(k) : make.write(k, "cut", v === "cut" ? "true" : null)), () => (truth(make.body(k), "cut") ? "cut" : "solid"));
    const more = element("span", { class: "lone entry", hidden: "" }, make.cell(k, "stock", name, "value", { bare: false, none: true, hint: "none" }), make.cell(k, "finish", name, "words", { bare: false, none: true, hint: "cast or machined" }), ...(has("sides") ? [] : [make.cell(k, "sides", name, "value", { bare: false, none: true, hint: "auto" })]));
    more.style.gridColumn = "1 / -1";
    const open = button("⋯", `stock and finish of ${name}`, () => { more.hidden = !more.hidden; open.setAttribute("aria-expanded", String(!more.hidden)); });
    open.setAttribute("aria-expanded", "false");
    return entry(name, "", make.cell(k, "name", name, "words"), axis, form in SHAPES ? make.choice(k, "shape", name, Object.keys(SHAPES), (to) => reshape(k, to)) : element("span", { class: "quiet", text: form || "" }), sizes,
      has("start") ? make.cell(k, "start", name, "value") : element("span"), has("end") ? make.cell(k, "end", name, "value") : has("length") ? make.cell(k, "length", name, "value") : element("span"), cut,
      element("span", { class: "does" }, button("×2", `duplicate ${name}`, () => copy(k)), open, button("×", `remove ${name}`, () => remove(k))), more);
  }
  function build(all) {
    cells = [];
    make = cellMaker(desk, () => rows, cells, wrote);
    const axes = all.filter((t) => t.kind === "axis").map(named);
    rows = all.map((t, k) => (t.kind === "axis" ? axisRow(t, k) : featureRow(t, k, axes)));
    const head = entry("part", "lone", make.cell(-1, "name", "part", "words", { bare: false }), make.cell(-1, "material", "part", "words", { bare: false, none: true, hint: "none said" }));
    rows[-1] = head;
    const of = (kind) => rows.filter((_, k) => all[k].kind === kind).map((r) => r.row);
    where.replaceChildren(head.row, element("div", { class: "axes" }, element("small", { text: `axes, ${units(desk.text())}: offset from ${axes[0] || "the first"} ∠ degrees anticlockwise from +x` }), ...of("axis"), button("+ axis", "add an axis", addAxis, "add-axis")),
      element("div", { class: "heads", "aria-hidden": "true" }, ...HEADS.map((text) => element("span", { text }))), ...of("feature"),
      element("div", { class: "adds" }, button("+ feature", "add a feature", addFeature, "add"), button("+ bolt circle", "add a bolt circle", bolts, "add-bolts")));
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
    const keys = [...PLACES, ...SIZES, "start", "end", "length"];
    const now = JSON.stringify(all.map((t) => [t.kind, named(t), word(t.body, "shape"), raw(t.body, "point"), keys.filter((k) => raw(t.body, k) !== null)]));
    if (now !== shape) {
      shape = now;
      // The cell that was just left hands the focus on first; then the one that has it now is built anew and has it again.
      if (cells.length) setTimeout(rebuild); else build(all);
      return;
    }
    for (const c of cells) {
      if (c.key === "axis") { c.input.value = c.shown(); c.input.className = `letter ${paintOf(c.shown())}`; }
      else if (c.input !== document.activeElement || c.input.tagName === "SELECT" || c.input.value === c.last) { c.input.value = c.shown(); c.input.removeAttribute("aria-invalid"); }
      c.last = c.shown(); // what stands in a cell that is being typed in stays; what nobody has touched follows
    }
  }
  // A finding stands beside the line that it speaks of: by its line in the file, or else by the name in its words.
  function tell(list) {
    const all = tables(desk.text());
    for (const r of [...rows, rows[-1]].filter(Boolean)) { r.told.hidden = true; r.told.textContent = ""; }
    for (const c of cells) c.input.removeAttribute("aria-invalid");
    for (const f of list) {
      if (f.level === "note") continue;
      const place = f.line ? placeOf(desk.text(), f.line) : { k: all.findIndex((t) => f.text.includes(`'${named(t)}'`)), key: "" }, row = rows[place.k];
      if (!row) continue;
      row.told.hidden = false;
      row.told.className = f.level;
      row.told.textContent += (row.told.textContent ? " " : "") + f.text.replace(/^feature '[^']*': /, "");
      for (const c of cells) if (c.k === place.k && c.key === place.key) c.input.setAttribute("aria-invalid", "true");
    }
  }
  function choose(name) {
    for (const e of where.querySelectorAll(".entry")) e.classList.toggle("chosen", name !== null && e.dataset.name === name);
  }
  return { draw, tell, choose };
}
