// What prints: sheets, booklet, set-up sheets and by-hand page as they will come out of the printer, and the files to save.
const $ = (id) => document.getElementById(id);
const NAMES = { sheets: "sheet", booklet: "booklet page", talk: "set-up sheet", "by-hand": "by-hand page" };

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
  }
  // The browser's printer gets paper of the size of what is looked at, so that 100 % is true and nothing is cut off.
  const size = new CSSStyleSheet();
  document.adoptedStyleSheets = [size];
  const taking = () => document.body.dataset.moment === "take";
  function paper() {
    const seen = taking() && Object.keys(NAMES).map($).find((v) => !v.hidden && v.dataset.paper);
    size.replaceSync(seen ? `@page { size: ${seen.dataset.paper}; margin: 0; }` : "");
  }
  // A view is fetched when it is looked at and something has changed since.
  async function show() {
    paper();
    const which = taking() && Object.keys(NAMES).find((v) => !$(v).hidden && stale.has(v));
    if (!which) return;
    stale.delete(which);
    const mine = desk.turn();
    const got = await desk.json("/pages", JSON.stringify({ ...desk.choices(), which }));
    if (mine !== desk.turn()) { stale.add(which); return; }
    if (got.pages && got.pages.length) return images($(which), got.pages, NAMES[which]);
    const why = document.createElement("p");
    why.textContent = (got.findings || []).map((f) => f.text).join(" ") || "There is nothing to draw here; the notes say why.";
    $(which).replaceChildren(why);
  }
  function give(blob, name) {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(blob);
    a.download = name;
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 5000);
  }
  for (const b of document.querySelectorAll("[data-show]")) b.addEventListener("click", () => {
    for (const o of document.querySelectorAll("[data-show]")) o.setAttribute("aria-pressed", String(o === b));
    for (const v of document.querySelectorAll("#prints > [data-view]")) v.hidden = v.dataset.view !== b.dataset.show;
    show();
  });
  for (const b of document.querySelectorAll("[data-download]")) b.addEventListener("click", async () => {
    if (b.getAttribute("aria-disabled") === "true") return;
    desk.say("writing …");
    let answer;
    try { answer = await desk.ask("/download/" + b.dataset.download, JSON.stringify(desk.choices())); } catch { return desk.say("the server does not answer"); }
    if (!answer.ok) return desk.say(((await answer.json().catch(() => ({}))).findings || []).map((f) => f.text).join(" ") || "not written");
    give(await answer.blob(), `${desk.named()}-${b.dataset.download}`);
    desk.say(b.dataset.download === "all.zip" && !able.dxf ? "saved, without DXF: that needs the dxf extra" : "saved");
  });
  let able = { dxf: true };
  (async () => {
    able = await (await fetch("/able")).json().catch(() => able);
    const b = document.querySelector("[data-download='sheets-dxf.zip']");
    if (able.dxf) return;
    b.dataset.lacks = "dxf";
    b.setAttribute("aria-disabled", "true");
    b.title = "needs the dxf extra: pip install -e '.[dxf]'";
  })();
  return { show, give, changed: () => { for (const v of Object.keys(NAMES)) stale.add(v); return show(); } };
}
