"""Set-up sheets: a first page with all set-ups, then one page for each, to leave on the table."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import truncate_text, wrap_text
from foldsketch.base.units import format_number
from foldsketch.part.model import Part
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.machine import Machine
from foldsketch.setup.messages.plan_notes import GRIP_UNKNOWN
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck
from foldsketch.setup.plan.set_up_text import cuts_text, held_text, length_text, way_text, with_diameter_sign
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, PageRectangle, frame_text
from foldsketch.sheet.setup_sheets.castings_and_time_page import draw_castings_and_time_page
from foldsketch.sheet.setup_sheets.end_view import draw_end_view, end_view_extent
from foldsketch.sheet.setup_sheets.overview_page import LETTER_MM, OFFSET_MM, SCALES, draw_overview_page
from foldsketch.sheet.setup_sheets.set_up_figures import draw_set_up_figures, set_up_figures
from foldsketch.sheet.setup_sheets.setup_views import draw_side_view, side_view_extent
from foldsketch.sheet.setup_sheets.title_block import (
    LINE_MM,
    MARGIN_MM,
    RIGHT_MM,
    STRIP_TOP_MM,
    draw_strip,
    draw_title,
)

FIGURES_X_MM = 221.0
"""Left edge of the large figures, mm."""

VIEWS_MM = (STRIP_TOP_MM + 6.0, 183.0)
"""Lower and upper edge of the end view, mm; its caption is below."""

END_VIEW_WIDTH_MM, SIDE_HEIGHT_MM = 146.0, 78.0
"""Room for the end view at most, and for the side view beside it, mm."""

LEAST_OVERHANG = 1.0
"""A tool that sticks out less, times its size, is not worth a note."""

LEAST_SIDE_SHARE = 0.4
"""The side view is no smaller, as a share of the end view's scale; else both become smaller."""

SMALL_PART_MM = 60.0
"""What sweeps less may be drawn larger than it is, mm."""


def draw_talk_sheets(
    part: Part,
    machine: Machine,
    plan: SetUpPlan,
    castings: Sequence[CastingCheck] = (),
    time: TimeComparison | None = None,
) -> tuple[Drawing, ...]:
    """All set-up sheets of a plan; a last page for castings and times, if any."""
    count = len(plan.setups) + 1 + bool(castings or time)
    pages = [draw_overview_page(machine, plan, count)]
    if plan.setups:
        scales = _view_scales(plan.setups, machine)
        pages += [_set_up_page(machine, plan, s, count, *scales) for s in plan.setups]
    if castings or time:
        pages.append(draw_castings_and_time_page(plan, machine, castings, time, count))
    return tuple(pages)


def _view_scales(setups: Sequence[SetUp], machine: Machine) -> tuple[float, float, float]:
    """One scale for all end views, one for all side views, and the width of the end views, mm on paper."""
    largest = 2.0 if max(s.swing for s in setups) < SMALL_PART_MM else 1.0
    end, side, wide = SCALES[-1], SCALES[-1], END_VIEW_WIDTH_MM
    for end in (k for k in SCALES if k <= largest):
        sizes = [end_view_extent(s, machine, end) for s in setups]
        wide = max(right - left for left, right, _, _ in sizes)
        if wide > END_VIEW_WIDTH_MM or max(up - down for _, _, down, up in sizes) > VIEWS_MM[1] - VIEWS_MM[0]:
            continue
        side = _side_scale(setups, machine, end, FIGURES_X_MM - 12 - MARGIN_MM - wide)
        if side >= LEAST_SIDE_SHARE * end:
            break
    return end, side, wide


def _side_scale(setups: Sequence[SetUp], machine: Machine, largest: float, room: float) -> float:
    """The largest scale at which every side view fits a width, mm on paper."""
    extents = [side_view_extent(s, machine) for s in setups]
    beside = [OFFSET_MM if s.clamping.offset else LETTER_MM for s in setups]
    for scale in (k for k in SCALES if k <= largest):
        across = max((e[1] - e[0]) * scale + b for e, b in zip(extents, beside, strict=True))
        if across <= room and max(e[3] - e[2] for e in extents) * scale <= SIDE_HEIGHT_MM:
            return scale
    return SCALES[-1]


def _set_up_page(
    machine: Machine, plan: SetUpPlan, s: SetUp, count: int, end: float, side: float, wide: float
) -> Drawing:
    """One page. end, side: scales of the views; wide: of the end view, mm on paper."""
    c = s.clamping

    def length(value: float, places: int = 2) -> str:
        return length_text(value, s.work.units, places)

    head = f"{s.number}  {c.spindle.capitalize()} spindle: axis {c.on_centreline} on the centreline"
    hand = "loaded by hand, " if s.by_hand else ""
    held = f"{hand}{way_text(s)}, {with_diameter_sign(held_text(s, length))}, machined from the {c.from_end} end"
    under = f"{held}: {'; '.join(cuts_text(s, length))}"
    right = (plan.part, f"set-up {s.number} of {len(plan.setups)}, sheet {s.number + 1} of {count}")
    items = draw_title(head, 7.0, under, right)
    bottom, top = VIEWS_MM
    end_box = PageRectangle(MARGIN_MM, bottom, wide, top - bottom)
    side_x = MARGIN_MM + wide + 6
    side_box = PageRectangle(side_x, top - SIDE_HEIGHT_MM, FIGURES_X_MM - 6 - side_x, SIDE_HEIGHT_MM)
    items += draw_end_view(s, machine, end_box, end)
    items += draw_side_view(s, machine, side_box, side, 3.5)
    lay = ": lay the paper model on it" if end == 1.0 else ""
    caption = f"{_ratio(end)}, seen from the {c.from_end} end{lay}"
    items.append(frame_text(MARGIN_MM, STRIP_TOP_MM + 2.5, caption, BODY_TEXT_HEIGHT_MM))
    y = side_box.y - 3.0
    items.append(frame_text(side_x, y, f"{_ratio(side)}, from the side", BODY_TEXT_HEIGHT_MM))
    items += _draw_notes(s, PageRectangle(side_x, STRIP_TOP_MM + 2.5, side_box.width, y - 6.5 - STRIP_TOP_MM))
    divider = ((FIGURES_X_MM - 4, STRIP_TOP_MM + 4), (FIGURES_X_MM - 4, top - 3))
    items.append(Stroke(Layer.FRAME, divider, width=0.25, colour=(0.65,) * 3))
    before = plan.setups[s.number - 2] if s.number > 1 else None
    column = PageRectangle(FIGURES_X_MM, STRIP_TOP_MM + 2, RIGHT_MM - FIGURES_X_MM, top - STRIP_TOP_MM - 4)
    items += draw_set_up_figures(set_up_figures(before, s), column)
    return Drawing(A4_LANDSCAPE_MM, (*items, *draw_strip()), f"{plan.part}, set-up {s.number}")


def _ratio(scale: float) -> str:
    return f"{scale:g}:1" if scale > 1 else f"1:{1 / scale:g}"


def _draw_notes(s: SetUp, box: PageRectangle) -> list[Item]:
    """What to watch, and how far tools stick out; what finds no room is in the printed plan."""
    told = [f for f in s.findings if f.code != GRIP_UNKNOWN.code]  # a large figure says so
    notes = [f.text_in(s.work.units).removeprefix(f"set-up {s.number}: ") for f in told]
    for r in s.reach:
        if r.overhang_ratio >= LEAST_OVERHANG:
            out = length_text(r.overhang, s.work.units, 1)
            ratio = format_number(round(r.overhang_ratio, 1))
            notes.append(f"{r.feature}: tool sticks out {out}, {ratio} times its size")
    lines: list[tuple[float, str]] = []
    for note in notes:
        wrapped = wrap_text(note[:1].upper() + note[1:], BODY_TEXT_HEIGHT_MM, box.width)
        lines += [(0.0 if k else 1.5, line) for k, line in enumerate(wrapped)]
    items: list[Item] = []
    y = box.y + box.height - BODY_TEXT_HEIGHT_MM
    for k, (gap, line) in enumerate(lines):
        y -= gap
        last = y - LINE_MM - 1.5 < box.y and k + 1 < len(lines)
        words = "More in the printed plan." if last else line
        items.append(frame_text(box.x, y, truncate_text(words, BODY_TEXT_HEIGHT_MM, box.width), BODY_TEXT_HEIGHT_MM))
        if last:
            break
        y -= LINE_MM
    return items
