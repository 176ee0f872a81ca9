"""Hole patterns: equal bores, evenly spaced about an axis, as on a bolt circle, with gaps perhaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.axes import CoaxialGroup
from foldsketch.mesh.features.merge_rounds import MergedSurface
from foldsketch.mesh.geometry.analytic_surface import perpendicular_axes

MIN_HOLES = 3
MIN_BORE_DEGREES = 250.0
"""A bore covers at least this much of the turn."""

MAX_PAD_RATIO = 0.35
"""Height over diameter below which a round around a hole is a pad for its screw."""

MAX_PLACES_PER_HOLE = 1.5
"""Equal steps round a circle over the holes that are there: at most every third one is left out."""

MAX_SPACING_ERROR_RAD = 2e-3
"""Angles from hole to hole may differ by no more than this."""


@dataclass(frozen=True, slots=True)
class HolePattern:
    """Equal holes about an axis.

    Its number, the diameter of the circle through theirs and of the holes, mm, and the numbers of their axes.
    """

    centre_index: int
    diameter: float
    hole: float
    members: tuple[int, ...]


def find_hole_patterns(groups: list[CoaxialGroup], merged: list[MergedSurface], slack: float) -> list[HolePattern]:
    """Three or more equal bores, evenly spaced about one of the parallel axes (the datum first), or about none.

    slack: mm that the axes may be off.
    """
    if not groups:
        return []
    u, v = perpendicular_axes(groups[0].direction)
    at = {i: np.array([g.point @ u, g.point @ v]) for i, g in enumerate(groups) if g.is_parallel(groups[0])}
    alike: dict[tuple[float, ...], list[int]] = {}
    for i in at:
        alike.setdefault(_bore_diameters(groups[i], merged), []).append(i)
    return [
        pattern
        for diameters, members in alike.items()
        if diameters
        for pattern in _patterns_of(diameters[0], members, at, slack)
    ]


def _bore_diameters(group: CoaxialGroup, merged: list[MergedSurface]) -> tuple[float, ...]:
    """Diameters of the bores on an axis that has nothing else but a low pad on it; none for any other axis."""
    surfaces = [merged[k].surface for k in group.members]
    bores = [f for f in surfaces if f.inner]
    pads = [f for f in surfaces if not f.inner]
    if not all(f.covered_degrees > MIN_BORE_DEGREES for f in bores):
        return ()
    if not all(f.shape.kind == "cylinder" and f.high - f.low < MAX_PAD_RATIO * 2 * f.shape.radius for f in pads):
        return ()
    return tuple(sorted({round(2 * f.shape.radius, 2) for f in bores if f.shape.kind == "cylinder"}))


def _patterns_of(hole: float, members: list[int], at: dict[int, Array], slack: float) -> list[HolePattern]:
    """The patterns that equal holes form about one of the axes, or about their own middle."""
    left = list(members)
    out = []
    for centre in [*at, -1]:
        if len(left) < MIN_HOLES:
            break
        middle = at[centre] if centre >= 0 else np.mean([at[i] for i in left], axis=0)
        for ring in _evenly_spaced_rings([i for i in left if i != centre], at, middle, slack):
            radius = float(np.mean([np.hypot(*(at[i] - middle)) for i in ring]))
            out.append(HolePattern(max(centre, 0), 2 * radius, hole, tuple(ring)))
            left = [i for i in left if i not in ring]
    return out


def _evenly_spaced_rings(members: list[int], at: dict[int, Array], middle: Array, slack: float) -> list[list[int]]:
    """Those of members that are at one distance from a point and evenly spaced about it, in order round it."""
    distance = {i: float(np.hypot(*(at[i] - middle))) for i in members}
    found = []
    todo = sorted(members, key=lambda i: distance[i])
    while todo:
        least = distance[todo[0]]
        ring = [i for i in todo if distance[i] - least < max(4 * slack, 1e-4 * least + 1e-3)]
        todo = todo[len(ring) :]
        if len(ring) < MIN_HOLES or least < 10 * slack:
            continue
        angle = {i: float(np.arctan2(*(at[i] - middle)[::-1])) for i in ring}
        ring.sort(key=lambda i: angle[i])
        steps = np.diff([*(angle[i] for i in ring), angle[ring[0]] + 2 * np.pi])
        # A hole may be left out where something else stands.
        pitch = 2 * np.pi / max(1, round(2 * np.pi / float(steps.min())))
        places = np.round(steps / pitch)
        even = np.abs(steps - places * pitch).max() < MAX_SPACING_ERROR_RAD
        if even and places.sum() <= MAX_PLACES_PER_HOLE * len(ring):
            found.append(ring)
    return found
