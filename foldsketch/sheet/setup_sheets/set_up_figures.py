"""The few large figures of a set-up sheet, one below the other: what the machinist sets, and the speed at most."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Item, Layer, Stroke
from foldsketch.base.findings import Quantity
from foldsketch.base.lettering import text_width, wrap_text
from foldsketch.base.units import normalized_degrees
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.direction_text import weights_text
from foldsketch.setup.plan.hand_over import hand_over
from foldsketch.setup.plan.limit_text import pull_of_the_work
from foldsketch.setup.speed_text import rounded_down, speed_limit_text
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, PageRectangle, frame_text
from foldsketch.sheet.setup_sheets.drafting import BOLD_WIDTH
from foldsketch.sheet.setup_sheets.title_block import HEADING_MM, LINE_MM

FIGURE_HEIGHTS_MM = (10.0, 7.0, 5.0)
"""Capital height of the figures, the largest that finds room, mm."""

Row = tuple[str, str, str]
"""What the figure is of, the figure, and its unit."""


def set_up_figures(before: SetUp | None, s: SetUp) -> list[Row]:
    """The figures of one set-up, lengths in the part's unit. before: the set-up ahead of it."""
    c, v = s.clamping, s.speeds

    def length(value: float, places: int = 2) -> tuple[str, str]:
        figure, _, unit = Quantity(value, "mm", places).text(s.work.units).rpartition(" ")
        return figure, unit

    rows: list[Row] = []
    if c.offset:
        rows.append((f"offset, {c.held_axis} to {c.on_centreline}", *length(c.offset)))
        rows.append((f"indicator on {c.held_on}, full reading", *length(s.indicator)))
    if s.packed and s.packing:
        rows.append((f"packing under jaw 1 ({length(s.packing.narrow)[0]} narrow)", *length(s.packing.for_chuck_jaws)))
    if s.shift and before is not None:
        over = hand_over(before, s)
        main, sub = (f"C {normalized_degrees(v):.1f}°" for v in (over.main, over.sub))
        turned = f"{c.on_centreline} on the tool's side of {before.clamping.on_centreline}"
        rows.append((f"sub-spindle offset to take over; {turned}: main {main}, sub {sub}", *length(s.shift)))
    jaws = f"; with the jaws {length(s.jaw_swing, 1)[0]}" if s.jaw_swing > s.swing else ""
    rows.append((f"swing of the work{jaws}", *length(s.swing, 1)))
    if s.weighted and s.weights:
        rows.append((_weight_place(s), " + ".join(f"{w.mass:.3f}" for w in s.weights), "kg"))
    if c.offset and (pull := pull_of_the_work(s)):
        whose = "the work and of the weight on its bolts" if s.weighted else "the work on what holds it"
        rows.append((f"pull of {whose}, at that speed", f"{pull:.0f}", "N"))
    if s.clamping_force:
        has = f" (chuck {s.grip_force / 1000:.0f})" if s.grip_force else "; compare with the plate of the chuck"
        rows.append((f"grip at rest that the cuts need{has}", f"{s.clamping_force / 1000:.1f}", "kN"))
    if v.recommended is not None:
        if s.weighted and v.balance is not None:
            rows.append(("speed without the weight: prove out below that first", f"{rounded_down(v.balance)}", "r/min"))
        limit = speed_limit_text(v.limit, s.weighted)
        rows.append((f"speed at most: {limit}", f"{rounded_down(v.recommended)}", "r/min"))
    elif v.limit:
        rows.append((f"speed: {v.limit}", "none", ""))
    return rows


def _weight_place(s: SetUp) -> str:
    radius = Quantity(s.weights[0].radius, "mm", 0).text(s.work.units)
    return f"counterweight at {radius}, {weights_text(s, s.weights)}"


def draw_set_up_figures(rows: Sequence[Row], box: PageRectangle) -> list[Item]:
    """The figures in a column, from its top; a narrow rule between each two."""
    labels = [wrap_text(label, BODY_TEXT_HEIGHT_MM, box.width) for label, *_ in rows]
    words = sum(len(lines) for lines in labels) * LINE_MM

    def fits(size: float) -> bool:
        unit = size * 0.6
        wide = all(text_width(f, size) * BOLD_WIDTH + 2 + text_width(u, unit) <= box.width for _, f, u in rows)
        return wide and words + len(rows) * (size + 7.0) <= box.height

    size = next((h for h in FIGURE_HEIGHTS_MM if fits(h)), FIGURE_HEIGHTS_MM[-1])
    y = box.y + box.height
    items: list[Item] = []
    for k, (lines, (_, figure, unit)) in enumerate(zip(labels, rows, strict=True)):
        if k:
            items.append(Stroke(Layer.FRAME, ((box.x, y), (box.x + box.width, y)), width=0.25, colour=(0.65,) * 3))
        y -= 1.0
        for line in lines:
            y -= LINE_MM
            items.append(frame_text(box.x, y, line, BODY_TEXT_HEIGHT_MM))
        y -= size + 2.5
        items.append(frame_text(box.x, y, figure, size, bold=True))
        x = box.x + text_width(figure, size) * BOLD_WIDTH + 2
        items.append(frame_text(x, y, unit, max(HEADING_MM, size * 0.6)))
        y -= 3.5
    return items
