"""A panel while it is being marked, and an axis as the panels see it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from math import atan2, hypot

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.geometry.polygon_loops import PolygonLoop, point_in_polygon, signed_area
from foldsketch.net.labels.panel_space import PanelSpace
from foldsketch.net.model import Mark, Panel
from foldsketch.solid.faceting.facet import FacetedPart


@dataclass(slots=True, eq=False)
class PanelView:
    """A panel while it is being marked.

    face: number of its face in the block's skin; has_datum_mark: it has a datum line or tick.
    """

    piece: int
    block: int
    face: int
    panel: Panel
    free_space: PanelSpace
    marks: list[Mark] = field(default_factory=list)
    has_datum_mark: bool = False
    _area: float | None = None
    _loops: list[PolygonLoop] | None = None

    @property
    def loops(self) -> list[PolygonLoop]:
        """Corners of the outline and of the holes of the panel itself."""
        if self.free_space.panel is self.panel:
            return self.free_space.loops
        if self._loops is None:
            self._loops = [loop.tolist() for loop in (self.panel.outline, *self.panel.holes)]
        return self._loops

    def to_paper(self, p: Array) -> Array:
        """Points in space, (3,) or (n, 3), part frame, onto the panel's paper, (2,) or (n, 2)."""
        return (p - self.panel.origin) @ self.panel.to_space[:, :2]

    @property
    def box(self) -> tuple[float, ...]:
        """Lowest x and y, highest x and y of the panel itself."""
        x, y = zip(*self.loops[0], strict=True)
        return (min(x), min(y), max(x), max(y))

    def contains(self, p: Point) -> bool:
        """Whether a point on paper is on the panel itself and not in a hole."""
        outline, *holes = self.loops
        return point_in_polygon(outline, p) and not any(point_in_polygon(h, p) for h in holes)

    @property
    def area(self) -> float:
        """Area of the panel, mm2, to six places."""
        if self._area is None:
            self._area = round(sum(map(signed_area, self.loops)), 6)
        return self._area

    @property
    def normal(self) -> Array:
        """Outward normal, part frame."""
        return self.panel.to_space[:, 2]


@dataclass(frozen=True, slots=True, eq=False)
class ScaledAxis:
    """An axis of the part at paper scale, part frame.

    offset, angle: from the datum axis, part mm and radians; adds_material: it has a feature that adds material;
    parallel: to the datum axis.
    """

    name: str
    point: Array
    direction: Array
    offset: float
    angle: float
    adds_material: bool
    parallel: bool


def scale_axes(faceted: FacetedPart, scale: float, more: Collection[str] = ()) -> list[ScaledAxis]:
    """The axes that features use, the datum axis and those named, at paper scale."""
    part = faceted.part
    carries = {f.axis for f in part.features if not f.cut}
    used = {f.axis for f in part.features} | set(more)
    origin, along = np.array(part.datum.point), np.array(part.datum.direction)
    ex, ey, _ = (np.array(v) for v in part.datum.frame)
    result = []
    for a in part.axes:
        if a.name not in used and a.name != part.datum.name:
            continue
        p, d = np.array(a.point), np.array(a.direction)
        w = p - origin
        x, y = float(w @ ex), float(w @ ey)
        result.append(
            ScaledAxis(
                a.name, p * scale, d, hypot(x, y), atan2(y, x), a.name in carries, abs(abs(d @ along) - 1) < 1e-9
            )
        )
    return result


def intersect_panel_plane(s: PanelView, line: ScaledAxis) -> Point | None:
    """Where an axis goes through the plane of a panel, on its paper; None for an axis in that plane."""
    slope = float(line.direction @ s.normal)
    if abs(slope) < 1e-6:
        return None
    k = float((s.panel.origin - line.point) @ s.normal) / slope
    x, y = s.to_paper(line.point + k * line.direction).tolist()
    return (x, y)


def axes_through_panels(
    views: Sequence[PanelView], lines: Sequence[ScaledAxis]
) -> list[list[tuple[ScaledAxis, Point]]]:
    """For every panel the axes that go through the plane of it within its bounding box, and where."""
    normal = np.array([s.normal for s in views])
    origin = np.array([s.panel.origin for s in views])
    across = np.array([s.panel.to_space[:, :2] for s in views])
    box = np.array([s.box for s in views])
    result: list[list[tuple[ScaledAxis, Point]]] = [[] for _ in views]
    for line in lines:
        slope = normal @ line.direction
        steep = np.abs(slope) > 1e-6
        away = ((origin - line.point) * normal).sum(axis=1) / np.where(steep, slope, 1.0)
        at = ((line.point + away[:, None] * line.direction - origin)[:, None, :] @ across)[:, 0]
        near = steep & (at > box[:, :2] - 1e-6).all(axis=1) & (at < box[:, 2:] + 1e-6).all(axis=1)
        for k in np.nonzero(near)[0].tolist():
            x, y = at[k].tolist()
            result[k].append((line, (x, y)))
    return result
