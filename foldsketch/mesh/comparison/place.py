"""Where a model is off its file: which feature, at which heights, and whether material is missing or too much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.repair.shells import winding_numbers

MAX_POINTS_ASKED = 25
"""Points of which it is found out whether they are inside, the farthest ones first."""


@dataclass(frozen=True, slots=True)
class Place:
    """what: the feature that is wrong, or "material"; low, high: heights, mm; missing: material is, else too much."""

    what: str
    low: float
    high: float
    missing: bool


@dataclass(frozen=True, slots=True, eq=False)
class FarPoints:
    """Points (n, 3) of one surface that are off another, by distance (n,), mm.

    triangle: (n,) of the own surface that each is on; other: triangles (m, 3, 3) of the other surface.
    """

    points: Array
    distance: Array
    triangle: Ints
    other: Array

    def mostly_inside(self) -> bool:
        """Whether most of the farthest points are inside the other surface."""
        far = np.argsort(-self.distance)[:MAX_POINTS_ASKED]
        return bool(np.median(np.abs(winding_numbers(self.points[far], self.other))) > 0.5)


def place_on_mesh(reading: MeshReading, far: FarPoints, z: Array, zero: float) -> Place:
    """The feature of the file that the model does not have. z: (3,) unit; zero: of heights along it, mm."""
    body, owner = reading.segmentation.body, reading.segmentation.owner[far.triangle]
    weight = np.bincount(owner + 1, weights=far.distance)
    number = {s: m for m in (*reading.features, *reading.left_out) for s in m.surfaces}
    worst = max(range(len(weight)), key=lambda k: weight[k] * (2.0 if _is_round(number.get(k - 1)) else 1.0)) - 1
    mine = owner == worst
    heights = body.corners[body.triangles[np.unique(far.triangle[mine])]] @ z - zero
    here = FarPoints(far.points[mine], far.distance[mine], far.triangle[mine], far.other)
    return _place(_name(number.get(worst)), heights, not here.mostly_inside())


def place_on_model(far: FarPoints, own: Array, z: Array, zero: float) -> Place:
    """The stretch at which the model has a surface that the file lacks. own: its triangles (m, 3, 3)."""
    inside = far.mostly_inside()
    heights = own[np.unique(far.triangle)] @ z - zero
    return _place("material" if inside else "empty space", heights, inside)


def _is_round(m: MeasuredFeature | None) -> bool:
    return m is not None and m.is_round


def _name(m: MeasuredFeature | None) -> str:
    return f"'{m.name}'" if m is not None else "a surface that is not recognised"


def _place(what: str, heights: Array, missing: bool) -> Place:
    return Place(what, float(heights.min()) + 0.0, float(heights.max()) + 0.0, missing)
