"""Lines, fills and letters of the by-hand page."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import BLACK, WHITE, Circle, Colour, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width

CUT_WIDTH_MM, FOLD_WIDTH_MM, THIN_WIDTH_MM = 0.5, 0.25, 0.25
"""Line widths, mm: what is thick is cut."""

GLUE: Colour = (0xD6 / 255,) * 3
WASTE: Colour = (0xF4 / 255,) * 3
INSIDE: Colour = (0xEF / 255,) * 3
RULE: Colour = (0xA6 / 255,) * 3
GREY: Colour = (0x59 / 255,) * 3
"""Grey is glued; paler is cut off, the inside of paper, a divider, a drilled hole."""

HEAD_SIZE_MM, TEXT_SIZE_MM, ROW_SIZE_MM = 3.5, 2.5, 3.2
"""Capital heights of headings, of words and of the table, mm."""

ARROW_MM, ARROW_HALF_MM = 2.4, 0.4
"""Length and half width of the head of a dimension, mm."""


def cut(points: Sequence[Point], closed: bool = False, fill: Colour | None = None) -> Stroke:
    """A line for the scissors."""
    return Stroke(Layer.CUT, tuple(points), closed, CUT_WIDTH_MM, fill=fill)


def fold(a: Point, b: Point) -> Stroke:
    """A fold."""
    return Stroke(Layer.MOUNTAIN, (a, b), width=FOLD_WIDTH_MM, line=LineType.DASHED)


def area(points: Sequence[Point], fill: Colour) -> Stroke:
    """A filled area without a line, below everything."""
    return Stroke(Layer.GLUE, tuple(points), True, 0.0, colour=None, fill=fill)


def thin(a: Point, b: Point, colour: Colour = BLACK, line: LineType = LineType.SOLID) -> Stroke:
    """A thin line."""
    return Stroke(Layer.MARK, (a, b), width=THIN_WIDTH_MM, line=line, colour=colour)


def ring(centre: Point, radius: float, colour: Colour) -> Circle:
    """A circle that is drawn."""
    return Circle(Layer.MARK, centre, radius, THIN_WIDTH_MM, colour=colour)


def word(at: Point, text: str, anchor: str = "start", size: float = TEXT_SIZE_MM, bold: bool = False) -> Text:
    """A line of words."""
    return Text(Layer.FRAME, at, text, size, anchor=anchor, bold=bold)


def figure_on_white(middle: Point, text: str, size: float, colour: Colour = BLACK) -> list[Item]:
    """A figure in a line, on a white ground. middle: of its capitals."""
    w, h = text_width(text, size) / 2 + 0.6, size / 2 + 0.5
    x, y = middle
    box = ((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h))
    return [
        Stroke(Layer.MARK, box, True, 0.0, colour=None, fill=WHITE),
        Text(Layer.MARK, (x, y - size / 2), text, size, anchor="middle", colour=colour, bold=True),
    ]


def cross(at: Point, size: float, colour: Colour) -> list[Item]:
    """A centre: two short lines and a dot. size: from end to end, mm."""
    x, y = at
    r = size / 2
    return [
        thin((x - r, y), (x + r, y), colour),
        thin((x, y - r), (x, y + r), colour),
        Circle(Layer.MARK, at, 0.45, 0.0, colour=None, fill=colour),
    ]


def arrow_head(tip: Point, along: Point, colour: Colour) -> Stroke:
    """A filled head. along: unit vector towards the tip."""
    (x, y), (u, v) = tip, along
    back = (x - ARROW_MM * u, y - ARROW_MM * v)
    sides = [(back[0] - s * v, back[1] + s * u) for s in (ARROW_HALF_MM, -ARROW_HALF_MM)]
    return Stroke(Layer.MARK, (sides[0], tip, sides[1]), True, 0.1, colour=colour, fill=colour)
