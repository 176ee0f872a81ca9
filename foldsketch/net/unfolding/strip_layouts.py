"""Layouts in strips: the sides of a feature in a row, with the other faces folded to them."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.arrays import Array
from foldsketch.net.unfolding.face_graph import FaceGraph, clearance_behind_edge
from foldsketch.net.unfolding.flatten import FlatPiece, flatten
from foldsketch.net.unfolding.fold_trees import foldable_edges, spanning_tree, tree_of_links

SAFE_HINGE_STRIP_MM = 4.0
"""A strip of paper this wide, mm, beside the fold of an end does not tear [common practice]."""

MIN_DISC_WALLS = 6
"""A disc of fewer walls is laid out as a belt."""

MAX_PLAIN_DISC_WALLS, THIN_BELT_RATIO = 8, 12.0
"""A disc of at most so many walls is laid out without a belt where that would be so many times as long as high: the
net is nearer to a square, and more of them go on a sheet. More walls would make too many seams."""

EDGE_LENGTH_TOLERANCE_MM = 1e-9
"""Of two edges the longer one is longer by more, mm."""


def single_strip_layout(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> FlatPiece | None:
    """A row of sides with every other face folded to it; None where the sides make no row.

    The row is opened where it faces away from direction (3,), and the ends are folded to the side that faces it.
    barred: half-edges that must not be folds.
    """
    sides = {f for f in faces if graph.faces[f].kind == "side"}
    if len(sides) < 3 or len({graph.faces[f].feature for f in sides}) != 1:
        return None
    sense = -1.0 if _is_bore(graph, sides) else 1.0
    ahead: list[float] = (graph.frame[list(faces), :, 2] @ (sense * direction)).tolist()
    facing = dict(zip(faces, ahead, strict=True))
    links = _links_between_sides(graph, sides, barred)
    ends = sum(len(others) < 2 for others in links.values())
    if any(len(others) > 2 for others in links.values()) or ends not in (0, 2):
        return None
    if not ends:
        pairs = [(f, g) for f in sides for g in links[f] if f < g]
        f, g = min(pairs, key=lambda p: (round(facing[p[0]] + facing[p[1]], 6), p))
        del links[f][g], links[g][f]
    root = max(sides, key=lambda f: (round(facing[f], 6), -f))
    tree = tree_of_links(links, root)
    if len(tree) != len(sides) - 1:
        return None
    for f in faces:
        if f not in sides:
            options = [
                h for h in graph.loops[f][0] if graph.across(h) in sides and graph.is_foldable(h) and h not in barred
            ]
            if not options:
                return None
            tree[f] = _choose_hinge(graph, options, facing)
    return flatten(graph, root, tree, paper_up_direction(graph, root))


def _links_between_sides(graph: FaceGraph, sides: set[int], barred: frozenset[int]) -> dict[int, dict[int, int]]:
    """For every side its neighbours and the half-edge towards each: of two segments of one line the longer one."""
    links: dict[int, dict[int, int]] = {f: {} for f in sides}
    for f in sides:
        for h in graph.loops[f][0]:
            g = graph.across(h)
            if g not in sides or not graph.is_foldable(h) or h in barred:
                continue
            if g not in links[f] or graph.length[h] > graph.length[links[f][g]] + EDGE_LENGTH_TOLERANCE_MM:
                links[f][g] = h
    return links


def _is_bore(graph: FaceGraph, sides: set[int]) -> bool:
    return all(graph.angle[h] <= 0 for f in sides for h in graph.loops[f][0] if graph.across(h) in sides)


def _choose_hinge(graph: FaceGraph, options: Sequence[int], facing: dict[int, float]) -> int:
    """The edge on which a face is hung, of several options.

    One of the longest; of these the one with most paper behind it and behind the edge opposite, up to
    SAFE_HINGE_STRIP_MM; of equals the one on the side that faces most ahead.
    """
    longest = round(max(graph.length[h] for h in options), 6)
    best, most = options[0], -1.0
    for h in sorted(options, key=lambda h: (-round(facing[graph.across(h)], 6), h)):
        if round(graph.length[h], 6) < longest:
            continue
        middle = _edge_midpoint(graph, h)
        opposite = max(graph.loops[graph.face[h]][0], key=lambda x: round(abs(_edge_midpoint(graph, x) - middle), 6))
        strip = round(min(clearance_behind_edge(graph, x, SAFE_HINGE_STRIP_MM) for x in (h, opposite)), 3)
        if strip > most:
            best, most = h, strip
        if strip >= SAFE_HINGE_STRIP_MM:
            break
    return best


def is_plainly_thin(walls: int, belt: float, height: float) -> bool:
    """Whether a disc is laid out without a belt even where that fits the page. belt: its length, mm; height: mm."""
    return walls <= MAX_PLAIN_DISC_WALLS and belt >= THIN_BELT_RATIO * height


def disc_layout(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> FlatPiece | None:
    """A thin disc without a belt: every second wall hangs on the lower end, the others on these.

    The upper end hangs on the wall that faces direction (3,). None where the faces are not two ends and an even ring
    of at least six folded walls. barred: half-edges that must not be folds.
    """
    sides = {f for f in faces if graph.faces[f].kind == "side"}
    ends = [f for f in faces if f not in sides]
    features = {graph.faces[f].feature for f in sides}
    if len(ends) != 2 or len(sides) < MIN_DISC_WALLS or len(sides) % 2 or len(features) > 1:
        return None
    links = _links_between_sides(graph, sides, barred | graph.rolled)
    if any(len(others) != 2 for others in links.values()):
        return None
    ring = [max(sides, key=lambda f: (round(float(graph.faces[f].normal @ direction), 6), -f))]
    while len(ring) < len(sides):
        onward = [f for f in sorted(links[ring[-1]]) if f not in ring]
        if not onward:
            return None
        ring.append(onward[0])
    base, top = sorted(ends, key=lambda f: (round(float(graph.faces[f].normal[2]), 6), f))
    hinges = {
        (f, graph.across(h)): h
        for f in (*ring, top)
        for h in graph.loops[f][0]
        if graph.is_foldable(h) and h not in barred
    }
    wanted = {top: (top, ring[0])}
    for k, f in enumerate(ring):
        # Walls 2, 6, 10 … take both their neighbours; the one that bears the upper end takes none.
        beside = k - 1 if (k - 1) % 4 == 2 or k + 1 == len(ring) else k + 1
        wanted[f] = (f, ring[beside] if k % 2 else base)
    if any(pair not in hinges for pair in wanted.values()):
        return None
    tree = {f: hinges[pair] for f, pair in wanted.items()}
    rim = [graph.flat[h] for h in graph.loops[base][0]]
    up = _edge_midpoint(graph, graph.twin[tree[ring[0]]]) - sum(rim) / len(rim)
    return flatten(graph, base, tree, up)


def _edge_midpoint(graph: FaceGraph, h: int) -> complex:
    return (graph.flat[h] + graph.flat[graph.after[h]]) / 2


def feature_strip_layout(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> FlatPiece:
    """The sides of every feature in a row, rows folded to each other side to side, ends to the sides.

    Easy to fold, though it may overlap. Rows are opened where they face away from direction (3,). barred: half-edges
    that must not be folds.
    """

    def key(h: int) -> tuple[float, ...]:
        one, two = graph.faces[graph.face[h]], graph.faces[graph.across(h)]
        long = -round(graph.length[h], 6)
        if one.kind != "side" or two.kind != "side":
            return (2, long, h)
        if one.feature != two.feature:
            return (1, long, h)
        sense = -1.0 if graph.angle[h] < 0 else 1.0
        return (0, -round(sense * float((one.normal + two.normal) @ direction), 6), long, h)

    ordered = sorted(foldable_edges(graph, faces, barred), key=key)
    sides = [f for f in faces if graph.faces[f].kind == "side"]
    root = max(sides or faces, key=lambda f: (round(float(graph.faces[f].normal @ direction), 6), -f))
    return flatten(graph, root, spanning_tree(graph, ordered, root, faces), paper_up_direction(graph, root))


def paper_up_direction(graph: FaceGraph, face: int) -> complex:
    """The direction in the face's own frame that is up on paper: the model's z, on a level face its y."""
    x, y = graph.frame[face, :, 0], graph.frame[face, :, 1]
    up = complex(x[2], y[2])
    if abs(up) < 1e-6:
        up = complex(x[1], y[1])
    return up / abs(up)
