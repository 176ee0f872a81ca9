"""The arrow that shows a motion of the hand."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from foldsketch.base.drawing import BLACK, Item, Layer, Point, Stroke

ARROW_WIDTH_MM, ARROW_HEAD_MM = 0.7, (3.2, 1.1)
"""Of an arrow that shows a motion: its line, and length and half width of its head."""


def arrow_items(run: Sequence[Point]) -> list[Item]:
    """A motion of the hand along a line on the page, with a head at its end."""
    (x, y), end = run[-2], run[-1]
    length = hypot(end[0] - x, end[1] - y)
    if length < 1e-6:
        return []
    u, v = (end[0] - x) / length, (end[1] - y) / length
    back, half = ARROW_HEAD_MM
    root = (end[0] - back * u, end[1] - back * v)
    head = ((root[0] - half * v, root[1] + half * u), end, (root[0] + half * v, root[1] - half * u))
    line = (*(p for p in run[:-1] if hypot(p[0] - end[0], p[1] - end[1]) > back), root)
    return [
        Stroke(Layer.MARK, line, width=ARROW_WIDTH_MM),
        Stroke(Layer.MARK, head, closed=True, colour=None, fill=BLACK),
    ]
