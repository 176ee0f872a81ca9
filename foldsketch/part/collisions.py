"""What runs into its neighbour: holes into holes, into bosses and out of flanges, bosses into each other.

Only features along one direction are compared, and only round ones named: what a slanted or crossing hole meets may be
meant, and is not certain from dimensions alone. Lengths mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from foldsketch.base.findings import Finding
from foldsketch.part import messages
from foldsketch.part.bore_openings import ROUNDING_MM, centre_seen_from, circle_is_inside, is_beside, shared_length
from foldsketch.part.model import Cylinder, Feature, Part


def find_collisions(part: Part) -> Iterator[Finding]:
    """A finding for every hole and boss that runs into another, in the order of the part file."""
    for k, f in enumerate(part.features):
        if not isinstance(f.shape, Cylinder):
            continue
        earlier = part.features[:k]
        if f.cut:
            yield from _hole_collisions(part, f, [m for m in earlier if not m.cut])
        for other in earlier:
            if other.cut == f.cut and _merge(part, f, other) and _share_material(part, f, other):
                message = messages.HOLES_MEET if f.cut else messages.BOSSES_MERGE
                yield message.at(f"feature '{f.name}'", other=other.name)


def _hole_collisions(part: Part, hole: Feature, materials: list[Feature]) -> Iterator[Finding]:
    for m in materials:
        centre = centre_seen_from(part, m, hole)
        if centre is None or shared_length(part, m, hole) <= ROUNDING_MM or is_beside(m, centre, hole.radius):
            continue
        if circle_is_inside(m, centre, hole.radius) or hole.radius >= m.radius:
            continue
        if not circle_is_inside(m, centre, 0.0):
            yield messages.HOLE_CUTS_SIDE.at(f"feature '{hole.name}'", feature=m.name)
        elif not any(_reaches(part, other, m, hole) for other in materials if other is not m):
            yield messages.HOLE_BREAKS_OUT.at(f"feature '{hole.name}'", feature=m.name)


def _reaches(part: Part, other: Feature, m: Feature, hole: Feature) -> bool:
    """Whether another feature may have the material that a hole meets beside m: then nothing is certain."""
    centre = centre_seen_from(part, other, hole)
    if centre is None:
        return True
    return shared_length(part, other, m) > ROUNDING_MM and not is_beside(other, centre, hole.radius)


def _merge(part: Part, f: Feature, g: Feature) -> bool:
    """Whether two cylinders share room without one being inside the other's circle."""
    if not isinstance(g.shape, Cylinder):
        return False
    centre = centre_seen_from(part, g, f)
    if centre is None or shared_length(part, g, f) <= ROUNDING_MM or is_beside(g, centre, f.radius):
        return False
    return hypot(*centre) + min(f.radius, g.radius) > max(f.radius, g.radius) + ROUNDING_MM


def _share_material(part: Part, f: Feature, g: Feature) -> bool:
    """Whether two holes meet in the material of a feature; bosses are material themselves."""
    if not f.cut:
        return True
    for m, pair in ((m, (f, g)) for m in part.features if not m.cut):
        centres = [centre_seen_from(part, m, hole) for hole in pair]
        ends = [part.extent(one, part.axis(f.axis)) for one in (m, *pair)]
        deep = min(high for _, high in ends) - max(low for low, _ in ends) > ROUNDING_MM
        if deep and all(c is not None and circle_is_inside(m, c, 0.0) for c in centres):
            return True
    return False
