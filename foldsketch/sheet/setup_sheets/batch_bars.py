"""Minutes a part by way and batch, as bars: the plan and its alternatives, for one part, its own batch and many."""

from __future__ import annotations

from foldsketch.base.drawing import BLACK, Colour, Item, Layer, Stroke
from foldsketch.base.lettering import text_width, truncate_text
from foldsketch.base.units import format_count
from foldsketch.setup.formulas.way_cost import PlanMinutes
from foldsketch.setup.model import SetUpPlan
from foldsketch.setup.plan.set_up_text import plan_label
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, PageRectangle, frame_text

ONE_PART, MANY_PARTS = 1, 5000
"""Batches shown beside the plan's own."""

MAX_ROWS, ROW_MM, LABELS_MM, FIGURE_MM = 5, 4.6, 78.0, 14.0
"""Bars a batch, from one to the next, room for the names, and for a figure beside a bar, mm."""

PALE: Colour = (0.937, 0.937, 0.937)


def draw_batch_bars(plan: SetUpPlan, box: PageRectangle) -> list[Item]:
    """A panel for each batch, each to its own scale, the least bar black; plans that leave something are not shown."""
    rows: list[tuple[str, PlanMinutes]] = [(plan_label(plan), plan.minutes)]
    rows += [(a.label, a.times) for a in plan.alternatives if a.reason.code != "order-leaves-features"]
    rows = rows[:MAX_ROWS]
    batches = sorted({ONE_PART, plan.batch, MANY_PARTS})
    top = box.y + box.height - 4.5
    items: list[Item] = [frame_text(box.x, top, "Minutes a part", 3.5, bold=True)]
    for k, (label, _) in enumerate(rows):
        text = truncate_text(label, BODY_TEXT_HEIGHT_MM, LABELS_MM - 4)
        items.append(frame_text(box.x, top - 5.2 - k * ROW_MM, text, BODY_TEXT_HEIGHT_MM, bold=k == 0))
    panel = (box.width - LABELS_MM) / len(batches)
    for n, batch in enumerate(batches):
        x = box.x + LABELS_MM + n * panel
        items.append(frame_text(x, top, format_count(batch, "part"), 3.5, bold=True))
        minutes = [times.a_part(batch) for _, times in rows]
        for k, value in enumerate(minutes):
            y = top - 5.2 - k * ROW_MM
            least = value <= min(minutes) * (1 + 1e-9)
            length = (panel - FIGURE_MM - 4) * value / max(minutes)
            corners = ((x, y - 0.4), (x + length, y - 0.4), (x + length, y + 2.9), (x, y + 2.9))
            fill = BLACK if least else PALE
            items.append(Stroke(Layer.FRAME, corners, closed=True, width=0.25, fill=fill))
            figure = f"{value:.1f}" if value < 100 else f"{value:.0f}"
            items.append(frame_text(x + length + 1.5, y, figure, BODY_TEXT_HEIGHT_MM, bold=least))
    note = "each batch to its own scale"
    if len(rows) < MAX_ROWS and text_width(note, BODY_TEXT_HEIGHT_MM) < LABELS_MM:
        items.append(frame_text(box.x, top - 5.2 - len(rows) * ROW_MM, note, BODY_TEXT_HEIGHT_MM))
    return items
