// The desk: the part file in hand with its past and future, what is asked of the server, and what comes back.
import { converted, newPart, quoted, setKey, top, units, word } from "./partfile.js";
import { pages as makePages } from "./pages.js";
import { plan as makePlan } from "./plan.js";
import { side as makeSide } from "./side.js";
import { table as makeTable } from "./table.js";

const $ = (id) => document.getElementById(id);
const text = $("text"), state = $("state"), findings = $("findings");
const CHOICES = ["minutes", "paper", "scale", "sides", "radius", "join", "card", "walls"], BOXES = ["backs"];
const KEY = "foldsketch-desk", KEPT = 2, MESHES = [".stl", ".ply", ".obj", ".off", ".3mf", ".glb"], CAD = [".step", ".stp", ".iges", ".igs"];

// The server works for each tab apart. A reload is the same tab; a copy of a tab is another one.
const reloaded = performance.getEntriesByType("navigation")[0]?.type === "reload";
const tab = (reloaded && sessionStorage.getItem("foldsketch-tab")) || String(Math.random()).slice(2);
sessionStorage.setItem("foldsketch-tab", tab);
const ask = (where, body = "") => fetch(where, { method: "POST", body, headers: { "X-Tab": tab } });
const GONE = { findings: [{ level: "error", text: "the server does not answer; start it again, nothing typed here is lost" }] };
const json = (where, body) => ask(where, body).then((a) => a.json()).catch(() => GONE);

const past = [], future = [];
let turn = 0, aside = "", shown = "", busy = false, again = false, before = null, chosen = null;

function choices() {
  const found = { text: text.value, sides: Number($("sides").value) || null };
  for (const k of CHOICES) if (k !== "sides") found[k] = $(k).value;
  for (const k of BOXES) found[k] = $(k).checked;
  return found;
}
// What is typed stays in the browser: for this tab, and as the last word for a new one.
function keep() {
  const kept = JSON.stringify({ ...choices(), sides: $("sides").value, kept: KEPT });
  for (const store of [() => sessionStorage, () => localStorage]) try { store().setItem(KEY, kept); } catch { /* a private window keeps nothing */ }
}
function restore() {
  for (const store of [() => sessionStorage, () => localStorage]) {
    try {
      const kept = JSON.parse(store().getItem(KEY) || "null");
      if (!kept || typeof kept.text !== "string" || !kept.text) continue;
      text.value = kept.text;
      if (kept.kept !== KEPT) kept.join = ""; // what was kept before auto came is the default of then
      for (const k of CHOICES) if (kept[k]) $(k).value = kept[k];
      for (const k of BOXES) $(k).checked = kept[k] === true;
      return true;
    } catch { /* unreadable: as if there were none */ }
  }
  return false;
}

function tell(list) {
  table.tell(list);
  findings.replaceChildren(...list.map((f) => {
    const li = document.createElement("li"), line = /line (\d+)/.exec(f.text);
    li.className = f.level;
    if (line) {
      const b = document.createElement("button");
      b.type = "button";
      b.textContent = f.text;
      b.addEventListener("click", () => goTo(Number(line[1])));
      li.append(b);
    } else li.textContent = f.text;
    return li;
  }));
}
function goTo(line) {
  asText(true);
  const lines = text.value.split("\n"), start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  text.focus();
  text.setSelectionRange(start, start + (lines[line - 1] || "").length);
  text.scrollTop = (line - 4) * 20;
}
const say = (words) => { state.textContent = words; };

// ---- from the text to the model: one question at a time, the newest text next --------------------------------------
async function make() {
  if (busy) { again = true; return; }
  busy = true;
  do { again = false; await once(); } while (again);
  busy = false;
}
async function once() {
  const mine = ++turn, late = setTimeout(() => { $("cancel").hidden = false; say("folding …"); }, 400);
  keep();
  const asked = JSON.stringify(choices()), got = await json("/make", asked);
  clearTimeout(late);
  $("cancel").hidden = true;
  if (got.facts) show(got, mine); else say("see the findings; what is shown is the last good model");
  tell(got.findings || []);
  if (!got.facts || again) return;
  const more = await json("/setups", asked);
  if (again) return;
  window.foldsketch.setUps(more.setups || [], more.cautions || []);
  tell([...(got.findings || []), ...(more.findings || [])]);
  pages.changed();
  document.body.dataset.whole = String(mine);
}
function show(got, mine) {
  window.foldsketchShow(got.facts, $("page"), window.foldsketch?.state);
  $("summary").textContent = got.summary;
  say(`${got.facts.panels} panels on ${got.sheets} sheet${got.sheets > 1 ? "s" : ""}, ${got.facts.scale}${aside && `; ${aside}`}`);
  aside = "";
  document.body.dataset.made = String(mine);
}

// ---- changes ---------------------------------------------------------------------------------------------------------
function redraw() {
  table.draw();
  plan.draw(chosen);
  side.draw(chosen);
  $("units").value = units(text.value);
  $("units").disabled = text.value.trimStart()[0] === "{";
  $("undo").disabled = !past.length;
  $("redo").disabled = !future.length;
}
function remember(value) {
  past.push(value);
  if (past.length > 200) past.shift();
  future.length = 0;
}
function change(value) {
  if (value === text.value) return;
  remember(text.value);
  put(value);
}
function put(value) {
  text.value = shown = value;
  redraw();
  make();
}
const desk = {
  text: () => text.value, choices, ask, json, say, tell, change, remark: (words) => { aside = words; }, turn: () => turn,
  named: () => (word(top(text.value), "name") || "part").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "part",
  // While something is dragged: the text follows, the drawings rest, and one step back undoes it all.
  before: () => before ?? text.value,
  live(value) {
    before = before ?? text.value;
    if (value === text.value) return;
    text.value = shown = value;
    table.draw();
    make();
  },
  settle() {
    if (before !== null && before !== text.value) remember(before);
    before = null;
    redraw();
  },
  drop() { const was = before; before = null; if (was !== null) put(was); },
};
const table = makeTable($("entries"), desk), plan = makePlan($("plan"), desk), side = makeSide($("side"), desk), pages = makePages(desk);

text.addEventListener("input", () => {
  if (text.value === shown) return;
  remember(shown);
  shown = text.value;
  redraw();
  make();
});
function back() { if (past.length) { future.push(text.value); put(past.pop()); } }
function forth() { if (future.length) { past.push(text.value); put(future.pop()); } }
$("undo").addEventListener("click", back);
$("redo").addEventListener("click", forth);
document.addEventListener("keydown", (ev) => {
  if (!(ev.ctrlKey || ev.metaKey) || ev.altKey || ev.target.matches("textarea, input:not([type=range]):not([type=checkbox])")) return;
  const key = ev.key.toLowerCase();
  if (key === "z") { ev.preventDefault(); (ev.shiftKey ? forth : back)(); }
  else if (key === "y") { ev.preventDefault(); forth(); }
});
$("units").addEventListener("change", () => change(converted(text.value, $("units").value)));
function asText(on) {
  $("written").hidden = !on;
  $("entries").hidden = on;
  $("as-text").setAttribute("aria-pressed", String(on));
  $("as-table").setAttribute("aria-pressed", String(!on));
}
$("as-text").addEventListener("click", () => asText(true));
$("as-table").addEventListener("click", () => asText(false));
$("page").addEventListener("chosen", (ev) => { chosen = ev.detail; table.choose(chosen); plan.draw(chosen); side.draw(chosen); });
$("cancel").addEventListener("click", () => { ask("/cancel").catch(() => {}); $("cancel").hidden = true; say("stopped"); });
for (const id of [...CHOICES, ...BOXES]) $(id).addEventListener("change", make);

// ---- files -----------------------------------------------------------------------------------------------------------
// A mesh names no unit: the user says which it is, and nothing is guessed. STEP and IGES have their own.
function unitOf(name) {
  const box = $("which-unit"), go = $("unit-go");
  for (const r of box.querySelectorAll("input")) r.checked = false;
  go.disabled = true;
  $("unit-of").textContent = name;
  box.returnValue = "";
  box.showModal();
  return new Promise((done) => { box.addEventListener("close", () => done(box.returnValue === "read" ? box.querySelector("input:checked")?.value : null), { once: true }); });
}
// A model that is far off its file is only taken when the user says so.
function takesAnyway(why) {
  const box = $("anyway");
  $("anyway-why").textContent = why;
  box.returnValue = "";
  box.showModal();
  return new Promise((done) => { box.addEventListener("close", () => done(box.returnValue === "read"), { once: true }); });
}
$("which-unit").addEventListener("change", () => { $("unit-go").disabled = false; });
async function open(file) {
  const ending = "." + file.name.split(".").pop().toLowerCase();
  if (ending === ".toml" || ending === ".json") return change(await file.text());
  const kinds = `part files end in .toml or .json, meshes in ${MESHES.join(", ")}, CAD files in ${CAD.join(", ")}`;
  if (![...MESHES, ...CAD].includes(ending)) return tell([{ level: "error", text: `${file.name}: ${kinds}` }]);
  const unit = CAD.includes(ending) ? "" : await unitOf(file.name);
  if (!unit && !CAD.includes(ending)) return say("not read");
  const told = setInterval(async () => {
    const now = await json("/stage");
    if (now.stage) say(`reading the file: ${now.stage}, ${Math.round(100 * now.done)} % …`);
  }, 300);
  say("reading the file …");
  $("cancel").hidden = false;
  const asked = `/read?ending=${encodeURIComponent(ending)}&units=${encodeURIComponent(unit)}`;
  let got = await json(asked, file);
  if (got.unlike && await takesAnyway(got.findings[0].text)) got = await json(`${asked}&anyway=1`, file);
  clearInterval(told);
  $("cancel").hidden = true;
  tell(got.findings || []);
  if (got.text) change(setKey(got.text, null, "name", quoted(file.name.slice(0, -ending.length).slice(0, 60) || "mesh"))); else say("see the findings");
}
$("save").addEventListener("click", () => pages.give(new Blob([text.value], { type: "application/toml" }), desk.named() + ".toml"));
$("file").addEventListener("change", (ev) => { if (ev.target.files[0]) open(ev.target.files[0]); ev.target.value = ""; });
document.addEventListener("dragover", (ev) => ev.preventDefault());
document.addEventListener("drop", (ev) => { ev.preventDefault(); if (ev.dataTransfer.files[0]) open(ev.dataTransfer.files[0]); });

(async () => {
  const list = await (await fetch("/samples")).json().catch(() => []), pick = $("sample");
  pick.append(new Option("choose …", ""), new Option("a new part in mm", newPart("mm")), new Option("a new part in inches", newPart("in")));
  for (const s of list) pick.append(new Option(s.name, s.text));
  pick.addEventListener("change", () => { if (pick.value) change(pick.value); pick.value = ""; });
  if (!restore()) text.value = (list.find((s) => s.name === "bilge pump cover") || { text: newPart("mm") }).text;
  shown = text.value;
  redraw();
  make();
})();
