"""Lay faces flat: a tree of folds places every face of a piece on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.net.graph import Array, Graph

Complexes = NDArray[np.complex128]
"""Positions on paper, x + iy, mm."""

Tree = dict[int, int]
"""child face -> the half-edge of the child that is folded to its parent; the root is absent."""

HAIR = 1e-4
"""mm by which shapes are drawn in before they are asked whether they meet, so that neighbours do not count."""

NOTHING = 1e-3
"""Area in common, mm2, below which two panels do not overlap: what the grid and the last bits may leave of a shared
edge, and far below the width of a pencil line."""


@dataclass(frozen=True, slots=True)
class Laid:
    """Faces of one piece on paper: position = turn * flat + shift, complex mm, for every face of the piece."""

    root: int
    tree: Tree
    place: dict[int, tuple[complex, complex]]


GRID = 1e-6
"""Grid in mm on which areas in common are formed: without one, two panels that meet along an edge within the last
bits of a number can be reported to cover each other."""


SAME = 1e-7
"""mm within which two points on paper are one."""


def lay(graph: Graph, root: int, tree: Tree, up: complex = 1j) -> Laid:
    """Unroll a tree from its root; up is the direction in the root's own frame that points up the paper."""
    children: dict[int, list[int]] = {}
    for child, h in tree.items():
        children.setdefault(graph.face[graph.twin[h]], []).append(child)
    turn = 1j / up
    place = {root: (turn / abs(turn), 0j)}
    queue = [root]
    flat, after, twin = graph.flat, graph.after, graph.twin
    for parent in queue:
        r, t = place[parent]
        for child in children.get(parent, ()):
            h = tree[child]
            g = twin[h]
            a, b = r * flat[after[g]] + t, r * flat[g] + t  # where the child's edge must run
            own = flat[after[h]] - flat[h]
            q = (b - a) / own
            q /= abs(q)
            place[child] = (q, a - q * flat[h])
            queue.append(child)
    return Laid(root, tree, place)


def all_folds(graph: Graph, laid: Laid) -> list[int]:
    """The half-edges of a piece that are folds, each on the child's side for those of the tree.

    Further edges whose two sides lie on each other on paper are folds too: two segments of one line, or a row that
    closes again beyond a notch.
    """
    found = list(laid.tree.values())
    known = {x for h in found for x in (h, graph.twin[h])}
    for f, (r, t) in laid.place.items():
        for loop in graph.loops[f]:
            for h in loop:
                g = graph.twin[h]
                other = graph.face[g]
                if h in known or other not in laid.place:
                    continue
                q, s = laid.place[other]
                here, there = r * graph.flat[h] + t, q * graph.flat[graph.after[g]] + s
                if abs(here - there) < SAME:
                    here, there = r * graph.flat[graph.after[h]] + t, q * graph.flat[g] + s
                    if abs(here - there) < SAME:
                        found.append(h)
                        known |= {h, g}
    return found


def positions(graph: Graph, pieces: Sequence[Laid]) -> Complexes:
    """Where the tail of every half-edge lies on its piece, mm; pieces together hold every face."""
    turn, shift = np.empty(graph.count, dtype=complex), np.empty(graph.count, dtype=complex)
    for laid in pieces:
        faces = list(laid.place)
        turn[faces], shift[faces] = np.array(list(laid.place.values())).T
    face = np.array(graph.face)
    at: Complexes = turn[face] * np.array(graph.flat) + shift[face]
    return at


def face_shapes(graph: Graph, at: Complexes) -> Any:
    """shapely polygons of all faces, in order. at: where the tail of every half-edge lies; half-edges stand loop by
    loop, face by face."""
    import shapely

    sizes = [len(loop) for own in graph.loops for loop in own]
    points = np.column_stack((at.real, at.imag))
    rings = shapely.linearrings(points, indices=np.repeat(np.arange(len(sizes)), sizes))
    counts = np.array([len(own) for own in graph.loops])
    return _with_holes(rings, counts)


def _with_holes(rings: Any, counts: Any) -> Any:
    """Polygons from rings that stand one polygon after the other, outline first; counts: rings of each."""
    import shapely

    first = np.cumsum(counts) - counts
    made = shapely.polygons(rings[first])
    for k in np.nonzero(counts > 1)[0]:
        shape = shapely.polygons(rings[first[k]], holes=rings[first[k] + 1 : first[k] + counts[k]])
        # Material that hangs in a hole by a corner: by even and odd, as the corners' order has it.
        made[k] = shape if shapely.is_valid(shape) else _areas(shape)
    return made


def outline(graph: Graph, laid: Laid, face: int) -> list[Array]:
    """The loops of one laid face: each (n, 2) mm, the outer first."""
    r, t = laid.place[face]
    result = []
    for loop in graph.loops[face]:
        z = np.array([graph.flat[h] for h in loop]) * r + t
        result.append(np.column_stack((z.real, z.imag)))
    return result


def polygons(graph: Graph, laid: Laid, faces: Sequence[int]) -> Any:
    """shapely polygons of laid faces, in order."""
    return shapes_of([outline(graph, laid, f) for f in faces])


def shapes_of(loops: Sequence[Sequence[Array]]) -> Any:
    """shapely polygons, all made at once. loops: for each its outline and holes, (n, 2) mm."""
    import shapely

    flat = [a for own in loops for a in own]
    sizes = [len(a) for a in flat]
    rings = shapely.linearrings(np.concatenate(flat), indices=np.repeat(np.arange(len(flat)), sizes))
    counts = np.array([len(own) for own in loops])
    return _with_holes(rings, counts)


def _areas(shape: Any) -> Any:
    """A shape made valid, its areas alone: lines that it collapses to are left out."""
    import shapely

    valid = shapely.make_valid(shape)
    parts = shapely.get_parts(shapely.get_parts(valid))
    flat = [p for p in parts if shapely.get_dimensions(p) == 2]
    return flat[0] if len(flat) == 1 else shapely.multipolygons(flat)


def shapes_of_rings(points: Array, sizes: Sequence[int]) -> Any:
    """shapely polygons without holes, made at once from corners (n, 2) in order and the number of corners of each."""
    import shapely

    return shapely.polygons(shapely.linearrings(points, indices=np.repeat(np.arange(len(sizes)), sizes)))


def overlaps(shapes: Any) -> list[tuple[int, int, float]]:
    """Pairs of shapes that overlap by more than NOTHING, with the area in mm2."""
    left, right = crossing(drawn_in(shapes))
    if not len(left):
        return []
    area = common_area(shapes[left], shapes[right])
    bad = area > NOTHING
    return sorted((int(a), int(b), float(s)) for a, b, s in zip(left[bad], right[bad], area[bad], strict=True))


def common_area(one: Any, two: Any) -> Array:
    """Area in common of shapes, pair by pair, mm2."""
    import shapely

    try:
        area: Array = shapely.area(shapely.intersection(one, two, grid_size=GRID))
    except shapely.errors.GEOSException:
        # A hole that touches its outline within the last bits makes a shape invalid.
        valid = [np.array([_areas(s) for s in shapes], dtype=object) for shapes in (one, two)]
        area = shapely.area(shapely.intersection(*valid, grid_size=GRID))
    return area


def drawn_in(shapes: Any) -> Any:
    """Shapes made smaller by a hair all round, so that neighbours no longer touch. Their rings run with the shape on
    the left: outlines anticlockwise, holes clockwise."""
    import shapely

    rings, owner = shapely.get_rings(shapes, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.nonzero(np.append(ring[1:] != ring[:-1], True))[0]
    keep = np.ones(len(ring), dtype=bool)
    keep[last] = False  # a ring repeats its first corner
    points, ring = points[keep], ring[keep]
    size = np.bincount(ring)
    end = np.cumsum(size)
    before = np.arange(len(points)) - 1
    before[end - size] = end - 1
    d = points - points[before]  # along the edge that arrives at every corner
    length = np.hypot(d[:, 0], d[:, 1])
    if length.min() < 100 * HAIR or (shapely.get_type_id(shapes) != shapely.GeometryType.POLYGON).any():
        return shapely.buffer(shapes, -HAIR, join_style="mitre", quad_segs=1)
    d /= length[:, None]
    after = np.arange(len(points)) + 1
    after[end - 1] = end - size
    e = d[after]
    # Both edges move to their left by a hair; the corner goes where they meet then, never far at a spike.
    square = np.maximum(1 + (d * e).sum(axis=1), 0.05)[:, None]
    moved = points + HAIR * np.column_stack((-d[:, 1] - e[:, 1], d[:, 0] + e[:, 0])) / square
    made = shapely.linearrings(moved, indices=ring)
    return _with_holes(made, np.bincount(owner, minlength=len(shapes)))


def crossing(shapes: Any) -> tuple[Any, Any]:
    """Positions of shapes, drawn in, that meet: pairs in rising order."""
    import shapely

    left, right = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    keep = left < right
    return left[keep], right[keep]
