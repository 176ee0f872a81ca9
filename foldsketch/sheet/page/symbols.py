"""Letters on a white background, arrows, and the colours of a part's axes."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, sin

from foldsketch.base.drawing import BLACK, WHITE, Colour, Item, Layer, Point, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.part.model import Part
from foldsketch.sheet.page.axis_colours import axis_colours


def part_axis_colours(part: Part, *axes: str) -> list[Colour]:
    """The colours of axes of a part, the same as on its nets."""
    every = axis_colours(sorted(a.name for a in part.axes))
    return [every[name] for name in axes]


def draw_letter_on_white(at: Point, text: str, size: float, bold: bool = False, colour: Colour = BLACK) -> list[Item]:
    """A letter on a white background that hides the lines under it."""
    w = text_width(text, size) / 2 + 0.5
    x, y = at
    box = ((x - w, y - 0.5), (x + w, y - 0.5), (x + w, y + size + 0.5), (x - w, y + size + 0.5))
    return [
        Stroke(Layer.MARK, box, closed=True, colour=None, fill=WHITE),
        Text(Layer.MARK, at, text, size, anchor="middle", colour=colour, bold=bold),
    ]


def arrow(tail: Point, tip: Point, width: float = 0.35) -> list[Item]:
    """A line with a filled head at its tip."""
    length = hypot(tip[0] - tail[0], tip[1] - tail[1])
    if length < 0.2:
        return []
    along = atan2(tip[1] - tail[1], tip[0] - tail[0])
    head = min(3.0, length * 0.5)
    barbs = [(tip[0] + head * cos(along + pi + t), tip[1] + head * sin(along + pi + t)) for t in (0.22, -0.22)]
    return [
        Stroke(Layer.MARK, (tail, tip), width=width),
        Stroke(Layer.MARK, (barbs[0], tip, barbs[1]), closed=True, width=0.13, fill=BLACK),
    ]
