"""What stands beside a net: its number, what it is, and the key of the numbers printed on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from foldsketch.base.lettering import width
from foldsketch.net.model import Piece, Point

SIZE = 2.5
KEY = 1.8
LEADING = 1.6
"""Capital heights in mm, and line distance over capital height."""


@dataclass(frozen=True, slots=True, eq=False)
class Captioned:
    """A piece with its caption. lines: (text, capital height); box: lower left corner and size in the piece's own
    frame, mm; shape: everything of the piece on paper as one shapely geometry, without the caption."""

    piece: Piece
    lines: tuple[tuple[str, float], ...]
    box: tuple[float, float, float, float]
    shape: Any

    def baselines(self) -> list[tuple[Point, str, float]]:
        """Start of every caption line on its base line, with its text and size."""
        x, y, _, h = self.box
        top = y + h
        result = []
        for text, size in self.lines:
            top -= size
            result.append(((x, top), text, size))
            top -= size * (LEADING - 1)
        return result


def captioned(piece: Piece, page: tuple[float, float]) -> Captioned:
    """The piece with its caption in a free corner of its bounding box, or beside it where the page has room."""
    import shapely

    outlines = [p.outline for p in piece.panels] + [t.outline for t in piece.tabs]
    rings = shapely.linearrings(
        np.concatenate(outlines), indices=np.repeat(np.arange(len(outlines)), [len(o) for o in outlines])
    )
    shape = shapely.union_all(shapely.polygons(rings), grid_size=1e-3)
    names = dict.fromkeys(p.feature for p in piece.panels)
    what = ", ".join(list(names)[:2]) + (" …" if len(names) > 2 else "")
    lines = [(f"{piece.id}  {what}", SIZE)] + [(f"{n} = {text}", KEY) for n, text in piece.key]
    w = max(width(text, size) for text, size in lines)
    h = sum(size for _, size in lines) + sum(size * (LEADING - 1) for _, size in lines[:-1]) + 0.6
    x0, y0, x1, y1 = shape.bounds
    gap, near = 1.5, 1.4
    inside = [(x0, y1 - h), (x1 - w, y1 - h), (x0, y0), (x1 - w, y0)]
    steps = 8
    inside += [(x0 + (x1 - x0 - w) * k / steps, y) for k in range(steps + 1) for y in (y1 - h, y0)]
    around = [(x0, y1 + gap), (x1 + gap, y1 - h), (x0, y0 - gap - h)]
    spots = [s for s in inside if x1 - x0 >= w and y1 - y0 >= h] + around
    for x, y in spots:
        bounds = (min(x0, x), min(y0, y), max(x1, x + w), max(y1, y + h))
        fits = _fits(bounds[2] - bounds[0], bounds[3] - bounds[1], page)
        if fits and not shapely.box(x - near, y - near, x + w + near, y + h + near).intersects(shape):
            return Captioned(piece, tuple(lines), (x, y, w, h), shape)
    return Captioned(piece, (), (x0, y0, 0.0, 0.0), shape)


def _fits(w: float, h: float, page: tuple[float, float]) -> bool:
    return (w <= page[0] and h <= page[1]) or (w <= page[1] and h <= page[0])
