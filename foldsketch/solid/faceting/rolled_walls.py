"""Roll: which walls are rolled instead of folded, and the fine prism that stands for a rolled one."""

from __future__ import annotations

from math import pi

import numpy as np

from foldsketch.base.findings import Finding
from foldsketch.base.units import format_number
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Ring

MIN_ROLL_RADIUS_MM = 5.0
"""Smallest radius on paper that card is rolled to, mm [common practice: it is curled over a pencil first]."""

TOOTH_WIDTH_MM = 4.5
"""Width of a tooth on a rolled rim, and of the flat sides that the oracle sees, mm."""

MIN_ROLLED_SIDES, MAX_ROLLED_SIDES = 24, 96
"""Bounds for the number of flat sides of a rolled wall: at 24 one strays 0.6 % of the radius, 1 - pi/24 cot(pi/24)."""

MAX_ROLLED_BEND_RAD = 2 * pi / MIN_ROLLED_SIDES + 1e-9
"""A bend of at most this angle, radians, is rolled; anything more is a fold."""

MIN_HINGE_LENGTH_MM = 8.0
"""An edge of a rolled wall shorter than this, mm, is no hinge for an end: it would hang by a thread."""


def rolled_side_count(radius: float) -> int:
    """Flat sides of a rolled wall of that radius, mm on paper: a multiple of four, so that it is symmetric.

    >>> rolled_side_count(45.0), rolled_side_count(10.0)
    (64, 24)
    """
    return min(max(4 * round(2 * pi * radius / TOOTH_WIDTH_MM / 4), MIN_ROLLED_SIDES), MAX_ROLLED_SIDES)


def can_roll(radii: tuple[float, ...]) -> bool:
    """True for radii on paper, mm, that card can be rolled to; a cone's apex counts as well."""
    return all(r >= MIN_ROLL_RADIUS_MM or r == 0 for r in radii) and any(radii)


def find_cross_axis_contacts(part: Part) -> dict[str, str]:
    """Features that one on an axis that is not parallel reaches: name -> that one's name. Their walls are cut on a
    slant and stay folded."""
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
    """True when some point of the stretch that g takes of its axis comes within g's radius of the round about f."""
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
    """Why rounds are not rolled though rolled walls were asked for, a note for every reason."""
    alike: dict[str, list[str]] = {}
    for f in features:
        if f.name in rolled or f.sides or not isinstance(f.shape, Cylinder | Cone | Ring | Plate):
            continue
        if f.name in crossed:
            why = f"'{crossed[f.name]}' on a cross axis reaches its wall"
        else:
            radii = [r for r in round_radii(f) if r]
            if not radii or min(radii) * scale >= MIN_ROLL_RADIUS_MM:
                continue
            why = f"a radius of {format_number(min(radii) * scale, 1)} mm on paper is too tight to roll"
        alike.setdefault(why, []).append(f.name)
    notes = []
    for why, names in alike.items():
        quoted = ", ".join(f"'{n}'" for n in names)
        many = len(names) > 1
        where = f"features {quoted}" if many else f"feature {quoted}"
        notes.append(Finding("note", where, f"{'are' if many else 'is'} folded, not rolled: {why}"))
    return notes


def round_radii(f: Feature) -> tuple[float, ...]:
    """The radii of a feature's round walls, part mm."""
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
