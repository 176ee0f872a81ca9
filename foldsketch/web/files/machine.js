// The machine that the set-ups are for: one of the list, one from a file, one typed anew, or none.
import { machineForm } from "./machineform.js";
import { quoted, setKey, word } from "./partfile.js";
const $ = (id) => document.getElementById(id);

// A machine file in JSON as TOML, which the form writes into; what is neither stays as it is, and the server says why.
function asToml(text) {
  if (text.trimStart()[0] !== "{") return text;
  const plain = (v) => v === null || typeof v !== "object" || Array.isArray(v) && v.every((w) => typeof w !== "object");
  const rows = (o) => Object.entries(o).filter(([, v]) => plain(v)).map(([k, v]) => `${k} = ${JSON.stringify(v)}\n`).join("");
  try {
    const all = JSON.parse(text), inner = Object.entries(all).filter(([, v]) => !plain(v));
    const table = ([k, v]) => (Array.isArray(v) ? v.map((one) => `\n[[${k}]]\n${rows(one)}`).join("") : `\n[${k}]\n${rows(v)}`);
    const deep = inner.flatMap(([, v]) => [v].flat()).some((o) => o && !Object.values(o).every(plain));
    return deep ? text : rows(all) + inner.map(table).join("");
  } catch { return text; }
}

export function machine(desk, pages) {
  const pick = $("machine"), box = $("edit-machine");
  const name = (text) => word(text, "name") || "machine from a file";
  let usual = null, own = null;
  pick.append(new Option("the usual lathe", ""), new Option("none: the model only", "none"));
  const listed = fetch("/machines").then((a) => a.json()).catch(() => []).then((list) => {
    for (const m of list) pick.add(new Option(name(m.text), m.text), pick.options.length - 1);
    usual = list.find((m) => m.name === "twin spindle")?.text ?? null;
  });
  // A machine from a file, or one that was changed, stands in the list under its own name; a change of it stays the same entry.
  function enter(text) {
    const found = [...pick.options].find((o) => o.value === text);
    if (!found && own) Object.assign(own, { value: text, text: name(text) });
    else if (!found) pick.add((own = new Option(name(text), text)), 0);
    pick.value = text;
  }
  const form = machineForm($("machine-form"), (text) => {
    const kept = own && own.selected;
    if (!kept) own = null;
    const next = kept ? text : renamed(text);
    enter(next);
    if (next !== text) form.show(next);
    desk.choose("machine", next);
  });
  // The first change of a machine of the list makes it another one: its figures must not stand under the old name.
  function renamed(text) {
    const was = pick.selectedOptions[0], same = was && (was.value === "" ? name(usual) : was.text) === name(text);
    return same ? setKey(text, null, "name", quoted(`${name(text)}, changed`)) : text;
  }
  function chosen() {
    const text = pick.value === "" ? usual : pick.value, fits = text !== null && text !== "none" && text.trimStart()[0] !== "{";
    box.hidden = !fits;
    if (fits) form.show(text);
  }
  async function show(text) {
    await listed;
    enter(text);
    chosen();
  }
  pick.addEventListener("change", () => { chosen(); desk.choose("machine", pick.value); });
  $("machine-file").addEventListener("change", async (ev) => {
    const file = ev.target.files[0];
    if (!file) return;
    const text = asToml(await file.text());
    ev.target.value = "";
    own = null;
    await show(text);
    own = pick.selectedOptions[0];
    desk.choose("machine", text);
  });
  $("save-machine").addEventListener("click", () => {
    const text = pick.value || usual;
    pages.give(new Blob([text], { type: "application/toml" }), `${name(text).toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "machine"}.toml`);
  });
  // To the field that a finding about the machine file speaks of.
  function goTo(line) {
    box.open = true;
    (form.fieldOf(line) || box.querySelector("input")).focus();
  }
  return { show, goTo };
}
