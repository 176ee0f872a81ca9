// The title block along the foot: what building takes, the slider of the models that there are to choose from, hold, paper.
const $ = (id) => document.getElementById(id);

export function titleBlock(desk) {
  const slider = $("minutes");
  let steps = [];
  function told(k) {
    const s = steps[k];
    if (!s) return "";
    return `${k === steps.length - 1 ? "all" : `${s.minutes} min`}: ${s.words}`;
  }
  function show(build) {
    if (!build) return none();
    steps = build.steps;
    const big = document.createElement("b"), small = document.createElement("small");
    big.textContent = `${build.minutes} min`;
    small.textContent = "to build";
    $("estimate").replaceChildren(big, small);
    slider.max = String(Math.max(1, steps.length - 1));
    slider.disabled = steps.length < 2;
    slider.value = String(Math.max(0, build.step));
    slider.setAttribute("aria-valuetext", told(Number(slider.value)));
    $("least").textContent = steps.length ? `${steps[0].minutes}` : "";
    $("most").textContent = steps.length ? `all, ${steps[steps.length - 1].minutes}` : "";
    $("ticks").replaceChildren(...steps.map((_, k) => {
      const tick = document.createElement("i");
      tick.style.left = `${(100 * k) / Math.max(1, steps.length - 1)}%`;
      return tick;
    }));
    const here = steps[build.step], up = steps[build.step + 1];
    const drawn = build.drawn.length ? `; ${build.drawn.length} drawn, not built` : "";
    $("buys").textContent = (here ? here.words : "") + drawn + (up ? ` · next: ${up.minutes} min` : "");
    $("on-paper").lastElementChild.textContent = build.paper;
    $("sheets-size").textContent = `${build.paper}, ${build.pieces}`;
    for (const r of document.querySelectorAll("[name=hold]")) r.checked = r.value === build.hold;
  }
  function none() { $("estimate").firstElementChild.textContent = "–"; $("buys").textContent = ""; }
  slider.addEventListener("input", () => {
    const k = Number(slider.value);
    slider.setAttribute("aria-valuetext", told(k));
    $("buys").textContent = told(k);
  });
  slider.addEventListener("change", () => { const s = steps[Number(slider.value)]; if (s) desk.choose("minutes", s.budget); });
  for (const r of document.querySelectorAll("[name=hold]")) r.addEventListener("change", () => desk.choose("hold", r.value));
  return { show, none };
}
