"""Letters of the axes in the end view of a set-up, each where it is on no word and, if that can be, on no line."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import LineString, Point, box, union_all
from shapely.geometry.base import BaseGeometry

from foldsketch.base.drawing import Circle, Item, Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.part.model import Axis
from foldsketch.setup.model import SetUp
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.page.symbols import draw_letter_on_white, part_axis_colours
from foldsketch.sheet.setup_sheets.drafting import text_box
from foldsketch.sheet.setup_sheets.workholding import ViewToPage

LETTER_MM, SMALL_LETTER_MM = 5.0, 3.5
"""Capital height of the letters of the centreline and the held axis, and of other axes, mm."""


def draw_axis_letters(
    s: SetUp, axes: Sequence[Axis], put: ViewToPage, drawn: Sequence[Item], words: Sequence[Text], room: PageRectangle
) -> list[Item]:
    """The letter of every axis beside its cross, where it is on no word, and on no line if that can be."""
    part, c = s.work, s.clamping
    taken = union_all([text_box(t) for t in words])
    lines = union_all([_line(i) for i in drawn if isinstance(i, (Stroke, Circle)) and i.colour is not None])
    page = box(room.x, room.y, room.x + room.width, room.y + room.height)
    first = {c.on_centreline: 0, c.held_axis: 1}
    items: list[Item] = []
    for axis in sorted(axes, key=lambda a: first.get(a.name, 2)):
        x, y = put(*axis.point[:2]) if axis.name != c.on_centreline else put(*c.at)
        (colour,) = part_axis_colours(part, axis.name)
        size, bold = (LETTER_MM, True) if axis.name in first else (SMALL_LETTER_MM, False)
        half = text_width(axis.name, size) / 2 + 1.5
        letters = [
            Text(
                Layer.MARK,
                (x + i * (half + d), y + (1.0 + d if j > 0 else -size - 1.0 - d)),
                axis.name,
                size,
                0.0,
                "middle",
                colour=colour,
                bold=bold,
            )
            for d in (0.0, 3.0, 6.0, 10.0, 14.0)
            for i, j in ((1, 1), (1, -1), (-1, 1), (-1, -1))
        ]
        free = [t for t in letters if page.contains(text_box(t)) and not text_box(t).intersects(taken)]
        if not free:
            continue
        best = next((t for t in free if not text_box(t).intersects(lines)), free[0])
        taken = taken.union(text_box(best))
        on_line = text_box(best).intersects(lines)
        items += draw_letter_on_white(best.at, axis.name, size, bold, colour) if on_line else [best]
    return items


def _line(item: Stroke | Circle) -> BaseGeometry:
    if isinstance(item, Circle):
        return Point(*item.centre).buffer(item.radius).exterior
    return LineString([*item.points, item.points[0]] if item.closed else item.points)
