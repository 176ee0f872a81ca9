"""Check bars, title line and legend of every sheet."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import pi

from foldsketch.base.drawing import Circle, Item, Layer, Point, Stroke
from foldsketch.base.lettering import text_width, truncate_text
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import FOOTER_HEIGHT_MM, PRINTER_MARGIN_MM, SIDE_STRIP_WIDTH_MM, scale_text
from foldsketch.sheet.page.legend_samples import (
    ENTRIES_WITH_PROFILE,
    FOLD_PROFILE_LENGTH_MM,
    LINE_SAMPLE_LENGTH_MM,
    SYMBOL_ENTRIES,
    SYMBOL_SAMPLE_LENGTH_MM,
    draw_line_sample,
    draw_paper_profile,
)
from foldsketch.sheet.page.line_widths import CUT_LINE_WIDTH_MM, THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, SMALL_TEXT_HEIGHT_MM, frame_text

CHECK_BAR_LENGTH_MM = 100.0
REGISTRATION_ARM_LENGTH_MM = 2.6
"""Length in mm of the four arms of a registration cross."""

NO_GLUE_NOTE = "No tab, no number, no = mark: do not glue this edge."
"""Printed where edges have no tab, if it fits."""

FRONT_LEGEND = (
    ("cut", "cut"),
    ("mountain", "mountain fold: printed side out"),
    ("valley", "valley fold: printed side in"),
    ("glue", "glue tab: hatched side behind the edge of its number"),
    ("tape", "tape across the edge from tick to tick, equal numbers together"),
    ("centre", "centre and pin hole"),
    ("offset", "offset"),
    ("datum", "datum line"),
    ("tick", "tick where blocks meet"),
    ("outline", "a block stands here"),
    ("drawn", "drawn, not cut"),
    ("ring", "see the key"),
    ("frame", "net number"),
    ("z", "to the +z end"),
    ("pointer", "to the axis in an opening"),
)
BACK_LEGEND = (
    ("valley", "valley fold seen from here, mountain on the front"),
    ("mountain", "mountain fold seen from here"),
    ("landing", "the hatched side of the tab of this number is glued here"),
)


def draw_front_title_and_legend(
    part: str,
    scale: float,
    sheet: Sheet,
    number: int,
    of: int,
    duplex: bool = False,
    bare: bool = False,
    absent: Collection[str] = (),
) -> list[Item]:
    """Check bars both ways, title line and legend, below and beside the nets.

    duplex: registration crosses too, and how to turn the page; bare: a note on edges without a tab; absent: entries
    that the legend leaves out.
    """
    w, _ = sheet.size
    foot = PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    x, y = PRINTER_MARGIN_MM + CHECK_BAR_LENGTH_MM + 3, foot - 4.5
    side = "This printed side is the outside of the model."
    short = f"This side out. {NO_GLUE_NOTE}"
    fits = x + text_width(short, SMALL_TEXT_HEIGHT_MM) <= w - PRINTER_MARGIN_MM - SIDE_STRIP_WIDTH_MM
    end = f"print at 100 %, {duplex_instruction(sheet)}" if duplex else "print at 100 %"
    legend = [entry for entry in FRONT_LEGEND if entry[0] not in absent]
    items = [
        *_draw_check_bar((PRINTER_MARGIN_MM, y), upright=False),
        *_draw_check_bar((PRINTER_MARGIN_MM + 2.2, foot + 4.0), upright=True),
        frame_text(x, y - 1.9, "100 mm both ways: if not, print again at 100 %", SMALL_TEXT_HEIGHT_MM),
        frame_text(x, y + 1.1, short if bare and fits else side, SMALL_TEXT_HEIGHT_MM),
        *_draw_title_line(part, f"scale {scale_text(scale)}  ·  sheet {number} of {of}  ·  {end}", w),
        *_draw_legend(legend, (PRINTER_MARGIN_MM, foot - 14.4), w - 2 * PRINTER_MARGIN_MM),
    ]
    if duplex:
        items += [i for p in registration_points(sheet) for i in _draw_registration_cross(p)]
    return items


def draw_back_title_and_legend(part: str, scale: float, sheet: Sheet, number: int, of: int) -> list[Item]:
    """Title, legend and registration crosses of a sheet's back."""
    w, foot = sheet.size[0], PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    end = f"back of sheet {number} of {of}  ·  print at 100 %, {duplex_instruction(sheet)}"
    items = _draw_title_line(part, f"scale {scale_text(scale)}  ·  {end}", w)
    note = "Hold the sheet up to the light: front and back crosses must coincide. Cut along the lines on the front."
    items.append(frame_text(PRINTER_MARGIN_MM + 8, foot - 5.4, note, SMALL_TEXT_HEIGHT_MM))
    items += _draw_legend(BACK_LEGEND, (PRINTER_MARGIN_MM, foot - 14.4), w - 2 * PRINTER_MARGIN_MM)
    items += [i for x, y in registration_points(sheet) for i in _draw_registration_cross((w - x, y))]
    return items


def duplex_instruction(sheet: Sheet) -> str:
    """How the printer has to turn the page: about an upright edge of the page as it is read."""
    return f"both sides, flip on the {'long' if sheet.size[1] >= sheet.size[0] else 'short'} edge"


def registration_points(sheet: Sheet) -> tuple[Point, Point, Point]:
    """The registration crosses of the front: at three corners of the page, outside the nets."""
    w, h = sheet.size
    left, foot = PRINTER_MARGIN_MM + SIDE_STRIP_WIDTH_MM / 2, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    return (left, h - PRINTER_MARGIN_MM - REGISTRATION_ARM_LENGTH_MM), (left, foot + 0.4), (w - left, foot - 4.0)


def _draw_registration_cross(at: Point) -> list[Item]:
    (x, y), r = at, REGISTRATION_ARM_LENGTH_MM
    arms = ((x - r, y), (x + r, y)), ((x, y - r), (x, y + r))
    return [
        *(Stroke(Layer.FRAME, arm, width=THIN_LINE_WIDTH_MM) for arm in arms),
        Circle(Layer.FRAME, at, r / 2, width=THIN_LINE_WIDTH_MM),
    ]


def _draw_title_line(part: str, text: str, w: float) -> list[Item]:
    y = PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM - 10.0
    room = w - 2 * PRINTER_MARGIN_MM - text_width(text, BODY_TEXT_HEIGHT_MM) - 6
    name = truncate_text(part, BODY_TEXT_HEIGHT_MM, room)
    return [
        frame_text(PRINTER_MARGIN_MM, y, name, BODY_TEXT_HEIGHT_MM, bold=True),
        frame_text(w - PRINTER_MARGIN_MM, y, text, BODY_TEXT_HEIGHT_MM, anchor="end"),
        Stroke(Layer.FRAME, ((PRINTER_MARGIN_MM, y - 1.6), (w - PRINTER_MARGIN_MM, y - 1.6)), width=THIN_LINE_WIDTH_MM),
    ]


def _draw_check_bar(at: Point, upright: bool) -> list[Item]:
    """A bar of exactly 100 mm with ticks every 10 mm."""
    x, y = at

    def put(along: float, aside: float) -> Point:
        return (x + aside, y + along) if upright else (x + along, y + aside)

    items: list[Item] = [Stroke(Layer.FRAME, (put(0, 0), put(CHECK_BAR_LENGTH_MM, 0)), width=CUT_LINE_WIDTH_MM)]
    for k in range(11):
        size = 1.8 if k in (0, 10) else 0.9
        items.append(Stroke(Layer.FRAME, (put(10.0 * k, -size), put(10.0 * k, size)), width=0.18))
    if upright:
        items.append(frame_text(x + 1.6, y + CHECK_BAR_LENGTH_MM + 1.5, "100 mm", SMALL_TEXT_HEIGHT_MM, angle=pi / 2))
    return items


def _draw_legend(entries: Sequence[tuple[str, str]], at: Point, room: float) -> list[Item]:
    """A sample of every line with its meaning, in two rows; what would need a third row is left out."""
    items: list[Item] = []
    x, y = at
    gap = 3.0
    for kind, text in entries:
        line = SYMBOL_SAMPLE_LENGTH_MM if kind in SYMBOL_ENTRIES else LINE_SAMPLE_LENGTH_MM
        sample = line + (FOLD_PROFILE_LENGTH_MM if kind in ENTRIES_WITH_PROFILE else 0.0)
        need = sample + 1.2 + text_width(text, SMALL_TEXT_HEIGHT_MM)
        if x + need > at[0] + room + 0.01:
            x, y = at[0], y - 3.5
        if y < at[1] - 4 or need > room:
            break
        items += draw_line_sample(kind, x, y + 0.9, line)
        if kind in ENTRIES_WITH_PROFILE:
            items += draw_paper_profile(kind, x + LINE_SAMPLE_LENGTH_MM + 1.0, y + 0.9)
        items.append(frame_text(x + sample + 1.2, y, text, SMALL_TEXT_HEIGHT_MM))
        x += need + gap
    return items
