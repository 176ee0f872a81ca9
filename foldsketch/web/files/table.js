// The part's name, axes and features, one line each; every cell writes back into the text, and nothing else does.
import { cellMaker, element } from "./cells.js";
import { adding } from "./adding.js";
import { placeOf } from "./findings.js";
import { number, paints, quoted, raised, raw, setKey, tables, top, truth, units, word, written } from "./partfile.js";
import { circles, recounted, renamed, setAll, taken, turned, widened } from "./patterns.js";
import { reshaped, shapeButton } from "./shapes.js";

const PLACES = ["at", "offset", "angle"];
const SIZES = ["diameter", "start_diameter", "end_diameter", "bore", "sides", "across_flats", "across_corners"];
const HEADS = ["feature", "axis", "shape", "Ø", "from", "to", "", ""];

export function table(where, desk) {
  let shape = "", cells = [], rows = [];
  const named = (t) => word(t.body, "name") || "?", opened = new Set();
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
  const remove = (k) => { const t = make.at(k); if (t) desk.change(desk.text().slice(0, t.head) + desk.text().slice(t.end)); };
  let wanted = null;
  function take(c) { c.input.focus(); c.input.select?.(); c.input.scrollIntoView({ block: "nearest" }); }
  function focusOn(name) {
    const c = cells.find((v) => v.input.getAttribute("aria-label") === name);
    wanted = c ? null : name;
    if (c) take(c);
  }
  // To the cell of a key of the k-th table; whether there is one.
  function go(k, key) {
    const c = cells.find((v) => rows[v.k] === rows[k] && v.key === key);
    if (c) take(c);
    return Boolean(c);
  }
  const add = adding(desk, named, focusOn);

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
  const ends = (t, k, name, more = () => ({})) => ["start", raw(t.body, "end") === null ? "length" : "end"].map((key) => (raw(t.body, key) === null ? element("span") : make.cell(k, key, name, "value", more(key))));
  // What is seldom needed is one fold away: stock, finish, sides, and the mirrored copies.
  function fold(k, name, places, content) {
    const all = (key) => (places.length > 1 ? { get: () => word(make.body(k), key) ?? raw(make.body(k), key) ?? "", set: (v) => desk.change(setAll(desk.text(), places, key, key === "finish" ? quoted(v) : v)) } : {});
    const more = element("span", { class: "lone entry", hidden: "" }, make.cell(k, "stock", name, "value", { bare: false, none: true, hint: "none", ...all("stock") }), make.cell(k, "finish", name, "words", { bare: false, none: true, hint: "cast or machined", ...all("finish") }), ...content);
    more.style.gridColumn = "1 / -1";
    const open = button("⋯", `more of ${name}`, () => { if (!opened.delete(name)) opened.add(name); show(); });
    const show = () => { more.hidden = !opened.has(name); open.setAttribute("aria-expanded", String(!more.hidden)); };
    show();
    return [open, more];
  }
  function kindOf(k, name, change) {
    return make.choice(k, "cut", name, ["solid", "cut", "through"], change, () => (truth(make.body(k), "cut") ? "cut" : "solid"));
  }
  function featureRow(t, k, axes) {
    const name = named(t), has = (key) => raw(t.body, key) !== null;
    const axis = make.choice(k, "axis", name, axes, (v) => make.write(k, "axis", quoted(v)));
    axis.lastChild.className = `letter ${paintOf(axis.lastChild.value)}`;
    const sizes = element("span", { class: "sizes" }, ...SIZES.filter(has).map((key) => make.cell(k, key, name, "value")));
    const cut = kindOf(k, name, (v) => (v === "through" ? make.through(k) : make.write(k, "cut", v === "cut" ? "true" : null)));
    const mirrors = [["x", "left to right"], ["y", "top to bottom"]].map(([way, words]) => button(`mirror ${words}`, `mirror ${name} ${words}`, () => add.mirror(k, way)));
    const [open, more] = fold(k, name, [k], [...(has("sides") ? [] : [make.cell(k, "sides", name, "value", { bare: false, none: true, hint: "auto" })]), ...mirrors]);
    return entry(name, "", make.cell(k, "name", name, "words"), axis, shapeButton(t.body, name, (to) => desk.change(reshaped(desk.text(), k, to))), sizes, ...ends(t, k, name), cut,
      element("span", { class: "does" }, button("×2", `duplicate ${name}`, () => add.copy(k)), open, button("×", `remove ${name}`, () => remove(k))), more);
  }
  // Equal holes on one circle are one line: how many, Ø, on which circle, the first at which angle.
  function circleRow(c) {
    const k = c.features[0], name = c.stem, t = make.at(k), now = () => circles(desk.text()).find((v) => v.features[0] === k) || c;
    const part = (key, get, set) => make.cell(k, key, name, "value", { get: () => get(now()), set: (v) => desk.change(set(desk.text(), now(), v)) });
    const all = (key) => ({ get: () => raw(make.body(k), key) ?? "", set: (v) => desk.change(setAll(desk.text(), now().features, key, v)) });
    const words = (text) => element("span", { class: "quiet", text });
    const cut = kindOf(k, name, (v) => (v === "through" ? desk.change(c.features.reduce((text, n) => make.through(n, text), desk.text())) : desk.change(setAll(desk.text(), c.features, "cut", v === "cut" ? "true" : null))));
    const [open, more] = fold(k, name, c.features, [words(`on axes ${c.letters.join(", ")}`)]);
    const count = part("count", (v) => String(v.features.length), (text, v, n) => (Number(n) >= 2 && Number(n) <= 100 ? recounted(text, v, Math.round(Number(n))) : text));
    const size = SIZES.filter((key) => raw(t.body, key) !== null).map((key) => make.cell(k, key, name, "value", all(key)));
    return entry(name, "circle", make.cell(k, "name", name, "words", { get: () => now().stem, set: (v) => desk.change(renamed(desk.text(), now(), v)) }),
      element("span", { class: "sizes" }, count, words("×"), ...size, words("on"), part("on", (v) => v.on, widened), words("at"), part("first", (v) => v.first, turned), words("°")),
      ...ends(t, k, name, all), cut, element("span", { class: "does" }, open, button("×", `remove ${name}`, () => desk.change(taken(desk.text(), [...now().features, ...now().axes])))), more);
  }
  function build(all) {
    cells = [];
    make = cellMaker(desk, () => rows, cells, wrote);
    const axes = all.filter((t) => t.kind === "axis").map(named);
    rows = [];
    for (const c of circles(desk.text())) { const row = circleRow(c); for (const k of [...c.features, ...c.axes]) rows[k] = row; }
    all.forEach((t, k) => { rows[k] = rows[k] || (t.kind === "axis" ? axisRow(t, k) : featureRow(t, k, axes)); });
    const head = entry("part", "lone", make.cell(-1, "name", "part", "words", { bare: false }), make.cell(-1, "material", "part", "words", { bare: false, none: true, hint: "none said" }));
    rows[-1] = head;
    const of = (kind) => [...new Set(rows.filter((r, k) => all[k].kind === kind && (kind === "feature" || !r.row.classList.contains("circle"))).map((r) => r.row))];
    where.replaceChildren(head.row, element("div", { class: "axes" }, element("small", { text: `axes, ${units(desk.text())}: offset from ${axes[0] || "the first"} ∠ degrees anticlockwise from +x` }), ...of("axis"), button("+ axis", "add an axis", add.axis, "add-axis")),
      element("div", { class: "heads", "aria-hidden": "true" }, ...HEADS.map((text) => element("span", { text }))), ...of("feature"),
      element("div", { class: "adds" }, button("+ feature", "add a feature", add.feature, "add"), button("+ bolt circle", "add a bolt circle", add.bolts, "add-bolts")));
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
    const now = JSON.stringify(all.map((t) => [t.kind, named(t), word(t.body, "shape"), raw(t.body, "point"), keys.filter((k) => raw(t.body, k) !== null)]).concat(circles(desk.text()).map((c) => [c.features, c.axes])));
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
  // A finding stands beside the line that it speaks of: by its line in the file, or else by the feature that it names.
  function tell(list) {
    const all = tables(desk.text());
    for (const r of [...rows, rows[-1]].filter(Boolean)) { r.told.hidden = true; r.told.textContent = ""; }
    for (const c of cells) c.input.removeAttribute("aria-invalid");
    function at(k, key, level, words) {
      const row = rows[k];
      if (!row || row.told.textContent.includes(words)) return;
      if (row.told.hidden) row.told.className = level;
      row.told.hidden = false;
      row.told.textContent += (row.told.textContent ? "; " : "") + words;
      for (const c of cells) if (c.k === k && c.key === key) c.input.setAttribute("aria-invalid", "true");
    }
    for (const f of list) {
      if (f.level === "note" && f.code !== "bosses-merge") continue;
      if (f.line) { const { k, key } = placeOf(desk.text(), f.line); at(k, key, f.level, f.text.replace(/^feature '[^']*': /, "")); continue; }
      for (const [name, words] of Object.entries(f.each || {})) at(all.findIndex((t) => t.kind === "feature" && named(t) === name), "", f.level, words);
    }
  }
  function choose(name) {
    const k = tables(desk.text()).findIndex((t) => t.kind === "feature" && named(t) === name);
    for (const r of rows) r.row.classList.toggle("chosen", r === rows[k]);
  }
  return { draw, tell, choose, go };
}
