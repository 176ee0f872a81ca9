"""Sweep: the ring of space that every feature passes through when the part turns about a centreline."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from foldsketch.base.points import Point
from foldsketch.part.mass.mass_properties import section_break_heights
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Cone, Feature, Part
from foldsketch.setup.model import Sweep

SLANTED_SECTIONS = 24
"""Sections of a feature whose axis is not along z."""


def z_extent(part: Part, f: Feature) -> tuple[float, float]:
    """Lowest and highest z of a feature, mm, part frame."""
    levels = section_break_heights(part, f)
    return min(levels), max(levels)


def sweep_of(part: Part, f: Feature, at: Point) -> Sweep:
    """The ring of one feature about the upright line through a point.

    Exact for features on axes along z, the greatest of a few sections for others. at: x and y, mm.
    """
    low, high = z_extent(part, f)
    if not part.axis(f.axis).along_z:
        shares = [(k + 0.5) / SLANTED_SECTIONS for k in range(SLANTED_SECTIONS)]
    else:
        shares = [1e-9, 1 - 1e-9] if isinstance(f.shape, Cone) else [0.5]
    levels = [low + (high - low) * share for share in shares]
    spans = [r.distance_range(*at) for z in levels if (r := section_at_height(part, f, z)) is not None]
    if not spans:
        return Sweep(f.name, low, high, 0.0, 0.0)
    return Sweep(f.name, low, high, min(s[0] for s in spans), max(s[1] for s in spans))


def sweeps(part: Part, at: Point) -> tuple[Sweep, ...]:
    """The rings of all features that add material."""
    return tuple(sweep_of(part, f, at) for f in part.features if not f.cut)


def swing(rings: Sequence[Sweep]) -> float:
    """Diameter swept by the whole part, mm: twice the greatest distance of its outline from the centreline."""
    return 2 * max((s.outer for s in rings), default=0.0)


def swept_profile(rings: Sequence[Sweep]) -> tuple[tuple[float, float, float], ...]:
    """The outline that no fixed tool may enter from outside, as (from z, to z, radius); equal neighbours are joined."""
    levels = sorted({v for s in rings for v in (s.start, s.end)})
    made: list[tuple[float, float, float]] = []
    for low, high in pairwise(levels):
        middle = (low + high) / 2
        radius = max((s.outer for s in rings if s.start < middle < s.end), default=0.0)
        if made and made[-1][1] == low and abs(made[-1][2] - radius) < 1e-9:
            made[-1] = (made[-1][0], high, radius)
        else:
            made.append((low, high, radius))
    return tuple(made)
