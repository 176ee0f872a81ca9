"""Pages for the set-up in the hand: its steps, and the tray on which two stands hand the part over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from foldsketch.base.drawing import Drawing, Item, Layer, LineType, Stroke, Text
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

SLIT_LENGTH_MM, SLIT_PITCH_MM = 11.0, 40.0
"""Of a slit for a tongue of the stop, and from one of a pair to the other, mm."""

FOOT_MM = 14.0
"""Below it nothing is printed on a page of steps, mm."""

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


def draw_steps_pages(
    part: str, rows: Sequence[InHandRow], minutes: float, skewer: float, tool: str | None = None
) -> list[Drawing]:
    """What is needed, the order of the work, the hand-over and the set-ups, on a page or two.

    minutes: of all chucks and stands; skewer: least length of a skewer, mm; tool: how the paper tool is tried.
    """
    left, width = TEXT_MARGIN_MM, A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM
    title = truncate_text(f"{part}: the set-up in the hand", 5.0, width)
    top = A4_PORTRAIT_MM[1] - 22
    pages: list[list[Item]] = [[frame_text(left, top, title, 5.0, bold=True)]]
    y = top - 8
    head = f"About {minutes:.0f} minutes beside the part's own model. Card of 160 g/m²."
    pages[0].append(frame_text(left, y, head, STEP_HEIGHT_MM))
    y -= 4
    steps = [*_building(rows, skewer), *_handing_over(rows), *([tool] if tool else [])]
    for k, step in enumerate(steps, 1):
        lines = wrap_text(step, STEP_HEIGHT_MM, width - 9)
        if y - 3 - STEP_PITCH_MM * len(lines) < FOOT_MM:
            pages.append([])
            y = top + STEP_PITCH_MM
        y -= 3
        pages[-1].append(frame_text(left, y - STEP_PITCH_MM, str(k), STEP_HEIGHT_MM, bold=True))
        for line in lines:
            y -= STEP_PITCH_MM
            pages[-1].append(frame_text(left + 9, y, line, STEP_HEIGHT_MM))
    table = _table(rows)
    if y - 12 - 5.5 * len(rows) - 26 < FOOT_MM:
        pages.append([])
        y = top + 12
    pages[-1] += [text._replace(at=(text.at[0] + left, text.at[1] + y - 12)) for text in table]
    return [Drawing(A4_PORTRAIT_MM, tuple(items), f"{part}, the set-up in the hand") for items in pages]


def _table(rows: Sequence[InHandRow]) -> list[Text]:
    """The set-ups, and why paper has less room; its first line is at 0, 0."""
    columns = (0.0, 10.0, 30.0, 48.0, 100.0, 140.0)
    heads = ("", "spindle", "axis", "held", "folded up", "swing, paper (round)")
    items = [frame_text(x, 0.0, text, BODY_TEXT_HEIGHT_MM, bold=True) for x, text in zip(columns, heads, strict=True)]
    y = 0.0
    for r in rows:
        y -= 5.5
        swing = f"{r.swing[0]:.1f} ({r.swing[1]:.1f})"
        values = (str(r.number), r.spindle, r.axis, truncate_text(r.held, BODY_TEXT_HEIGHT_MM, 50), r.jaws, swing)
        items += [frame_text(x, y, text, BODY_TEXT_HEIGHT_MM) for x, text in zip(columns, values, strict=True)]
    y -= 6
    why = "Corners of the paper model swing wider than the round part: room on paper is less than on the machine."
    for line in (why, *IN_HAND_CAUTIONS):
        y -= 4.6
        items.append(frame_text(0.0, y, line, BODY_TEXT_HEIGHT_MM))
    return items


def _building(rows: Sequence[InHandRow], skewer: float) -> list[str]:
    """The order of the work, a sentence or two a step."""
    skewers = "two skewers" if any(r.shift for r in rows) else "a skewer"
    fixture = [
        "Fixture: fold the three walls towards you and tape their two corners from tick to tick. Cut flap and key on "
        "three sides and fold them up. The key clears the part as it lies right and stops it half a turn wrong; the "
        "letter on the pocket's floor is the axis that goes in."
    ]
    return [
        f"Take {skewers} 2.5 to 3 mm thick and at least {skewer:.0f} mm long, a needle, "
        "a knife, tape, and nuts or coins of 30 g for each stand.",
        "Before you fold the part, prick its axis crosses with the needle, on both faces. Take care here, less with "
        "the scissors: the skewer through the pricks is the centreline.",
        "Discs: crease each jaw along its dots, cut the three other sides with the knife, then cut the disc out. Bend "
        "each jaw towards you, right over and back, so that it stands by itself. Prick the centre.",
        *(fixture if any("walls" in r.jaws for r in rows) else []),
        "Cones: roll, close the lap on the thin line, tape. Push the skewer through part, disc and cone; slide the "
        "cone on to the four pricks behind the disc; spin: the rim must not wobble. Three strips of tape.",
        "Stands: fold back, glue the seam, fold the floor in and put 30 g of nuts on it; without them it falls over.",
        "Pierce last: stand the two tubes front to front and push one skewer straight through all four walls.",
        "The skewer is the clamp: pushed in it holds, pulled back it lets go. Jaws only show where they are and keep "
        "the angle; hold the disc from behind when you push the part in.",
    ]


def _handing_over(rows: Sequence[InHandRow]) -> list[str]:
    """Tray, stop, and each hand-over off centre; nothing where no set-up shifts."""
    if not any(r.shift for r in rows):
        return []
    found = [
        "Tray: cut along the thick line and the slits, fold the fence up, tape the main stand on its outline against "
        "the fence. Fold the stop, push its tongues through the slits of the next set-up and bend them back under "
        "the page."
    ]
    for before, r in pairwise(rows):
        if r.shift:
            found.append(hand_over_text(before, r))
    return found


def hand_over_text(before: InHandRow, r: InHandRow) -> str:
    """One hand-over off centre, in the order in which both hands do it.

    The sub stand moves away from the fence: the axis that the sub-spindle takes lies on that side, the one that the
    main spindle takes back on the other.
    """
    shift, giving = format_number(r.shift, 1), before.spindle
    side = "away from the fence" if giving == "main" else "towards the fence"
    taking = "sub" if giving == "main" else "main"
    return (
        f"Hand-over from set-up {before.number} to {r.number}: turn the {giving} skewer until axis {r.axis} lies "
        f"{side}, level with axis {before.axis}. Slide the sub stand {shift} mm off the fence, against the stop in "
        f"slits {r.number}. Bring it up, with the part between the chucks, and push the {taking} skewer in. Pull the "
        f"{giving} skewer back 45 mm, draw the sub stand back, and slide it to the fence: axis {r.axis} is on the "
        "centreline."
    )


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
        items += _slits(lines_left + 12 + 14.5 * n, zero - r.shift, str(r.number))
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
