"""Volume, mass, centre of mass and inertia of a part with its round features as true rounds."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin

from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.mass.edges import GAUSS_POINTS
from foldsketch.part.mass.moments import SectionMoments, section_moments
from foldsketch.part.mass.section import has_exact_sections, section_at_height, transverse_section
from foldsketch.part.model import Cone, Feature, Part, Vec3

Matrix3 = tuple[Vec3, Vec3, Vec3]

VolumeIntegrals = tuple[float, ...]
"""Integrals over a body of 1, x, y, z, xx, yy, zz, xy, xz, yz."""

EXACT_RELATIVE_TOLERANCE, APPROXIMATE_RELATIVE_TOLERANCE = 1e-11, 1e-5
"""Share of a stretch's volume by which two halves may differ from the whole: exact sections, and approximated ones."""

MAX_HALVING_DEPTH = 24
"""Halvings of a stretch of height, one within the other."""

MAX_HALVINGS = 300
"""Halvings of a stretch of height in all."""


@dataclass(frozen=True, slots=True)
class MassProperties:
    """Volume, mass, centre of mass and inertia.

    volume: mm3; mass: kg, None without a density; centroid: mm, part frame; inertia: 3 x 3 about the centroid, as
    integrals over the volume, mm5 (times density in kg/mm3: kg mm2), products of inertia with the minus sign of the
    tensor; exact: whether no feature was approximated.
    """

    volume: float
    mass: float | None
    centroid: Vec3
    inertia: Matrix3
    exact: bool


def mass_properties(part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> MassProperties:
    """Mass properties of a part. Raises FoldsketchError for a plate with an outline on a slanted axis.

    The moments of its level sections are integrated over z between heights at which features begin or end: in closed
    form where they do not change, by Gauss's rule elsewhere, on ever smaller stretches until the result holds.
    """
    levels = sorted({z for f in part.features for z in section_break_heights(part, f)})
    stretches = [(low, high) for low, high in itertools.pairwise(levels) if high - low > tolerance.length]
    integrals = [_integrate_between(part, low, high) for low, high in stretches]
    volume, mx, my, mz, xx, yy, zz, xy, xz, yz = (sum(v) for v in zip((0.0,) * 10, *integrals, strict=True))
    if volume <= tolerance.area:
        return MassProperties(0.0, None if part.density is None else 0.0, (0.0, 0.0, 0.0), ((0.0,) * 3,) * 3, True)
    x, y, z = mx / volume, my / volume, mz / volume
    # To the centroid by the parallel axis theorem.
    xx, yy, zz = xx - volume * x * x, yy - volume * y * y, zz - volume * z * z
    xy, xz, yz = xy - volume * x * y, xz - volume * x * z, yz - volume * y * z
    inertia = ((yy + zz, -xy, -xz), (-xy, xx + zz, -yz), (-xz, -yz, xx + yy))
    mass = None if part.density is None else volume * part.density * 1e-9
    return MassProperties(volume, mass, (x, y, z), inertia, all(has_exact_sections(part, f) for f in part.features))


def section_break_heights(part: Part, f: Feature) -> list[float]:
    """Heights in the part's frame between which the sections of a feature change smoothly, with lowest and highest."""
    axis = part.axis(f.axis)
    if axis.along_z:
        return [axis.point[2] + axis.direction[2] * h for h in (f.start, f.end)]
    if abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone):
        rise = axis.frame[1][2]
        edges = transverse_section(f, f.start).all_edges()
        return [axis.point[2] + rise * v for e in edges for v in e.turning_heights()]
    spread = f.radius * (1 - axis.direction[2] ** 2) ** 0.5
    ends = [axis.point[2] + axis.direction[2] * v for v in (f.start, f.end)]
    return [min(ends) - spread, *ends, max(ends) + spread]


def _integrate_between(part: Part, low: float, high: float) -> VolumeIntegrals:
    """The integrals of the material between two heights with no break height of a feature between them."""
    middle, half = (low + high) / 2, (high - low) / 2
    here = [f for f in part.features if (r := section_break_heights(part, f)) and min(r) < middle < max(r)]
    if all(f.cut for f in here):
        return (0.0,) * 10

    def moments(z: float) -> SectionMoments:
        layers = [(r, f.cut) for f in here if (r := section_at_height(part, f, z)) is not None]
        return section_moments(layers) if layers else (0.0,) * 6

    upright = all(part.axis(f.axis).along_z for f in here)
    if upright and not any(isinstance(f.shape, Cone) for f in here):
        a, x, y, xx, yy, xy = moments(middle)
        one, two, three = high - low, (high**2 - low**2) / 2, (high**3 - low**3) / 3
        return (a * one, x * one, y * one, a * two, xx * one, yy * one, a * three, xy * one, x * two, y * two)
    if upright:
        return _integrate_adaptively(lambda z: _integrands(moments(z), z, 1.0), low, high, EXACT_RELATIVE_TOLERANCE)

    # The section of a level round begins and ends with an upright tangent: z = middle + half sin t takes it away.
    def at(t: float) -> VolumeIntegrals:
        z = middle + half * sin(t)
        return _integrands(moments(z), z, half * cos(t))

    exact = all(has_exact_sections(part, f) for f in here)
    close = EXACT_RELATIVE_TOLERANCE if exact else APPROXIMATE_RELATIVE_TOLERANCE
    return _integrate_adaptively(at, -pi / 2, pi / 2, close)


def _integrands(m: SectionMoments, z: float, factor: float) -> VolumeIntegrals:
    a, x, y, xx, yy, xy = (v * factor for v in m)
    return (a, x, y, a * z, xx, yy, a * z * z, xy, x * z, y * z)


HalvedInterval = tuple[float, float, float, list[float], list[float], int]
"""Minus the difference of the two halves from the whole, the interval, the sums over its halves, and its depth."""


def _integrate_adaptively(
    integrands: Callable[[float], VolumeIntegrals], low: float, high: float, close: float
) -> VolumeIntegrals:
    """Gauss's rule on an interval, halved until it holds to a share of its volume.

    close: share by which two halves may differ from a whole; the largest differences come first. At most MAX_HALVINGS
    halvings.
    """

    def rule(a: float, b: float) -> list[float]:
        half = (b - a) / 2
        rows = [(w * half, integrands((a + b) / 2 + half * x)) for x, w in GAUSS_POINTS]
        return [sum(weight * values[k] for weight, values in rows) for k in range(10)]

    def halved(a: float, b: float, whole: list[float], depth: int) -> HalvedInterval:
        left, right = rule(a, (a + b) / 2), rule((a + b) / 2, b)
        return (-abs(left[0] + right[0] - whole[0]), a, b, left, right, depth)

    whole = rule(low, high)
    limit = close * max(abs(whole[0]), 1e-9)
    # A heap by difference: the intervals in it at the end count with their two halves.
    heap = [halved(low, high, whole, 0)]
    for _ in range(MAX_HALVINGS):
        difference, a, b, left, right, depth = heap[0]
        settled = -difference <= limit and sum(-h[0] for h in heap) <= limit
        if settled or -difference <= limit * 1e-3 or depth >= MAX_HALVING_DEPTH:
            break
        heapq.heappop(heap)
        middle = (a + b) / 2
        heapq.heappush(heap, halved(a, middle, left, depth + 1))
        heapq.heappush(heap, halved(middle, b, right, depth + 1))
    return tuple(sum(h[3][k] + h[4][k] for h in heap) for k in range(10))
