"""The last set-up sheet: whether castings clean up, and the time on separate machines and on this one."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import WHITE, Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import truncate_text
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck
from foldsketch.sheet.page.page_text import (
    A4_LANDSCAPE_MM,
    BODY_TEXT_HEIGHT_MM,
    frame_text,
)
from foldsketch.sheet.setup_sheets.title_block import MARGIN_MM, draw_strip, draw_title

ONE_MACHINE_BAR_FILL = (0.55, 0.55, 0.55)


def draw_castings_and_time_page(
    plan: SetUpPlan, machine: Machine, castings: Sequence[CastingCheck], time: TimeComparison | None, count: int
) -> Drawing:
    """The last page: whether castings clean up, and bars of the time on separate machines and on this one."""
    under = "as cast: stock, and how far the centres may lie off" if castings else "separate machines and one machine"
    items = draw_title(f"{plan.part}: castings and time", 5.0, under, (plan.part, f"sheet {count} of {count}"))
    y = A4_LANDSCAPE_MM[1] - 30
    if castings:
        columns = (MARGIN_MM, 96.0, 124.0, 152.0, 196.0, 232.0, 272.0)
        heads = ("turned feature, as cast", "stock", "least", "most", "cleans up", "of simulated parts", "jaws take up")
        for x, head in zip(columns, heads, strict=True):
            items.append(frame_text(x, y, head, BODY_TEXT_HEIGHT_MM, anchor="start" if x == columns[0] else "end"))
        for c in castings[:10]:
            y -= 6
            values = (
                truncate_text(f"{c.set_up}  {c.feature}", 3.5, 66),
                f"{c.cast.stock:.2f}",
                f"{c.worst_case.least:.2f}",
                f"{c.worst_case.most:.2f}",
                "always" if c.worst_case.cleans_up else "not always",
                f"{100 * c.clean_up_yield.fraction:.2f} %",
                f"{c.worst_case.take_up:.2f}",
            )
            for x, value in zip(columns, values, strict=True):
                items.append(frame_text(x, y, value, 3.5, anchor="start" if x == columns[0] else "end"))
        y -= 14
    if time is not None:
        items += _draw_time_bars(time, machine, y)
    items += draw_strip()
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{plan.part}, castings and time")


def _draw_time_bars(time: TimeComparison, machine: Machine, y: float) -> list[Item]:
    """Two pairs of bars: a part, and a batch."""
    batch = machine.times.batch if machine.times else 0
    pairs = (
        ("a part", time.separate_part, time.one_part),
        (f"a batch of {batch}", time.separate_batch, time.one_batch),
    )
    items: list[Item] = []
    left, room = MARGIN_MM + 62, 160.0
    for name, apart, one in pairs:
        longest = max(apart, one, 1e-9)
        for what, value, fill in (("separate machines", apart, WHITE), ("one machine", one, ONE_MACHINE_BAR_FILL)):
            items.append(frame_text(MARGIN_MM, y, f"{name}, {what}", BODY_TEXT_HEIGHT_MM))
            w = room * value / longest
            box = ((left, y - 1.5), (left + w, y - 1.5), (left + w, y + 4), (left, y + 4))
            items.append(Stroke(Layer.FRAME, box, closed=True, width=0.35, fill=fill))
            items.append(frame_text(left + w + 2, y, f"{value:.1f} min", 3.5))
            y -= 8
        y -= 3
    even = f"quicker {time.break_even_text}"
    how = "both spindles cut at the same time" if time.overlapped else "one part at a time"
    text = f"One machine is {even}; {how}. Separate machines add {time.waiting:.0f} min of waiting for the batch."
    return [*items, frame_text(MARGIN_MM, y, text, BODY_TEXT_HEIGHT_MM)]
