"""The picture booklet of the set-up in the hand: how chucks are built, hold the part, and hand it over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.drawing import Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import truncate_text, wrap_text
from foldsketch.base.units import format_number
from foldsketch.sheet.page.line_widths import CUT_LINE_WIDTH_MM, THIN_LINE_WIDTH_MM
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, TEXT_MARGIN_MM, PageRectangle, frame_text
from foldsketch.sheet.setup_sheets.hand_over_scene import (
    ALONG,
    STAND_GAP_MM,
    ChuckPicture,
    PaintedSolid,
    Rig,
    arrow_solid,
    bare_skewer,
    chuck_place,
    chuck_solids,
    paint_solids,
    part_solids,
    rig_skewer,
    rig_stand,
    rig_tray,
    stand_solids,
    turned_for,
)
from foldsketch.sheet.setup_sheets.in_hand_tray import STOP_LEG_MM

APART_MM, PULLED_MM, DRAWN_BACK_MM = 55.0, 45.0, 30.0
"""The sub chuck off the part; a skewer pulled back; the sub stand drawn back, mm."""

TITLE_HEIGHT_MM, WORDS_HEIGHT_MM, WORDS_PITCH_MM = 4.0, 3.0, 4.8

LEAST_ARROW_MM = 12.0
"""Shortest arrow, mm on paper."""

ACROSS = np.array((0.0, 1.0, 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class PictureStep:
    """A picture with its title and a sentence or two."""

    title: str
    words: str
    solids: tuple[PaintedSolid, ...]


def draw_picture_pages(part: str, chucks: Sequence[ChuckPicture], shifts: Sequence[float], rig: Rig) -> list[Drawing]:
    """Four pictures a page; each hand-over begins one. shifts: of each set-up, mm on paper, 0 for none."""
    groups = [[*building_pictures(chucks, rig)]]
    for (before, after), shift in zip(pairwise(chucks), shifts[1:], strict=True):
        if shift and before.spindle != after.spindle:
            groups.append([*hand_over_pictures(before, after, shift, rig)])
    pages, first = [], 1
    for steps in groups:
        for k in range(0, len(steps), 4):
            pages.append((steps[k : k + 4], first))
            first += len(steps[k : k + 4])
    title = f"{part}, pictures"
    return [
        Drawing(A4_LANDSCAPE_MM, tuple(_page(part, steps, number, (k, len(pages)))), title)
        for k, (steps, number) in enumerate(pages, 1)
    ]


def building_pictures(chucks: Sequence[ChuckPicture], rig: Rig) -> Iterator[PictureStep]:
    """Every chuck without its part and with it, and a stand."""
    for c in chucks:
        place = _place(c, 0.0, 0.0, rig)
        n = c.number
        if len(c.flaps) >= len(c.flat):  # walls stand outside the floor, jaws in windows
            words = (
                "Fold the walls up, tape two corners from tick to tick. Cut flap and key on three sides, fold them up."
            )
        elif c.flaps:
            words = "Cut each jaw on three sides. Bend it right over and back, so that it stands by itself."
        else:
            words = "Nothing stands up: cut the disc out. The skewer carries the part."
        yield PictureStep(
            f"Chuck {n}", f"{words} Tape cone {n} behind, on its four pricks.", (*chuck_solids(c, place),)
        )
        words = f"Part in, skewer in through axis {c.axis}. Spin it: axis {c.axis} must stand still."
        words += " Jaws stand at the raw size: the part hangs on the skewer." if c.loose and c.flaps else ""
        turned = (*chuck_solids(c, place), *part_solids(c, place), *bare_skewer(c, place[1]))
        yield PictureStep(f"Set-up {n}: {c.spindle} spindle, axis {c.axis}", words, turned)
    words = "Glue the seam, fold the floor in. Put 30 g of nuts on the floor: empty, the stand falls over."
    yield PictureStep("Two stands", words, (*stand_solids(0.0, 0.0, (rig.depth, rig.width, rig.high), ""),))


def hand_over_pictures(before: ChuckPicture, after: ChuckPicture, shift: float, rig: Rig) -> Iterator[PictureStep]:
    """A hand-over off centre in four pictures, in the order in which both hands do it."""
    to_sub = before.spindle == "main"
    scene = HandOver(before, after, shift, rig)
    giving, taking, axis = before.spindle, after.spindle, after.axis
    side = "away from the fence" if to_sub else "towards the fence"
    with_part, meets = ("", "the chuck meets the part") if to_sub else (", with the part,", "the part meets the chuck")
    out = DRAWN_BACK_MM
    for title, words, solids in (
        (
            "sub to the stop",
            f"Turn the {giving} skewer until axis {axis} lies {side}, level with axis {before.axis}. Slide the sub "
            f"stand{with_part} {format_number(shift, 1)} mm off the fence.",
            scene.solids(APART_MM, shift, before, 0.0, scene.across(APART_MM, -1.0)),
        ),
        (
            f"bring it up, {taking} skewer in",
            f"Slide the sub stand along the stop until {meets}. Push the {taking} skewer in, through axis {axis}.",
            scene.solids(0.0, shift, before, 0.0, scene.along(0.0, -out)),
        ),
        (
            f"{giving} skewer out, draw back",
            f"Pull the {giving} skewer {PULLED_MM:.0f} mm back: the {giving} chuck lets go. Draw the sub stand back.",
            scene.solids(out, shift, after, PULLED_MM, scene.along(0.0, out)),
        ),
        (
            "back to the fence",
            f"Slide the sub stand to the fence: shift 0. Axis {axis} is on the centreline.",
            scene.solids(out, 0.0, after, PULLED_MM, scene.across(out, 1.0)),
        ),
    ):
        yield PictureStep(f"Set-up {before.number} to {after.number}: {title}", words, solids)


class HandOver:
    """Both chucks on the tray at a hand-over. shift: mm on paper."""

    def __init__(self, before: ChuckPicture, after: ChuckPicture, shift: float, rig: Rig) -> None:
        self.shift, self.rig, self.giving = shift, rig, before
        turns = hand_over_turns(before, after)
        self.chucks = (before, after) if before.spindle == "main" else (after, before)
        self.turns = turns if before.spindle == "main" else turns[::-1]
        self.on = sub_disc_distance(*self.chucks)
        self.behind = self.chucks[0].height + STAND_GAP_MM + rig.depth

    def solids(
        self, apart: float, shift: float, held: ChuckPicture, pulled: float, arrow: PaintedSolid
    ) -> tuple[PaintedSolid, ...]:
        """All of it. apart: of the sub chuck from where both hold the part; held: who has it; pulled: giving skewer."""
        x = self.on + apart
        found = [*rig_tray(self.chucks[0], self.on, x, self.shift, self.rig), arrow]
        for c, turn, (cx, y) in zip(self.chucks, self.turns, ((0.0, 0.0), (x, -shift)), strict=True):
            place = chuck_place(c, turn, np.array((cx, y, self.rig.level)))
            found += [*chuck_solids(c, place), *rig_stand(c, place[1], self.rig)]
            found += rig_skewer(c, place[1], pulled if c is self.giving else 0.0, self.rig)
            found += part_solids(c, place) if c is held else ()
        return tuple(found)

    def across(self, apart: float, way: float) -> PaintedSolid:
        """An arrow beside the sub stand, towards the fence for way 1, away from it for -1, as long as the shift."""
        x, middle = self.on + apart + self.behind + 12, -self.rig.width / 2 - self.shift / 2
        half = max(self.shift, LEAST_ARROW_MM) / 2 * way
        return arrow_solid(np.array((x, middle - half, 0.5)), np.array((x, middle + half, 0.5)), ALONG)

    def along(self, apart: float, by: float) -> PaintedSolid:
        """An arrow in front of the stop, along the spindle."""
        x, y = self.on + apart + self.behind - 20, -self.rig.width / 2 - self.shift - STOP_LEG_MM - 6
        return arrow_solid(np.array((x, y, 0.5)), np.array((x + by, y, 0.5)), ACROSS)


def hand_over_turns(before: ChuckPicture, after: ChuckPicture) -> tuple[float, float]:
    """Turns of both chucks, radians, at which they hold the same part in the same place, sub a shift off the fence."""
    way = -1.0 if before.spindle == "main" else 1.0
    return turned_for(before, after.axis, way), turned_for(after, before.axis, -way)


def sub_disc_distance(main: ChuckPicture, sub: ChuckPicture) -> float:
    """From the main disc to the sub's when both hold the part, mm: the same body's ends seen from both."""
    return main.bodies[0][1] + sub.bodies[0][2]


def _place(c: ChuckPicture, y: float, turn: float, rig: Rig) -> tuple[Array, Array]:
    return chuck_place(c, turn, np.array((0.0, y, rig.level)))


def _page(part: str, steps: Sequence[PictureStep], first: int, of: tuple[int, int]) -> Iterator[Item]:
    """Title, and pictures in two rows of two."""
    (w, h), m = A4_LANDSCAPE_MM, TEXT_MARGIN_MM
    page = f"{of[0]} / {of[1]}"
    yield frame_text(m, h - 16, truncate_text(f"{part}: the set-up in the hand", 5.0, w - 2 * m - 20), 5.0, bold=True)
    yield frame_text(w - m, h - 16, page, WORDS_HEIGHT_MM, "end")
    yield Stroke(Layer.FRAME, ((m, h - 19), (w - m, h - 19)), width=CUT_LINE_WIDTH_MM)
    high, wide = (h - 19 - 10) / 2, (w - 2 * m) / 2
    yield Stroke(Layer.FRAME, ((w / 2, 10), (w / 2, h - 21)), width=THIN_LINE_WIDTH_MM)
    for k, step in enumerate(steps):
        x, y = m + (k % 2) * (wide + 4), h - 19 - (k // 2) * high
        if k == 2:
            yield Stroke(Layer.FRAME, ((m, y), (w - m, y)), width=THIN_LINE_WIDTH_MM)
        yield frame_text(x, y - 9, str(first + k), 6.0, bold=True)
        room = wide - 20
        yield frame_text(x + 14, y - 7, truncate_text(step.title, TITLE_HEIGHT_MM, room), TITLE_HEIGHT_MM, bold=True)
        lines = wrap_text(step.words, WORDS_HEIGHT_MM, room)
        for n, line in enumerate(lines):
            yield frame_text(x + 14, y - 13 - n * WORDS_PITCH_MM, line, WORDS_HEIGHT_MM)
        below = 15 + (len(lines) - 1) * WORDS_PITCH_MM
        yield from paint_solids(step.solids, PageRectangle(x, y - high + 3, wide - 4, high - below - 4))
