"""Rolled walls: which walls are rolled instead of folded, and how many sides the fine prism for one has."""

from __future__ import annotations

from math import inf, pi

import numpy as np

from foldsketch.base.findings import Finding, mm
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Ring
from foldsketch.solid import messages

MIN_ROLL_RADIUS_MM = 5.0
"""Smallest radius on paper that card can be rolled to, mm [common practice: curl it over a pencil first]."""

TOOTH_WIDTH_MM = 4.5
"""Width of a tooth on a rolled rim, and of the flat sides in the fold-up check, mm."""

MIN_ROLLED_SIDES, MAX_ROLLED_SIDES = 24, 96
"""Bounds for the number of flat sides of a rolled wall; of 24, each is off by 0.6 % of the radius,
1 - pi/24 cot(pi/24)."""

MAX_ROLLED_BEND_RAD = 2 * pi / MIN_ROLLED_SIDES + 1e-9
"""Largest angle between two sides, radians, that is rolled; more is a fold."""

MIN_HINGE_LENGTH_MM = 8.0
"""Shortest edge of a rolled wall, mm, from which an end may hang; a shorter one would tear."""


def rolled_side_count(radius: float) -> int:
    """Number of flat sides of a rolled wall: a multiple of four, for symmetry. radius: mm on paper.

    >>> rolled_side_count(45.0), rolled_side_count(10.0)
    (64, 24)
    """
    return min(max(4 * round(2 * pi * radius / TOOTH_WIDTH_MM / 4), MIN_ROLLED_SIDES), MAX_ROLLED_SIDES)


def can_roll(radii: tuple[float, ...]) -> bool:
    """True if card can be rolled to these radii, mm on paper; 0, the apex of a cone, is allowed."""
    return all(r >= MIN_ROLL_RADIUS_MM or r == 0 for r in radii) and any(radii)


def find_cross_axis_contacts(part: Part) -> dict[str, str]:
    """Features that meet one on an axis that is not parallel: name -> that one's name. Their walls end on a slant."""
    found: dict[str, str] = {}
    for i, f in enumerate(part.features):
        for g in part.features[i + 1 :]:
            a, b = part.axis(f.axis), part.axis(g.axis)
            if abs(float(np.dot(a.direction, b.direction))) > 1 - 1e-9:
                continue
            if _reaches(a, f, b, g):
                found.setdefault(f.name, g.name)
                found.setdefault(g.name, f.name)
    return found


def _reaches(a: Axis, f: Feature, b: Axis, g: Feature) -> bool:
    """True if some point of the centre line of g, a feature on axis b, is within g's radius of f on axis a."""
    u, v = np.array(a.direction), np.array(b.direction)
    along = np.linspace(g.start, g.end, 65)[:, None]
    away = np.array(b.point) + along * v - np.array(a.point)
    height = away @ u
    radial = np.linalg.norm(away - height[:, None] * u, axis=1)
    level = (height > f.start - g.radius) & (height < f.end + g.radius)
    return bool((level & (radial < f.radius + g.radius)).any())


def explain_unrolled_walls(
    features: tuple[Feature, ...], rolled: frozenset[str], crossed: dict[str, str], scale: float
) -> list[Finding]:
    """A note for every feature that is folded although rolled walls were asked for.

    rolled: names of the features that are rolled; crossed: as find_cross_axis_contacts returns it; scale: paper mm per
    part mm.
    """
    notes = []
    for f in features:
        if f.name in rolled or f.sides or not isinstance(f.shape, Cylinder | Cone | Ring | Plate):
            continue
        where, smallest = f"feature '{f.name}'", scale * min((r for r in round_radii(f) if r), default=inf)
        if f.name in crossed:
            notes.append(messages.ROLL_WALL_CROSSED.at(where, other=crossed[f.name]))
        elif smallest < MIN_ROLL_RADIUS_MM:
            notes.append(messages.ROLL_RADIUS_TOO_SMALL.at(where, radius=mm(smallest, 1), least=mm(MIN_ROLL_RADIUS_MM)))
    return notes


def round_radii(f: Feature) -> tuple[float, ...]:
    """The radii of a feature's round walls, part mm; a cone has two, either of them may be 0."""
    match f.shape:
        case Cylinder(d):
            return (d / 2,)
        case Cone(a, b):
            return (a / 2, b / 2)
        case Ring(d, bore):
            return (d / 2, bore / 2)
        case Plate(_, hull):
            return tuple(r for _, _, r in hull if r)
    return ()
