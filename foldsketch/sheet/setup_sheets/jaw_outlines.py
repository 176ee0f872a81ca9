"""Outlines of three bored jaws, seen on the jaw face: jaws, pocket wall and rest face, in the jaws' frame, mm."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, pi, sin, tan

from shapely import Point, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from foldsketch.setup.formulas.bored_pocket import JAW_ANGLES
from foldsketch.setup.plan.jaw_pocket import JawPocket

NOSE_GAP_MM = 3.0
"""Gap between the noses of closed jaws, drawn and never dimensioned: it is the jaws' own, mm."""

CIRCLE_SEGMENTS = 90
"""Segments of a quarter of a circle: 0.004 mm off the round at a radius of 100 mm."""


@dataclass(frozen=True, slots=True, eq=False)
class JawOutline:
    """One jaw.

    body: its face, without the hole in the middle; sides: its outline but for the far end; rest: the rest face, where
    there is one; wall: the pocket's wall on it.
    """

    number: int
    body: Polygon
    sides: BaseGeometry
    rest: BaseGeometry
    wall: BaseGeometry


def circle(x: float, y: float, radius: float) -> Polygon:
    """A round area."""
    return Point(x, y).buffer(radius, quad_segs=CIRCLE_SEGMENTS)


def jaw_outlines(p: JawPocket, reach: float) -> tuple[JawOutline, ...]:
    """The jaws out to a radius about the chuck's centre, mm."""
    pocket = circle(p.offset, 0.0, p.bore / 2)
    middle = circle(0.0, 0.0, p.through / 2) if p.through else Polygon()
    rim = circle(0.0, 0.0, reach)
    made = []
    for k, t in enumerate(JAW_ANGLES, 1):
        whole = affinity.rotate(jaw_face(p.width, reach), degrees(t), origin=(0, 0)).intersection(rim)
        body = whole.difference(middle)
        inside = body.intersection(pocket)
        wall = pocket.exterior.intersection(body)
        sides = body.exterior.difference(rim.exterior.buffer(0.02))
        made.append(JawOutline(k, body, sides, inside if p.rests else Polygon(), wall))
    return tuple(made)


def jaw_face(width: float, reach: float) -> Polygon:
    """The face of jaw 1 before it is bored: its nose has 120 degrees, half the gap from the neighbours."""
    tip = NOSE_GAP_MM / 2 / sin(pi / 3)
    half = width / 2
    shoulder = tip + half / tan(pi / 3)
    far = reach + width
    return Polygon(((tip, 0.0), (shoulder, -half), (far, -half), (far, half), (shoulder, half)))
