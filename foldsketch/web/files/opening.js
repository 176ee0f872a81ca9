// Files from outside: part files as they are, meshes with the unit that the user says, STEP and IGES with their own.
import { quoted, setKey } from "./partfile.js";
const $ = (id) => document.getElementById(id);
const MESHES = [".stl", ".ply", ".obj", ".off", ".3mf", ".glb"], CAD = [".step", ".stp", ".iges", ".igs"];

export function opening(desk) {
  // A mesh names no unit: the user says which it is, and nothing is guessed.
  function unitOf(name) {
    const box = $("which-unit"), go = $("unit-go");
    for (const r of box.querySelectorAll("input")) r.checked = false;
    go.disabled = true;
    $("unit-of").textContent = name;
    box.returnValue = "";
    box.showModal();
    return new Promise((done) => { box.addEventListener("close", () => done(box.returnValue === "read" ? box.querySelector("input:checked")?.value : null), { once: true }); });
  }
  // Of a file with several bodies the user says which; numbers as the command read has them.
  function bodiesOf(list) {
    const box = $("which-bodies"), go = $("bodies-go");
    $("bodies").replaceChildren(...list.map((b, k) => {
      const line = document.createElement("label"), tick = document.createElement("input");
      Object.assign(tick, { type: "checkbox", value: b.number, checked: k === list.findIndex((v) => v.round), disabled: !b.round });
      line.className = "box";
      line.append(tick, `${b.number}: ${b.words}`);
      return line;
    }));
    const ticked = () => [...box.querySelectorAll("input:checked")].map((e) => e.value).join(",");
    box.onchange = () => { go.disabled = !ticked(); };
    box.onchange();
    box.returnValue = "";
    box.showModal();
    return new Promise((done) => { box.addEventListener("close", () => done(box.returnValue === "read" ? ticked() : null), { once: true }); });
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
    if (ending === ".toml" || ending === ".json") return desk.fresh(await file.text());
    const kinds = `part files end in .toml or .json, meshes in ${MESHES.join(", ")}, CAD files in ${CAD.join(", ")}`;
    if (![...MESHES, ...CAD].includes(ending)) return desk.tell([{ level: "error", text: `${file.name}: ${kinds}` }]);
    const unit = CAD.includes(ending) ? "" : await unitOf(file.name);
    if (!unit && !CAD.includes(ending)) return desk.say("not read");
    let asking = true; // not while a question stands on the page
    const told = setInterval(async () => {
      const now = asking ? await desk.json("/stage") : {};
      if (asking && now.stage) desk.say(`reading the file: ${now.stage}, ${Math.round(100 * now.done)} % …`);
    }, 300);
    desk.say("reading the file …");
    $("cancel").hidden = false;
    let asked = `/read?ending=${encodeURIComponent(ending)}&units=${encodeURIComponent(unit)}`;
    const read = async (more) => { asking = true; const answer = await desk.json((asked += more), file); asking = false; return answer; };
    let got = await read("");
    const bodies = got.bodies && (await bodiesOf(got.bodies));
    if (bodies) got = await read(`&body=${encodeURIComponent(bodies)}`);
    if (got.unlike && await takesAnyway(got.findings[0].text)) got = await read("&anyway=1");
    clearInterval(told);
    $("cancel").hidden = true;
    if (got.text) return desk.fresh(setKey(got.text, null, "name", quoted(file.name.slice(0, -ending.length).slice(0, 60) || "mesh")), got.findings);
    desk.tell(got.findings || []);
    desk.say(got.bodies ? "not read" : "not read: what stands first at the side says why");
  }
  $("file").addEventListener("change", (ev) => { if (ev.target.files[0]) open(ev.target.files[0]); ev.target.value = ""; });
  document.addEventListener("dragover", (ev) => ev.preventDefault());
  document.addEventListener("drop", (ev) => { ev.preventDefault(); if (ev.dataTransfer.files[0]) open(ev.dataTransfer.files[0]); });
}
