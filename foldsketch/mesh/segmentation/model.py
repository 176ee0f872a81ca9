"""Segmentation: the surfaces found on a body, and which triangles are on each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import corners_used
from foldsketch.mesh.repair.clean import Body


@dataclass(frozen=True, slots=True, eq=False)
class FittedSurface:
    """A surface and the triangles (m,) on it. Lengths mm.

    inner: the material is outside the round; covered_degrees: of the turn, by its triangles; sides: facets on a full
    turn, 0 where that means nothing; misfit_max, misfit_rms: of its corners; low, high: its ends along the direction
    from the point of its shape.
    """

    shape: AnalyticSurface
    triangles: Ints
    inner: bool = False
    covered_degrees: float = 0.0
    sides: float = 0.0
    misfit_max: float = 0.0
    misfit_rms: float = 0.0
    low: float = 0.0
    high: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Segmentation:
    """What was found on a body.

    owner: (m,) number of the surface of every triangle, -1 for none; polygons: cylinders through the corners of what
    turned out to be flats; tolerance: mm that corners may be off their surface; noise: standard deviation of the
    corners, mm, where the mesh is noisy, else 0; off_surface: (m, 3) corners of triangles that are on no surface, or
    None where all are.
    """

    body: Body
    surfaces: tuple[FittedSurface, ...]
    owner: Ints
    polygons: tuple[AnalyticSurface, ...]
    tolerance: float
    noise: float = 0.0
    off_surface: Bools | None = None

    def fit_points(self, triangles: Ints) -> Array:
        """Corners (n, 3) of triangles, without those that are only on a flat side of a round."""
        return on_surface_corners(self.body, self.off_surface, triangles)

    def area_of(self, surface: FittedSurface) -> float:
        """Area of the triangles on a surface, mm2."""
        return float(self.body.areas[surface.triangles].sum())

    @property
    def volume(self) -> float:
        """Volume, mm3, between the surfaces themselves: the flat facets of a mesh are inside its rounds.

        Over every triangle the distance from its surface is integrated from the middles of its three sides, which is
        exact up to squares [Strang and Fix, An Analysis of the Finite Element Method, 4.3; from memory].
        """
        out = self.body.volume
        for f in self.surfaces:
            if f.shape.kind != "plane":
                corners = self.body.corners[self.body.triangles[f.triangles]]
                middles = (corners + np.roll(corners, 1, axis=1)) / 2
                distance = f.shape.distance(middles.reshape(-1, 3)).reshape(-1, 3).mean(axis=1)
                out += (1 if f.inner else -1) * float(distance @ self.body.areas[f.triangles])
        return out

    @property
    def explained_fraction(self) -> float:
        """Share of the area that is on one of the surfaces."""
        return float(self.body.areas[self.owner >= 0].sum() / max(self.body.area, 1e-300))


def on_surface_corners(body: Body, off_surface: Bools | None, triangles: Ints) -> Array:
    """Corners (n, 3) of triangles, each once, without those marked as off the surface, unless all are."""
    t = body.triangles[triangles]
    if off_surface is None:
        return np.take(body.corners, corners_used(len(body.corners), t), axis=0)
    on = np.unique(t[~off_surface[triangles]])
    return body.corners[on if len(on) else np.unique(t)]
