"""The samples in a sheet's legend, drawn with the lines that they stand for."""

from __future__ import annotations

from math import cos, pi, sin

from foldsketch.base.drawing import BLACK, Circle, Item, Layer, LineType, Stroke
from foldsketch.sheet.page.axis_colours import axis_colours
from foldsketch.sheet.page.line_widths import (
    CUT_LINE_WIDTH_MM,
    DRAWN_TINT,
    FOLD_BACK_WIDTH_MM,
    FOLD_FORWARD_WIDTH_MM,
    GLUE_TINT,
    GREY,
    TAPE_TICK_WIDTH_MM,
    THIN_LINE_WIDTH_MM,
)
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, frame_text

SAMPLE_LENGTH_MM = 9.0
"""Length in mm of a line's sample."""

SAMPLE_LENGTHS_MM = {"halves": 6.0, "drawn": 5.4, "tick": 6.0}
"""Lengths in mm of those that are shorter."""


def sample_length(kind: str) -> float:
    """Length of a sample, mm."""
    return SAMPLE_LENGTHS_MM.get(kind, SAMPLE_LENGTH_MM)


def draw_sample(kind: str, x: float, y: float) -> list[Item]:
    """A sample from a point on to the right, in the middle of its row."""
    right = x + sample_length(kind)
    middle, line = (x + right) / 2, ((x, y), (right, y))
    match kind:
        case "cut":
            return [Stroke(Layer.FRAME, line, width=CUT_LINE_WIDTH_MM)]
        case "slit":
            ends = (x + 0.25, right - 0.25)
            return [
                Stroke(Layer.FRAME, line, width=CUT_LINE_WIDTH_MM),
                *(Stroke(Layer.FRAME, ((u, y - 0.8), (u, y + 0.8)), width=FOLD_BACK_WIDTH_MM) for u in ends),
            ]
        case "back":
            return [Stroke(Layer.FRAME, line, width=FOLD_BACK_WIDTH_MM, line=LineType.DASHED)]
        case "forward":
            return [Stroke(Layer.FRAME, line, width=FOLD_FORWARD_WIDTH_MM, line=LineType.DOTTED)]
        case "glue" | "number" | "landing":
            return _draw_tab(x, y, kind)
        case "tape":
            ticks = [((x + k, y - 1.4), (x + k, y + 1.4)) for k in (1.2, SAMPLE_LENGTH_MM - 1.2)]
            return [
                Stroke(Layer.FRAME, line, width=CUT_LINE_WIDTH_MM),
                *(Stroke(Layer.FRAME, tick, width=TAPE_TICK_WIDTH_MM) for tick in ticks),
            ]
        case "drawn":
            r = SAMPLE_LENGTHS_MM["drawn"] / 2
            arms = (((middle - 1.5, y), (middle + 1.5, y)), ((middle, y - 1.5), (middle, y + 1.5)))
            return [
                Circle(Layer.FRAME, (middle, y), r, width=FOLD_BACK_WIDTH_MM, colour=GREY, fill=DRAWN_TINT),
                *(Stroke(Layer.FRAME, arm, width=FOLD_BACK_WIDTH_MM, colour=GREY) for arm in arms),
            ]
        case "tick":
            blue = axis_colours(["B"])["B"]
            return [
                Stroke(Layer.FRAME, line, width=FOLD_FORWARD_WIDTH_MM, colour=blue),
                Stroke(Layer.FRAME, ((middle, y - 2.4), (middle, y + 2.4)), width=0.7, colour=blue),
            ]
        case _:
            return _draw_halves(middle, y)


def _draw_tab(x: float, y: float, kind: str) -> list[Item]:
    """A tab below its crease; with a number; or, seen from behind, glued."""
    low, top, right, r = y - 2.0, y + 1.8, x + SAMPLE_LENGTH_MM, 1.3
    corners = [
        (cx + r * cos(t), cy + r * sin(t))
        for cx, cy, turn in ((x + r, low + r, pi), (right - r, low + r, 1.5 * pi))
        for t in (turn + k * pi / 10 for k in range(6))
    ]
    edge = ((x, top), *corners, (right, top))
    if kind == "landing":
        return [
            Stroke(Layer.FRAME, edge, closed=True, width=THIN_LINE_WIDTH_MM, colour=GREY, fill=GLUE_TINT),
        ]
    words = [frame_text((x + right) / 2, y - 1.3, "7", BODY_TEXT_HEIGHT_MM, anchor="middle")]
    return [
        Stroke(Layer.FRAME, edge, closed=True, colour=None, fill=GLUE_TINT),
        Stroke(Layer.FRAME, edge, width=CUT_LINE_WIDTH_MM),
        Stroke(Layer.FRAME, ((x, top), (right, top)), width=FOLD_BACK_WIDTH_MM, line=LineType.DASHED),
        *(words if kind == "number" else ()),
    ]


def _draw_halves(x: float, y: float) -> list[Item]:
    """Two edges a little apart, with half a disc at either."""
    items: list[Item] = []
    for side in (-1, 1):
        edge, r = x + side * 0.35, 1.9
        disc = tuple((edge + side * r * sin(k * pi / 12), y + r * cos(k * pi / 12)) for k in range(13))
        items.append(Stroke(Layer.FRAME, ((edge, y - 2.6), (edge, y + 2.6)), width=CUT_LINE_WIDTH_MM))
        items.append(Stroke(Layer.FRAME, disc, closed=True, colour=None, fill=BLACK))
    return items
