// What prints: sheets, booklet and set-up sheets as they will come out of the printer, and the files to save.
const $ = (id) => document.getElementById(id);
const NAMES = { sheets: "sheet", booklet: "booklet page", talk: "set-up sheet" };

export function pages(desk) {
  const stale = new Set();
  function images(where, svgs, name) {
    for (const old of where.querySelectorAll("img")) URL.revokeObjectURL(old.src);
    where.replaceChildren(...svgs.map((svg, k) => {
      const img = document.createElement("img");
      img.alt = `${name} ${k + 1} of ${svgs.length}`;
      img.src = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
      return img;
    }));
    const m = /<svg[^>]*>/.exec(svgs[0] || ""), mm = (k) => (m ? (new RegExp(`\\s${k}="([\\d.]+)mm"`).exec(m[0]) || [])[1] : null);
    where.dataset.paper = mm("width") && mm("height") ? `${mm("width")}mm ${mm("height")}mm` : "";
    paper();
    if (!svgs.length) where.textContent = "There is nothing to draw here; the findings say why.";
  }
  // The browser's printer gets paper of the size of what is looked at, so that 100 % is true and nothing is cut off.
  const size = new CSSStyleSheet();
  document.adoptedStyleSheets = [size];
  function paper() {
    const seen = Object.keys(NAMES).map($).find((v) => !v.hidden && v.dataset.paper);
    size.replaceSync(seen ? `@page { size: ${seen.dataset.paper}; margin: 0; }` : "");
  }
  // A view is fetched when it is looked at and something has changed since.
  async function show() {
    const which = Object.keys(NAMES).find((v) => !$(v).hidden && stale.has(v));
    if (!which) return;
    stale.delete(which);
    const mine = desk.turn();
    const got = await desk.json("/pages", JSON.stringify({ ...desk.choices(), which }));
    if (mine === desk.turn() && got.pages) images($(which), got.pages, NAMES[which]);
    else if (mine !== desk.turn()) stale.add(which);
  }
  function give(blob, name) {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(blob);
    a.download = name;
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 5000);
  }
  for (const b of document.querySelectorAll("nav button")) b.addEventListener("click", () => {
    for (const o of document.querySelectorAll("nav button")) o.setAttribute("aria-pressed", String(o === b));
    for (const v of document.querySelectorAll(".shown > [data-view]")) v.hidden = v.dataset.view !== b.dataset.view;
    $("print").hidden = !(b.dataset.view in NAMES);
    paper();
    show();
  });
  $("print").addEventListener("click", () => window.print());
  for (const b of document.querySelectorAll("[data-download]")) b.addEventListener("click", async () => {
    desk.say("writing …");
    let answer;
    try { answer = await desk.ask("/download/" + b.dataset.download, JSON.stringify(desk.choices())); } catch { return desk.say("the server does not answer"); }
    if (!answer.ok) { desk.tell((await answer.json().catch(() => ({}))).findings || []); return desk.say("see the findings"); }
    give(await answer.blob(), `${desk.named()}-${b.dataset.download}`);
    desk.say(b.dataset.download === "all.zip" && !able.dxf ? "saved, without DXF: that needs the dxf extra" : "saved");
  });
  let able = { dxf: true };
  (async () => {
    able = await (await fetch("/able")).json().catch(() => able);
    const b = document.querySelector("[data-download='sheets-dxf.zip']");
    b.disabled = !able.dxf;
    if (!able.dxf) b.title = "needs the dxf extra: pip install -e '.[dxf]'";
  })();
  return { show, give, changed: () => { for (const v of Object.keys(NAMES)) stale.add(v); show(); } };
}
