// What is added to the part: features, axes, bolt circles, copies and mirrored copies.
import { number, quoted, raw, setKey, tables, truth, units, word, written } from "./partfile.js";
import { circles, mirrored } from "./patterns.js";

const STEMS = ["bolt hole", "hole", "second hole", "third hole", "fourth hole"]; // names of bolt circles, in their order

export function adding(desk, named, focusOn) {
  function freeName(stem) {
    const names = tables(desk.text()).map(named);
    let n = 1;
    while (names.includes(`${stem} ${n}`)) n++;
    return `${stem} ${n}`;
  }
  // What is added stands on what was clicked, or else on the first feature.
  function ground() {
    const solid = tables(desk.text()).filter((t) => t.kind === "feature" && !truth(t.body, "cut"));
    return solid.find((t) => named(t) === desk.chosen()) || solid[0];
  }
  function feature() {
    const text = desk.text(), u = units(text), k = (mm) => written(u === "in" ? mm / 25 : mm, u), name = freeName("spigot");
    const on = ground(), first = tables(text).find((t) => t.kind === "axis");
    const start = on ? number(on.body, "end") ?? (number(on.body, "start") || 0) + (number(on.body, "length") || 0) : 0, axis = on ? word(on.body, "axis") : first ? named(first) : "A";
    focusOn(`${name}, name`);
    desk.change(`${text.trimEnd()}\n\n[[feature]]\nname     = "${name}"\naxis     = "${axis}"\nshape    = "cylinder"\ndiameter = ${k(20)}\nstart    = ${written(start, u)}\nend      = ${written(start + Number(k(25)), u)}\n`);
  }
  function copy(k) {
    const text = desk.text(), t = tables(text)[k], name = freeName(named(t).replace(/ \d+$/, "")), twin = text.slice(t.head, t.end).trimEnd();
    const next = `${text.slice(0, t.end).trimEnd()}\n\n${twin}\n\n${text.slice(t.end)}`.trimEnd() + "\n";
    focusOn(`${name}, name`);
    desk.change(setKey(next, tables(next)[k + 1], "name", quoted(name)));
  }
  function axis() {
    const text = desk.text(), all = tables(text), u = units(text), names = all.filter((t) => t.kind === "axis").map(named);
    const letter = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((c) => !names.includes(c)) || `A${names.length}`;
    const place = names.length ? `offset = ${written(u === "in" ? 0.5 : 10, u)}\nangle  = 0` : "at   = [0, 0]";
    const first = all.find((t) => t.kind === "feature"), cut = first ? first.head : text.length;
    focusOn(`axis ${letter}, ${names.length ? "offset" : "at"}`);
    desk.change(text.slice(0, cut).trimEnd() + `\n\n[[axis]]\nname = "${letter}"\n${place}\n\n` + text.slice(cut));
  }
  // Four holes in what was clicked, as they would be spoken; the server hears them, and the line is then in hand.
  async function bolts() {
    const on = ground(), wide = on && (number(on.body, "diameter") || number(on.body, "across_flats")), u = units(desk.text()), step = u === "in" ? 0.05 : 1;
    const size = (v) => written(Math.max(step, Math.round(v / step) * step), u);
    const had = desk.text(), many = circles(had).length, stem = STEMS.find((s) => !tables(had).some((t) => named(t) === `${s} 1`)) || STEMS[0];
    const said = `4 ${stem}s ${size((wide || 90) / 10)} on ${size((wide || 90) * 0.82)} from ${many ? 0 : 45} deg`;
    const got = await desk.json("/say", JSON.stringify({ said, units: u, text: had }));
    if (desk.text() !== had) return;
    if (!got.more) { desk.say("a bolt circle needs a flange that is whole: see what stands first at the side"); return; }
    const next = `${had.trimEnd()}\n\n${got.more}`;
    focusOn(`${stem}, count`);
    desk.change(next);
  }
  function mirror(k, way) {
    const name = named(tables(desk.text())[k]), called = freeName(name.replace(/ \d+$/, "")), next = mirrored(desk.text(), k, way, called);
    if (next === null) { desk.say(`${name} cannot be mirrored so: it lies on the mirror line, or has an outline of its own`); return; }
    focusOn(`${called}, name`);
    desk.change(next);
  }
  return { feature, copy, axis, bolts, mirror };
}
