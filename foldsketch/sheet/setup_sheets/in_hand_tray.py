"""The tray on which two stands hand the part over: a fence for shift 0, slits of the stop for each shift."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Drawing, Item, Layer, LineType, Stroke
from foldsketch.base.lettering import wrap_text
from foldsketch.base.units import format_number
from foldsketch.sheet.page.line_widths import CUT_LINE_WIDTH_MM, FOLD_FORWARD_WIDTH_MM, GREY, THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.setup_sheets.drafting import on_white
from foldsketch.sheet.setup_sheets.in_hand_pages import STEP_HEIGHT_MM, STEP_PITCH_MM, InHandRow

FENCE_FOLD_Y_MM, FENCE_HEIGHT_MM = 190.0, 10.0
"""The fence is folded up there and so high, mm on the page."""

TRAY_LINES_MM = 5.0
"""From one line along the spindle to the next, mm."""

LONGEST_SHIFT_MM = 110.0
"""Largest shift that the tray has room for, mm on paper."""

SLIT_LENGTH_MM, SLIT_PITCH_MM = 11.0, 40.0
"""Of a slit for a tongue of the stop, and from one of a pair to the other, mm."""

STOP_LENGTH_MM, STOP_LEG_MM, STOP_BESIDE_MM = 70.0, 14.0, 5.0
"""Of the stop; it begins so far behind the front of the sub stand that has come up to the part, mm on paper."""

DISC_BEYOND_STAND_MM = 29.0
"""From a stand to its disc: the cone and a gap, mm on paper."""


def draw_tray(part: str, rows: Sequence[InHandRow], stand: tuple[float, float]) -> Drawing:
    """The tray: a fence for shift 0, the main stand's outline, lines along the spindle, and slits for each shift.

    stand: width across the spindle and depth along it, mm.
    """
    return Drawing(A4_LANDSCAPE_MM, tuple(_tray(part, rows, stand)), f"{part}, tray")


def _tray(part: str, rows: Sequence[InHandRow], stand: tuple[float, float]) -> list[Item]:
    (w, _), (across, along) = A4_LANDSCAPE_MM, stand
    left, right, y0 = 9.0, w - 9.0, FENCE_FOLD_Y_MM
    cut, fold = y0 + FENCE_HEIGHT_MM, y0
    items: list[Item] = [
        Stroke(Layer.CUT, ((0.0, cut), (w, cut)), width=CUT_LINE_WIDTH_MM),
        Stroke(Layer.VALLEY, ((0.0, fold), (w, fold)), width=FOLD_FORWARD_WIDTH_MM, line=LineType.DOTTED),
        frame_text(w / 2, y0 + 3.5, "fence, fold up: shift 0", BODY_TEXT_HEIGHT_MM, "middle"),
    ]
    x0, x1 = left + 6, left + 6 + along
    outline = ((x0, y0), (x0, y0 - across), (x1, y0 - across), (x1, y0))
    items.append(Stroke(Layer.MARK, outline, width=0.35))
    items.append(frame_text((x0 + x1) / 2, y0 - across / 2, "main stand: tape here", BODY_TEXT_HEIGHT_MM, "middle"))
    lines_left = x1 + 25
    zero = y0 - across
    steps = int(min(LONGEST_SHIFT_MM, max(60.0, *(r.shift + 10 for r in rows))) / TRAY_LINES_MM)
    for k in range(steps + 1):
        y = zero - k * TRAY_LINES_MM
        ten = k % 2 == 0
        items.append(
            Stroke(Layer.MARK, ((lines_left, y), (right, y)), width=0.25 if ten else THIN_LINE_WIDTH_MM, colour=GREY)
        )
        if ten:
            for x in (lines_left - 2.0, right - 20.0):
                items += on_white((x - 2.0, y), format_number(k * TRAY_LINES_MM, 0), BODY_TEXT_HEIGHT_MM)
    shifted = [r for r in rows if r.shift]
    for n, r in enumerate(shifted):
        # The stop lies beside the sub stand as it comes up to the part, and still beside it drawn back.
        stop = x1 + r.on + 2 * DISC_BEYOND_STAND_MM + STOP_BESIDE_MM + 14.5 * n
        start = min(stop, right - STOP_LENGTH_MM - 2) + (STOP_LENGTH_MM - SLIT_PITCH_MM - SLIT_LENGTH_MM) / 2
        items += _slits(start, zero - r.shift, str(r.number))
    return [*items, *_tray_words(part, shifted, left, zero - 14)]


def _slits(x: float, y: float, number: str) -> list[Item]:
    """A pair of slits for the stop's tongues, with the set-up's number."""
    items: list[Item] = []
    for start in (x, x + SLIT_PITCH_MM):
        end = start + SLIT_LENGTH_MM
        items.append(Stroke(Layer.CUT, ((start, y), (end, y)), width=CUT_LINE_WIDTH_MM))
        items += [Stroke(Layer.MARK, ((k, y - 1.2), (k, y + 1.2)), width=0.25) for k in (start, end)]
        items += on_white(((start + end) / 2, y - 3.2), number, BODY_TEXT_HEIGHT_MM, bold=True)
    return items


def _tray_words(part: str, shifted: Sequence[InHandRow], x: float, y: float) -> list[Item]:
    """Title, shifts and the check bar, in the column beside the lines."""
    width, items = 76.0, list[Item]()
    for line in wrap_text(f"{part}: tray", 5.0, width):
        items.append(frame_text(x, y, line, 5.0, bold=True))
        y -= 7.5
    for r in shifted:
        items.append(frame_text(x, y, f"set-up {r.number}: shift {format_number(r.shift, 1)}", STEP_HEIGHT_MM))
        y -= STEP_PITCH_MM
    note = (
        "The stop stands on the line of its slits, its foot away from the fence. The sub stand slides along the fence "
        "(shift 0) or along the stop; its outer wall reads the shift at any line. Cut the slits with the knife."
    )
    for line in wrap_text(note, BODY_TEXT_HEIGHT_MM, width):
        items.append(frame_text(x, y, line, BODY_TEXT_HEIGHT_MM))
        y -= 4.4
    low = 12.0
    items.append(Stroke(Layer.MARK, ((x, low), (x + 100, low)), width=0.35))
    for k in range(11):
        at, tick = x + 10 * k, 1.6 if k % 5 == 0 else 1.0
        items.append(Stroke(Layer.MARK, ((at, low - tick), (at, low + tick)), width=0.35))
    return [*items, frame_text(x + 104, low - 1.2, "100 mm", BODY_TEXT_HEIGHT_MM)]
