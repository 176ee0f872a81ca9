"""The paper part as a paper chuck meets it: outlines of its bodies in the chuck's frame, and how far in they lie.

The frame has the spindle axis at its origin and what is held towards +x; printed side towards the part. mm on paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, sin

import numpy as np
import shapely

from foldsketch.base.arrays import Array
from foldsketch.job.model import Model
from foldsketch.setup.access.sweep import sweep_of
from foldsketch.setup.model import JawPlace, SetUp

STOPS = tuple(JawPlace(k + 1, (pi + k * pi / 2) % (2 * pi), 0.0) for k in range(4))
"""Stops of paper where a fixture or a face plate holds without jaws of its own."""

CIRCLE_CORNERS = 72


@dataclass(frozen=True, slots=True, eq=False)
class PaperBody:
    """A body of the paper part. outline: convex (n, 2); start, end: from the rest plane into the part, mm on paper.

    The rest plane is the rear end of what the set-up grips.
    """

    name: str
    outline: Array
    start: float
    end: float

    @property
    def shape(self) -> shapely.Polygon:
        """The outline."""
        return shapely.Polygon(self.outline)


def jaws_or_stops(s: SetUp) -> tuple[JawPlace, ...]:
    """The jaws of a set-up; where it has none, four stops."""
    return s.jaws or STOPS


def to_disc(s: SetUp, scale: float, points: Array) -> Array:
    """Points (n, 2) of the part, mm of the part, in the disc's frame, mm on paper. Jaw 1 is along +x."""
    t = s.angle + jaws_or_stops(s)[0].angle
    moved = (points - np.array(s.clamping.at)) * scale
    turned = moved @ np.array(((cos(t), -sin(t)), (sin(t), cos(t))))
    turned[:, 1] *= 1.0 if s.clamping.from_end == "+z" else -1.0
    result: Array = turned
    return result


def bodies(s: SetUp, made: Model) -> tuple[PaperBody, ...]:
    """Every body of the model that is built, as the chuck of a set-up meets it."""
    scale, back, c = made.nets.scale, made.faceted.rotation_to_part, s.clamping
    rear = (c.grip_range[0] if c.from_end == "+z" else c.grip_range[1]) * scale
    found = []
    for p in made.faceted.prisms:
        if p.cut:
            continue
        corners = p.corners @ back.T
        depths = (corners[:, 2] - rear) * (1.0 if c.from_end == "+z" else -1.0)
        found.append(PaperBody(p.feature.name, _outline(s, scale, corners), float(depths.min()), float(depths.max())))
    return tuple(found)


def held_body(s: SetUp, made: Model) -> PaperBody | None:
    """The body that stands in the jaws or the fixture; None where the model has none, as of a bar.

    Of a bore, which is drawn and not cut, it is the smallest round body around it.
    """
    c = s.clamping
    features = {f.name: f for f in made.part.features}
    own = features.get(c.held_on)
    name = c.held_on
    if own is None or own.cut:
        around = [f for f in features.values() if not f.cut and f.is_round and f.axis == c.held_axis]
        around = [f for f in around if 2 * f.radius > s.held_diameter and own is not None]
        name = min(around, key=lambda f: f.radius).name if around else ""
    return next((b for b in bodies(s, made) if b.name == name), None)


def held_outline(s: SetUp, made: Model) -> Array:
    """What stands in the jaws, (n, 2) in the disc's frame: the model's own prism, or a circle where it has none."""
    body = held_body(s, made)
    if body is not None:
        return body.outline
    t = np.linspace(0, 2 * pi, CIRCLE_CORNERS, endpoint=False)
    ring = np.array(s.held_at) + s.held_diameter / 2 * np.column_stack((np.cos(t), np.sin(t)))
    return _convex(to_disc(s, made.nets.scale, ring))


def paper_swing(s: SetUp, made: Model) -> float:
    """Diameter that the corners of the paper model swing about the set-up's centreline, mm on paper."""
    return 2 * max(hypot(x, y) for b in bodies(s, made) for x, y in b.outline)


def round_swing(s: SetUp, made: Model) -> float:
    """Diameter that the finished round part swings there, mm on paper."""
    features = [f for f in made.part.features if not f.cut]
    return 2 * made.nets.scale * max(sweep_of(made.part, f, s.clamping.at).outer for f in features)


def swing_text(s: SetUp, made: Model) -> str:
    """What the paper part swings, and the round part: corners swing wider."""
    return f"part swings Ø{paper_swing(s, made):.0f}, round Ø{round_swing(s, made):.0f}"


def _outline(s: SetUp, scale: float, corners: Array) -> Array:
    """Outline of corners (n, 3), mm on paper in the part's frame."""
    return _convex(to_disc(s, scale, corners[:, :2] / scale))


def _convex(points: Array) -> Array:
    hull = shapely.MultiPoint(points).convex_hull
    return np.array(shapely.geometry.polygon.orient(hull).exterior.coords[:-1])
