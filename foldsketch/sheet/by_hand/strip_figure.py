"""A strip with its folds, and the open ring that it becomes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, pi, sin

from foldsketch.base.drawing import BLACK, Item, Point
from foldsketch.base.lettering import text_width
from foldsketch.base.units import format_number
from foldsketch.sheet.by_hand.model import HandBody, Strip
from foldsketch.sheet.by_hand.pens import (
    ARROW_MM,
    GLUE,
    INSIDE,
    TEXT_SIZE_MM,
    area,
    arrow_head,
    cut,
    figure_on_white,
    fold,
    thin,
    word,
)
from foldsketch.sheet.page.page_text import PageRectangle

EDGE_FIGURES_MM, LENGTH_FIGURES_MM = 16.0, 8.0
"""Width for the figures beside a strip, and height for those below it, mm."""

ASIDE_MM = 3.6
"""How far aside a figure stands that would run into the next one, mm."""

RING_MM, MIN_RING_HEIGHT_MM = 34.0, 28.0
"""Width for the picture of the open ring, and its least height, mm."""


def sample_body(bodies: Sequence[HandBody]) -> HandBody:
    """The body whose strip is shown: one strip of eight sides if there is one, the longest."""
    return max(bodies, key=lambda h: (h.sides == 8, h.strip.count == 1, h.strip.length))


def fold_numbers(sides: int) -> list[int]:
    """Which halving makes each fold of a strip, from its left end to its right one.

    >>> fold_numbers(8)
    [3, 2, 3, 1, 3, 2, 3]
    """
    halvings = sides.bit_length() - 1
    return [halvings - ((k & -k).bit_length() - 1) for k in range(1, sides)]


def drawn_scale(s: Strip, width: float, height: float) -> float:
    """How large a strip is drawn in a box: 1 where there is room."""
    return min(1.0, (width - EDGE_FIGURES_MM - RING_MM) / (s.length + s.lap), (height - LENGTH_FIGURES_MM) / s.width)


def drawn_height(s: Strip, width: float, height: float) -> float:
    """Height that a strip takes in a box with its figures, at least that of the ring, mm."""
    return max(MIN_RING_HEIGHT_MM, drawn_scale(s, width, height) * s.width + LENGTH_FIGURES_MM)


def draw_strip(h: HandBody, box: PageRectangle) -> list[Item]:
    """The strip of a body and its ring, in a box."""
    s = h.strip
    scale = drawn_scale(s, box.width, box.height)
    x0, y0 = box.x + EDGE_FIGURES_MM, box.y + box.height - scale * s.width
    xs = [x0]
    for v in s.sides:
        xs.append(xs[-1] + scale * v)
    x1, top = xs[-1], y0 + scale * s.width
    low, high = y0 + scale * s.flap, top - scale * s.flap
    end, bevel = x1 + scale * s.lap, scale * s.lap / 4
    items: list[Item] = [
        area([(x0, y0), (x1, y0), (x1, low), (x0, low)], GLUE),
        area([(x0, high), (x1, high), (x1, top), (x0, top)], GLUE),
        area([(x1, low), (end, low), (end, high), (x1, high)], GLUE),
        cut([(x1, low), (x1, y0), (x0, y0), (x0, top), (x1, top), (x1, high)]),
        cut([(x1, low), (end - bevel, low), (end, low + bevel), (end, high - bevel), (end - bevel, high), (x1, high)]),
        *(fold((x0, y), (x1, y)) for y in (low, high)),
        fold((x1, low), (x1, high)),
    ]
    halved = h.kind != "plate"
    texts = [str(n) for n in fold_numbers(len(s.sides))] if halved else []
    for k, x in enumerate(xs[1:-1]):
        items += [fold((x, low), (x, high)), cut([(x, y0), (x, low)]), cut([(x, high), (x, top)])]
        if halved:
            items += figure_on_white((x, (low + high) / 2), texts[k], TEXT_SIZE_MM)
    items += _edge_figures(s, x0, (y0, low, high, top))
    widths = [(x0, x1, s.length)] if halved else [(a, b, v) for (a, b), v in zip(pairwise(xs), s.sides, strict=True)]
    y = y0 - 4.5
    for a, b, v in widths:
        items += _along(a, b, y, v, y0)
    items += [thin((end, low - 1), (end, y - 1)), word(((x1 + end) / 2, y - 1.25), _mm(s.lap), "middle")]
    used = drawn_height(s, box.width, box.height)
    return items + _ring((box.x + box.width - RING_MM / 2 + 2, box.y + box.height - used / 2 - 2), used - 6)


def _mm(value: float) -> str:
    return format_number(value, 2)


def _edge_figures(s: Strip, x0: float, levels: Sequence[float]) -> list[Item]:
    """Flap, height, flap, to the left of a strip."""
    x = x0 - 5
    items: list[Item] = [thin((x - 2, y), (x0 - 1, y)) for y in levels]
    bands = list(pairwise(levels))
    # Where the three are close above one another, the middle one stands aside.
    aside = ASIDE_MM if (levels[2] - levels[0]) / 2 < TEXT_SIZE_MM + 0.8 else 0.0
    for (a, b), value, by in zip(bands, (s.flap, s.height, s.flap), (0.0, aside, 0.0), strict=True):
        text, middle = _mm(value), (a + b) / 2
        if b - a > TEXT_SIZE_MM + 2 * ARROW_MM + 2:
            items += [thin((x, a), (x, b)), arrow_head((x, a), (0, -1), BLACK), arrow_head((x, b), (0, 1), BLACK)]
            items += figure_on_white((x, middle), text, TEXT_SIZE_MM)
        else:
            items.append(word((x - 2.8 - by, middle - TEXT_SIZE_MM / 2), text, "end"))
    return items


def _along(a: float, b: float, y: float, value: float, edge: float) -> list[Item]:
    """A length below a strip."""
    text = _mm(value)
    items: list[Item] = [thin((x, edge - 1), (x, y - 1)) for x in (a, b)]
    if b - a > text_width(text, TEXT_SIZE_MM) + 2 * ARROW_MM + 2:
        items += [thin((a, y), (b, y)), arrow_head((a, y), (-1, 0), BLACK), arrow_head((b, y), (1, 0), BLACK)]
    return items + figure_on_white(((a + b) / 2, y), text, TEXT_SIZE_MM)


def _ring(middle: Point, height: float) -> list[Item]:
    """The strip of eight sides bent round, still open in front; seen from above."""
    wide, flat, tall = min(13.0, height / 2), 0.35, min(15.0, height * 0.55)
    turns = [-pi / 2 + 0.3 + k * (2 * pi - 0.6) / 8 for k in range(9)]
    x, y = middle
    upper = [(x + wide * cos(t), y + tall / 2 - 3 + wide * flat * sin(t)) for t in turns]
    lower = [(px, py - tall) for px, py in upper]
    # Far sides first; of those the printed side is away.
    order = sorted(range(8), key=lambda k: -(upper[k][1] + upper[k + 1][1]))
    items: list[Item] = []
    for k in order:
        (a, b), (c, d) = (upper[k], upper[k + 1]), (lower[k + 1], lower[k])
        inner = upper[k][1] + upper[k + 1][1] > 2 * (y + tall / 2 - 3)
        items.append(cut([a, b, c, d], closed=True, fill=INSIDE if inner else (1.0, 1.0, 1.0)))
    return items
