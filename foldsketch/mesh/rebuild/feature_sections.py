"""Feature sections: the circle that a feature makes in a section, and discs of curved surface."""

from __future__ import annotations

from math import sqrt

import numpy as np

from foldsketch.mesh.features.mesh_reading import MeasuredFeature
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.rebuild.cross_sections import SectionLoop
from foldsketch.mesh.rebuild.section_shapes import SectionCircle, SectionShape

MAX_DISC_MISFIT_RATIO = 0.012
"""Misfit over radius of a loop that is taken as a circle: a section of a mesh runs along chords."""

MIN_CROSS_DEGREES = 200.0
"""A cylinder on a cross axis that covers less of the turn is no bore and no boss."""


def circle_at(m: MeasuredFeature, k: int, height: float, frame: PartFrame) -> SectionCircle | None:
    """The circle that a cylinder, a cone or a sphere along z, feature number k, makes at a height."""
    if m.kind == "cylinder":
        r = m.diameter / 2
    elif m.kind == "cone":
        r = cone_radius(m, height, frame)
    elif m.kind == "sphere":
        r = sqrt(max(0.0, m.diameter**2 / 4 - (height - frame.part_z(m.point)) ** 2))
    else:
        return None
    return SectionCircle(k, *frame.part_xy(m.point), r, m.inner) if r > 0 else None


def cone_radius(m: MeasuredFeature, height: float, frame: PartFrame) -> float:
    """Radius of a cone along z at a height, mm; below 0 past its apex."""
    sign = 1.0 if float(np.array(m.direction) @ frame.rotation[2]) > 0 else -1.0
    s = (height - frame.part_z(m.point)) * sign
    share = (s - m.start) / max(m.end - m.start, 1e-12)
    return (m.diameter + share * (m.end_diameter - m.diameter)) / 2


def disc_of_loop(loop: SectionLoop) -> SectionShape | None:
    """The disc that a loop is, to within what chords may be off."""
    if len(loop.points) < 9:
        return None
    centre, r, misfit = fit_circle(loop.points)
    if misfit > MAX_DISC_MISFIT_RATIO * r:
        return None
    return SectionShape("disc", loop.hole, circles=((float(centre[0]), float(centre[1]), r),))


def caps_cross_feature(plane: MeasuredFeature, features: tuple[MeasuredFeature, ...], frame: PartFrame) -> bool:
    """Whether a face is the end of a round on a cross axis, and no wall of the rest."""
    n = np.array(plane.direction)
    for m in features:
        if m.kind != "cylinder" or frame.is_along_z(m) or m.covered_degrees < MIN_CROSS_DEGREES:
            continue
        d = np.array(m.direction)
        z = float((np.array(plane.point) - np.array(m.point)) @ d)
        at_end = min(abs(z - m.start), abs(z - m.end)) < 0.05 * m.diameter
        small = plane.area < 1.05 * np.pi / 4 * m.diameter**2
        if abs(float(n @ d)) >= 0.9999 and at_end and small:
            return True
    return False
