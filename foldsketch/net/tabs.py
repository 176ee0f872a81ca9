"""Tabs: every cut edge gets one glue flap that lies wholly behind its target panel and clear of every other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, tan
from typing import Any

import numpy as np

from foldsketch.net.graph import Array, Graph
from foldsketch.net.layout import Complexes, Laid, all_folds, face_rings, positions

WIDTHS = (7.0, 6.0, 5.0, 4.2, 3.5, 3.0, 2.5, 2.0, 1.5)
"""Tab widths that are tried, mm, the most comfortable first [common practice: 5 to 8 mm, less on small panels]."""

BEVEL = 62.0
"""Steepest bevel of a tab's ends against its root, degrees."""

TOOTH_BEVEL, TOOTH_WIDTH = 84.0, 5.0
"""Bevel and width of the teeth on the rim of a rolled wall: they stand close, and one snip parts them."""

SHORTEST = 1.6
"""An edge shorter than this, mm, is set butt: no scissors cut a tab on it."""

_CLEAR = 0.001  # mm along the root, and share of the slanted sides, by which a tab is drawn in to be tested


@dataclass(slots=True, eq=False)
class CutEdge:
    """A cut edge while its tab is being found. carry: half-edge whose face carries the tab; target: the half-edge it
    is glued behind; step: index of the width tried; shape: width and the two slants along the root, mm, or None for a
    butt joint; drawn: the tab as a polygon on paper and behind its panel, as last tested; bare: it wants no tab."""

    carry: int
    target: int
    number: int = 0
    step: int = 0
    flipped: bool = False
    done: bool = False
    shape: tuple[float, float, float] | None = None
    drawn: tuple[Any, Any] = (None, None)
    bare: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The pieces of one block, each on its own paper.

    piece_of: face -> piece; folded: half-edges that are folds; rank: faces in the order in which they are closed;
    at: where the tail of every half-edge lies on its piece, complex mm.
    """

    graph: Graph
    pieces: Sequence[Laid]
    piece_of: dict[int, int]
    folded: frozenset[int]
    rank: dict[int, int]
    at: Complexes


def ground_of(graph: Graph, pieces: Sequence[Laid]) -> Ground:
    """Gather what the search for tabs asks for again and again."""
    piece_of = {f: k for k, laid in enumerate(pieces) for f in laid.place}
    folded = frozenset(x for laid in pieces for h in all_folds(graph, laid) for x in (h, graph.twin[h]))
    return Ground(graph, pieces, piece_of, folded, closing_order(graph, pieces), positions(graph, pieces))


def flaps(edges: Sequence[CutEdge], graph: Graph, at: Complexes) -> Complexes:
    """Corners (n, 4) of the tabs of edges on paper, anticlockwise from the tail of the root; at: as in Ground."""
    carry = np.array([e.carry for e in edges])
    width, a, b = np.array([e.shape for e in edges]).T
    p, q = at[carry], at[np.array(graph.after)[carry]]
    u = (q - p) / np.abs(q - p)
    out = -1j * u * width
    return np.stack((p, p + u * a + out, q - u * b + out, q), axis=1)


def _behind(edges: Sequence[CutEdge], graph: Graph, at: Complexes) -> Complexes:
    """Corners (n, 4) of the tabs as they lie behind their targets; at: tails of half-edges in their faces' frames."""
    target = np.array([e.target for e in edges])
    width, a, b = np.array([e.shape for e in edges]).T
    tail, head = at[target], at[np.array(graph.after)[target]]
    u = (tail - head) / np.abs(tail - head)
    inside = -1j * u * width  # left of the target edge's own direction
    return np.stack((head, head + u * a + inside, tail - u * b + inside, tail), axis=1)


def closing_order(graph: Graph, pieces: Sequence[Laid]) -> dict[int, int]:
    """Rank of every face by when it is closed: inner tubes, then sides, then ends; within these as they hang.

    The last one is the lid: nothing behind it has to be reached, so it carries no tab.
    """
    rank = {}
    depth: dict[int, int] = {}
    for laid in pieces:
        depth[laid.root] = 0
        for f in laid.place:
            if f in laid.tree:
                depth[f] = depth[graph.face[graph.twin[laid.tree[f]]]] + 1
    kinds = {"side": 0, "other": 1, "end": 1}
    order = sorted(
        depth,
        key=lambda f: (
            kinds[graph.faces[f].kind],
            depth[f] if graph.faces[f].kind == "side" else 0,
            round(graph.area[f], 6),
            round(float(graph.faces[f].normal[2]), 6),
            f,
        ),
    )
    for k, f in enumerate(order):
        rank[f] = k
    return rank


def find_tabs(ground: Ground, bare: frozenset[int] = frozenset()) -> list[CutEdge]:
    """A tab, or a butt joint, for every cut edge of a block, in the order in which the edges are met; bare: half-edges,
    one of each edge that is to have none."""
    graph = ground.graph
    edges = []
    for h in range(len(graph.face)):
        g = graph.twin[h]
        if h < g and h not in ground.folded:
            first, second = graph.face[h], graph.face[g]
            # An edge in a hole cannot carry well; otherwise the panel that is closed earlier carries.
            holed = (not graph.outer[h], not graph.outer[g])
            swap = holed[0] > holed[1] or (holed[0] == holed[1] and ground.rank[first] > ground.rank[second])
            edge = CutEdge(g, h) if swap else CutEdge(h, g)
            edge.bare = edge.done = h in bare or g in bare
            edges.append(edge)
    inner, free = _corner_angles(ground)
    room = _room(graph, {e.target for e in edges if not e.bare})
    field = _field(ground)
    for _ in range(3 * len(WIDTHS)):
        pending = [e for e in edges if not e.done]
        if not pending:
            break
        carrying = {e.carry for e in edges if not e.bare}
        for e in pending:
            _shape(ground, e, inner, free, room, carrying)
        _settle(graph, edges, field)
    for e in edges:
        if not e.done:
            e.shape = None
            e.done = True
    return edges


Free = dict[tuple[int, bool], tuple[float, int]]
"""At the tail (False) or head (True) of a cut half-edge: the angle of free paper beside it, radians, and the cut
half-edge on the far side of that paper."""


def _corner_angles(ground: Ground) -> tuple[list[float], Free]:
    """The interior angle of its face at every half-edge's tail, and the free paper at both ends of every cut edge."""
    graph = ground.graph
    flat = np.array(graph.flat)
    turn = np.angle((flat[graph.before] - flat) / (flat[graph.after] - flat))
    inner: list[float] = np.where(turn > 0, turn, turn + 2 * pi).tolist()
    free: Free = {}
    for h in range(len(graph.face)):
        if h in ground.folded:
            continue
        total, g = inner[h], h
        while True:
            g = graph.before[g]
            if g not in ground.folded:
                break
            g = graph.twin[g]
            total += inner[g]
        free[h, False] = (2 * pi - total, g)
        free[g, True] = (2 * pi - total, h)
    return inner, free


def _room(graph: Graph, targets: set[int]) -> list[float]:
    """Depth in mm behind every half-edge that a tab may take: up to the next edge of the face that lies opposite,
    or half of that when a tab is likely to come from there too."""
    room = np.full(len(graph.face), WIDTHS[0])
    flat = np.array(graph.flat)
    after = np.array(graph.after)
    aimed = np.zeros(len(room), dtype=bool)
    aimed[list(targets)] = True
    shares = np.array([0.25, 0.5, 0.75])[:, None]
    alike: dict[int, list[list[int]]] = {}
    for loops in graph.loops:
        ids = [h for loop in loops for h in loop]
        if any(aimed[h] for h in ids):
            alike.setdefault(len(ids), []).append(ids)
    for group in alike.values():
        ids_of = np.array(group)  # (faces, edges)
        a, b = flat[ids_of], flat[after[ids_of]]
        w = b - a
        d = 1j * w / np.abs(w)
        p = a[:, None, :] + w[:, None, :] * shares
        # The ray p + s * d into the face, from three points of every edge, meets the edge a + u * w: two real
        # equations for s and u. With the cross product x of complex numbers s = (a - p) x w / d x w and u = (a - p) x d
        # / d x w; all are (faces, points, edges from, edges to).
        cross = _crossed(d, w)
        solved = np.where(np.abs(cross) > 1e-9, cross, np.nan)[:, None]
        own = a.real * w.imag - a.imag * w.real  # a x w
        beside = p.real * d.imag[:, None] - p.imag * d.real[:, None]  # p x d
        s = (own[:, None, None, :] - _crossed(p, w[:, None])) / solved
        u = (-_crossed(d, a)[:, None] - beside[..., None]) / solved
        s = np.where((s > 1e-6) & (u > -1e-9) & (u < 1 + 1e-9), s, np.inf)
        near = s.argmin(axis=3)
        depth = np.take_along_axis(s, near[..., None], axis=3)[..., 0]
        both = aimed[ids_of][np.arange(len(ids_of))[:, None, None], near]
        room[ids_of] = np.minimum(room[ids_of], (depth * np.where(both, 0.47, 0.9)).min(axis=1))
    result: list[float] = room.tolist()
    return result


def _crossed(one: Complexes, two: Complexes) -> Array:
    """Cross products of each of one with each of two, along their last axes."""
    left = np.stack((one.real, -one.imag), axis=-1)
    right = np.stack((two.imag, two.real), axis=-2)
    crossed: Array = left @ right
    return crossed


def _shape(ground: Ground, e: CutEdge, inner: list[float], free: Free, room: list[float], carrying: set[int]) -> None:
    """Corners of the tab at its present width, on paper; none where the corner angles leave no room."""
    graph = ground.graph
    length = graph.length[e.carry]
    width = WIDTHS[e.step]
    e.shape = None
    if length < SHORTEST:
        return
    tooth = e.carry in graph.teeth
    steep = (TOOTH_BEVEL if tooth else BEVEL) * pi / 180
    if tooth:
        width = min(width, TOOTH_WIDTH)
    # The tail of the carrying edge is the head of the target edge.
    at_tail = min(steep, inner[graph.after[e.target]] / 2 - 0.03, _beside(free[e.carry, False], carrying))
    at_head = min(steep, inner[e.target] / 2 - 0.03, _beside(free[e.carry, True], carrying))
    if min(at_tail, at_head) < 0.12:
        return
    cot = 1 / tan(at_tail) + 1 / tan(at_head)
    top = max(0.3 * length, min(1.0, 0.5 * length))
    width = min(width, (length - top) / cot, room[e.target])
    if width >= 0.9:
        e.shape = (width, width / tan(at_tail), width / tan(at_head))


def _beside(free: tuple[float, int], carrying: set[int]) -> float:
    """The angle that a tab may open to beside its root: half of the free paper where a tab comes from there too."""
    angle, neighbour = free
    return angle / 2 - 0.01 if neighbour in carrying else angle - 0.03


@dataclass(frozen=True, slots=True, eq=False)
class _Field:
    """Where tabs are tested. on_paper, at_back: tails of half-edges, every piece and every face on ground of its own;
    panels: all panels on paper, in a tree; faces: every face, to hold the tabs behind it."""

    on_paper: Complexes
    at_back: Complexes
    panels: Any
    faces: Any


def _field(ground: Ground) -> _Field:
    from shapely import STRtree, prepare

    graph = ground.graph
    face = np.array(graph.face)
    piece = np.array([ground.piece_of[f] for f in range(graph.count)])[face]
    both = np.concatenate((ground.at, np.array(graph.flat)))
    both += _apart(both.real, np.concatenate((piece, piece.max() + 1 + face)), 50.0)
    on_paper, at_back = both[: len(face)], both[len(face) :]
    one, two = face_rings(graph, on_paper), face_rings(graph, at_back)
    shapes = one.joined(two).shapes
    faces = shapes[graph.count :]
    prepare(faces)
    return _Field(on_paper, at_back, STRtree(shapes[: graph.count]), faces)


def _apart(x: Array, group: Any, air: float) -> Array:
    """For every position a level shift, mm, the same within a group, that brings each group on ground of its own."""
    count = int(group.max()) + 1
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, group, x)
    np.maximum.at(high, group, x)
    wide = high - low + air
    shift: Array = (np.cumsum(wide) - wide - low)[group]
    return shift


def _clear(corners: Complexes) -> Any:
    """Tabs (n, 4) as shapes with their roots drawn in by a hair, so that touching a neighbour at a corner is no
    clash."""
    import shapely

    p, a, b, q = corners.T
    u = (q - p) / np.abs(q - p) * _CLEAR
    clear = np.stack((p + (a - p) * _CLEAR + u, a, b, q + (b - q) * _CLEAR - u), axis=1)
    return shapely.polygons(np.stack((clear.real, clear.imag), axis=-1))


def _clashing(graph: Graph, live: list[CutEdge], new: list[int], field: _Field) -> set[int]:
    """Which of the new tabs among the live ones do not lie behind their panel, meet a panel on paper or another tab."""
    import shapely

    n = len(live)
    fresh = [live[i] for i in new]
    made = _clear(np.concatenate((flaps(fresh, graph, field.on_paper), _behind(fresh, graph, field.at_back))))
    on_paper, at_back = made[: len(new)], made[len(new) :]
    for e, paper, back in zip(fresh, on_paper, at_back, strict=True):
        e.drawn = (paper, back)
    shapes = np.fromiter((e.drawn[k] for k in (0, 1) for e in live), dtype=object, count=2 * n)
    inside = shapely.contains_properly(field.faces[[graph.face[live[i].target] for i in new]], at_back)
    bad = {i for i, ok in zip(new, inside.tolist(), strict=True) if not ok}
    hits, _ = field.panels.query(on_paper, predicate="intersects")
    bad |= {new[i] for i in hits.tolist()}
    left, right = shapely.STRtree(shapes).query(made, predicate="intersects")
    for i, j in zip(left.tolist(), right.tolist(), strict=True):
        # What lies on paper meets nothing that lies behind a panel.
        i, j = new[i % len(new)], j % n
        if i == j:
            continue
        # Of two that clash the wider gives way, and never one that is settled.
        a, b = live[i], live[j]
        if b.done or (a.shape or _NONE)[0] > (b.shape or _NONE)[0] - 1e-9:
            bad.add(i)
    return bad


def _settle(graph: Graph, edges: list[CutEdge], field: _Field) -> None:
    """Test the tabs that are not settled; those that clash shrink, then change sides, then give up."""
    live = [e for e in edges if e.shape is not None]
    pending = [e for e in edges if not e.done]
    new = [i for i, e in enumerate(live) if not e.done]
    bad = _clashing(graph, live, new, field) if new else set()
    failing = {id(live[i]) for i in bad}
    for e in pending:
        if e.shape is not None and id(e) not in failing:
            e.done = True
        else:
            _next(e)


_NONE = (0.0, 0.0, 0.0)


def _next(e: CutEdge) -> None:
    """A narrower tab; when there is none, the other side; when that fails too, butt."""
    if e.shape is not None:
        width = e.shape[0]
        while e.step < len(WIDTHS) and WIDTHS[e.step] >= width - 1e-9:
            e.step += 1
    else:
        e.step = len(WIDTHS)
    if e.step < len(WIDTHS):
        return
    if not e.flipped:
        e.flipped = True
        e.step = 0
        e.carry, e.target = e.target, e.carry
        return
    e.shape = None
    e.done = True
