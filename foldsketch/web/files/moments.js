// The three moments, the view for a projector, and what may be printed. Each is a word on the body that the style sheet goes by.
const $ = (id) => document.getElementById(id);

export function moments(desk, pages) {
  const body = document.body;
  const buttons = [...document.querySelectorAll("[data-go]")];
  function go(moment) {
    body.dataset.moment = moment;
    for (const b of buttons) if (b.dataset.go === moment) b.setAttribute("aria-current", "step"); else b.removeAttribute("aria-current");
    $("margin").scrollTop = 0;
    pages.show();
    if (moment === "say" && window.foldsketch && window.foldsketch.state.setup >= 0) window.foldsketch.setUp(-1);
    window.foldsketch?.place();
  }
  for (const b of buttons) b.addEventListener("click", () => go(b.dataset.go));

  // For a projector: the picture, the set-ups and their figures. Escape leaves, and the focus goes back to the button.
  const leave = document.createElement("button");
  leave.type = "button";
  leave.id = "leave";
  leave.textContent = "Leave";
  leave.addEventListener("click", () => present(false));
  $("margin").prepend(leave);
  function present(on) {
    if (on) go("see");
    document.documentElement.classList.toggle("present", on);
    for (const e of document.querySelectorAll(".desk > header, .desk > footer, #settle")) e.inert = on;
    (on ? leave : $("present")).focus();
    window.foldsketch?.place();
  }
  $("present").addEventListener("click", () => present(true));
  document.addEventListener("keydown", (ev) => { if (ev.key === "Escape" && document.documentElement.classList.contains("present")) present(false); });

  // A part with a fault prints nothing: what prints is greyed out and says why, and stays where the tabulator finds it.
  function valid(yes) {
    body.dataset.valid = yes ? "yes" : "no";
    $("why-not").hidden = yes;
    for (const b of document.querySelectorAll("[data-needs]")) {
      b.setAttribute("aria-disabled", String(!yes || b.dataset.lacks !== undefined));
      if (yes) b.removeAttribute("aria-describedby"); else b.setAttribute("aria-describedby", "why-not");
    }
  }
  $("print").addEventListener("click", () => { if ($("print").getAttribute("aria-disabled") !== "true") window.print(); });
  return { go, present, valid };
}
