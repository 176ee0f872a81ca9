"""Pages for the set-up in the hand: its steps, and the tray on which two stands hand the part over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from foldsketch.base.drawing import Drawing, Item, Layer, LineType, Stroke
from foldsketch.base.lettering import truncate_text, wrap_text
from foldsketch.base.units import format_number
from foldsketch.sheet.page.line_widths import CUT_LINE_WIDTH_MM, FOLD_FORWARD_WIDTH_MM, GREY, THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import (
    A4_LANDSCAPE_MM,
    A4_PORTRAIT_MM,
    BODY_TEXT_HEIGHT_MM,
    TEXT_MARGIN_MM,
    frame_text,
)
from foldsketch.sheet.setup_sheets.drafting import on_white

FENCE_FOLD_Y_MM, FENCE_HEIGHT_MM = 190.0, 10.0
"""The fence is folded up there and so high, mm on the page."""

TRAY_LINES_MM = 5.0
"""From one line along the spindle to the next, mm."""

LONGEST_SHIFT_MM = 110.0
"""Largest shift that the tray has room for, mm on paper."""

STEP_HEIGHT_MM, STEP_PITCH_MM = 3.5, 5.6

IN_HAND_CAUTIONS = (
    "A model to talk about, not a fixture: no figure of grip, speed or balance comes from it.",
    "Nobody has built this from paper yet: grip of the card on the skewer and wear of the holes are assumed.",
)


@dataclass(frozen=True, slots=True)
class InHandRow:
    """A set-up: number; spindle; axis: on the spindle; held; jaws: as folded; shift: mm on paper, 0 for none.

    swing: diameters of the paper model's corners and of the round part, mm on paper.
    """

    number: int
    spindle: str
    axis: str
    held: str
    jaws: str
    shift: float
    swing: tuple[float, float]


def draw_steps_page(part: str, rows: Sequence[InHandRow], minutes: float, skewer: float) -> Drawing:
    """What is needed, the order of the work, the set-ups and the hand-over, on one page.

    minutes: of all chucks and stands; skewer: least length of a skewer, mm.
    """
    left, width = TEXT_MARGIN_MM, A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM
    y = A4_PORTRAIT_MM[1] - 22
    items: list[Item] = [
        frame_text(left, y, truncate_text(f"{part}: the set-up in the hand", 5.0, width), 5.0, bold=True)
    ]
    y -= 8
    head = f"About {minutes:.0f} minutes beside the part's own model. Card of 160 g/m²."
    items.append(frame_text(left, y, head, STEP_HEIGHT_MM))
    y -= 4
    shifted = any(r.shift for r in rows)
    for k, step in enumerate(_steps(rows, skewer, shifted), 1):
        y -= 3
        for n, line in enumerate(wrap_text(step, STEP_HEIGHT_MM, width - 9)):
            if n == 0:
                items.append(frame_text(left, y - STEP_PITCH_MM, str(k), STEP_HEIGHT_MM, bold=True))
            y -= STEP_PITCH_MM
            items.append(frame_text(left + 9, y, line, STEP_HEIGHT_MM))
    y -= 12
    columns = (0.0, 10.0, 30.0, 48.0, 100.0, 140.0)
    heads = ("", "spindle", "axis", "held", "jaws folded", "swing, paper (round)")
    for x, text in zip(columns, heads, strict=True):
        items.append(frame_text(left + x, y, text, BODY_TEXT_HEIGHT_MM, bold=True))
    for r in rows:
        y -= 5.5
        swing = f"{r.swing[0]:.1f} ({r.swing[1]:.1f})"
        values = (str(r.number), r.spindle, r.axis, truncate_text(r.held, BODY_TEXT_HEIGHT_MM, 50), r.jaws, swing)
        for x, text in zip(columns, values, strict=True):
            items.append(frame_text(left + x, y, text, BODY_TEXT_HEIGHT_MM))
    y -= 6
    why = "Corners of the paper model swing wider than the round part: room on paper is less than on the machine."
    for line in (why, *IN_HAND_CAUTIONS):
        y -= 4.6
        items.append(frame_text(left, y, line, BODY_TEXT_HEIGHT_MM))
    return Drawing(A4_PORTRAIT_MM, tuple(items), f"{part}, the set-up in the hand")


def _steps(rows: Sequence[InHandRow], skewer: float, shifted: bool) -> list[str]:
    """The order of the work, a sentence or two a step."""
    skewers = "two skewers" if shifted else "a skewer"
    found = [
        f"Take {skewers} 2.5 to 3 mm thick and at least {skewer:.0f} mm long, a needle, "
        "a knife, tape, and nuts or coins of 30 g for each stand.",
        "Before you fold the part, prick its axis crosses with the needle, on both faces. Take care here, less with "
        "the scissors: the skewer through the pricks is the centreline.",
        "Discs: crease each jaw along its dots, cut the three other sides with the knife, then cut the disc out. Bend "
        "each jaw towards you, right over and back, so that it stands by itself. Prick the centre.",
        "Cones: roll, close the lap on the thin line, tape. Push the skewer through part, disc and cone; slide the "
        "cone on to the four pricks behind the disc; spin: the rim must not wobble. Three strips of tape.",
        "Stands: fold back, glue the seam, fold the floor in and put 30 g of nuts on it; without them it falls over.",
        "Pierce last: stand the two tubes front to front and push one skewer straight through all four walls.",
        "The skewer is the clamp: pushed in it holds, pulled back it lets go. Jaws only show where they are and keep "
        "the angle; hold the disc from behind when you push the part in.",
    ]
    if not shifted:
        return found
    found.append(
        "Tray: cut along the thick line, fold the fence up, tape the main stand on its outline against the fence."
    )
    for before, r in pairwise(rows):
        if r.shift:
            shift = format_number(r.shift, 1)
            found.append(
                f"Hand-over from set-up {before.number} to {r.number}: turn the main skewer until axis {r.axis} lies "
                f"away from the fence, level with axis {before.axis}. Slide the sub stand {shift} mm "
                f"off the fence, to line {r.number}. Bring it on to the part and push its skewer in. Pull the main "
                f"skewer back 45 mm, draw the sub stand back, and slide it to the fence: axis {r.axis} is on the "
                "centreline."
            )
    return found


def draw_tray(part: str, rows: Sequence[InHandRow], stand: tuple[float, float]) -> Drawing:
    """The tray: a fence for shift 0, the main stand's outline, lines along the spindle, and one for each shift.

    stand: width across the spindle and depth along it, mm.
    """
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
    steps = int(min(LONGEST_SHIFT_MM, max(60.0, *(r.shift + 10 for r in rows))) / TRAY_LINES_MM)
    for k in range(1, steps + 1):
        y = y0 - k * TRAY_LINES_MM
        ten = k % 2 == 0
        items.append(
            Stroke(Layer.MARK, ((lines_left, y), (right, y)), width=0.25 if ten else THIN_LINE_WIDTH_MM, colour=GREY)
        )
        if ten:
            for x in (lines_left - 2.0, (lines_left + right) / 2):
                items.append(frame_text(x, y + 0.6, format_number(k * TRAY_LINES_MM, 0), BODY_TEXT_HEIGHT_MM, "end"))
    for n, r in enumerate(r for r in rows if r.shift):
        y = y0 - r.shift
        items.append(Stroke(Layer.MARK, ((lines_left, y), (right, y)), width=0.7))
        text = f"set-up {r.number}: {format_number(r.shift, 1)}"
        items += on_white((right - 24 - 44 * n, y), text, BODY_TEXT_HEIGHT_MM, bold=True)
    low = y0 - steps * TRAY_LINES_MM - 12
    items.append(frame_text(left, low, f"{part}: tray for the hand-over", 5.0, bold=True))
    note = "The sub stand slides with its near wall along these lines; lay a ruler on the thick one as a stop."
    items.append(frame_text(left, low - 7, note, BODY_TEXT_HEIGHT_MM))
    bar = ((left, low - 14), (left + 100, low - 14))
    items.append(Stroke(Layer.MARK, bar, width=0.35))
    for k in range(11):
        x, tick = left + 10 * k, 1.6 if k % 5 == 0 else 1.0
        items.append(Stroke(Layer.MARK, ((x, low - 14 - tick), (x, low - 14 + tick)), width=0.35))
    items.append(frame_text(left + 104, low - 15.2, "100 mm", BODY_TEXT_HEIGHT_MM))
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{part}, tray")
