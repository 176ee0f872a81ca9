"""Rounds alone: a part of the measured cylinders and cones, for a mesh whose sections cannot be used."""

from __future__ import annotations

import numpy as np

from foldsketch.base.findings import Finding
from foldsketch.mesh.features.mesh_reading import HALF_TURN_DEG, MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import PartFrame, find_part_frame
from foldsketch.mesh.rebuild.cross_features import cross_features
from foldsketch.mesh.rebuild.islands import in_file_order
from foldsketch.mesh.rebuild.messages import NO_SOLID, ROUNDS_ALONE
from foldsketch.mesh.rebuild.rebuild import make_names_unique
from foldsketch.part.model import Cone, Cylinder, Feature, Part


def rebuild_of_rounds(reading: MeshReading) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a reading's rounds, each from its own start to its own end, and a warning that says so.

    Raises FoldsketchError when none of them is material.
    """
    frame = find_part_frame(reading)
    features = [
        _make_feature(m, frame)
        for m in reading.features
        if m.is_round
        and m.kind in ("cylinder", "cone")
        and m.covered_degrees > HALF_TURN_DEG
        and frame.is_along_z(m)
        and m.length > 10.0**-frame.decimals
    ]
    features += cross_features(reading.features, frame, reading.keep)
    if all(f.cut for f in features):
        raise NO_SOLID.error(reading.name)
    used = {f.axis for f in features} | {frame.axes[0].name}
    axes = tuple(a for a in frame.axes if a.name in used)
    part = Part(reading.name, axes, make_names_unique(in_file_order(features, axes)))
    return part, (ROUNDS_ALONE.at(reading.name, count=len(features)),)


def _make_feature(m: MeasuredFeature, frame: PartFrame) -> Feature:
    """A round along z, with its ends and diameters rounded to what the mesh is good for."""
    sign = 1.0 if float(np.array(m.direction) @ frame.rotation[2]) > 0 else -1.0
    base = frame.part_z(m.point)
    ends = [(round(base + sign * s, frame.decimals), round(d, frame.decimals)) for s, d in _ends(m)]
    (start, first), (end, last) = sorted(ends)
    shape: Cylinder | Cone = Cylinder(first) if m.kind == "cylinder" or first == last else Cone(first, last)
    return Feature(m.name, frame.find_or_add_axis(*frame.part_xy(m.point)), shape, start, end, m.inner)


def _ends(m: MeasuredFeature) -> tuple[tuple[float, float], tuple[float, float]]:
    """Both ends of a round: how far along its direction, and the diameter there."""
    return (m.start, m.diameter), (m.end, m.end_diameter)
