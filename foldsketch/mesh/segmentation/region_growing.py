"""Region growing: which triangles are still free, and how a surface is fitted and grown over them in turns."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import reindex_corners, row_dots
from foldsketch.mesh.geometry.surface_fit import refine_surface
from foldsketch.mesh.segmentation.angular_coverage import triangle_centroids
from foldsketch.mesh.segmentation.edge_classes import EdgeClasses
from foldsketch.mesh.segmentation.model import FittedSurface, on_surface_corners

MAX_TRIAL_FIT_CORNERS = 1500
"""Corners that are used to find a surface; the final fit uses all of them."""

MAX_GROWTH_TURNS = 8
"""Turns of fitting and growing before a surface is taken as it is."""

TOLERANCE_FACTORS = (4.0, 2.0, 1.0)
"""Times the tolerance within which a surface grows in its first turns, the last one from then on."""

MAX_MEDIAN_FRACTION = 0.7
"""Median misfit over tolerance above which a surface that has grown is given up; the seeds may be off by the first of
the factors above."""

MIN_FACING_COSINE = 0.6
"""Triangles that face away from the surface's normal by more than this are not on it, wherever their corners are."""


class RegionGrower:
    """One body under recognition: which triangle is on which surface (-1: none yet).

    owner: (m,) number of the surface of every triangle; surfaces: those claimed so far; polygons: cylinders through
    the corners of flats, and the triangles of these; off_surface: (m, 3) corners that are not on the surface of their
    triangle, or None; noisy: the corners of the mesh are off its surfaces by more than rounding.
    """

    def __init__(self, edge_classes: EdgeClasses, noisy: bool = False) -> None:
        self.edge_classes = edge_classes
        self.noisy = noisy
        self.body = edge_classes.body
        self.owner: Ints = np.full(len(self.body.triangles), -1, dtype=np.int64)
        self.surfaces: list[FittedSurface] = []
        self.polygons: list[tuple[AnalyticSurface, Ints]] = []
        self.off_surface: Bools | None = None

    @property
    def tolerance(self) -> float:
        """How far a corner may be off its surface, mm."""
        return self.edge_classes.tolerance

    def claim(self, surface: FittedSurface) -> None:
        """Give the triangles of a surface to it."""
        self.owner[surface.triangles] = len(self.surfaces)
        self.surfaces.append(surface)

    def unclaimed(self, triangles: Ints) -> Ints:
        """Those of triangles that no surface has."""
        return triangles[self.owner[triangles] < 0]

    def area_of(self, triangles: Ints) -> float:
        """Area of triangles, mm2."""
        return float(self.body.areas[triangles].sum())

    def mark_off_surface(self, triangles: Ints, corners: Bools | bool = True) -> None:
        """Mark corners (k, 3) of triangles (k,), or all of them, as off the surface."""
        if self.off_surface is None:
            self.off_surface = np.zeros((len(self.owner), 3), dtype=bool)
        self.off_surface[triangles] = corners

    @cached_property
    def _adjacency(self) -> tuple[Ints, Ints]:
        """Where each triangle's neighbours start in the list of neighbours, and that list."""
        pairs = self.body.face_adjacency
        one, other = np.concatenate((pairs, pairs[:, ::-1])).T
        start = np.r_[0, np.cumsum(np.bincount(one, minlength=len(self.owner)))]
        return start, other[np.argsort(one, kind="stable")]

    def _neighbours(self, triangles: Ints) -> tuple[Ints, Ints]:
        """Place in the array given, and the triangle on the other side, for every shared edge of triangles."""
        start, partner = self._adjacency
        count = start[triangles + 1] - start[triangles]
        place = np.repeat(np.arange(len(triangles)), count)
        shift = start[triangles] - np.r_[0, np.cumsum(count)[:-1]]
        return place, partner[np.repeat(shift, count) + np.arange(len(place))]

    def adjacent_triangles(self, triangles: Ints) -> Ints:
        """All triangles that share an edge with any of those given."""
        return np.unique(self._neighbours(triangles)[1])

    def links_within(self, triangles: Ints) -> Ints:
        """Links (k, 2) between triangles that share an edge, as places in the array given."""
        place = np.full(len(self.owner), -1, dtype=np.int64)
        place[triangles] = np.arange(len(triangles))
        if len(triangles) * 8 < len(self.owner):
            one, beyond = self._neighbours(triangles)
            other = place[beyond]
        else:
            one, other = place[self.body.face_adjacency].T
        both = (one >= 0) & (other >= 0)
        return np.column_stack((one[both], other[both]))

    def fit_points(self, triangles: Ints) -> Array:
        """Corners (n, 3) of triangles, each once, without those that are off the surface."""
        return on_surface_corners(self.body, self.off_surface, triangles)

    def triangles_on(self, shape: AnalyticSurface, triangles: Ints, tolerance: float) -> Ints:
        """Those of triangles whose corners are all within tolerance mm of a surface, and that face as it does."""
        t = self.body.triangles[triangles]
        used, local = reindex_corners(len(self.body.corners), t)
        off = shape.distance(np.take(self.body.corners, used, axis=0))
        near = np.take(np.abs(off) <= tolerance, local)
        if self.off_surface is not None:
            inside = (np.abs(off) < 0.04 * (shape.tube or shape.radius))[local]
            near |= self.off_surface[triangles] & inside
        triangles = triangles[near[:, 0] & near[:, 1] & near[:, 2]]
        if len(triangles) == 0:
            return triangles
        facing = np.abs(row_dots(shape.normal(triangle_centroids(self.body, triangles)), self.body.normals[triangles]))
        out: Ints = triangles[(facing > MIN_FACING_COSINE) | (self.body.areas[triangles] == 0)]
        return out

    def fit_and_grow(self, shape: AnalyticSurface, seeds: Ints, pool: Ints) -> tuple[AnalyticSurface, Ints] | None:
        """Refine a surface on its triangles and let it grow over the pool, in turns, until nothing changes.

        The result has every connected piece of the pool that is on the surface and holds a seed; None where the
        surface does not fit.
        """
        mine, grown = seeds, seeds
        is_seed = np.zeros(len(self.owner), dtype=bool)
        is_seed[seeds] = True
        for turn in range(MAX_GROWTH_TURNS):
            points = self.fit_points(mine)
            if len(points) < 5:
                return None
            shape = refine_surface(shape, points[:: 1 + len(points) // MAX_TRIAL_FIT_CORNERS])
            most = TOLERANCE_FACTORS[0] if turn == 0 else MAX_MEDIAN_FRACTION
            if np.median(np.abs(shape.distance(points))) > most * self.tolerance:
                return None
            grown = self.triangles_on(shape, pool, self.tolerance * TOLERANCE_FACTORS[min(turn, 2)])
            if len(grown) >= 2:
                piece = label_components(self.links_within(grown), len(grown))
                wanted = np.zeros(len(piece), dtype=bool)
                wanted[piece[is_seed[grown]]] = True
                grown = grown[wanted[piece]]
            if len(grown) < 2:
                return None
            if turn >= 2 and np.array_equal(grown, mine):
                break
            mine = grown
        return shape, grown
