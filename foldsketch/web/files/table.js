"use strict";
// The part file's axes and features as a table of typed values; every cell writes back into the text, and nothing else does.
window.foldsketchTable = (where, desk) => {
  const KEYS = {
    axis: ["at", "offset", "angle"],
    feature: ["diameter", "start_diameter", "end_diameter", "bore", "across_flats", "start", "end", "length"],
  };
  const VALUE = "-?[\\d.]+|\\[[^\\]\\n]*\\]";
  const find = (body, key) => new RegExp(`^(\\s*${key}\\s*=\\s*)(${VALUE})`, "m").exec(body);
  const named = (body) => { const m = /^\s*name\s*=\s*"([^"]*)"/m.exec(body); return m ? m[1] : "?"; };
  let drawn = "", cells = [], rows = [];

  function write(at, key, typed) {
    const t = desk.tables()[at];
    const value = typed.trim().replace(/^\+/, "");
    if (!t || !new RegExp(`^(?:${VALUE})$`).test(value)) return false;
    const m = find(t.body, key);
    if (!m) return false;
    if (m[2] === value) return true;
    const start = t.start + m.index + m[1].length;
    desk.change(desk.text().slice(0, start) + value + desk.text().slice(start + m[2].length));
    return true;
  }
  function cell(at, key, value, name) {
    const label = document.createElement("label"), input = document.createElement("input");
    label.textContent = key.replace("_", " ");
    input.value = value;
    input.setAttribute("aria-label", `${name}, ${key.replace("_", " ")}`);
    input.addEventListener("change", () => {
      const good = write(at, key, input.value);
      input.setAttribute("aria-invalid", String(!good));
    });
    label.append(input);
    cells.push({ at, key, input });
    return label;
  }
  function remove(at) {
    const t = desk.tables()[at];
    if (t) desk.change(desk.text().slice(0, t.head) + desk.text().slice(t.end));
  }
  function add() {
    const tables = desk.tables(), axis = tables.find((t) => t.kind === "axis");
    let k = 1;
    while (tables.some((t) => named(t.body) === `spigot ${k}`)) k++;
    const on = axis ? named(axis.body) : "A";
    desk.change(`${desk.text().trimEnd()}\n\n[[feature]]\nname     = "spigot ${k}"\naxis     = "${on}"\nshape    = "cylinder"\ndiameter = 20\nstart    = 0\nend      = 40\n`);
  }
  function build(tables) {
    cells = [];
    rows = tables.map((t, at) => {
      const row = document.createElement("div"), name = document.createElement("b"), told = document.createElement("p");
      row.className = "entry";
      name.textContent = t.kind === "axis" ? `axis ${named(t.body)}` : named(t.body);
      row.append(name);
      for (const key of KEYS[t.kind]) {
        const m = find(t.body, key);
        if (m) row.append(cell(at, key, m[2], name.textContent));
      }
      if (t.kind === "feature") {
        const b = document.createElement("button");
        b.type = "button";
        b.textContent = "remove";
        b.setAttribute("aria-label", `remove ${name.textContent}`);
        b.addEventListener("click", () => remove(at));
        row.append(b);
      }
      told.hidden = true;
      row.append(told);
      return { row, told };
    });
    const more = document.createElement("button");
    more.type = "button";
    more.id = "add";
    more.textContent = "add a spigot";
    more.addEventListener("click", add);
    where.replaceChildren(...rows.map((r) => r.row), more);
  }
  // Cells are kept while the part keeps its shape, so that typing on in the next one is not disturbed.
  function draw() {
    const tables = desk.tables();
    const shape = JSON.stringify(tables.map((t) => [t.kind, named(t.body), KEYS[t.kind].filter((k) => find(t.body, k))]));
    if (shape !== drawn) { drawn = shape; build(tables); return; }
    for (const c of cells) {
      const m = find(tables[c.at].body, c.key);
      if (m && c.input !== document.activeElement) { c.input.value = m[2]; c.input.removeAttribute("aria-invalid"); }
    }
  }
  // A finding stands beside the entry that it speaks of: by its line, or else by the name in its words.
  function tell(findings) {
    const tables = desk.tables(), lines = desk.text().split("\n");
    for (const r of rows) { r.told.hidden = true; r.told.textContent = ""; }
    for (const c of cells) c.input.removeAttribute("aria-invalid");
    for (const f of findings) {
      if (f.level === "note") continue;
      const line = /line (\d+)/.exec(f.text), n = line ? Number(line[1]) : 0;
      const from = n ? lines.slice(0, n - 1).join("\n").length + (n > 1 ? 1 : 0) : -1;
      const at = tables.findIndex((t) => (n ? from >= t.head && from < t.end : f.text.includes(`'${named(t.body)}'`)));
      if (at < 0 || !rows[at]) continue;
      rows[at].told.hidden = false;
      rows[at].told.className = f.level;
      rows[at].told.textContent += (rows[at].told.textContent ? " " : "") + f.text;
      const key = n ? (/^\s*(\w+)\s*=/.exec(lines[n - 1]) || [])[1] : "";
      for (const c of cells) if (c.at === at && c.key === key) c.input.setAttribute("aria-invalid", "true");
    }
  }
  return { draw, tell };
};
