"""Drawing: strokes, circles and text in mm on layers, for any writer.

x runs right and y up; the origin is the lower left corner of the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from typing import NamedTuple

from foldsketch.base.points import Point as Point

Colour = tuple[float, float, float]

BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)


class Layer(StrEnum):
    """What a line is for, in the order in which layers are painted: white grounds on GLUE hide no line.

    The operator of a cutting plotter picks layers by these names.
    """

    GLUE = "glue"
    CUT = "cut"
    MOUNTAIN = "mountain"
    VALLEY = "valley"
    MARK = "mark"
    FRAME = "frame"


class LineType(StrEnum):
    """Line types. Patterns are multiples of the line width d (ISO 128-20: gap 3d, long dash 24d)."""

    SOLID = "solid"
    DASHED = "dashed"
    DASH_DOT = "dash-dot"
    CENTRE = "centre"
    PHANTOM = "phantom"
    DOTTED = "dotted"


DASH_PATTERNS: dict[LineType, tuple[float, ...]] = {
    LineType.SOLID: (),
    LineType.DASHED: (9.6, 4.8),
    LineType.DASH_DOT: (12, 3, 0.5, 3),
    LineType.CENTRE: (24, 3, 0.5, 3),
    LineType.PHANTOM: (24, 3, 0.5, 3, 0.5, 3),
    LineType.DOTTED: (0.5, 3),
}
"""Lengths of dash, gap, dash, ... in line widths [ISO 128-20 table, quoted from memory; dashed: 2.4
and 1.2 mm at a width of 0.25 mm, so that a fold is seen from an arm's length]."""


def has_round_ends(line: LineType) -> bool:
    """Whether the dashes of a line have round ends, as those of lines with dots do.

    A dot half a width long is hardly seen without them, and a line whose dots are not seen looks dashed.

    >>> [kind.value for kind in LineType if has_round_ends(kind)]
    ['dash-dot', 'centre', 'phantom', 'dotted']
    """
    return any(length < 1 for length in DASH_PATTERNS[line])


class Stroke(NamedTuple):
    """A polyline. points, width: mm; fill: colour of the inside of a closed one, or None."""

    layer: Layer
    points: tuple[Point, ...]
    closed: bool = False
    width: float = 0.25
    line: LineType = LineType.SOLID
    colour: Colour | None = BLACK
    fill: Colour | None = None


class Circle(NamedTuple):
    """A full circle. centre, radius, width: mm."""

    layer: Layer
    centre: Point
    radius: float
    width: float = 0.25
    line: LineType = LineType.SOLID
    colour: Colour | None = BLACK
    fill: Colour | None = None


class Text(NamedTuple):
    """A line of text, written as text and not as strokes.

    at: mm, on the base line; size: capital height, mm; angle: radians, anticlockwise; anchor: which point of the text
    is at `at`.
    """

    layer: Layer
    at: Point
    text: str
    size: float = 2.5
    angle: float = 0.0
    anchor: str = "start"  # start | middle | end
    colour: Colour = BLACK
    bold: bool = False


Item = Stroke | Circle | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page: its size in mm, its items in the order in which they are drawn, and its title."""

    size: Point
    items: tuple[Item, ...]
    title: str = ""

    def items_on(self, layers: Iterable[Layer]) -> tuple[Item, ...]:
        """The items on the given layers, in order."""
        wanted = frozenset(layers)
        return tuple(i for i in self.items if i.layer in wanted)


def group_strokes_by_pen(items: Iterable[Item]) -> Iterator[list[Stroke] | Circle | Text]:
    """The items in order, with strokes that one pen draws in lists.

    Unfilled strokes of one layer, width, line type and colour that follow each other come as one list, a filled stroke
    as a list of its own.
    """
    for pen, run in groupby(items, _pen):
        if pen is None:
            yield from ([item] if isinstance(item, Stroke) else item for item in run)
        else:
            yield [item for item in run if isinstance(item, Stroke)]


def _pen(item: Item) -> tuple[Layer, float, LineType, Colour | None] | None:
    """What unfilled strokes of one pen have in common; None for any other item."""
    return (item.layer, item.width, item.line, item.colour) if isinstance(item, Stroke) and item.fill is None else None
