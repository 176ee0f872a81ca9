"""Drawing: strokes, circles and words in mm on layers, ready for any writer.

x runs right and y up; the origin is the lower left corner of the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

Point = tuple[float, float]
Colour = tuple[float, float, float]

BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)


class Layer(StrEnum):
    """What a line is for; a cutting plotter's operator picks by these names."""

    CUT = "cut"
    MOUNTAIN = "mountain"
    VALLEY = "valley"
    GLUE = "glue"
    MARK = "mark"
    FRAME = "frame"


class LineType(StrEnum):
    """Line types; the pattern is a multiple of the line width (ISO 128-20: dash 12d, gap 3d, long dash 24d)."""

    SOLID = "solid"
    DASHED = "dashed"
    DASH_DOT = "dash-dot"
    CENTRE = "centre"
    PHANTOM = "phantom"
    DOTTED = "dotted"


DASH_PATTERNS: dict[LineType, tuple[float, ...]] = {
    LineType.SOLID: (),
    LineType.DASHED: (12, 3),
    LineType.DASH_DOT: (12, 3, 0.5, 3),
    LineType.CENTRE: (24, 3, 0.5, 3),
    LineType.PHANTOM: (24, 3, 0.5, 3, 0.5, 3),
    LineType.DOTTED: (0.5, 3),
}
"""Dash and gap lengths in line widths [references: ISO 128-20 table, quoted from memory]."""


def has_round_ends(line: LineType) -> bool:
    """Whether the strokes of a line end round: a dot of half a width is hardly seen on paper if they do not, and what
    shows no dot is taken for dashes.

    >>> [kind.value for kind in LineType if has_round_ends(kind)]
    ['dash-dot', 'centre', 'phantom', 'dotted']
    """
    return any(length < 1 for length in DASH_PATTERNS[line])


class Stroke(NamedTuple):
    """A run of straight lines. points: mm; width: mm; fill: colour of the inside of a closed run or None."""

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
    """A line of text that stays text. at: mm, on the base line; size: capital height in mm; angle: radians,
    anticlockwise; anchor: which point of the text sits at `at`."""

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
    """A page: its size in mm, its title, and its items in the order in which they are drawn."""

    size: Point
    items: tuple[Item, ...]
    title: str = ""

    def on(self, layers: Iterable[Layer]) -> tuple[Item, ...]:
        """The items that lie on the given layers, in order."""
        wanted = frozenset(layers)
        return tuple(i for i in self.items if i.layer in wanted)


def group_strokes_by_pen(items: Iterable[Item]) -> Iterator[list[Stroke] | Circle | Text]:
    """The items in order, with open and closed lines that follow each other in one pen gathered into one list."""
    run: list[Stroke] = []
    for item in items:
        if isinstance(item, Stroke) and item.fill is None:
            if run and (run[0].layer, run[0].width, run[0].line, run[0].colour) != (
                item.layer,
                item.width,
                item.line,
                item.colour,
            ):
                yield run
                run = []
            run.append(item)
            continue
        if run:
            yield run
            run = []
        yield [item] if isinstance(item, Stroke) else item
    if run:
        yield run
