"""A square as it is drawn by hand: diagonals, corners, centres with their distances from two edges, circles."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import pi, tan

from foldsketch.base.drawing import BLACK, WHITE, Colour, Item, Layer, Point, Stroke, Text
from foldsketch.base.lettering import text_width, truncate_text
from foldsketch.base.units import format_number
from foldsketch.sheet.by_hand.model import HandBody, Ring, Spot
from foldsketch.sheet.by_hand.pens import (
    ARROW_MM,
    GREY,
    TEXT_SIZE_MM,
    WASTE,
    area,
    arrow_head,
    cross,
    cut,
    figure_on_white,
    ring,
    thin,
    word,
)
from foldsketch.sheet.page.page_text import PageRectangle

DIMENSION_STEP_MM = 5.5
"""From one dimension line to the next, mm."""

LETTER_SIZES_MM = (5.0, 3.5, 2.5)
"""Capital heights of the letters of centres, mm, the first that finds room."""

MAX_NAME_MM = 14.0
"""Longest name of an axis, mm."""

MIN_SQUARE_MM = 16.0
"""A square drawn smaller than this, mm, is not read."""

CROSS_MM, TICK_MM = 5.0, 3.2
"""Size of a centre and of the tick at the lower edge, mm."""

TITLE_MM = 6.0
"""Height for the name above a square, mm."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """One distance from an edge, and the axes that have it."""

    value: float
    axes: tuple[str, ...]

    @property
    def text(self) -> str:
        """Letters and figure."""
        return f"{' '.join(axis_label(a) for a in self.axes)} {format_number(self.value, 2)}"


def axis_label(name: str) -> str:
    """The letter of an axis, or its name as far as there is room."""
    return truncate_text(name, TEXT_SIZE_MM, MAX_NAME_MM)


def marked_groups(bodies: Sequence[HandBody]) -> list[list[HandBody]]:
    """Bodies whose squares are marked alike, widest first; those with their own centre only are left out.

    Where there are no others, the widest one stands for them.
    """
    with_squares = [h for h in bodies if h.squares]
    marked = [h for h in with_squares if h.marks or (h.kind == "plate" and h.spots)] or sorted(with_squares, key=_size)[
        :1
    ]
    kinds: dict[object, list[HandBody]] = {}
    for h in sorted(marked, key=_size):
        kinds.setdefault((h.width, h.depth, h.sides, h.spot, frozenset(h.marks)), []).append(h)
    return list(kinds.values())


def _size(h: HandBody) -> float:
    return -h.width * h.depth


def dimensions(h: HandBody) -> tuple[list[Dimension], list[Dimension]]:
    """Distances from the left and from the lower edge, shortest first."""
    spots = sorted(h.spots, key=lambda m: m.axis)
    return _by_value((s.left, s.axis) for s in spots), _by_value((s.up, s.axis) for s in spots)


def _by_value(pairs: Iterable[tuple[float, str]]) -> list[Dimension]:
    found: dict[float, list[str]] = {}
    for value, axis in pairs:
        found.setdefault(value, []).append(axis)
    return [Dimension(value, tuple(axes)) for value, axes in sorted(found.items())]


def drawn_scale(h: HandBody, box: PageRectangle) -> float:
    """How large a square is drawn in a box: 1 where there is room."""
    columns, rows = dimensions(h)
    width = box.width - sum(_column(d) for d in rows) - 3
    height = box.height - TITLE_MM - DIMENSION_STEP_MM * len(columns) - 3
    return min(1.0, width / h.width, height / h.depth)


def drawn_height(h: HandBody, box: PageRectangle) -> float:
    """Height that a square takes in a box, with its name and figures, mm."""
    return TITLE_MM + drawn_scale(h, box) * h.depth + DIMENSION_STEP_MM * len(dimensions(h)[0]) + 3


def is_legible(h: HandBody, box: PageRectangle) -> bool:
    """Whether a square can be read in a box."""
    return drawn_scale(h, box) * min(h.width, h.depth) >= min(MIN_SQUARE_MM, h.width, h.depth)


def _column(d: Dimension) -> float:
    """Width of an upright dimension with its figure, mm."""
    return text_width(d.text, TEXT_SIZE_MM) + 2.5


def draw_square(group: Sequence[HandBody], box: PageRectangle, colours: Mapping[str, Colour]) -> list[Item]:
    """The square of bodies that are marked alike, at the top of a box, with its name above."""
    h = group[0]
    columns, rows = dimensions(h)
    scale = drawn_scale(h, box)
    x0 = box.x + sum(_column(d) for d in rows) + 1
    y0 = box.y + box.height - TITLE_MM - scale * h.depth
    corner, far = (x0, y0), (x0 + scale * h.width, y0 + scale * h.depth)
    name = truncate_text(", ".join(g.name for g in group), TEXT_SIZE_MM, box.x + box.width - x0)
    items: list[Item] = [word((x0, far[1] + 2.2), name, bold=True)]
    items += _sheet(h, corner, far)

    def at(s: Spot) -> Point:
        return (x0 + scale * s.left, y0 + scale * s.up)

    rings = {(r.spot, r.diameter, r.hole): r for g in group for r in g.rings}.values()
    items += [_circle(r, at(r.spot), scale, colours) for r in rings]
    spots = h.spots
    for s in spots:
        items += cross(at(s), CROSS_MM, colours[s.axis])
    items += _letters([(at(s), axis_label(s.axis), colours[s.axis]) for s in spots], corner, far)
    items += _below(columns, spots, corner, scale, colours)
    items += _beside(rows, spots, corner, scale, colours)
    return items


def _sheet(h: HandBody, corner: Point, far: Point) -> list[Item]:
    """The square, its diagonals where they find the centre, its corners where they are cut, and the tick."""
    (x0, y0), (x1, y1) = corner, far
    items: list[Item] = [cut([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)]
    if h.kind != "plate":
        items += [thin((x0, y0), (x1, y1)), thin((x0, y1), (x1, y0))]
    if h.sides == 8:
        s = (x1 - x0) * (1 - tan(pi / 8)) / 2
        for x, y, u, v in ((x0, y0, s, s), (x1, y0, -s, s), (x1, y1, -s, -s), (x0, y1, s, -s)):
            items += [area([(x, y), (x + u, y), (x, y + v)], WASTE), cut([(x + u, y), (x, y + v)])]
    middle = (x0 + x1) / 2
    items.append(Stroke(Layer.MARK, ((middle, y0), (middle, y0 + TICK_MM)), width=0.7))
    return items


def _circle(r: Ring, at: Point, scale: float, colours: Mapping[str, Colour]) -> Item:
    return ring(at, scale * r.diameter / 2, GREY if r.hole else colours.get(r.spot.axis, BLACK))


def _letters(spots: Sequence[tuple[Point, str, Colour]], corner: Point, far: Point) -> list[Item]:
    """A letter beside each centre, clear of all centres and letters and of the edge where there is room."""
    taken = [(x - 1.2, y - 1.2, x + 1.2, y + 1.2) for (x, y), *_ in spots]
    items: list[Item] = []
    for (x, y), text, colour in spots:
        found = None
        for size, side, up in product(LETTER_SIZES_MM, (1, -1), (1, -1)):
            w = text_width(text, size)
            left = x + 1.6 if side > 0 else x - 1.6 - w
            low = y + 1.6 if up > 0 else y - 1.6 - size
            place = (left - 0.3, low - 0.3, left + w + 0.3, low + size + 0.3)
            inside = place[0] > corner[0] and place[1] > corner[1] and place[2] < far[0] and place[3] < far[1]
            if inside and not any(_overlap(place, other) for other in taken):
                found = (left, low, size, place)
                break
        if found:
            left, low, size, place = found
            taken.append(place)
            ground = ((place[0], place[1]), (place[2], place[1]), (place[2], place[3]), (place[0], place[3]))
            items.append(Stroke(Layer.MARK, ground, True, 0.0, colour=None, fill=WHITE))
            items.append(Text(Layer.MARK, (left, low), text, size, colour=colour, bold=True))
    return items


def _overlap(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _colour(d: Dimension, colours: Mapping[str, Colour]) -> Colour:
    """Of its axis, or black where several have it."""
    return colours[d.axes[0]] if len(d.axes) == 1 else BLACK


def _below(
    columns: Sequence[Dimension], spots: Sequence[Spot], corner: Point, scale: float, colours: Mapping[str, Colour]
) -> list[Item]:
    """Distances from the left edge, one below another."""
    x0, y0 = corner
    bottom = y0 - DIMENSION_STEP_MM * len(columns)
    lines: list[Item] = [thin((x0, y0 - 1), (x0, bottom - 1))]
    figures: list[Item] = []
    for k, d in enumerate(columns, 1):
        colour, x, y = _colour(d, colours), x0 + scale * d.value, y0 - DIMENSION_STEP_MM * k
        lowest = min(y0 + scale * s.up for s in spots if s.left == d.value)
        lines += [thin((x, min(lowest - CROSS_MM / 2, y0 - 1)), (x, y - 1), colour), thin((x0, y), (x, y), colour)]
        w = text_width(d.text, TEXT_SIZE_MM)
        if x - x0 > w + 2 * ARROW_MM + 2:
            lines += [arrow_head((x0, y), (-1, 0), colour), arrow_head((x, y), (1, 0), colour)]
            figures += figure_on_white(((x0 + x) / 2, y), d.text, TEXT_SIZE_MM, colour)
        else:
            lines += [arrow_head((x0, y), (1, 0), colour), arrow_head((x, y), (-1, 0), colour)]
            lines += [thin((x, y), (x + ARROW_MM + 1, y), colour)]
            figures += figure_on_white((x + ARROW_MM + 2 + w / 2, y), d.text, TEXT_SIZE_MM, colour)
    return [*lines, *figures]


def _beside(
    rows: Sequence[Dimension], spots: Sequence[Spot], corner: Point, scale: float, colours: Mapping[str, Colour]
) -> list[Item]:
    """Distances from the lower edge, one to the left of another."""
    x0, y0 = corner
    x = x0
    lines: list[Item] = []
    figures: list[Item] = []
    for d in rows:
        colour, y = _colour(d, colours), y0 + scale * d.value
        column = _column(d)
        middle = x - column / 2
        x -= column
        lines += [thin((x0 - 1, y), (middle - 1, y), colour), thin((middle, y0), (middle, y), colour)]
        if y - y0 > TEXT_SIZE_MM + 2 * ARROW_MM + 2:
            lines += [arrow_head((middle, y0), (0, -1), colour), arrow_head((middle, y), (0, 1), colour)]
            figures += figure_on_white((middle, (y0 + y) / 2), d.text, TEXT_SIZE_MM, colour)
        else:
            lines += [arrow_head((middle, y0), (0, 1), colour), arrow_head((middle, y), (0, -1), colour)]
            lines += [thin((middle, y), (middle, y + ARROW_MM + 1), colour)]
            figures += figure_on_white((middle, y + ARROW_MM + 1.5 + TEXT_SIZE_MM / 2), d.text, TEXT_SIZE_MM, colour)
    lines.append(thin((x0 - 1, y0), (x, y0)))
    return [*lines, *figures]
