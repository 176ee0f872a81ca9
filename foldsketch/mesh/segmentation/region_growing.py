"""Region: the triangles that are still free, and how a surface that was guessed is settled on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import corners_used, reindex_corners
from foldsketch.mesh.geometry.surface_fit import AnalyticSurface, refine_surface, reverse_direction
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
    wrap: float = 0.0
    sides: float = 0.0
    misfit_max: float = 0.0
    misfit_rms: float = 0.0
    low: float = 0.0
    high: float = 0.0


MAX_TRIAL_FIT_CORNERS = 1500
"""Corners that are used to find a surface; the final fit uses all of them."""


class RegionGrower:
    """One body under recognition: which triangle belongs to which surface (-1: none yet)."""

    def __init__(self, facets: EdgeClasses, noisy: bool = False) -> None:
        self.facets = facets
        self.noisy = noisy
        self.body = facets.body
        self.owner: Ints = np.full(len(self.body.triangles), -1, dtype=np.int64)
        self.found: list[FittedSurface] = []
        self.loose: Bools | None = None
        self.refused: list[tuple[str, AnalyticSurface, Ints]] = []
        self._first: Ints | None = None
        self._second: Ints | None = None

    @property
    def reach(self) -> float:
        """mm that a corner may lie off its surface."""
        return self.facets.reach

    def claim(self, found: FittedSurface) -> None:
        """Give triangles to a surface."""
        self.owner[found.triangles] = len(self.found)
        self.found.append(found)

    def free(self, triangles: Ints) -> Ints:
        """Those of triangles that no surface has."""
        return triangles[self.owner[triangles] < 0]

    def neighbours(self, triangles: Ints) -> Ints:
        """Links (k, 2) between triangles, as positions in the array given."""
        place = np.full(len(self.owner), -1, dtype=np.int64)
        place[triangles] = np.arange(len(triangles))
        if len(triangles) * 8 < len(self.owner):
            start, partner = self._table()
            count = start[triangles + 1] - start[triangles]
            first = np.repeat(start[triangles] - np.r_[0, np.cumsum(count)[:-1]], count) + np.arange(count.sum())
            one = np.repeat(np.arange(len(triangles)), count)
            other = place[partner[first]]
        else:
            one, other = place[self.body.pairs[:, 0]], place[self.body.pairs[:, 1]]
        both = (one >= 0) & (other >= 0)
        return np.column_stack((one[both], other[both]))

    def _table(self) -> tuple[Ints, Ints]:
        """Start of every triangle's run and its partners, over all pairs."""
        if self._first is None or self._second is None:
            m = len(self.owner)
            one = np.r_[self.body.pairs[:, 0], self.body.pairs[:, 1]]
            other = np.r_[self.body.pairs[:, 1], self.body.pairs[:, 0]]
            self._second = other[np.argsort(one, kind="stable")]
            self._first = np.r_[0, np.cumsum(np.bincount(one, minlength=m))]
        return self._first, self._second

    def partners(self, triangles: Ints) -> Ints:
        """All triangles that share an edge with any of those given."""
        start, partner = self._table()
        count = start[triangles + 1] - start[triangles]
        at = np.repeat(start[triangles] - np.r_[0, np.cumsum(count)[:-1]], count) + np.arange(count.sum())
        return np.unique(partner[at])

    def points_of(self, triangles: Ints) -> Array:
        """Corners (n, 3) of triangles, each once, without loose ones."""
        return on_surface_corners(self.body, self.loose, triangles)

    def on(self, shape: AnalyticSurface, triangles: Ints, reach: float) -> Ints:
        """Those of triangles whose corners all lie within reach of a surface and that face as it does."""
        t = self.body.triangles[triangles]
        used, local = reindex_corners(len(self.body.corners), t)
        off = shape.distance(np.take(self.body.corners, used, axis=0))
        near = np.take(np.abs(off) <= reach, local)
        if self.loose is not None:
            inside = (np.abs(off) < 0.04 * (shape.tube or shape.radius))[local]
            near |= self.loose[triangles] & inside
        triangles = triangles[near[:, 0] & near[:, 1] & near[:, 2]]
        if len(triangles) == 0:
            return triangles
        middle = triangle_centroids(self.body, triangles)
        facing = np.abs(np.einsum("ij,ij->i", shape.normal(middle), self.body.normals[triangles]))
        out: Ints = triangles[(facing > 0.6) | (self.body.areas[triangles] == 0)]
        return out

    def settle(
        self, shape: AnalyticSurface, seeds: Ints, pool: Ints, reach: float | None = None
    ) -> tuple[AnalyticSurface, Ints] | None:
        """Refine a surface on its triangles and let it grow over the pool, in turns, until nothing changes.

        The result keeps every piece of the pool that lies on the surface and hangs together with a seed.
        """
        reach = self.reach if reach is None else reach
        mine, grown = seeds, seeds
        is_seed = np.zeros(len(self.owner), dtype=bool)
        is_seed[seeds] = True
        for turn in range(8):
            points = self.points_of(mine)
            if len(points) < 5:
                return None
            shape = refine_surface(shape, points[:: 1 + len(points) // MAX_TRIAL_FIT_CORNERS])
            if turn > 0 and np.median(np.abs(shape.distance(points))) > 0.7 * reach:
                return None
            slack = reach * (4.0, 2.0, 1.0)[min(turn, 2)]
            grown = self.on(shape, pool, slack)
            if len(grown) < 2:
                return None
            link = self.neighbours(grown)
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

    def absorb(self, number: int) -> int:
        """Let a surface take the free triangles along its border that lie on it. Returns how many it took."""
        found = self.found[number]
        taken = [found.triangles]
        edge = found.triangles
        for _ in range(64):
            ring = self.free(self.partners(edge))
            edge = self.on(found.shape, ring, self.reach) if len(ring) else ring
            if found.shape.kind == "cylinder" and len(ring):
                sides = np.setdiff1d(self._along_chords(found, ring), edge)
                if len(sides):
                    if self.loose is None:
                        self.loose = np.zeros((len(self.owner), 3), dtype=bool)
                    self.loose[sides] = True  # their corners say nothing of the round
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
            self.found[number] = replace(found, triangles=mine, wrap=wrap)
        return sum(map(len, taken[1:]))

    def _along_chords(self, found: FittedSurface, ring: Ints) -> Ints:
        """Those of triangles that lie in flat sides of a cylinder: their corners no deeper than its chords."""
        shape = found.shape
        deep = shape.radius * (1 - np.cos(np.pi / max(found.sides, 3.0))) * 1.02 + self.reach
        corners = self.body.corners[self.body.triangles[ring]]
        off = shape.distance(corners.reshape(-1, 3)).reshape(-1, 3)
        level = np.abs(self.body.normals[ring] @ shape.direction) < 1e-3
        facing = np.abs(
            np.einsum("ij,ij->i", shape.normal(triangle_centroids(self.body, ring)), self.body.normals[ring])
        )
        good = level & (off <= self.reach).all(axis=1) & (off >= -deep).all(axis=1)
        out: Ints = ring[good & (facing > np.cos(1.2 * np.pi / max(found.sides, 3.0)))]
        return out

    def judge(self, shape: AnalyticSurface, triangles: Ints, least_steps: float = 2.5) -> FittedSurface | str:
        """The surface as found, or the reason why it is none."""
        body = self.body
        if shape.radius > (1.5 if shape.kind == "torus" else 5.0) * body.size:
            return "huge"
        t = body.triangles[triangles]
        points = self.points_of(triangles)
        if len(points) < 4:
            return "few"
        misfit = np.abs(shape.distance(points))
        rms = float(np.sqrt((misfit**2).mean()))
        if rms > 0.45 * self.reach:
            return "misfit"
        middle = triangle_centroids(body, triangles)
        sign = np.einsum("ij,ij->i", shape.normal(middle), body.normals[triangles])
        weight = body.areas[triangles]
        outward = float((sign * weight).sum()) > 0
        mixed = float(weight[(sign > 0) != outward].sum())
        if mixed > 0.02 * float(weight.sum()):
            return "mixed"
        if shape.kind == "plane":
            return FittedSurface(
                shape if outward else reverse_direction(shape), triangles, False, 0.0, 0.0, float(misfit.max()), rms
            )
        if shape.kind in ("sphere", "torus") and not is_doubly_curved(shape, middle, body.normals[triangles], weight):
            return "straight"
        spans, wrap, sides = angular_coverage(shape, body.corners, t, weight)
        if shape.kind in ("cylinder", "cone"):
            wide = find_flat_triangles(spans, weight)
            if wide.any() and weight[~wide].sum() > 0:
                rest = triangles[~wide]
                if len(rest) < len(triangles) and len(rest) >= 2:
                    return self.judge(shape, rest, least_steps)
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


def mark_off_surface_corners(field: RegionGrower, pool: Ints) -> bool:
    """Mark the corners of a region that lie on no bent edge of it. Returns whether there are any.

    Where solids made of flat-sided rounds were cut, new corners lie on the flat sides and not on the round.
    """
    body, facets = field.body, field.facets
    inside = np.zeros(len(field.owner), dtype=bool)
    inside[pool] = True
    bent = facets.smooth & ~facets.flat & inside[body.pairs[:, 0]] & inside[body.pairs[:, 1]]
    held = np.zeros(len(body.corners), dtype=bool)
    held[body.edges[bent].ravel()] = True
    free = ~held[body.triangles[pool]]
    if not free.any() or free.all():
        return False
    if field.loose is None:
        field.loose = np.zeros((len(field.owner), 3), dtype=bool)
    field.loose[pool] = free
    return True
