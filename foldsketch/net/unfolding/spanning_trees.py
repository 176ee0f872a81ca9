"""Which edges to fold: the belt for prism-like skins, the steepest-edge tree and a local search for all others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.unfolding.face_graph import FaceGraph, clearance_behind_edge
from foldsketch.net.unfolding.flatten import FlatPiece, FoldTree, flatten
from foldsketch.solid.joining.skin import upright_frame

SAFE_HINGE_STRIP_MM = 4.0
"""A strip of paper this wide, mm, beside the fold on which a face hangs does not tear [common practice]."""

STEEPEST_EDGE_DIRECTION_COUNT = 10
"""Directions in which a steepest-edge tree is tried before the local search."""


def foldable_components(
    graph: FaceGraph, faces: Sequence[int], barred: frozenset[int] = frozenset()
) -> list[list[int]]:
    """Faces that hang together by edges that may be folds; barred half-edges (with their twins) may not."""
    wanted, seen, result = set(faces), set(), []
    for start in faces:
        if start in seen:
            continue
        seen.add(start)
        queue = [start]
        for f in queue:
            for h in graph.loops[f][0]:
                g = graph.face[graph.twin[h]]
                if g in wanted and g not in seen and graph.is_foldable(h) and h not in barred:
                    seen.add(g)
                    queue.append(g)
        result.append(sorted(queue))
    return result


def tube_rims(graph: FaceGraph) -> frozenset[int]:
    """Half-edges around inner tubes, both sides of each: a tube is a closed row of sides of one feature that all turn
    inwards. Hung on the outside it would make a net that no hand likes to fold."""
    pairs_of: dict[int, set[tuple[int, int]]] = {}
    for h, g in enumerate(graph.twin):
        a, b = graph.face[h], graph.face[g]
        one, two = graph.faces[a], graph.faces[b]
        if a < b and one.kind == two.kind == "side" and one.feature == two.feature and graph.angle[h] < 0:
            pairs_of.setdefault(one.feature, set()).add((a, b))
    rims: set[int] = set()
    for feature, pairs in pairs_of.items():
        parent = {f: f for pair in pairs for f in pair}
        closed = []
        for a, b in sorted(pairs):
            while parent[a] != a:
                a = parent[a]
            while parent[b] != b:
                b = parent[b]
            if a == b:
                closed.append(a)
            parent[b] = a

        def top(f: int, parent: dict[int, int] = parent) -> int:
            while parent[f] != f:
                f = parent[f]
            return f

        rings = {top(f) for f in closed}
        tube = {f for f in parent if top(f) in rings}
        for h in (h for f in tube for loop in graph.loops[f] for h in loop):
            beyond = graph.face[graph.twin[h]]
            if beyond not in tube and graph.faces[beyond].feature != feature:
                rims |= {h, graph.twin[h]}
    return frozenset(rims)


def foldable_edges(graph: FaceGraph, faces: Sequence[int], barred: frozenset[int] = frozenset()) -> list[int]:
    """One half-edge of every possible fold between the faces, the one on the lower face."""
    wanted = set(faces)
    return [
        h
        for f in faces
        for h in graph.loops[f][0]
        if graph.is_foldable(h)
        and h not in barred
        and graph.face[graph.twin[h]] in wanted
        and f < graph.face[graph.twin[h]]
    ]


def single_strip_layout(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> FlatPiece | None:
    """A row of sides with every other face hung on it as a leaf; None where the sides make no row.

    The row is opened where it faces away from direction (3,), and the ends hang on the side that faces it.
    """
    sides = {f for f in faces if graph.faces[f].kind == "side"}
    if not sides or len({graph.faces[f].feature for f in sides}) != 1:
        return None
    sense = -1.0 if _is_bore(graph, sides) else 1.0
    ahead: list[float] = (graph.frame[list(faces), :, 2] @ (sense * direction)).tolist()
    facing = dict(zip(faces, ahead, strict=True))
    links: dict[int, dict[int, int]] = {f: {} for f in sides}
    for f in sides:
        for h in graph.loops[f][0]:
            g = graph.face[graph.twin[h]]
            if g not in sides or not graph.is_foldable(h) or h in barred:
                continue
            # Of two segments of one line the longer one names the link.
            if g not in links[f] or graph.length[h] > graph.length[links[f][g]] + 1e-9:
                links[f][g] = h
    if any(len(v) > 2 for v in links.values()) or len(sides) < 3:
        return None
    openings = [f for f in sides if len(links[f]) < 2]
    if len(openings) not in (0, 2):
        return None
    root = max(sides, key=lambda f: (round(facing[f], 6), -f))
    seam: tuple[int, int] | None = None
    if not openings:
        pairs = [(f, g) for f in sides for g in links[f] if f < g]
        seam = min(pairs, key=lambda p: (round(facing[p[0]] + facing[p[1]], 6), p))
    tree: FoldTree = {}
    queue = [root]
    reached = {root}
    for f in queue:
        for g in links[f]:
            if g not in reached and seam not in ((f, g), (g, f)):
                reached.add(g)
                queue.append(g)
                tree[g] = links[g][f]
    if len(reached) != len(sides):
        return None
    for f in faces:
        if f in sides:
            continue
        options = [
            h
            for h in graph.loops[f][0]
            if graph.face[graph.twin[h]] in sides and graph.is_foldable(h) and h not in barred
        ]
        if not options:
            return None
        tree[f] = _choose_hinge(graph, options, facing)
    return flatten(graph, root, tree, paper_up_direction(graph, root))


def _choose_hinge(graph: FaceGraph, options: Sequence[int], facing: dict[int, float]) -> int:
    """The edge on which a face is hung: the longest; of these one with paper behind it, and behind the one opposite,
    which holds where few do; of these the one on the side that faces most ahead."""

    def key(h: int) -> tuple[float, float, int]:
        return round(graph.length[h], 6), round(facing[graph.face[graph.twin[h]]], 6), -h

    best, most = None, -1.0
    for h in sorted(options, key=key, reverse=True):
        if best is not None and round(graph.length[h], 6) < round(graph.length[best], 6):
            break
        middle = _edge_midpoint(graph, h)
        opposite = max(graph.loops[graph.face[h]][0], key=lambda x: round(abs(_edge_midpoint(graph, x) - middle), 6))
        room = round(min(clearance_behind_edge(graph, x, SAFE_HINGE_STRIP_MM) for x in (h, opposite)), 3)
        if room > most:
            best, most = h, room
        if room >= SAFE_HINGE_STRIP_MM:
            break
    assert best is not None
    return best


def _edge_midpoint(graph: FaceGraph, h: int) -> complex:
    return (graph.flat[h] + graph.flat[graph.after[h]]) / 2


def feature_strip_layout(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> FlatPiece:
    """The sides of every feature in a row, rows hung on each other side to side, ends on the sides: what a hand likes
    to fold, though it may overlap. Rows are opened where they face away from direction (3,)."""

    def kind(h: int) -> int:
        f, g = graph.faces[graph.face[h]], graph.faces[graph.face[graph.twin[h]]]
        if f.kind == g.kind == "side":
            return 0 if f.feature == g.feature else 1
        return 2

    def facing(h: int) -> float:
        f, g = graph.faces[graph.face[h]], graph.faces[graph.face[graph.twin[h]]]
        sense = -1.0 if graph.angle[h] < 0 else 1.0
        return round(sense * float((f.normal + g.normal) @ direction), 6)

    def key(h: int) -> tuple[float, ...]:
        k = kind(h)
        return (k, -facing(h), -round(graph.length[h], 6), h) if k == 0 else (k, -round(graph.length[h], 6), h)

    ordered = sorted(foldable_edges(graph, faces, barred), key=key)
    sides = [f for f in faces if graph.faces[f].kind == "side"]
    root = max(sides or faces, key=lambda f: (round(float(graph.faces[f].normal @ direction), 6), -f))
    return flatten(graph, root, _spanning_tree(graph, ordered, root, set(faces)), paper_up_direction(graph, root))


def _is_bore(graph: FaceGraph, sides: set[int]) -> bool:
    return all(graph.angle[h] <= 0 for f in sides for h in graph.loops[f][0] if graph.face[graph.twin[h]] in sides)


def paper_up_direction(graph: FaceGraph, face: int) -> complex:
    """The direction in the face's own frame that is up on paper: the model's z, on a level face its y."""
    x, y = graph.frame[face, :, 0], graph.frame[face, :, 1]
    up = complex(x[2], y[2])
    if abs(up) < 1e-6:
        up = complex(x[1], y[1])
    return up / abs(up)


def steepest_edge_layouts(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> Iterator[FlatPiece]:
    """Layouts from steepest-edge trees in several directions: every corner cuts the edge that climbs most steeply.

    The dual tree keeps the edges that no corner wants cut, longest first.
    """
    corners = graph.skin.corners
    edges = foldable_edges(graph, faces, barred)
    wanted = set(faces)
    by_tail: dict[int, list[int]] = {}
    for f in faces:
        for loop in graph.loops[f]:
            for h in loop:
                by_tail.setdefault(graph.tail[h], []).append(h)
                by_tail.setdefault(graph.tail[graph.after[h]], []).append(graph.twin[h])
    root = max(faces, key=lambda f: (round(graph.area[f], 6), -f))
    along = upright_frame(direction)
    for c in _sample_directions():
        height = corners @ (along @ c)
        cut: set[int] = set()
        for v, outgoing in by_tail.items():
            best = max(
                outgoing,
                key=lambda h: (round(float(height[graph.tail[graph.after[h]]] - height[v]) / graph.length[h], 9), -h),
            )
            cut.add(best)
            cut.add(graph.twin[best])
        ordered = sorted(edges, key=lambda h: (h in cut, -round(graph.length[h], 6), h))
        tree = _spanning_tree(graph, ordered, root, wanted)
        yield flatten(graph, root, tree, paper_up_direction(graph, root))


def _sample_directions() -> Iterator[Array]:
    """Fixed directions, tilted so that no edge of an upright part is level or plumb to them."""
    golden = np.pi * (3 - np.sqrt(5))
    for k in range(STEEPEST_EDGE_DIRECTION_COUNT):
        z = 1 - (2 * k + 1) / STEEPEST_EDGE_DIRECTION_COUNT
        r = np.sqrt(1 - z * z)
        a = golden * k + 0.3
        v = np.array([0.11 + r * np.cos(a), 0.07 + r * np.sin(a), z + 0.13])
        yield v / np.linalg.norm(v)


def _spanning_tree(graph: FaceGraph, ordered: Sequence[int], root: int, faces: set[int]) -> FoldTree:
    parent = {f: f for f in faces}

    def top(f: int) -> int:
        while parent[f] != f:
            parent[f] = parent[parent[f]]
            f = parent[f]
        return f

    links: dict[int, list[tuple[int, int]]] = {f: [] for f in faces}
    for h in ordered:
        f, g = graph.face[h], graph.face[graph.twin[h]]
        if top(f) != top(g):
            parent[top(f)] = top(g)
            links[f].append((g, graph.twin[h]))
            links[g].append((f, h))
    tree: FoldTree = {}
    queue, seen = [root], {root}
    for f in queue:
        for g, h in links[f]:
            if g not in seen:
                seen.add(g)
                tree[g] = h
                queue.append(g)
    return tree
