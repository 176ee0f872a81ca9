"""Pages for the set-up in the hand: its steps, and the tray on which two stands hand the part over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from foldsketch.base.drawing import Drawing, Item, Text
from foldsketch.base.lettering import truncate_text, wrap_text
from foldsketch.base.units import format_number
from foldsketch.sheet.page.page_text import (
    A4_PORTRAIT_MM,
    BODY_TEXT_HEIGHT_MM,
    TEXT_MARGIN_MM,
    frame_text,
)

STEP_HEIGHT_MM, STEP_PITCH_MM = 3.5, 5.6

FOOT_MM = 14.0
"""Below it nothing is printed on a page of steps, mm."""

IN_HAND_CAUTIONS = (
    "A model to talk about, not a fixture: no figure of grip, speed or balance comes from it.",
    "Nobody has built this from paper yet: grip of the card on the skewer and wear of the holes are assumed.",
)


@dataclass(frozen=True, slots=True)
class InHandRow:
    """A set-up: number; spindle; axis: on the spindle; held; jaws: as folded; shift: mm on paper, 0 for none.

    swing: diameters of the paper model's corners and of the round part; on: from the main disc to the sub's as both
    hold the part at the hand-over to this set-up; mm on paper.
    """

    number: int
    spindle: str
    axis: str
    held: str
    jaws: str
    shift: float
    swing: tuple[float, float]
    on: float = 0.0


def draw_steps_pages(
    part: str, rows: Sequence[InHandRow], minutes: tuple[float, float], skewer: float, tool: str | None = None
) -> list[Drawing]:
    """What is needed, the order of the work, the hand-over and the set-ups, on a page or two.

    minutes: of all chucks and stands, and of the tool; skewer: least length of a skewer, mm; tool: how the paper tool
    is tried.
    """
    left, width = TEXT_MARGIN_MM, A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM
    title = truncate_text(f"{part}: the set-up in the hand", 5.0, width)
    top = A4_PORTRAIT_MM[1] - 22
    pages: list[list[Item]] = [[frame_text(left, top, title, 5.0, bold=True)]]
    y = top - 8
    more = f", {minutes[1]:.0f} more for the tool" if tool else ""
    head = f"About {minutes[0]:.0f} minutes beside the part's own model{more}. Card of 160 g/m²."
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
