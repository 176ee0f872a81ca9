"""The last talk sheet: what castings that vary do, and the time that separate machines and this one take."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import WHITE, Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import shortened
from foldsketch.setup.formulas.cycle_time import Compared
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.setup.plan.castings_and_time import Casting
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.setup_sheets.title_block import BODY, EDGE, PAGE, TITLE, cautions, frame, words

DARK = (0.55, 0.55, 0.55)


def outlook_page(
    plan: SetUpPlan, machine: Machine, castings: Sequence[Casting], time: Compared | None, count: int
) -> Drawing:
    """The last page: what castings that vary do, and bars of the time that separate machines and this one take."""
    items = frame(plan.part, "castings and time", count, count, None)
    y = PAGE[1] - EDGE - 9
    items.append(words(EDGE + 4, y, f"{plan.part}: castings and time", 5.0, bold=True))
    y -= 12
    if castings:
        columns = (EDGE + 4, 96.0, 124.0, 152.0, 196.0, 232.0, 272.0)
        heads = ("turned feature, as cast", "stock", "least", "most", "cleans up", "of a million", "jaws take up")
        for x, head in zip(columns, heads, strict=True):
            items.append(words(x, y, head, BODY, anchor="start" if x == columns[0] else "end"))
        for c in castings[:10]:
            y -= 6
            values = (
                shortened(f"{c.set_up}  {c.feature}", 3.5, 66),
                f"{c.cast.stock:.2f}",
                f"{c.worst.least:.2f}",
                f"{c.worst.most:.2f}",
                "always" if c.worst.cleans_up else "not always",
                f"{100 * c.share.share:.2f} %",
                f"{c.worst.take_up:.2f}",
            )
            for x, value in zip(columns, values, strict=True):
                items.append(words(x, y, value, 3.5, anchor="start" if x == columns[0] else "end"))
        y -= 14
    if time is not None:
        items += _bars(time, machine, y)
    items += cautions(EDGE + 4, EDGE + TITLE[1] + 2 + 3.2 * len(CAUTIONS))
    return Drawing(PAGE, tuple(items), f"{plan.part}, castings and time")


def _bars(time: Compared, machine: Machine, y: float) -> list[Item]:
    """Two pairs of bars: a part, and a batch."""
    batch = machine.times.batch if machine.times else 0
    pairs = (
        ("a part", time.separate_part, time.one_part),
        (f"a batch of {batch}", time.separate_batch, time.one_batch),
    )
    items: list[Item] = []
    left, room = EDGE + 62, 160.0
    for name, apart, one in pairs:
        longest = max(apart, one, 1e-9)
        for what, value, fill in (("separate machines", apart, WHITE), ("one machine", one, DARK)):
            items.append(words(EDGE + 4, y, f"{name}, {what}", BODY))
            w = room * value / longest
            box = ((left, y - 1.5), (left + w, y - 1.5), (left + w, y + 4), (left, y + 4))
            items.append(Stroke(Layer.FRAME, box, closed=True, width=0.35, fill=fill))
            items.append(words(left + w + 2, y, f"{value:.1f} min", 3.5))
            y -= 8
        y -= 3
    even = f"done first {time.from_when}"
    how = "both spindles cut at the same time" if time.overlapped else "the part passes through alone"
    items.append(words(EDGE + 4, y, f"One machine is {even}; {how}. Times are the machine file's.", BODY))
    return items
