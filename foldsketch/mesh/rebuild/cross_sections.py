"""Cross sections: a body cut across its main direction; each stretch of a section knows the feature that it is on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.repair.clean import Body

MAX_GAP_RATIO = 0.02
"""Gap in a section, over the size of the body, that is closed by a straight line; what is wider open is dropped."""


@dataclass(frozen=True, slots=True, eq=False)
class SectionRun:
    """A stretch of a section on one feature. owner: number of the feature, -1 for none; points: (n, 2) mm."""

    owner: int
    points: Array

    @property
    def length(self) -> float:
        """Length along it, mm."""
        return float(np.hypot(*np.diff(self.points, axis=0).T).sum())


@dataclass(frozen=True, slots=True, eq=False)
class SectionLoop:
    """A closed border of a section: points (n, 2) mm, material on the left.

    Its runs in order; its area, mm2, negative where it encloses emptiness.
    """

    points: Array
    runs: tuple[SectionRun, ...]
    area: float

    @property
    def hole(self) -> bool:
        """True when it encloses emptiness."""
        return self.area < 0


class Slicer:
    """Cuts a body at heights along a frame's z. owner: (m,) number of every triangle's feature.

    rotation: (3, 3), rows x, y, z of the frame; origin: (3,).
    """

    def __init__(self, body: Body, owner: Ints, rotation: Array, origin: Array) -> None:
        self.points = (body.corners - origin) @ rotation.T
        self.triangles = body.triangles
        self.owner = owner
        self.z = self.points[:, 2]
        corner_z = self.z[body.triangles]
        self.low, self.high = corner_z.min(axis=1), corner_z.max(axis=1)
        self.scale = float(np.ptp(self.points, axis=0).max())

    def loops(self, height: float) -> list[SectionLoop]:
        """The borders of the section at a height; those that do not close are dropped."""
        rows = np.flatnonzero((self.low <= height) & (self.high > height))
        t = self.triangles[rows]
        above = self.z[t] > height
        lone = np.where(above.sum(axis=1) == 1, np.argmax(above, axis=1), np.argmin(above, axis=1))
        i = np.arange(len(t))
        a, b, c = (t[i, (lone + k) % 3] for k in range(3))
        first, second = self._edge_points(a, b, height), self._edge_points(a, c, height)
        key_first, key_second = self._edge_keys(a, b), self._edge_keys(a, c)
        # material on the left: from the edge after the lone corner to the one before it where that is above
        turn = ~above[i, lone]
        start, stop = np.where(turn, key_second, key_first), np.where(turn, key_first, key_second)
        head = np.where(turn[:, None], second, first)
        return self._chain_into_loops(start.tolist(), stop.tolist(), head, self.owner[rows])

    def _edge_points(self, a: Ints, b: Ints, height: float) -> Array:
        low, high = np.minimum(a, b), np.maximum(a, b)  # the same numbers from both sides of an edge
        za, zb = self.z[low], self.z[high]
        share = (height - za) / (zb - za)
        out: Array = self.points[low, :2] + share[:, None] * (self.points[high, :2] - self.points[low, :2])
        return out

    def _edge_keys(self, a: Ints, b: Ints) -> Ints:
        return np.minimum(a, b) * len(self.points) + np.maximum(a, b)

    def _chain_into_loops(self, starts: list[int], stops: list[int], head: Array, owner: Ints) -> list[SectionLoop]:
        """Loops of segments.

        starts, stops: keys of the edges that each segment runs from and to; head: (n, 2) where it begins.
        """
        after: dict[int, list[int]] = {}
        for i in reversed(range(len(starts))):
            after.setdefault(starts[i], []).append(i)
        loops = []
        for first in range(len(starts)):
            if first not in after[starts[first]]:
                continue
            chain = [first]
            after[starts[first]].remove(first)
            while stops[chain[-1]] != starts[first] and after.get(stops[chain[-1]]):
                chain.append(after[stops[chain[-1]]].pop())
            closes = stops[chain[-1]] == starts[first]
            gap = 0.0 if closes else float(np.linalg.norm(head[chain[-1]] - head[first]))
            if len(chain) >= 3 and gap < MAX_GAP_RATIO * self.scale:
                loops.append(_make_loop(head[chain], owner[chain]))
        return [loop for loop in loops if abs(loop.area) > 1e-9 * self.scale**2]


def _make_loop(points: Array, owner: Ints) -> SectionLoop:
    """Runs of one owner each, starting where the owner changes."""
    change = np.flatnonzero(owner != np.roll(owner, 1))
    if len(change):
        points, owner = np.roll(points, -change[0], axis=0), np.roll(owner, -change[0])
        change = change - change[0]
    starts = change.tolist() or [0]
    closed = np.vstack((points, points[:1]))
    runs = tuple(
        SectionRun(int(owner[a]), closed[a : b + 1]) for a, b in zip(starts, [*starts[1:], len(points)], strict=True)
    )
    x, y = points.T
    area = float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2
    return SectionLoop(points, runs, area)
