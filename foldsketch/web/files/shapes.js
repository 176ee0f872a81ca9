// The shapes of a feature: what each needs, a picture of each, and the drop-down to choose among them.
import { element } from "./cells.js";
import { number, quoted, raw, setKey, tables, units, word, written } from "./partfile.js";

const SIZED = ["diameter", "start_diameter", "end_diameter", "bore", "across_flats"];
// What each shape needs, how many flats it has, and its outline seen from the side, with the end seen from above.
const SHAPES = {
  cylinder: { keys: ["diameter"], path: "M4 6v12a8 3 0 0 0 16 0V6M4 6a8 3 0 0 0 16 0a8 3 0 0 0-16 0" },
  cone: { keys: ["start_diameter", "end_diameter"], path: "M8 6L3 18a9 3 0 0 0 18 0L16 6M8 6a4 1.7 0 0 0 8 0a4 1.7 0 0 0-8 0" },
  ring: { keys: ["diameter", "bore"], path: "M3 9v6a9 4 0 0 0 18 0V9M3 9a9 4 0 0 0 18 0a9 4 0 0 0-18 0M8 9a4 1.7 0 0 0 8 0a4 1.7 0 0 0-8 0" },
  hexagon: { keys: ["across_flats"], flats: 6, path: "M3 7v10l5 3h8l5-3V7M8 10v10M16 10v10M3 7l5-3h8l5 3l-5 3H8z" },
  square: { keys: ["across_flats"], flats: 4, path: "M3 7v10l9 4l9-4V7M12 11v10M3 7l9-4l9 4l-9 4z" },
};
// What a table of the part file is called here.
export function shapeOf(body) {
  const form = word(body, "shape") || "", flats = number(body, "sides");
  return form === "prism" ? Object.keys(SHAPES).find((s) => SHAPES[s].flats === flats && raw(body, "across_flats") !== null) || form : form;
}
// The k-th table in another shape: what both have is kept, the rest is filled in from the size there was.
export function reshaped(text, k, to) {
  const b = tables(text)[k].body, old = [...SIZED, "across_corners"].map((key) => number(b, key)).find((v) => v > 0) || (units(text) === "in" ? 1 : 20);
  const { keys, flats } = SHAPES[to], t = () => tables(text)[k];
  text = setKey(text, t(), "shape", quoted(flats ? "prism" : to));
  for (const key of [...SIZED, "sides", "across_corners", "turn", "outline", "hull"]) if (!keys.includes(key)) text = setKey(text, t(), key, null);
  if (flats) text = setKey(text, t(), "sides", String(flats));
  for (const key of keys) if (raw(t().body, key) === null) text = setKey(text, t(), key, written(key === "bore" ? old / 2 : old, units(text)));
  return text;
}
function picture(shape) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg"), path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  svg.setAttribute("viewBox", "0 0 24 24");
  svg.setAttribute("aria-hidden", "true");
  path.setAttribute("d", SHAPES[shape].path);
  svg.append(path);
  return svg;
}
let menu = null;
// The button that says the shape and opens the list; the arrows walk through it, Escape closes it.
export function shapeButton(body, name, choose) {
  const shape = shapeOf(body);
  if (!(shape in SHAPES)) return element("span", { class: "quiet", text: shape });
  const open = element("button", { type: "button", class: "shape", "aria-label": `${name}, shape: ${shape}`, "aria-haspopup": "true" }, picture(shape), element("span", { text: shape }));
  open.addEventListener("click", () => {
    menu?.remove();
    menu = element("div", { class: "shapes", popover: "auto", role: "group", "aria-label": `shape of ${name}` }, ...Object.keys(SHAPES).map((s) =>
      element("button", { type: "button", "aria-pressed": String(s === shape), on: { click: () => { menu.hidePopover(); if (s !== shape) choose(s); } } }, picture(s), element("span", { text: s }))));
    document.body.append(menu);
    menu.showPopover();
    const r = open.getBoundingClientRect();
    menu.style.left = `${Math.max(4, Math.min(r.left, innerWidth - menu.offsetWidth - 4))}px`;
    menu.style.top = `${r.bottom + menu.offsetHeight > innerHeight ? Math.max(4, r.top - menu.offsetHeight) : r.bottom}px`;
    menu.querySelector("[aria-pressed=true]").focus();
    menu.addEventListener("keydown", (ev) => {
      const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[ev.key], all = [...menu.children];
      if (!step) return;
      ev.preventDefault();
      all[(all.indexOf(document.activeElement) + step + all.length) % all.length].focus();
    });
    // The event comes late: by then another list may be open, which keeps its place and the focus.
    const own = menu;
    own.addEventListener("toggle", (ev) => {
      if (ev.newState !== "closed") return;
      own.remove();
      if (menu === own && open.isConnected) open.focus();
    });
  });
  return open;
}
