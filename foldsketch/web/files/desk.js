// The desk: the part file in hand with its past and future, what is asked of the server, and what comes back.
import { converted, newPart, tables, top, units, word } from "./partfile.js";
import { entry } from "./entry.js";
import { findings as makeFindings, placeOf } from "./findings.js";
import { machine } from "./machine.js";
import { moments as makeMoments } from "./moments.js";
import { opening } from "./opening.js";
import { pages as makePages } from "./pages.js";
import { plan as makePlan } from "./plan.js";
import { side as makeSide } from "./side.js";
import { table as makeTable } from "./table.js";
import { titleBlock } from "./titleblock.js";

const $ = (id) => document.getElementById(id);
const text = $("text");
const FIELDS = ["paper", "scale", "sides", "radius", "join", "card", "walls"], BOXES = ["backs"];
const KEY = "foldsketch-desk", KEPT = 2;

// The server works for each tab apart. A reload is the same tab; a copy of a tab is another one.
const reloaded = performance.getEntriesByType("navigation")[0]?.type === "reload";
const tab = (reloaded && sessionStorage.getItem("foldsketch-tab")) || String(Math.random()).slice(2);
sessionStorage.setItem("foldsketch-tab", tab);
const ask = (where, body = "") => fetch(where, { method: "POST", body, headers: { "X-Tab": tab } });
const GONE = { findings: [{ level: "error", text: "the server does not answer; start it again, nothing typed here is lost" }] };
const json = (where, body) => ask(where, body).then((a) => a.json()).catch(() => GONE);

let past = [], future = [];
let turn = 0, aside = "", shown = "", busy = false, again = false, before = null, chosen = null;
const chosenWays = { minutes: 15, hold: "", machine: "" };

function choices() {
  const found = { text: text.value, ...chosenWays };
  for (const k of FIELDS) found[k] = k === "sides" ? Number($(k).value) || null : $(k).value;
  for (const k of BOXES) found[k] = $(k).checked;
  return found;
}
// What is typed stays in the browser, with what undo needs: for this tab, and as the last word for a new one.
function keep() {
  const kept = { ...choices(), sides: $("sides").value, kept: KEPT };
  const history = { past: past.slice(-20), future: future.slice(-20) };
  for (const [store, what] of [[() => sessionStorage, { ...kept, ...history }], [() => localStorage, kept]]) {
    try { store().setItem(KEY, JSON.stringify(what)); } catch { /* a private window keeps nothing */ }
  }
}
function restore() {
  for (const store of [() => sessionStorage, () => localStorage]) {
    try {
      const kept = JSON.parse(store().getItem(KEY) || "null");
      if (!kept || typeof kept.text !== "string" || !kept.text) continue;
      text.value = kept.text;
      if (!(kept.kept >= KEPT)) kept.join = ""; // what was kept before auto came is the default of then
      for (const k of FIELDS) if (kept[k]) $(k).value = kept[k];
      for (const k of BOXES) $(k).checked = kept[k] === true;
      for (const k of Object.keys(chosenWays)) if (kept[k]) chosenWays[k] = kept[k];
      for (const [list, name] of [[past, "past"], [future, "future"]]) if (Array.isArray(kept[name])) list.push(...kept[name].filter(Array.isArray));
      return true;
    } catch { /* unreadable: as if there were none */ }
  }
  return false;
}

let ofFile = []; // what was found in the file that the part came from
function tell(list) {
  table.tell(list);
  findings.tell([...list, ...ofFile]);
}
// To the field that a finding speaks of; to the line in the text where there is none.
function goTo(found) {
  if (found.of === "machine") { moments.go("see"); return machines.goTo(found.line); }
  moments.go("say");
  const { k, key, at, long } = placeOf(text.value, found.line);
  asText(false);
  if (key && table.go(k, key)) return;
  asText(true);
  text.focus();
  text.setSelectionRange(at, at + long);
  text.scrollTop = (found.line - 4) * 20;
}
const say = (words) => { $("state").textContent = words; };

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
  moments.valid(Boolean(got.facts));
  if (got.facts) show(got, mine); else { title.none(); say(""); $("summary").textContent = "No summary: what stands first at the side has to be settled."; }
  tell(got.findings || []);
  document.body.dataset.told = String(mine);
  if (!got.facts || again) return;
  const more = await json("/setups", asked);
  if (again) return;
  window.foldsketch.setUps(more.setups || [], more.cautions || [], more.machine || "");
  $("talk-size").textContent = more.machine ? `on ${more.machine}` : "none: no machine, or nothing to turn";
  tell([...(got.findings || []), ...(more.findings || [])]);
  pages.changed();
  document.body.dataset.whole = String(mine);
  document.dispatchEvent(new Event("whole"));
}
function show(got, mine) {
  window.foldsketchShow(got.facts, $("page"), window.foldsketch?.state, $("beside"));
  $("summary").textContent = got.summary;
  title.show(got.build);
  say(aside);
  aside = "";
  document.body.dataset.made = String(mine);
  document.dispatchEvent(new Event("made"));
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
// What can be undone: the part's text and the machine that went with it.
const inHand = (value = text.value) => [value, chosenWays.machine];
function remember(value) {
  past.push(inHand(value));
  if (past.length > 200) past.shift();
  future = [];
}
function change(value) {
  if (value === text.value) return;
  remember(text.value);
  put(value);
}
// Another part, and what there is to know about where it came from.
function fresh(value, found = []) {
  ofFile = found;
  change(value);
}
function put(value) {
  text.value = shown = value;
  redraw();
  make();
}
const desk = {
  text: () => text.value, chosen: () => chosen, choices, ask, json, say, tell, change, fresh, remark: (words) => { aside = words; }, turn: () => turn,
  named: () => (word(top(text.value), "name") || "part").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "part",
  choose(key, value) {
    if (key === "machine" && value !== chosenWays.machine) { remember(text.value); redraw(); }
    chosenWays[key] = value;
    make();
  },
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
const findings = makeFindings(desk, goTo), title = titleBlock(desk), moments = makeMoments(desk, pages);
opening(desk);
entry(desk);
const machines = machine(desk, pages);

text.addEventListener("input", () => {
  if (text.value === shown) return;
  remember(shown);
  shown = text.value;
  redraw();
  make();
});
function step(from, to) {
  if (!from.length) return;
  to.push(inHand());
  const [value, machine] = from.pop();
  if (machine !== chosenWays.machine) machines.show((chosenWays.machine = machine));
  put(value);
}
const back = () => step(past, future), forth = () => step(future, past);
$("undo").addEventListener("click", back);
$("redo").addEventListener("click", forth);
document.addEventListener("keydown", (ev) => {
  if (!(ev.ctrlKey || ev.metaKey) || ev.altKey || ev.target.matches("textarea, input:not([type=range]):not([type=checkbox]):not([type=radio])")) return;
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
function choose(name) { chosen = name; table.choose(chosen); plan.draw(chosen); side.draw(chosen); }
$("page").addEventListener("chosen", (ev) => choose(ev.detail));
$("cancel").addEventListener("click", () => { ask("/cancel").catch(() => {}); $("cancel").hidden = true; say("stopped"); });
for (const id of [...FIELDS, ...BOXES]) $(id).addEventListener("change", make);
$("save").addEventListener("click", () => pages.give(new Blob([text.value], { type: "application/toml" }), desk.named() + ".toml"));

(async () => {
  const list = await (await fetch("/samples")).json().catch(() => []), pick = $("sample");
  pick.append(new Option("Begin with …", ""), new Option("a new part in mm", newPart("mm")), new Option("a new part in inches", newPart("in")));
  for (const s of list) pick.append(new Option(s.name, s.text));
  pick.addEventListener("change", () => { if (pick.value) fresh(pick.value); pick.value = ""; });
  if (!restore()) text.value = (list.find((s) => s.name === "bilge pump cover") || { text: newPart("mm") }).text;
  machines.show(chosenWays.machine);
  shown = text.value;
  redraw();
  make();
})();
