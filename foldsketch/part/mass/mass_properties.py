"""Mass properties of a part as drawn, its rounds true rounds: volume, mass, centre of mass and inertia."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin

from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.mass.moments import GAUSS_POINTS, SectionMoments, section_moments
from foldsketch.part.mass.section import has_exact_sections, section_at_height, transverse_section
from foldsketch.part.model import Cone, Feature, Part, Vec3

Matrix3 = tuple[Vec3, Vec3, Vec3]

MAX_HALVING_DEPTH = 24
"""Halvings of a stretch of height before its sum is taken as it is."""

EXACT_RELATIVE_TOLERANCE, APPROXIMATE_RELATIVE_TOLERANCE = 1e-11, 1e-5
"""Share of a stretch's volume by which two halves may differ from the whole: exact sections, and approximated ones."""

MAX_HALVINGS = 300
"""Halvings of one stretch in all: what is left then is taken as it is."""


@dataclass(frozen=True, slots=True)
class MassProperties:
    """volume: mm3; mass: kg, None without a density; centroid: mm, part frame; inertia: 3 x 3 about the centroid,
    integrals of volume, mm5 (times density in kg/mm3: kg mm2), with the products of inertia negative as in the
    tensor; exact: no feature had to be approximated."""

    volume: float
    mass: float | None
    centroid: Vec3
    inertia: Matrix3
    exact: bool


def mass_properties(part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> MassProperties:
    """Mass properties of a part. Raises FoldsketchError for a shape that cannot be cut level.

    The sections between two heights at which a feature begins or ends are integrated over z: constant ones in closed
    form, others by Gauss's rule, halved until it holds. Inertia about the centroid by the parallel axis theorem.
    """
    levels = sorted({z for f in part.features for z in section_break_heights(part, f)})
    sums = [0.0] * 10
    for low, high in itertools.pairwise(levels):
        if high - low > tolerance.length:
            for k, v in enumerate(_integrate_between(part, low, high)):
                sums[k] += v
    volume, mx, my, mz, xx, yy, zz, xy, xz, yz = sums
    if volume <= tolerance.area:
        return MassProperties(0.0, None if part.density is None else 0.0, (0.0, 0.0, 0.0), ((0.0,) * 3,) * 3, True)
    x, y, z = mx / volume, my / volume, mz / volume
    xx, yy, zz = xx - volume * x * x, yy - volume * y * y, zz - volume * z * z
    xy, xz, yz = xy - volume * x * y, xz - volume * x * z, yz - volume * y * z
    inertia = ((yy + zz, -xy, -xz), (-xy, xx + zz, -yz), (-xz, -yz, xx + yy))
    mass = None if part.density is None else volume * part.density * 1e-9
    return MassProperties(volume, mass, (x, y, z), inertia, all(has_exact_sections(part, f) for f in part.features))


def section_break_heights(part: Part, f: Feature) -> list[float]:
    """Heights in the part's frame between which the sections of a feature change smoothly."""
    axis = part.axis(f.axis)
    if axis.along_z:
        up = 1.0 if axis.direction[2] > 0 else -1.0
        return [axis.point[2] + up * f.start, axis.point[2] + up * f.end]
    if abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone):
        rise = axis.frame[1][2]
        return [axis.point[2] + v * rise for v in _section_turning_heights(f)]
    spread = f.radius * (1 - axis.direction[2] ** 2) ** 0.5
    ends = [axis.point[2] + axis.direction[2] * v for v in (f.start, f.end)]
    return [min(ends) - spread, *ends, max(ends) + spread]


def _section_turning_heights(f: Feature) -> list[float]:
    """Heights, in the feature's own y, at which its section square to the axis turns back or has a corner."""
    from foldsketch.part.mass.region import Segment

    found: list[float] = []
    for e in transverse_section(f, f.start).all_edges():
        if isinstance(e, Segment):
            found += [e.a[1], e.b[1]]
            continue
        found += [e.centre[1] + e.radius * sin(t) for t in (e.start, e.start + e.sweep)]
        for t in (pi / 2, -pi / 2):
            if (t - e.start) % (2 * pi) <= e.sweep:
                found.append(e.centre[1] + e.radius * sin(t))
    return found


HalvedInterval = tuple[float, float, float, list[float], list[float], int]
"""Minus the disagreement, the stretch, the sums over its two halves, and how often it was halved."""

VolumeIntegrals = tuple[float, ...]
"""Integrals over a body of 1, x, y, z, xx, yy, zz, xy, xz, yz."""


def _integrate_between(part: Part, low: float, high: float) -> VolumeIntegrals:
    """The integrals of the material between two heights with no beginning or end of a feature between them."""
    middle = (low + high) / 2
    here = [f for f in part.features if (r := section_break_heights(part, f)) and min(r) < middle < max(r)]
    if not any(not f.cut for f in here):
        return (0.0,) * 10

    def at(z: float) -> SectionMoments:
        layers = [(r, f.cut) for f in here if (r := section_at_height(part, f, z)) is not None]
        return section_moments(layers) if layers else (0.0,) * 6

    upright = all(part.axis(f.axis).along_z for f in here)
    if upright and not any(isinstance(f.shape, Cone) for f in here):
        a, x, y, xx, yy, xy = at(middle)
        one, two, three = high - low, (high**2 - low**2) / 2, (high**3 - low**3) / 3
        return (a * one, x * one, y * one, a * two, xx * one, yy * one, a * three, xy * one, x * two, y * two)
    if upright:
        return _integrate_adaptively(lambda z: (_volume_integrands(at(z), z), 1.0), low, high, EXACT_RELATIVE_TOLERANCE)
    # Level rounds begin and end with an upright tangent: z = middle + half sin t takes it away.
    half = (high - low) / 2
    close = (
        EXACT_RELATIVE_TOLERANCE if all(has_exact_sections(part, f) for f in here) else APPROXIMATE_RELATIVE_TOLERANCE
    )
    return _integrate_adaptively(
        lambda t: (_volume_integrands(at(middle + half * sin(t)), middle + half * sin(t)), half * cos(t)),
        -pi / 2,
        pi / 2,
        close,
    )


def _volume_integrands(m: SectionMoments, z: float) -> VolumeIntegrals:
    a, x, y, xx, yy, xy = m
    return (a, x, y, a * z, xx, yy, a * z * z, xy, x * z, y * z)


def _integrate_adaptively(
    work: Callable[[float], tuple[VolumeIntegrals, float]], low: float, high: float, close: float
) -> VolumeIntegrals:
    """Gauss's rule on a stretch, halved where the halves disagree with the whole by more than a share of its volume;
    the largest disagreements first, and not for ever."""

    def rule(a: float, b: float) -> list[float]:
        sums = [0.0] * 10
        for x, w in GAUSS_POINTS:
            values, factor = work((a + b) / 2 + (b - a) / 2 * x)
            for k, v in enumerate(values):
                sums[k] += v * factor * w * (b - a) / 2
        return sums

    def halved(a: float, b: float, one: list[float], depth: int) -> HalvedInterval:
        left, right = rule(a, (a + b) / 2), rule((a + b) / 2, b)
        return (-abs(left[0] + right[0] - one[0]), a, b, left, right, depth)

    whole = rule(low, high)
    limit = close * max(abs(whole[0]), 1e-9)
    # A heap by disagreement: what is in it when the work ends is taken at its two halves.
    heap = [halved(low, high, whole, 0)]
    for _ in range(MAX_HALVINGS):
        error, a, b, left, right, depth = heap[0]
        if (
            -error <= limit * 1e-3
            or (-error <= limit and sum(-h[0] for h in heap) <= limit)
            or depth >= MAX_HALVING_DEPTH
        ):
            break
        heapq.heappop(heap)
        middle = (a + b) / 2
        heapq.heappush(heap, halved(a, middle, left, depth + 1))
        heapq.heappush(heap, halved(middle, b, right, depth + 1))
    return tuple(sum(h[3][k] + h[4][k] for h in heap) for k in range(10))
