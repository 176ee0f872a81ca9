"""The first set-up sheet: every set-up of a plan at one scale over its own time, and minutes a part by way and batch.

From the top: title, pictures, what the spindles do from part to part, bars, cautions. Nothing is smaller than 2.5 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from foldsketch.base.drawing import Drawing, Item, Layer, Stroke
from foldsketch.base.findings import listed
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.base.units import format_count
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import PlanRun, SetUp, SetUpPlan
from foldsketch.setup.plan.set_up_text import cuts_text, held_text, length_text, way_text, with_diameter_sign
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, PageRectangle, frame_text
from foldsketch.sheet.page.symbols import arrow, part_axis_colours
from foldsketch.sheet.setup_sheets.batch_bars import draw_batch_bars
from foldsketch.sheet.setup_sheets.drafting import BOLD_WIDTH
from foldsketch.sheet.setup_sheets.setup_views import draw_side_view, side_view_extent
from foldsketch.sheet.setup_sheets.spindle_lanes import draw_spindle_lanes
from foldsketch.sheet.setup_sheets.title_block import (
    HEADING_MM,
    LEAST_RIGHT_MM,
    LINE_MM,
    MARGIN_MM,
    RIGHT_MM,
    draw_strip,
    draw_title,
    page_rule,
)

LABELS_MM, GAP_MM = 17.0, 4.0
"""Room for the names of the spindles, and gap between runs, mm."""

SMALL_PART_MM = 60.0
"""Shorter ones may be drawn larger than they are."""

LETTER_MM, OFFSET_MM = 14.0, 32.0
"""Room beside a picture for a letter, or for letters and an offset, mm."""

PICTURES_MM = (109.0, 175.0)
"""Lower and upper edge of the pictures on the page, mm."""

LEAST_PICTURE_MM = 42.0
"""A set-up's column is no narrower, mm."""

SCALES = (2.0, 1.0, 1 / 2, 1 / 2.5, 1 / 3, 1 / 4, 1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 20, 1 / 50, 1 / 100, 1 / 1000)
"""Of the pictures, which are to look at and not to measure: steps between those of ISO 5455 too."""

WORD_LINES = 4
"""Lines of words below a picture."""


class Column(NamedTuple):
    """A run with its set-ups. x, width: of its pictures, mm; at, length: of its time, mm."""

    run: PlanRun
    setups: tuple[SetUp, ...]
    x: float
    width: float
    at: float
    length: float


def draw_overview_page(machine: Machine, plan: SetUpPlan, count: int) -> Drawing:
    """The page of a whole plan. count: sheets of the set."""
    items = _draw_title(plan, count)
    scale, widths = _picture_scale(machine, plan.setups)
    columns = _columns(plan, widths)
    items += _draw_pictures(machine, columns, scale)
    lanes_top = PICTURES_MM[0] - WORD_LINES * LINE_MM - 6.5
    sub = any(lane.spindle == "sub" for c in columns for lane in c.run.lanes)
    items += draw_spindle_lanes([(c.run, c.at, c.length) for c in columns], MARGIN_MM, lanes_top, sub)
    items += _draw_connectors(columns, lanes_top)
    items.append(page_rule(65.5, 0.25))
    if plan.setups:
        items += draw_batch_bars(plan, PageRectangle(MARGIN_MM, 36.0, A4_LANDSCAPE_MM[0] - 2 * MARGIN_MM, 29.0))
    else:
        items += _draw_reasons(plan)
    items += draw_strip()
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{plan.part}, set-ups")


def _draw_title(plan: SetUpPlan, count: int) -> list[Item]:
    m = plan.minutes
    amount = f"{format_count(plan.batch, 'part')}, {m.a_part(plan.batch):.1f} min each"
    if plan.number > 1:
        amount += f", plan {plan.number}"
    after = f": {amount if plan.setups else 'nothing can be cut on this machine'}"
    room = (RIGHT_MM - MARGIN_MM - LEAST_RIGHT_MM) / BOLD_WIDTH - text_width(after, 5.0)
    title = truncate_text(plan.part, 5.0, room) + after
    runs = f"{format_count(len(plan.runs), 'run')}, {format_count(len(plan.setups), 'set-up')}"
    under = f"setting {m.setting:.0f} min, then {m.cycle:.1f} a part · " if plan.setups else ""
    under += f"{plan.machine} · {with_diameter_sign(plan.blank)}"
    items = draw_title(title, 5.0, under, (runs, f"sheet 1 of {count}"))
    if plan.unturned:
        names = f"Not cut on this machine: {listed(name for name, _ in plan.unturned)}"
        names = truncate_text(names, HEADING_MM, RIGHT_MM - MARGIN_MM - 4)
        items.append(frame_text(MARGIN_MM, A4_LANDSCAPE_MM[1] - MARGIN_MM - 18.5, names, HEADING_MM, bold=True))
    return items


def _picture_scale(machine: Machine, setups: Sequence[SetUp]) -> tuple[float, list[float]]:
    """The largest scale at which all pictures fit beside each other, and the width that each needs."""
    bottom, top = PICTURES_MM
    extents = [side_view_extent(s, machine) for s in setups]
    width = A4_LANDSCAPE_MM[0] - 2 * MARGIN_MM - LABELS_MM - GAP_MM * max(0, len(setups) - 1)
    beside = [OFFSET_MM if s.clamping.offset else LETTER_MM for s in setups]
    small = all(high - low < SMALL_PART_MM for low, high, *_ in extents)
    for scale in SCALES:
        widths = [max(LEAST_PICTURE_MM, (e[1] - e[0]) * scale + r) for e, r in zip(extents, beside, strict=True)]
        high_enough = all((up - down) * scale <= top - bottom for *_, down, up in extents)
        if high_enough and sum(widths) <= width and (scale <= 1 or small):
            return scale, widths
    return SCALES[-1], [width / max(1, len(setups))] * len(setups)


def _columns(plan: SetUpPlan, widths: Sequence[float]) -> list[Column]:
    """Where the runs are: as wide as their times where the pictures allow it. widths: that set-ups need, mm."""
    left, gap = MARGIN_MM + LABELS_MM, GAP_MM
    width = A4_LANDSCAPE_MM[0] - MARGIN_MM - left - gap * max(0, len(plan.runs) - 1)
    total = sum(r.cycle for r in plan.runs) or 1.0
    needed = [sum(widths[k - 1] for k in r.setups) for r in plan.runs]
    times = [width * r.cycle / total for r in plan.runs]
    short = sum(max(0.0, n - t) for n, t in zip(needed, times, strict=True))
    spare = sum(max(0.0, t - n) for n, t in zip(needed, times, strict=True))
    share = 1 - short / spare if spare else 1.0
    made, x, at = [], left, left
    for r, n, t in zip(plan.runs, needed, times, strict=True):
        own = n if t <= n else n + (t - n) * share
        made.append(Column(r, tuple(plan.setups[k - 1] for k in r.setups), x, own, at, t))
        x, at = x + own + gap, at + t + gap
    return made


def _draw_pictures(machine: Machine, columns: Sequence[Column], scale: float) -> list[Item]:
    """All set-ups at one scale, their centrelines at one height, heads above and words below."""
    bottom, top = PICTURES_MM
    items: list[Item] = []
    if columns:
        text = f"{scale:g}:1" if scale > 1 else f"1:{1 / scale:g}"
        items.append(frame_text(MARGIN_MM, top + 2.5, text, BODY_TEXT_HEIGHT_MM))
    for c in columns:
        each = c.width / len(c.setups)
        for k, s in enumerate(c.setups):
            x = c.x + k * each
            items += _draw_head(s, x, top + 2.5, each)
            items += draw_side_view(s, machine, PageRectangle(x, bottom, each, top - bottom), scale, 2.5, sweep=False)
            items += _draw_words(s, x, bottom - 3.5, each - 3)
            if k and not s.by_hand:
                y = bottom + 2
                items += arrow((x - 7, y), (x + 4, y), 0.7)
                items.append(frame_text(x - 1.5, y + 2, "over", BODY_TEXT_HEIGHT_MM, anchor="middle"))
    return items


def _draw_head(s: SetUp, x: float, y: float, width: float) -> list[Item]:
    c = s.clamping
    words = f"{s.number}  {c.spindle}, axis "
    words = words if text_width(words + c.on_centreline, HEADING_MM) < width - 2 else f"{s.number} {c.spindle} "
    (colour,) = part_axis_colours(s.work, c.on_centreline)
    letter = frame_text(x + text_width(words, HEADING_MM) + 1.0, y, c.on_centreline, HEADING_MM, bold=True)
    return [frame_text(x, y, words, HEADING_MM), letter._replace(colour=colour)]


def _draw_words(s: SetUp, x: float, y: float, width: float) -> list[Item]:
    """By what it is held, and what is cut; what finds no room ends in dots."""

    def length(value: float, places: int = 2) -> str:
        return length_text(value, s.work.units, places)

    text = f"{way_text(s)}, {with_diameter_sign(held_text(s, length))}: {'; '.join(cuts_text(s, length))}"
    lines = wrap_text(text, BODY_TEXT_HEIGHT_MM, width)
    if len(lines) > WORD_LINES:
        rest = " ".join(lines[WORD_LINES - 1 :])
        lines = [*lines[: WORD_LINES - 1], truncate_text(rest, BODY_TEXT_HEIGHT_MM, width)]
    return [frame_text(x, y - k * LINE_MM, line, BODY_TEXT_HEIGHT_MM) for k, line in enumerate(lines)]


def _draw_connectors(columns: Sequence[Column], top: float) -> list[Item]:
    """From each column of pictures to its time, where they do not stand over each other."""
    items: list[Item] = []
    upper = PICTURES_MM[0] - 3.5 - (WORD_LINES - 1) * LINE_MM - 1.5
    for c in columns:
        for a, b in ((c.x, c.at), (c.x + c.width, c.at + c.length)):
            if abs(a - b) < 1.0:
                continue
            line = ((a, upper), (b, top + 0.8))
            items.append(Stroke(Layer.FRAME, line, width=0.18, colour=(0.65, 0.65, 0.65)))
    return items


def _draw_reasons(plan: SetUpPlan) -> list[Item]:
    """Why nothing is cut."""
    items: list[Item] = []
    y = 170.0
    for name, reasons in plan.unturned:
        text = f"{name}: {'; '.join(f.text_in(plan.units) for f in reasons)}"
        for line in wrap_text(text, BODY_TEXT_HEIGHT_MM, A4_LANDSCAPE_MM[0] - 2 * MARGIN_MM):
            if y > 36:
                items.append(frame_text(MARGIN_MM, y, line, BODY_TEXT_HEIGHT_MM))
            y -= LINE_MM
    return items
