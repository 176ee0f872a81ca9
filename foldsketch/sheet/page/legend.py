"""Check bars, and the foot of every sheet: what it is, how it is printed, and a legend of what is there."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from foldsketch.base.drawing import Circle, Item, Layer, Point, Stroke
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import FOOTER_HEIGHT_MM, PRINTER_MARGIN_MM, SIDE_STRIP_WIDTH_MM
from foldsketch.sheet.page.legend_samples import draw_sample, sample_length
from foldsketch.sheet.page.line_widths import CUT_LINE_WIDTH_MM, THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text

CHECK_BAR_LENGTH_MM = 100.0
REGISTRATION_ARM_LENGTH_MM = 2.6
"""Length in mm of the four arms of a registration cross."""

CROSS_STRIP_MM = SIDE_STRIP_WIDTH_MM / 2 + REGISTRATION_ARM_LENGTH_MM + 2.5
"""Beside the registration cross at the foot nothing else is printed so far from the printer's margin, mm."""

TITLE_HEIGHTS_MM, MODEL_LINE_HEIGHT_MM = (5.0, 3.5, 2.5), 3.5
"""Capital heights, mm, of the part's name, the largest that fits, and of the line below it."""

RULE_DROP_MM = 2.0
"""Distance of the rule over the foot from the nets, mm."""

LEGEND_ROWS_MM, LEGEND_GAP_MM = (10.2, 3.2), 5.0
"""Middles of the legend's rows above the printer's margin, and the gap between its entries, mm."""

FRONT_LEGEND = {
    "cut": "cut",
    "back": "fold back",
    "forward": "fold forward",
    "glue": "glue, goes behind",
    "number": "glue behind the same number",
    "tape": "tape from tick to tick",
    "slit": "slit for a tongue",
    "halves": "halves meet",
    "drawn": "drawn, not cut",
    "tick": "tick on tick",
}
BACK_LEGEND = {
    "forward": "fold forward",
    "back": "fold back",
    "landing": "a tab is glued here",
}


def draw_front_foot(
    title: tuple[str, str], sheet: Sheet, number: int, of: int, shown: Collection[str], duplex: bool = False
) -> list[Item]:
    """Check bars both ways, title and legend, below and beside the nets.

    title: the part's name, and what the sheets make of it; shown: entries of the legend; duplex: registration crosses
    too, and how to turn the page.
    """
    w, _ = sheet.size
    foot = PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    beside = CROSS_STRIP_MM if duplex else 0.0
    bar = (w - PRINTER_MARGIN_MM - beside - CHECK_BAR_LENGTH_MM, foot - 6.0)
    lines = [f"print at 100 % · sheet {number} of {of}", *([duplex_instruction(sheet)] if duplex else [])]
    legend = [(kind, text) for kind, text in FRONT_LEGEND.items() if kind in shown]
    items = [
        *_draw_title(title, lines, w, CHECK_BAR_LENGTH_MM + beside + 5),
        *_draw_check_bar(bar, upright=False),
        *_draw_check_bar((PRINTER_MARGIN_MM + 2.2, foot + 4.0), upright=True),
        frame_text(bar[0] + 50, bar[1] - 5.2, "lay a ruler on both bars: 100 mm", BODY_TEXT_HEIGHT_MM, "middle"),
        *_draw_legend(legend, _title_width(title, lines), w),
    ]
    if duplex:
        items += [i for p in registration_points(sheet) for i in _draw_registration_cross(p)]
    return items


def draw_back_foot(title: tuple[str, str], sheet: Sheet, number: int, of: int) -> list[Item]:
    """Title, legend and registration crosses of a sheet's back."""
    w, foot = sheet.size[0], PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    lines = [f"print at 100 % · back of sheet {number} of {of}", duplex_instruction(sheet)]
    note = "Hold it up to the light: the crosses must meet."
    note_width = text_width(note, BODY_TEXT_HEIGHT_MM)
    items = _draw_title(title, lines, w, note_width + 5, CROSS_STRIP_MM)
    items.append(frame_text(w - PRINTER_MARGIN_MM - note_width, foot - 7.4, note, BODY_TEXT_HEIGHT_MM))
    items += _draw_legend([*BACK_LEGEND.items()], _title_width(title, lines) + CROSS_STRIP_MM, w)
    items += [i for x, y in registration_points(sheet) for i in _draw_registration_cross((w - x, y))]
    return items


def duplex_instruction(sheet: Sheet) -> str:
    """How the printer has to turn the page: about an upright edge of the page as it is read."""
    return f"both sides, flip on the {'long' if sheet.size[1] >= sheet.size[0] else 'short'} edge"


def registration_points(sheet: Sheet) -> tuple[Point, Point, Point]:
    """The registration crosses of the front: at three corners of the page, outside the nets."""
    w, h = sheet.size
    left, foot = PRINTER_MARGIN_MM + SIDE_STRIP_WIDTH_MM / 2, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    return (left, h - PRINTER_MARGIN_MM - REGISTRATION_ARM_LENGTH_MM), (left, foot + 0.8), (w - left, foot - 5.0)


def _draw_registration_cross(at: Point) -> list[Item]:
    (x, y), r = at, REGISTRATION_ARM_LENGTH_MM
    arms = ((x - r, y), (x + r, y)), ((x, y - r), (x, y + r))
    return [
        *(Stroke(Layer.FRAME, arm, width=THIN_LINE_WIDTH_MM) for arm in arms),
        Circle(Layer.FRAME, at, r / 2, width=THIN_LINE_WIDTH_MM),
    ]


def _title_width(title: tuple[str, str], lines: Sequence[str]) -> float:
    """Width of the title block below the part's name, mm."""
    return max(text_width(title[1], MODEL_LINE_HEIGHT_MM), *(text_width(t, BODY_TEXT_HEIGHT_MM) for t in lines))


def _draw_title(
    title: tuple[str, str], lines: Sequence[str], w: float, taken: float, beside: float = 0.0
) -> list[Item]:
    """The rule over the foot, and below it the name, the model's scale and the lines.

    taken, beside: mm at the right, and at the left.
    """
    left, top = PRINTER_MARGIN_MM, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM - RULE_DROP_MM
    x, room = left + beside, w - 2 * PRINTER_MARGIN_MM - taken - beside
    size = next((s for s in TITLE_HEIGHTS_MM if text_width(title[0], s) <= room), TITLE_HEIGHTS_MM[-1])
    first, *more = wrap_text(title[0], size, room)
    y = top - 2.5 - size
    items: list[Item] = [
        Stroke(Layer.FRAME, ((left, top), (w - PRINTER_MARGIN_MM, top)), width=CUT_LINE_WIDTH_MM),
        frame_text(x, y, truncate_text(first, size, room), size, bold=True),
    ]
    if more:  # only at the smallest size, which leaves room for a second line
        y -= 1.6 * size
        items.append(frame_text(x, y, truncate_text(" ".join(more), size, room), size, bold=True))
    y -= MODEL_LINE_HEIGHT_MM + 2.4
    items.append(frame_text(x, y, title[1], MODEL_LINE_HEIGHT_MM))
    for text in lines:
        y -= BODY_TEXT_HEIGHT_MM + 1.9
        items.append(frame_text(x, y, text, BODY_TEXT_HEIGHT_MM))
    return items


def _draw_check_bar(at: Point, upright: bool) -> list[Item]:
    """A bar of exactly 100 mm with ticks every 10 mm."""
    x, y = at

    def put(along: float, aside: float) -> Point:
        return (x + aside, y + along) if upright else (x + along, y + aside)

    items: list[Item] = [Stroke(Layer.FRAME, (put(0, 0), put(CHECK_BAR_LENGTH_MM, 0)), width=0.35)]
    for k in range(11):
        size = 1.8 if k in (0, 5, 10) else 0.9
        items.append(Stroke(Layer.FRAME, (put(10.0 * k, -size), put(10.0 * k, size)), width=THIN_LINE_WIDTH_MM))
    return items


def _draw_legend(entries: Sequence[tuple[str, str]], taken: float, w: float) -> list[Item]:
    """A sample of everything with its meaning, in two rows right of the title; taken: the title's width, mm."""
    left, right = PRINTER_MARGIN_MM + taken + 8.0, w - PRINTER_MARGIN_MM
    widths = [sample_length(kind) + 1.6 + text_width(text, BODY_TEXT_HEIGHT_MM) for kind, text in entries]
    rows: list[list[int]] = [[]]
    x = left
    for k, need in enumerate(widths):
        if rows[-1] and x + need > right + 0.01:
            rows.append([])
            x = left
        if x + need <= right + 0.01:
            rows[-1].append(k)
            x += need + LEGEND_GAP_MM
    items: list[Item] = []
    for row, middle in zip(rows, LEGEND_ROWS_MM, strict=False):
        x, y = left, PRINTER_MARGIN_MM + middle
        for k in row:
            kind, text = entries[k]
            items += draw_sample(kind, x, y)
            items.append(frame_text(x + sample_length(kind) + 1.6, y - BODY_TEXT_HEIGHT_MM / 2, text, 2.5))
            x += widths[k] + LEGEND_GAP_MM
    return items
