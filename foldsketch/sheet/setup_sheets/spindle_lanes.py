"""What the spindles do from part to part, as boxes on a line of time; the cut that sets the pace has a wide edge."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import WHITE, Colour, Item, Layer, Stroke
from foldsketch.base.lettering import text_width
from foldsketch.setup.model import Lane, PlanRun
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.setup_sheets.workholding import TURNED_FILL

LANE_MM, LANE_GAP_MM = 6.5, 1.5
"""Height of a lane and the gap between two, mm."""

PALE: Colour = (0.937, 0.937, 0.937)
FILLS: dict[str, Colour] = {"load": PALE, "cut": TURNED_FILL, "wait": WHITE, "transfer": PALE}
WORDS = {"transfer": "over"}


def draw_spindle_lanes(
    runs: Sequence[tuple[PlanRun, float, float]], labels: float, top: float, sub: bool
) -> list[Item]:
    """Lanes of all runs. runs: each with the x where it begins and its length, mm; labels: x of the names; top: y, mm.

    sub: with a lane of the sub-spindle.
    """
    spindles = ("main", "sub") if sub else ("main",)
    low = {name: top - LANE_MM - k * (LANE_MM + LANE_GAP_MM) for k, name in enumerate(spindles)}
    items: list[Item] = []
    if runs:
        for name in spindles:
            items.append(frame_text(labels, low[name] + 1.6, name, 3.5, bold=True))
        items.append(frame_text(labels, low[spindles[-1]] - 5.0, "minutes", BODY_TEXT_HEIGHT_MM))
    for run, x, length in runs:
        k = length / run.cycle if run.cycle else 0.0
        binding = run.binding or "main"
        for lane in run.lanes:
            if lane.what == "transfer" and lane.spindle == "sub":
                continue  # one box over both lanes
            bottom = low["sub"] if lane.what == "transfer" else low[lane.spindle]
            items += _draw_box(lane, x, k, bottom, low[lane.spindle] + LANE_MM, lane.spindle == binding)
        items += _draw_pace(run, x, length, low[spindles[-1]] - 5.0)
    return items


def _draw_box(lane: Lane, x: float, k: float, bottom: float, top: float, binding: bool) -> list[Item]:
    a, b = x + lane.start * k, x + lane.end * k
    pen = 0.7 if binding and lane.what == "cut" else 0.25
    corners = ((a, bottom), (b, bottom), (b, top), (a, top))
    items: list[Item] = [Stroke(Layer.FRAME, corners, closed=True, width=pen, fill=FILLS[lane.what])]
    word, minutes = WORDS.get(lane.what, lane.what), f"{lane.end - lane.start:.1f}"
    for text in (f"{word} {minutes}", minutes):
        if text_width(text, BODY_TEXT_HEIGHT_MM) <= b - a - 1.0:
            y = (bottom + top - BODY_TEXT_HEIGHT_MM) / 2
            items.append(frame_text((a + b) / 2, y, text, BODY_TEXT_HEIGHT_MM, anchor="middle"))
            break
    return items


def _draw_pace(run: PlanRun, x: float, length: float, y: float) -> list[Item]:
    """What sets the pace, and who waits for it; as much as finds room."""
    minutes = f"{run.cycle:.1f}"
    texts = [f"{minutes} a part", minutes]
    if run.binding:
        other = "sub" if run.binding == "main" else "main"
        waits = sum(v.end - v.start for v in run.lanes if v.spindle == other and v.what == "wait")
        own = f"{run.binding} sets the pace, {minutes} a part"
        texts = [f"{own}; {other} waits {waits:.1f}", own, *texts]
    for text in texts:
        if text_width(text, BODY_TEXT_HEIGHT_MM) <= length:
            return [frame_text(x, y, text, BODY_TEXT_HEIGHT_MM)]
    return []
