"""Set-up sheets: a first page with all set-ups, then one page for each, to leave on the table."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Drawing, Item
from foldsketch.base.findings import Finding
from foldsketch.base.lettering import truncate_text, wrap_text
from foldsketch.base.units import normalized_degrees
from foldsketch.part.model import Part
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.setup.plan.set_up_text import cuts_text, held_text, length_text, way_text, with_diameter_sign
from foldsketch.sheet.layout.paper import STANDARD_SCALES
from foldsketch.sheet.page.page_text import (
    A4_LANDSCAPE_MM,
    BODY_TEXT_HEIGHT_MM,
    SMALL_TEXT_HEIGHT_MM,
    PageRectangle,
    frame_text,
)
from foldsketch.sheet.page.symbols import arrow
from foldsketch.sheet.setup_sheets.castings_and_time_page import draw_castings_and_time_page
from foldsketch.sheet.setup_sheets.end_view import draw_end_view
from foldsketch.sheet.setup_sheets.overview_page import draw_overview_page
from foldsketch.sheet.setup_sheets.set_up_tables import draw_figures_table, draw_reach_table
from foldsketch.sheet.setup_sheets.setup_views import draw_side_view, side_view_extent
from foldsketch.sheet.setup_sheets.title_block import (
    BORDER_MARGIN_MM,
    TITLE_BLOCK_SIZE_MM,
    draw_border_and_title_block,
    draw_cautions,
)

LEFT_MM, WIDTH_MM = BORDER_MARGIN_MM + 4, A4_LANDSCAPE_MM[0] - 2 * BORDER_MARGIN_MM - 8
"""Left edge and width of the text, mm."""


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
    scale = min((_set_up_scale(s, machine) for s in plan.setups), default=1.0)
    for s in plan.setups:
        pages.append(_set_up_page(machine, plan, s, count, scale))
    if castings or time:
        pages.append(draw_castings_and_time_page(plan, machine, castings, time, count))
    return tuple(pages)


def fitting_scale(size: tuple[float, float], room: tuple[float, float]) -> float:
    """The largest scale of the ISO 5455 series that fits, up to 1:1, or 2:1 for parts below 60 mm. size, room: mm."""
    small = max(size) < 60
    for s in STANDARD_SCALES:
        if s <= (2.0 if small else 1.0) and size[0] * s <= room[0] and size[1] * s <= room[1]:
            return s
    return STANDARD_SCALES[-1]


def _set_up_page(machine: Machine, plan: SetUpPlan, s: SetUp, count: int, scale: float) -> Drawing:
    c = s.clamping
    end, side = _view_boxes(c.spindle)
    items = draw_border_and_title_block(
        plan.part, f"set-up {s.number} of {len(plan.setups)}", s.number + 1, count, scale
    )
    hand = ", loaded by hand" if s.by_hand else ""
    head = f"{s.number}  {c.spindle} spindle{hand}: axis {c.on_centreline} on the spindle"
    items.append(frame_text(LEFT_MM, A4_LANDSCAPE_MM[1] - BORDER_MARGIN_MM - 9, head, 5.0, bold=True))

    def length(value: float, places: int = 2) -> str:
        return length_text(value, s.work.units, places)

    held = f"{way_text(s)}, {with_diameter_sign(held_text(s, length))}, machined from the {c.from_end} end"
    under = f"{held}: {'; '.join(cuts_text(s, length))}"
    under = truncate_text(under, 3.5, WIDTH_MM)
    items.append(frame_text(LEFT_MM, A4_LANDSCAPE_MM[1] - BORDER_MARGIN_MM - 15, under, 3.5))
    items += draw_side_view(s, machine, side, scale)
    items += draw_end_view(s, machine, end, scale)
    for box, text in ((side, "from the side"), (end, f"seen from the {c.from_end} end")):
        items.append(frame_text(box.middle[0], box.y - 2.5, text, SMALL_TEXT_HEIGHT_MM, anchor="middle"))
    items += draw_figures_table(s, LEFT_MM, 77.5)
    items += draw_reach_table(s, 118.0, 77.5)
    y = 77.5 - (9.5 + 4.2 * min(4, len(s.reach)) if s.reach else 0.0)
    items += _draw_shift_note(s, 118.0, y)
    items += _draw_findings(s.findings, 118.0, y - (6.0 if s.shift > 1e-6 else 0.0))
    items += draw_cautions(118.0, BORDER_MARGIN_MM + TITLE_BLOCK_SIZE_MM[1] + 3.4 * len(CAUTIONS))
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{plan.part}, set-up {s.number}")


def _view_boxes(spindle: str) -> tuple[PageRectangle, PageRectangle]:
    """Where the end view and the side view are. First-angle projection: the view from the right is on the left."""
    if spindle == "main":
        return PageRectangle(BORDER_MARGIN_MM + 5, 86, 104, 97), PageRectangle(123, 86, 160, 97)
    return PageRectangle(180, 86, 104, 97), PageRectangle(BORDER_MARGIN_MM + 6, 86, 160, 97)


def _set_up_scale(s: SetUp, machine: Machine) -> float:
    """The largest scale at which both views of a set-up fit."""
    low, high, bottom, top = side_view_extent(s, machine)
    end, side = _view_boxes(s.clamping.spindle)
    across = max(top - bottom, s.swing)
    return min(
        fitting_scale((high - low, top - bottom + 2), (side.width - 36, side.height)),
        fitting_scale((across + 2, across + 2), (end.width - 4, end.height - 4)),
    )


def _draw_shift_note(s: SetUp, x: float, y: float) -> list[Item]:
    """How the part came here from the set-up before: the sub-spindle's move."""
    if s.shift <= 1e-6:
        return []
    angle = f"{normalized_degrees(s.orientation):.1f}°"
    text = f"Transfer: spindle to {angle}; sub-spindle {s.shift:.2f} mm off centre; grip; back to zero."
    return [*arrow((x, y + 1.2), (x + 9, y + 1.2)), frame_text(x + 11, y, text, BODY_TEXT_HEIGHT_MM, bold=True)]


def _draw_findings(findings: Sequence[Finding], x: float, y: float) -> list[Item]:
    items: list[Item] = []
    floor = BORDER_MARGIN_MM + TITLE_BLOCK_SIZE_MM[1] + 3.4 * len(CAUTIONS) + 5
    for f in findings:
        for line in wrap_text(f"{f.level}: {f.text}", BODY_TEXT_HEIGHT_MM, LEFT_MM + WIDTH_MM - x):
            if y < floor:
                return items
            items.append(frame_text(x, y, line, BODY_TEXT_HEIGHT_MM))
            y -= 4.0
    return items
