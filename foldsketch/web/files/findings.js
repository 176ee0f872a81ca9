// What is to be settled stands first, in the page's words; what is only worth knowing is one fold away.
import { tables } from "./partfile.js";
const $ = (id) => document.getElementById(id);

export function findings(desk, goTo) {
  function item(f) {
    const li = document.createElement("li");
    li.className = f.level;
    if (f.line) {
      const b = document.createElement("button");
      b.type = "button";
      b.textContent = f.text;
      b.addEventListener("click", () => goTo(f));
      li.append(b);
    } else li.textContent = f.text;
    return li;
  }
  // Errors keep everything from being printed; warnings and notes do not.
  function tell(list) {
    const faults = list.filter((f) => f.level === "error"), rest = list.filter((f) => f.level !== "error");
    $("settle-head").textContent = faults.length ? `${faults.length} to settle ${faults.every((f) => f.of === "machine") ? "in the machine file" : "before anything is printed"}` : "Nothing to settle.";
    $("findings").replaceChildren(...faults.map(item));
    $("remarks").replaceChildren(...rest.map(item));
    const warned = rest.filter((f) => f.level === "warning").length, noted = rest.length - warned;
    const count = (n, one) => (n ? `${n} ${one}${n > 1 ? "s" : ""}` : "");
    $("notes").hidden = !rest.length;
    $("notes").firstElementChild.textContent = [count(warned, "warning"), count(noted, "note")].filter(Boolean).join(", ");
  }
  return { tell };
}
// The table of the part file that a line of it belongs to, and the key on that line.
export function placeOf(text, line) {
  const lines = text.split("\n"), at = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0), all = tables(text);
  const k = all.findIndex((t) => at >= t.head && at < t.end), key = (/^\s*(\w+)\s*=/.exec(lines[line - 1] || "") || [])[1];
  return { k, key, at, long: (lines[line - 1] || "").length };
}
