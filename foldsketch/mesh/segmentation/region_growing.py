"""Region: the triangles that are still free, and how a surface that was guessed is settled on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import corners_used, reindex_corners, row_dots
from foldsketch.mesh.geometry.surface_fit import refine_surface
from foldsketch.mesh.segmentation.angular_coverage import (
    angular_coverage,
    degrees_covered,
    find_flat_triangles,
    is_doubly_curved,
    on_surface_corners,
    triangle_centroids,
)
from foldsketch.mesh.segmentation.edge_classes import EdgeClasses


@dataclass(frozen=True, slots=True, eq=False)
class FittedSurface:
    """A surface and the triangles on it. sides: facets on a full turn, 0 where that means nothing; wrap: degrees of the
    turn that the triangles cover; inner: material lies outside of the round."""

    shape: AnalyticSurface
    triangles: Ints
    inner: bool = False
    covered_degrees: float = 0.0
    sides: float = 0.0
    misfit_max: float = 0.0
    misfit_rms: float = 0.0
    low: float = 0.0
    high: float = 0.0


MAX_TRIAL_FIT_CORNERS = 1500
"""Corners that are used to find a surface; the final fit uses all of them."""


class RegionGrower:
    """One body under recognition: which triangle belongs to which surface (-1: none yet)."""

    def __init__(self, edges: EdgeClasses, noisy: bool = False) -> None:
        self.edge_classes = edges
        self.noisy = noisy
        self.body = edges.body
        self.owner: Ints = np.full(len(self.body.triangles), -1, dtype=np.int64)
        self.surfaces: list[FittedSurface] = []
        self.off_surface: Bools | None = None
        self.rejected: list[tuple[str, AnalyticSurface, Ints]] = []
        self._adjacency_starts: Ints | None = None
        self._adjacency_partners: Ints | None = None

    @property
    def tolerance(self) -> float:
        """mm that a corner may lie off its surface."""
        return self.edge_classes.tolerance

    def claim(self, found: FittedSurface) -> None:
        """Give triangles to a surface."""
        self.owner[found.triangles] = len(self.surfaces)
        self.surfaces.append(found)

    def unclaimed(self, triangles: Ints) -> Ints:
        """Those of triangles that no surface has."""
        return triangles[self.owner[triangles] < 0]

    def links_within(self, triangles: Ints) -> Ints:
        """Links (k, 2) between triangles, as positions in the array given."""
        place = np.full(len(self.owner), -1, dtype=np.int64)
        place[triangles] = np.arange(len(triangles))
        if len(triangles) * 8 < len(self.owner):
            start, partner = self._adjacency_table()
            count = start[triangles + 1] - start[triangles]
            first = np.repeat(start[triangles] - np.r_[0, np.cumsum(count)[:-1]], count) + np.arange(count.sum())
            one = np.repeat(np.arange(len(triangles)), count)
            other = place[partner[first]]
        else:
            one, other = place[self.body.face_adjacency[:, 0]], place[self.body.face_adjacency[:, 1]]
        both = (one >= 0) & (other >= 0)
        return np.column_stack((one[both], other[both]))

    def _adjacency_table(self) -> tuple[Ints, Ints]:
        """Start of every triangle's run and its partners, over all pairs."""
        if self._adjacency_starts is None or self._adjacency_partners is None:
            m = len(self.owner)
            one = np.r_[self.body.face_adjacency[:, 0], self.body.face_adjacency[:, 1]]
            other = np.r_[self.body.face_adjacency[:, 1], self.body.face_adjacency[:, 0]]
            self._adjacency_partners = other[np.argsort(one, kind="stable")]
            self._adjacency_starts = np.r_[0, np.cumsum(np.bincount(one, minlength=m))]
        return self._adjacency_starts, self._adjacency_partners

    def adjacent_triangles(self, triangles: Ints) -> Ints:
        """All triangles that share an edge with any of those given."""
        start, partner = self._adjacency_table()
        count = start[triangles + 1] - start[triangles]
        at = np.repeat(start[triangles] - np.r_[0, np.cumsum(count)[:-1]], count) + np.arange(count.sum())
        return np.unique(partner[at])

    def fit_points(self, triangles: Ints) -> Array:
        """Corners (n, 3) of triangles, each once, without loose ones."""
        return on_surface_corners(self.body, self.off_surface, triangles)

    def triangles_on(self, shape: AnalyticSurface, triangles: Ints, tolerance: float) -> Ints:
        """Those of triangles whose corners all lie within reach of a surface and that face as it does."""
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
        middle = triangle_centroids(self.body, triangles)
        facing = np.abs(row_dots(shape.normal(middle), self.body.normals[triangles]))
        out: Ints = triangles[(facing > 0.6) | (self.body.areas[triangles] == 0)]
        return out

    def fit_and_grow(
        self, shape: AnalyticSurface, seeds: Ints, pool: Ints, tolerance: float | None = None
    ) -> tuple[AnalyticSurface, Ints] | None:
        """Refine a surface on its triangles and let it grow over the pool, in turns, until nothing changes.

        The result keeps every piece of the pool that lies on the surface and hangs together with a seed.
        """
        tolerance = self.tolerance if tolerance is None else tolerance
        mine, grown = seeds, seeds
        is_seed = np.zeros(len(self.owner), dtype=bool)
        is_seed[seeds] = True
        for turn in range(8):
            points = self.fit_points(mine)
            if len(points) < 5:
                return None
            shape = refine_surface(shape, points[:: 1 + len(points) // MAX_TRIAL_FIT_CORNERS])
            if turn > 0 and np.median(np.abs(shape.distance(points))) > 0.7 * tolerance:
                return None
            slack = tolerance * (4.0, 2.0, 1.0)[min(turn, 2)]
            grown = self.triangles_on(shape, pool, slack)
            if len(grown) < 2:
                return None
            link = self.links_within(grown)
            piece = label_components(link, len(grown))
            wanted = np.zeros(len(piece) + 1, dtype=bool)
            wanted[piece[is_seed[grown]]] = True
            grown = grown[wanted[piece]]
            if len(grown) < 2:
                return None
            if turn >= 2 and len(grown) == len(mine) and np.array_equal(grown, mine):
                break
            mine = grown
        return shape, grown

    def absorb_border(self, number: int) -> int:
        """Let a surface take the free triangles along its border that lie on it. Returns how many it took."""
        found = self.surfaces[number]
        taken = [found.triangles]
        edge = found.triangles
        for _ in range(64):
            ring = self.unclaimed(self.adjacent_triangles(edge))
            edge = self.triangles_on(found.shape, ring, self.tolerance) if len(ring) else ring
            if found.shape.kind == "cylinder" and len(ring):
                sides = np.setdiff1d(self._on_chord_faces(found, ring), edge)
                if len(sides):
                    if self.off_surface is None:
                        self.off_surface = np.zeros((len(self.owner), 3), dtype=bool)
                    self.off_surface[sides] = True  # their corners say nothing of the round
                    edge = np.union1d(edge, sides)
            if found.shape.kind in ("cylinder", "cone") and len(edge):
                spans = angular_coverage(
                    found.shape, self.body.corners, self.body.triangles[edge], self.body.areas[edge]
                )[0]
                edge = edge[spans <= 1.6 * 2 * np.pi / max(found.sides, 1e-9)]
            if len(edge) == 0:
                break
            self.owner[edge] = number
            taken.append(edge)
        if len(taken) > 1:
            mine = np.concatenate(taken)
            wrap = degrees_covered(found.shape, self.body, mine) if found.shape.kind != "plane" else 0.0
            self.surfaces[number] = replace(found, triangles=mine, covered_degrees=wrap)
        return sum(map(len, taken[1:]))

    def _on_chord_faces(self, found: FittedSurface, ring: Ints) -> Ints:
        """Those of triangles that lie in flat sides of a cylinder: their corners no deeper than its chords."""
        shape = found.shape
        deep = shape.radius * (1 - np.cos(np.pi / max(found.sides, 3.0))) * 1.02 + self.tolerance
        corners = self.body.corners[self.body.triangles[ring]]
        off = shape.distance(corners.reshape(-1, 3)).reshape(-1, 3)
        level = np.abs(self.body.normals[ring] @ shape.direction) < 1e-3
        facing = np.abs(row_dots(shape.normal(triangle_centroids(self.body, ring)), self.body.normals[ring]))
        good = level & (off <= self.tolerance).all(axis=1) & (off >= -deep).all(axis=1)
        out: Ints = ring[good & (facing > np.cos(1.2 * np.pi / max(found.sides, 3.0)))]
        return out

    def evaluate(self, shape: AnalyticSurface, triangles: Ints, least_steps: float = 2.5) -> FittedSurface | str:
        """The surface as found, or the reason why it is none."""
        body = self.body
        if shape.radius > (1.5 if shape.kind == "torus" else 5.0) * body.size:
            return "huge"
        t = body.triangles[triangles]
        points = self.fit_points(triangles)
        if len(points) < 4:
            return "few"
        misfit = np.abs(shape.distance(points))
        rms = float(np.sqrt((misfit**2).mean()))
        if rms > 0.45 * self.tolerance:
            return "misfit"
        middle = triangle_centroids(body, triangles)
        sign = row_dots(shape.normal(middle), body.normals[triangles])
        weight = body.areas[triangles]
        outward = float((sign * weight).sum()) > 0
        mixed = float(weight[(sign > 0) != outward].sum())
        if mixed > 0.02 * float(weight.sum()):
            return "mixed"
        if shape.kind == "plane":
            return FittedSurface(
                shape if outward else shape.reversed(), triangles, False, 0.0, 0.0, float(misfit.max()), rms
            )
        if shape.kind in ("sphere", "torus") and not is_doubly_curved(shape, middle, body.normals[triangles], weight):
            return "straight"
        spans, wrap, sides = angular_coverage(shape, body.corners, t, weight)
        if shape.kind in ("cylinder", "cone"):
            wide = find_flat_triangles(spans, weight)
            if wide.any() and weight[~wide].sum() > 0:
                rest = triangles[~wide]
                if len(rest) < len(triangles) and len(rest) >= 2:
                    return self.evaluate(shape, rest, least_steps)
            if wrap / max(360.0 / max(sides, 1e-9), 1e-9) < least_steps:
                return "narrow"
            if wrap < (30.0 if shape.kind == "cone" else 6.0):
                return "narrow"
            if sides < 8.6:
                return "polygon"
        z = (body.corners[corners_used(len(body.corners), t)] - shape.point) @ shape.direction
        return FittedSurface(
            shape, triangles, not outward, wrap, sides, float(misfit.max()), rms, float(z.min()), float(z.max())
        )


def mark_off_surface_corners(grower: RegionGrower, pool: Ints) -> bool:
    """Mark the corners of a region that lie on no bent edge of it. Returns whether there are any.

    Where solids made of flat-sided rounds were cut, new corners lie on the flat sides and not on the round.
    """
    body, facets = grower.body, grower.edge_classes
    inside = np.zeros(len(grower.owner), dtype=bool)
    inside[pool] = True
    bent = facets.smooth & ~facets.flat & inside[body.face_adjacency[:, 0]] & inside[body.face_adjacency[:, 1]]
    held = np.zeros(len(body.corners), dtype=bool)
    held[body.face_adjacency_edges[bent].ravel()] = True
    free = ~held[body.triangles[pool]]
    if not free.any() or free.all():
        return False
    if grower.off_surface is None:
        grower.off_surface = np.zeros((len(grower.owner), 3), dtype=bool)
    grower.off_surface[pool] = free
    return True
