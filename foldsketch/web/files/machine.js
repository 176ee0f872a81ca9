// The machine that the set-ups are for: one of the list, one from a file, or none.
import { word } from "./partfile.js";
const $ = (id) => document.getElementById(id);

export function machine(desk) {
  const pick = $("machine");
  const name = (text) => word(text, "name") || "machine from a file";
  pick.append(new Option("the usual lathe", ""), new Option("none: the model only", "none"));
  const listed = fetch("/machines").then((a) => a.json()).catch(() => []).then((list) => {
    for (const m of list) pick.add(new Option(name(m.text), m.text), pick.options.length - 1);
  });
  // A machine from a file stands in the list under its own name.
  async function show(text) {
    await listed;
    if (![...pick.options].some((o) => o.value === text)) pick.add(new Option(name(text), text), 0);
    pick.value = text;
  }
  pick.addEventListener("change", () => desk.choose("machine", pick.value));
  $("machine-file").addEventListener("change", async (ev) => {
    const file = ev.target.files[0];
    if (!file) return;
    const text = await file.text();
    ev.target.value = "";
    await show(text);
    desk.choose("machine", text);
  });
  return { show };
}
