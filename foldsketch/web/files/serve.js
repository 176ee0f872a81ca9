"use strict";
// The local page: the part file as text and as a plan whose centres can be dragged; everything else comes from the server.
(() => {
  const $ = (id) => document.getElementById(id);
  const text = $("text"), state = $("state"), findings = $("findings"), plan = $("plan");
  const KEY = "foldsketch-desk";
  // The server works for each tab apart.
  const tab = sessionStorage.getItem("foldsketch-tab") || String(Math.random()).slice(2);
  sessionStorage.setItem("foldsketch-tab", tab);
  const ask = (where, body = "") => fetch(where, { method: "POST", body, headers: { "X-Tab": tab } });
  const past = [], future = [];
  let turn = 0, shown = "", timer = 0;

  function choices() {
    return { text: text.value, paper: $("paper").value, scale: $("scale").value, sides: Number($("sides").value) || null,
      radius: $("radius").value, join: $("join").value };
  }
  function keep() {
    try { localStorage.setItem(KEY, JSON.stringify({ ...choices(), sides: $("sides").value })); } catch { /* a private window keeps nothing */ }
  }
  function restore() {
    try {
      const kept = JSON.parse(localStorage.getItem(KEY) || "null");
      if (!kept || typeof kept.text !== "string" || !kept.text) return false;
      text.value = kept.text;
      for (const k of ["paper", "scale", "sides", "radius", "join"]) if (kept[k]) $(k).value = kept[k];
      return true;
    } catch { return false; }
  }

  function tell(list) {
    entries.tell(list);
    findings.replaceChildren();
    for (const f of list) {
      const li = document.createElement("li");
      li.className = f.level;
      const line = /line (\d+)/.exec(f.text);
      if (line) {
        const b = document.createElement("button");
        b.type = "button";
        b.textContent = f.text;
        b.addEventListener("click", () => goTo(Number(line[1])));
        li.append(b);
      } else li.textContent = f.text;
      findings.append(li);
    }
  }
  function goTo(line) {
    const lines = text.value.split("\n");
    const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    text.focus();
    text.setSelectionRange(start, start + (lines[line - 1] || "").length);
    text.scrollTop = (line - 4) * 20;
  }
  function images(where, pages, name) {
    for (const old of where.querySelectorAll("img")) URL.revokeObjectURL(old.src);
    where.replaceChildren(...pages.map((svg, k) => {
      const img = document.createElement("img");
      img.alt = `${name} ${k + 1} of ${pages.length}`;
      img.src = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
      return img;
    }));
  }

  async function make() {
    const mine = ++turn;
    keep();
    drawPlan();
    state.textContent = "folding …";
    $("cancel").hidden = false;
    let got;
    try {
      const answer = await ask("/make", JSON.stringify(choices()));
      got = await answer.json();
    } catch {
      got = { findings: [{ level: "error", text: "the server does not answer; start it again, nothing typed here is lost" }] };
    }
    if (mine !== turn) return; // a newer edit is on its way
    $("cancel").hidden = true;
    tell(got.findings || []);
    if (!got.facts) { state.textContent = "see the findings"; return; }
    const before = window.foldsketch ? { ...window.foldsketch.state } : null;
    window.foldsketchShow(got.facts, $("page"));
    if (before) {
      for (const k of ["zoom", "tilt", "swing"]) window.foldsketch.state[k] = before[k];
      window.foldsketch.place();
    }
    stale.add("sheets").add("talk");
    pages();
    $("summary").textContent = got.summary;
    state.textContent = `${got.facts.panels} panels on ${got.sheets} sheet${got.sheets > 1 ? "s" : ""}, ${got.facts.scale}`;
    document.body.dataset.made = String(mine);
  }
  // Sheets and talk sheets are fetched when their view is looked at.
  const stale = new Set();
  async function pages() {
    const which = ["sheets", "talk"].find((v) => !$(v).hidden && stale.has(v));
    if (!which) return;
    stale.delete(which);
    const mine = turn;
    const got = await (await ask("/pages", JSON.stringify({ ...choices(), which }))).json();
    if (mine === turn && got.pages) images($(which), got.pages, which === "talk" ? "talk sheet" : "sheet");
  }
  function soon() { clearTimeout(timer); timer = setTimeout(make, 40); }
  function change(value, remember = true) {
    if (remember) { past.push(text.value); future.length = 0; if (past.length > 200) past.shift(); }
    text.value = value;
    shown = value;
    soon();
  }

  // ---- the plan: circles of the features, centres that can be dragged ------------------------------------------------
  const number = (s, k) => { const m = new RegExp(`^\\s*${k}\\s*=\\s*(-?[\\d.]+)`, "m").exec(s); return m ? Number(m[1]) : null; };
  const word = (s, k) => { const m = new RegExp(`^\\s*${k}\\s*=\\s*"([^"]*)"`, "m").exec(s); return m ? m[1] : null; };
  function tables() {
    // Where each [[axis]] and [[feature]] table stands in the text.
    const found = [];
    const heads = [...text.value.matchAll(/^\s*\[\[\s*(axis|feature)\s*\]\]\s*(?:#.*)?$/gm)];
    heads.forEach((h, k) => {
      const start = h.index + h[0].length, end = k + 1 < heads.length ? heads[k + 1].index : text.value.length;
      found.push({ kind: h[1], head: h.index, start, end, body: text.value.slice(start, end) });
    });
    return found;
  }
  function sketch() {
    const axes = new Map(), rounds = [];
    for (const t of tables()) {
      if (t.kind === "axis") {
        const at = /^\s*at\s*=\s*\[\s*(-?[\d.]+)\s*,\s*(-?[\d.]+)\s*\]/m.exec(t.body);
        const offset = number(t.body, "offset"), angle = number(t.body, "angle") || 0, from = word(t.body, "from");
        if (at) axes.set(word(t.body, "name"), { t, x: Number(at[1]), y: Number(at[2]), polar: false });
        else if (offset !== null) {
          const o = axes.get(from) || [...axes.values()][0] || { x: 0, y: 0 };
          axes.set(word(t.body, "name"), { t, x: o.x + offset * Math.cos(angle * Math.PI / 180), y: o.y + offset * Math.sin(angle * Math.PI / 180), polar: true, o });
        }
      } else {
        const d = number(t.body, "diameter") ?? number(t.body, "start_diameter") ?? number(t.body, "across_flats");
        const start = number(t.body, "start"), long = number(t.body, "length");
        const end = number(t.body, "end") ?? (start !== null && long !== null ? start + long : null);
        if (d > 0) rounds.push({ start: start ?? NaN, end: end ?? NaN, axis: word(t.body, "axis"), r: d / 2, cut: /^\s*cut\s*=\s*true/m.test(t.body), name: word(t.body, "name") });
      }
    }
    return { axes, rounds };
  }
  const NS = "http://www.w3.org/2000/svg";
  function el(tag, props, words) {
    const e = document.createElementNS(NS, tag);
    for (const [k, v] of Object.entries(props)) e.setAttribute(k, v);
    if (words) e.textContent = words;
    plan.append(e);
    return e;
  }
  const entries = window.foldsketchTable($("entries"), { tables, change, text: () => text.value });
  function drawPlan() {
    entries.draw();
    const { axes, rounds } = sketch();
    plan.replaceChildren();
    const marks = rounds.filter((r) => axes.has(r.axis)).map((r) => ({ ...r, ...axes.get(r.axis) }));
    window.foldsketchSide($("side"), marks);
    if (!marks.length) return;
    const far = Math.max(...marks.map((m) => Math.hypot(m.x, m.y) + m.r), 1) * 1.12;
    plan.setAttribute("viewBox", `${-far} ${-far} ${2 * far} ${2 * far}`);
    for (const m of marks) el("circle", { cx: m.x, cy: -m.y, r: m.r, class: m.cut ? "round cut" : "round" });
    const first = [...axes.values()][0];
    let k = 0;
    for (const [name, a] of axes) {
      if (a !== first) el("line", { x1: first.x, y1: -first.y, x2: a.x, y2: -a.y, class: "dim" });
      const dot = el("circle", { cx: a.x, cy: -a.y, r: far / 34, class: k++ ? "axis" : "datum", tabindex: k > 1 ? 0 : -1,
        role: k > 1 ? "slider" : "img", "aria-label": `axis ${name} at ${a.x.toFixed(1)}, ${a.y.toFixed(1)}` });
      if (k > 1) { dot.setAttribute("aria-valuenow", a.x.toFixed(1)); dot.setAttribute("aria-valuetext", `${a.x.toFixed(1)}, ${a.y.toFixed(1)}`); }
      el("text", { x: a.x + far / 25, y: -a.y - far / 30, "font-size": far / 7 }, name);
      if (k > 1) grip(dot, name, a);
    }
  }
  function grip(dot, name, a) {
    const move = (x, y) => {
      // Centres snap to half millimetres and angles to whole degrees.
      const body = a.t.body;
      let next;
      if (a.polar) {
        const d = Math.round(Math.hypot(x - a.o.x, y - a.o.y) * 2) / 2, g = Math.round(Math.atan2(y - a.o.y, x - a.o.x) * 180 / Math.PI);
        next = body.replace(/^(\s*offset\s*=\s*)-?[\d.]+/m, `$1${d}`);
        next = /^\s*angle\s*=/m.test(next) ? next.replace(/^(\s*angle\s*=\s*)-?[\d.]+/m, `$1${(g + 360) % 360}`) : next.replace(/^(\s*offset\s*=.*)$/m, `$1\nangle  = ${(g + 360) % 360}`);
      } else next = body.replace(/^(\s*at\s*=\s*)\[[^\]]*\]/m, `$1[${Math.round(x * 2) / 2}, ${Math.round(y * 2) / 2}]`);
      change(text.value.slice(0, a.t.start) + next + text.value.slice(a.t.end));
      drawPlan();
    };
    dot.addEventListener("pointerdown", (ev) => {
      ev.preventDefault();
      dot.setPointerCapture(ev.pointerId);
      dot.addEventListener("pointermove", (e) => {
        const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(plan.getScreenCTM().inverse());
        dot.setAttribute("cx", p.x);
        dot.setAttribute("cy", p.y);
      });
      dot.addEventListener("pointerup", (e) => {
        const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(plan.getScreenCTM().inverse());
        move(p.x, -p.y);
      }, { once: true });
    });
    dot.addEventListener("keydown", (ev) => {
      const step = { ArrowLeft: [-0.5, 0], ArrowRight: [0.5, 0], ArrowUp: [0, 0.5], ArrowDown: [0, -0.5] }[ev.key];
      if (!step) return;
      ev.preventDefault();
      move(a.x + step[0], a.y + step[1]);
      const again = [...plan.querySelectorAll(".axis")].find((d) => d.getAttribute("aria-label").startsWith(`axis ${name} `));
      if (again) again.focus();
    });
  }

  // ---- files ---------------------------------------------------------------------------------------------------------
  async function open(file) {
    const ending = "." + file.name.split(".").pop().toLowerCase();
    if (ending === ".toml" || ending === ".json") return change(await file.text());
    state.textContent = "reading the mesh …";
    $("cancel").hidden = false;
    const where = `/read?ending=${encodeURIComponent(ending)}&units=${encodeURIComponent($("units").value)}`;
    const got = await (await ask(where, file)).json().catch(() => ({ findings: [{ level: "error", text: "the mesh could not be read" }] }));
    $("cancel").hidden = true;
    tell(got.findings || []);
    if (got.text) change(got.text); else state.textContent = "see the findings";
  }
  function give(blob, name) {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(blob);
    a.download = name;
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 5000);
  }
  const named = () => (word(text.value, "name") || "part").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "part";

  text.addEventListener("input", () => { if (text.value === shown) return; past.push(shown); future.length = 0; shown = text.value; soon(); });
  $("undo").addEventListener("click", () => { if (past.length) { future.push(text.value); change(past.pop(), false); } });
  $("redo").addEventListener("click", () => { if (future.length) { past.push(text.value); change(future.pop(), false); } });
  $("save").addEventListener("click", () => give(new Blob([text.value], { type: "application/toml" }), named() + ".toml"));
  $("file").addEventListener("change", (ev) => { if (ev.target.files[0]) open(ev.target.files[0]); });
  document.addEventListener("dragover", (ev) => ev.preventDefault());
  document.addEventListener("drop", (ev) => { ev.preventDefault(); if (ev.dataTransfer.files[0]) open(ev.dataTransfer.files[0]); });
  $("cancel").addEventListener("click", () => { turn++; ask("/cancel"); $("cancel").hidden = true; state.textContent = "stopped"; });
  for (const id of ["paper", "scale", "sides", "radius", "join"]) $(id).addEventListener("change", soon);
  for (const b of document.querySelectorAll("nav button")) b.addEventListener("click", () => {
    for (const o of document.querySelectorAll("nav button")) o.setAttribute("aria-pressed", String(o === b));
    for (const v of document.querySelectorAll(".shown > [data-view]")) v.hidden = v.dataset.view !== b.dataset.view;
    pages();
  });
  for (const b of document.querySelectorAll("[data-download]")) b.addEventListener("click", async () => {
    state.textContent = "writing …";
    const answer = await ask("/download/" + b.dataset.download, JSON.stringify(choices()));
    if (answer.ok) { give(await answer.blob(), `${named()}-${b.dataset.download}`); state.textContent = "saved"; }
    else { tell((await answer.json()).findings || []); state.textContent = "see the findings"; }
  });

  (async () => {
    const list = await (await fetch("/samples")).json().catch(() => []);
    const pick = $("sample");
    pick.append(new Option("a sample …", ""));
    for (const s of list) pick.append(new Option(s.name, s.text));
    pick.addEventListener("change", () => { if (pick.value) change(pick.value); });
    if (!restore() && list.length) text.value = (list.find((s) => s.name === "bilge pump cover") || list[0]).text;
    shown = text.value;
    make();
  })();
})();
