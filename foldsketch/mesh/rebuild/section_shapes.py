"""Section shapes: the plane figures that a section is made of, and what is known of its circles."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from foldsketch.base.arrays import Array


@dataclass(frozen=True, slots=True)
class SectionCircle:
    """The circle that a feature makes in a section: its number, centre x, y and radius r, mm; inner: empty inside."""

    feature_index: int
    x: float
    y: float
    r: float
    inner: bool


@dataclass(frozen=True, slots=True)
class SectionShape:
    """A plane figure of the paper model. cut: it takes material away.

    feature_index: of the feature that a disc is made by, or -1; circles (x, y, r): of a disc or a hull; sides,
    across_flats, rotation, centre: of a regular polygon, rotation in radians to the middle of a side; points: of an
    outline, anticlockwise. Lengths mm.
    """

    kind: Literal["disc", "hull", "regular", "outline"]
    cut: bool
    feature_index: int = -1
    circles: tuple[tuple[float, float, float], ...] = ()
    sides: int = 0
    across_flats: float = 0.0
    rotation: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)
    points: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class SectionContext:
    """What is known of the features in a section.

    Their circle there, which are left out of the model, which are cross features; slack: mm that corners of the mesh
    may be off.
    """

    circle_of: Callable[[int], SectionCircle | None]
    left_out: frozenset[int]
    cross_features: frozenset[int]
    slack: float


def circle_to_polygon(circle: SectionCircle, n: int = 720) -> Any:
    """The circle as a regular polygon of n corners that has the circle's area."""
    from shapely import Polygon

    t = np.arange(n) * (2 * np.pi / n)
    r = circle.r * np.sqrt(2 * np.pi / n / np.sin(2 * np.pi / n))
    return Polygon(np.column_stack((circle.x + r * np.cos(t), circle.y + r * np.sin(t))))


def make_outline(shape: Any, cut: bool, context: SectionContext) -> SectionShape:
    """The largest polygon of a shape as an outline, without corners on straight lines."""
    slack = max(4 * context.slack, 2e-3)
    border = max(getattr(shape, "geoms", [shape]), key=lambda p: p.area).exterior.simplify(slack)
    points = np.array(border.coords)[:-1]
    return outline_shape(remove_redundant_corners(points if border.is_ccw else points[::-1], slack), cut)


def outline_shape(points: Array, cut: bool) -> SectionShape:
    """The outline through points (n, 2), anticlockwise."""
    return SectionShape("outline", cut, points=tuple((float(x), float(y)) for x, y in points))


def remove_redundant_corners(points: Array, slack: float) -> Array:
    """Corners (n, 2) of a closed outline without doubled ones and those on a straight line, within slack mm."""
    keep = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > slack
    points = points[keep] if keep.sum() >= 3 else points
    for _ in range(4):
        before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
        span = after - before
        length = np.maximum(np.hypot(span[:, 0], span[:, 1]), 1e-300)
        off = np.abs((points - before)[:, 0] * span[:, 1] - (points - before)[:, 1] * span[:, 0]) / length
        bent = off > slack
        if bent.all() or bent.sum() < 3:
            break
        points = points[bent]
    return points
