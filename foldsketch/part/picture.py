"""A plain picture of a part in two views, for notebooks: no sheet is drawn with it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import NamedTuple

Point3 = tuple[float, float, float]

PICTURE_SIZE = 260.0
"""Longest side of one view, pixels."""

MARGIN = 18.0
"""White around a view, pixels."""


class Outline(NamedTuple):
    """What a feature looks like: the outlines of its two ends in space, mm; round it for every diameter of its own."""

    ends: tuple[Sequence[Point3], Sequence[Point3]]
    cut: bool


def two_views_svg(outlines: Sequence[Outline], axes: Iterable[tuple[str, Point3]]) -> str:
    """Plan (from +z) and side view (from -y) next to each other, as SVG. axes: letter and a point, mm."""
    named = list(axes)
    plan, width, height = _view(outlines, named, (0, 1))
    side, wide, high = _view(outlines, named, (0, 2))
    size = f'width="{width + wide:.0f}" height="{max(height, high):.0f}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="sans-serif" font-size="12">'
        f'{plan}<g transform="translate({width:.1f} 0)">{side}</g></svg>'
    )


def _view(
    outlines: Sequence[Outline], axes: Sequence[tuple[str, Point3]], keep: tuple[int, int]
) -> tuple[str, float, float]:
    """One view with its width and height in pixels. keep: the two coordinates of space that it shows."""
    from shapely import MultiPoint

    right, up = keep
    points = [p for o in outlines for end in o.ends for p in end]
    low = min(p[right] for p in points), min(p[up] for p in points)
    high = max(p[right] for p in points), max(p[up] for p in points)
    scale = (PICTURE_SIZE - 2 * MARGIN) / max(high[0] - low[0], high[1] - low[1], 1e-9)

    def put(p: Point3) -> tuple[float, float]:
        return MARGIN + (p[right] - low[0]) * scale, MARGIN + (high[1] - p[up]) * scale

    drawn = []
    for o in outlines:
        level = all(abs(p[k] - end[0][k]) < 1e-9 for end in o.ends for p in end for k in range(3) if k not in keep)
        loops = [list(map(put, end)) for end in o.ends] if level else []
        if not level:
            hull = MultiPoint([put(p) for end in o.ends for p in end]).convex_hull
            loops = [list(hull.exterior.coords)] if hull.geom_type == "Polygon" else []
        look = 'fill="white" stroke-dasharray="4 2"' if o.cut else 'fill="#dfe5ea"'
        drawn += [
            f'<path d="M{"L".join(f"{x:.1f} {y:.1f}" for x, y in loop)}Z" {look} fill-opacity="0.6" stroke="black"/>'
            for loop in loops
        ]
    letters: dict[str, list[str]] = {}
    for name, p in axes:
        letters.setdefault("{:.1f} {:.1f}".format(*put(p)), []).append(name)
    for at, names in letters.items():
        words = f'<text x="4" y="-4" fill="#b00020" stroke="none">{escape(" ".join(names))}</text>'
        drawn.append(f'<g transform="translate({at})" stroke="#b00020"><path d="M-5 0h10m-5 -5v10"/>{words}</g>')
    size = [(b - a) * scale + 2 * MARGIN for a, b in zip(low, high, strict=True)]
    return "".join(drawn), size[0], size[1]
