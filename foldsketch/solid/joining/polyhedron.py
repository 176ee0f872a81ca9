"""A skin from plain polygons: the general way for solids that have no features."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.base.findings import input_error
from foldsketch.solid.faceting.prism import Array, Face
from foldsketch.solid.joining.skin import Skin, enclosed_volume


def skin_of_polygons(corners: Array, polygons: Sequence[Sequence[Sequence[int]]]) -> Skin:
    """The skin of a closed solid.

    corners: (n, 3) mm; polygons: for every face its loops of corner numbers, the first anticlockwise seen from
    outside, holes clockwise. Raises FoldsketchError when an edge does not lie in exactly two faces, once each way.
    """
    seen: set[tuple[int, int]] = set()
    faces = []
    for k, loops in enumerate(polygons):
        normal = np.zeros(3)
        for loop in loops:
            p = corners[list(loop)]
            normal += np.cross(p[1:-1] - p[0], p[2:] - p[0]).sum(axis=0)
            for a, b in zip(loop, [*loop[1:], loop[0]], strict=True):
                if (a, b) in seen:
                    raise input_error(
                        f"face {k}", f"runs along the edge {a} to {b} a second time", "mend the mesh first"
                    )
                seen.add((a, b))
        size = float(np.linalg.norm(normal))
        if size < 1e-12:
            raise input_error(f"face {k}", "has no area", "mend the mesh first")
        faces.append(Face(tuple(tuple(loop) for loop in loops), 0, k, "other", normal / size))
    open_edges = [e for e in seen if (e[1], e[0]) not in seen]
    if open_edges:
        raise input_error("surface", f"{len(open_edges)} edges lie in one face only", "close the holes first")
    made = tuple(faces)
    holes = sum(len(f.loops) - 1 for f in made)
    used = {v for f in made for loop in f.loops for v in loop}
    euler = len(used) - len(seen) // 2 + len(made) - holes
    return Skin(np.asarray(corners, dtype=float), made, euler, enclosed_volume(corners, made))
