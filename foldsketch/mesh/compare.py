"""Compare: the part rebuilt from its file held against the mesh — volume, area and two-sided distance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.findings import Finding
from foldsketch.base.units import plain
from foldsketch.mesh.measure import signed_volume, spans
from foldsketch.mesh.reading import Reading

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Comparison:
    """volume, area: of the rebuilt part over that of the mesh. farthest, mean: distance in mm from points of the mesh
    to the rebuilt part (out) and back (back)."""

    volume: float
    area: float
    farthest_out: float
    mean_out: float
    farthest_back: float
    mean_back: float

    @property
    def farthest(self) -> float:
        """The larger of the two one-sided distances, mm."""
        return max(self.farthest_out, self.farthest_back)

    def finding(self, where: str) -> Finding:
        """The comparison in a line."""
        return Finding(
            "note",
            where,
            f"the part as rebuilt has {100 * self.volume:.2f} % of the mesh's volume and {100 * self.area:.2f} % of "
            f"its area; it strays at most {plain(self.farthest, 3)} mm from it "
            f"({plain((self.mean_out + self.mean_back) / 2, 3)} mm on average)",
        )


def compare(reading: Reading, vertices: Array, triangles: Ints, samples: int = 4000) -> Comparison:
    """Hold a rebuilt solid against the mesh of a reading.

    vertices: (n, 3) mm, triangles: (m, 3), closed and outward, both in the mesh's own frame (see `to_mesh`).
    Points are spread over both surfaces by area, the same ones every time.
    """
    body = reading.surfaces.body
    own = body.corners
    other = np.asarray(vertices, dtype=np.float64) - body.shift
    other_triangles = np.asarray(triangles, dtype=np.int64)
    out = distances(spread(own, body.triangles, samples), other, other_triangles)
    back = distances(spread(other, other_triangles, samples), own, body.triangles)
    area = float(np.linalg.norm(spans(other, other_triangles)[1], axis=1).sum() / 2)
    return Comparison(
        signed_volume(other, other_triangles) / reading.volume,
        area / reading.area,
        float(out.max()),
        float(out.mean()),
        float(back.max()),
        float(back.mean()),
    )


def to_mesh(reading: Reading, points: Array) -> Array:
    """Points (n, 3) of the rebuilt part's frame, in the frame of the mesh."""
    from foldsketch.mesh.place import place_of

    place = place_of(reading)
    out: Array = np.asarray(points, dtype=np.float64) @ place.turn + place.origin
    return out


def spread(corners: Array, triangles: Ints, count: int) -> Array:
    """Points (count, 3) evenly spread over triangles by area: a low-discrepancy walk, no chance in it."""
    a, cross = spans(corners, triangles)
    size = np.sqrt(np.einsum("ij,ij->i", cross, cross))
    total = np.cumsum(size)
    k = np.arange(count)
    golden = (np.sqrt(5) - 1) / 2
    at = np.searchsorted(total, (k + 0.5) / count * total[-1]).clip(0, len(triangles) - 1)
    u, v = np.mod((k + 1) * golden, 1.0), np.mod((k + 1) * golden * golden * 1.7320508, 1.0)
    fold = u + v > 1
    u, v = np.where(fold, 1 - u, u), np.where(fold, 1 - v, v)
    b, c = corners[triangles[at, 1]], corners[triangles[at, 2]]
    out: Array = a[at] + u[:, None] * (b - a[at]) + v[:, None] * (c - a[at])
    return out


def distances(points: Array, corners: Array, triangles: Ints) -> Array:
    """Distance (n,) from points (n, 3) to the nearest of triangles, exact for the nearest ones tried.

    Candidates are the triangles whose bounding balls may reach: middles in a tree, asked with the largest radius of a
    size class, so that large triangles are never missed.
    """
    from scipy.spatial import cKDTree

    p, q, r = (corners[triangles[:, k]] for k in range(3))
    middle = (p + q + r) / 3
    radius = np.sqrt(np.maximum.reduce([((x - middle) ** 2).sum(axis=1) for x in (p, q, r)]))
    best = np.full(len(points), np.inf)
    bound = np.sqrt(((points[:, None, :] - corners[None, :: max(1, len(corners) // 64)]) ** 2).sum(axis=2)).min(axis=1)
    order = np.argsort(radius)
    edges = np.unique(np.searchsorted(radius[order], np.geomspace(max(radius.min(), 1e-9), radius.max() * 1.01, 8)))
    for low, high in zip([0, *edges.tolist()], [*edges.tolist(), len(order)], strict=True):
        mine = order[low:high]
        if len(mine) == 0:
            continue
        tree = cKDTree(middle[mine])
        few = min(12, len(mine))
        near = tree.query(points, k=few)[1].reshape(len(points), few)
        for j in range(few):
            t = mine[near[:, j]]
            best = np.minimum(best, _to_triangle(points, p[t], q[t], r[t]))
        reach = np.minimum(best, bound) + float(radius[mine].max())
        lists = tree.query_ball_point(points, reach)
        rows = np.repeat(np.arange(len(points)), [len(x) for x in lists])
        if len(rows):
            t = mine[np.concatenate([np.asarray(x, dtype=np.int64) for x in lists if len(x)])]
            for a in range(0, len(rows), 400_000):
                part = slice(a, a + 400_000)
                d = _to_triangle(points[rows[part]], p[t[part]], q[t[part]], r[t[part]])
                np.minimum.at(best, rows[part], d)
    return best


def _to_triangle(x: Array, a: Array, b: Array, c: Array) -> Array:
    """Distances (n,) from points to triangles, row by row: inside the face, else the nearest edge."""
    ab, ac, ax = b - a, c - a, x - a
    n = np.cross(ab, ac)
    nn = np.maximum(np.einsum("ij,ij->i", n, n), 1e-300)
    height = np.einsum("ij,ij->i", ax, n)
    v = np.einsum("ij,ij->i", np.cross(ax, ac), n) / nn
    w = np.einsum("ij,ij->i", np.cross(ab, ax), n) / nn
    inside = (v >= 0) & (w >= 0) & (v + w <= 1)
    out = np.where(inside, np.abs(height) / np.sqrt(nn), np.inf)
    for s, e in ((a, b), (b, c), (c, a)):
        d = e - s
        t = np.clip(np.einsum("ij,ij->i", x - s, d) / np.maximum(np.einsum("ij,ij->i", d, d), 1e-300), 0, 1)
        out = np.minimum(out, np.linalg.norm(x - s - t[:, None] * d, axis=1))
    return out
