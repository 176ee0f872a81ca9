// The quick entry: lines as they are spoken. The server says what it heard of each; the part changes only when that is taken.
import { paints, quoted, setKey, tables, units, word } from "./partfile.js";
const $ = (id) => document.getElementById(id);

export function entry(desk) {
  const box = $("spoken"), form = $("entry");
  let asked = 0, got = null, waiting = 0;
  function tell(words, fault) {
    $("heard").textContent = words;
    $("heard").classList.toggle("fault", Boolean(fault));
  }
  function show() {
    const lines = got ? got.lines : [], letters = [...new Set([...lines.flatMap((l) => l.axes), ...tables(desk.text()).filter((t) => t.kind === "axis").map((t) => word(t.body, "name") || "")])], paint = paints(letters);
    const fault = lines.some((l) => l.fault);
    form.classList.toggle("heard", Boolean(got));
    $("heard-lines").hidden = !lines.length;
    $("heard-lines").replaceChildren(...lines.map((l) => {
      const li = document.createElement("li"), axis = document.createElement("span"), what = document.createElement("span");
      axis.textContent = l.fault ? "?" : l.axes.length > 2 ? `${l.axes[0]}–${l.axes[l.axes.length - 1]}` : l.axes.join(" ") || "·";
      axis.className = `letter ${l.axes.length === 1 ? paint(l.axes[0]) : ""}`;
      what.textContent = l.fault ? `${l.said}: ${l.words}` : l.words;
      if (l.fault) li.className = "fault";
      li.append(axis, what);
      return li;
    }));
    tell(got ? got.heard : "", fault);
    $("take-new").disabled = !(got && got.text);
    $("take-more").disabled = !(got && (got.more || Object.keys(got.keys).length));
    $("take-more").textContent = got && got.more ? `Add it to the part, on ${got.onto.join(", ")}` : "Add it to the part";
  }
  async function listen() {
    const mine = ++asked, said = box.value;
    if (!said.trim()) { got = null; return show(); }
    const answer = await desk.json("/say", JSON.stringify({ said, units: units(desk.text()), text: desk.text() }));
    if (mine !== asked) return;
    got = answer.lines ? answer : null;
    show();
    if (!answer.lines) tell(answer.findings[0].text, true);
    document.body.dataset.heard = said;
  }
  box.addEventListener("input", () => { clearTimeout(waiting); got = null; asked++; waiting = setTimeout(listen, 150); });
  function take(text, words, put = desk.change) {
    box.value = "";
    got = null;
    show();
    tell(words);
    put(text);
  }
  form.addEventListener("submit", async (ev) => {
    ev.preventDefault();
    if (!got) await listen();
    if (got && got.text) take(got.text, "Taken as the part. Undo brings the one before back.", desk.fresh);
  });
  $("take-more").addEventListener("click", () => {
    if ($("take-more").disabled) return;
    const said = Object.entries(got.keys).reduce((text, [key, value]) => setKey(text, null, key, quoted(value)), desk.text());
    take(got.more ? `${said.trimEnd()}\n\n${got.more}` : said, "Added to the part.");
  });
  // Enter takes what is shown; with shift, or while a line is not understood, it begins another line.
  box.addEventListener("keydown", (ev) => {
    if (ev.key !== "Enter" || ev.shiftKey || (got && !got.text)) return;
    ev.preventDefault();
    form.requestSubmit($("take-new").disabled ? null : $("take-new"));
  });
}
