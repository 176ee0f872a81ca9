"""Tabs: every cut edge gets one glue flap that lies wholly behind its target panel and clear of every other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, tan
from typing import Any

import numpy as np

from foldsketch.net.graph import Graph
from foldsketch.net.layout import Laid, all_folds, polygons, shapes_of

WIDTHS = (7.0, 6.0, 5.0, 4.2, 3.5, 3.0, 2.5, 2.0, 1.5)
"""Tab widths that are tried, mm, the most comfortable first [common practice: 5 to 8 mm, less on small panels]."""

BEVEL = 62.0
"""Steepest bevel of a tab's ends against its root, degrees."""

SHORTEST = 1.6
"""An edge shorter than this, mm, is set butt: no scissors cut a tab on it."""

_CLEAR = 0.002  # mm along the root, and share of the slanted sides, by which a tab is drawn in to be tested


@dataclass(slots=True, eq=False)
class CutEdge:
    """A cut edge while its tab is being found. carry: half-edge whose face carries the tab; width index; done: the
    tab's corners on paper, as complex mm, or None for a butt joint."""

    carry: int
    target: int
    number: int = 0
    step: int = 0
    flipped: bool = False
    done: bool = False
    tab: list[complex] | None = None
    shape: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The pieces of one block on a common ground, far enough apart not to touch.

    piece_of: face -> piece; folded: half-edges that are folds; rank: faces in the order in which they are closed.
    """

    graph: Graph
    pieces: Sequence[Laid]
    piece_of: dict[int, int]
    folded: frozenset[int]
    rank: dict[int, int]

    def position(self, h: int) -> complex:
        """Where the tail of half-edge h lies on its own piece, mm."""
        f = self.graph.face[h]
        r, t = self.pieces[self.piece_of[f]].place[f]
        return r * self.graph.flat[h] + t


def ground_of(graph: Graph, pieces: Sequence[Laid]) -> Ground:
    """Gather what the search for tabs asks for again and again."""
    piece_of = {f: k for k, laid in enumerate(pieces) for f in laid.place}
    folded = frozenset(x for laid in pieces for h in all_folds(graph, laid) for x in (h, graph.twin[h]))
    return Ground(graph, pieces, piece_of, folded, closing_order(graph, pieces))


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


def find_tabs(ground: Ground) -> list[CutEdge]:
    """A tab, or a butt joint, for every cut edge of a block, in the order in which the edges are met."""
    graph = ground.graph
    edges = []
    for h in range(len(graph.face)):
        g = graph.twin[h]
        if h < g and h not in ground.folded:
            first, second = graph.face[h], graph.face[g]
            # An edge in a hole cannot carry well; otherwise the panel that is closed earlier carries.
            holed = (not graph.outer[h], not graph.outer[g])
            swap = holed[0] > holed[1] or (holed[0] == holed[1] and ground.rank[first] > ground.rank[second])
            edges.append(CutEdge(g, h) if swap else CutEdge(h, g))
    inner, free = _corner_angles(ground)
    room = _room(graph, {e.target for e in edges})
    panels, offsets = _field(ground)
    targets = _targets(graph)
    for _ in range(3 * len(WIDTHS)):
        pending = [e for e in edges if not e.done]
        if not pending:
            break
        carrying = {e.carry for e in edges}
        for e in pending:
            _shape(ground, e, inner, free, room, carrying)
        _settle(ground, edges, panels, offsets, targets)
    for e in edges:
        if not e.done:
            e.tab = None
            e.done = True
    return edges


Free = dict[tuple[int, bool], tuple[float, int]]
"""At the tail (False) or head (True) of a cut half-edge: the angle of free paper beside it, radians, and the cut
half-edge on the far side of that paper."""


def _corner_angles(ground: Ground) -> tuple[list[float], Free]:
    """The interior angle of its face at every half-edge's tail, and the free paper at both ends of every cut edge."""
    graph = ground.graph
    inner = []
    for h in range(len(graph.face)):
        out = graph.flat[graph.after[h]] - graph.flat[h]
        back = graph.flat[graph.before[h]] - graph.flat[h]
        a = float(np.angle(back / out))
        inner.append(a if a > 0 else a + 2 * pi)
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
    alike: dict[int, list[list[int]]] = {}
    for loops in graph.loops:
        ids = [h for loop in loops for h in loop]
        if any(aimed[h] for h in ids):
            alike.setdefault(len(ids), []).append(ids)
    for group in alike.values():
        ids_of = np.array(group)  # (faces, edges)
        a, b = flat[ids_of], flat[after[ids_of]]
        w = (b - a)[:, None, :]
        d = (1j * (b - a) / np.abs(b - a))[:, :, None]
        cross = d.real * w.imag - d.imag * w.real
        for share in (0.25, 0.5, 0.75):
            # The ray p + s * d into the face meets the edge a + u * w: two real equations for s and u.
            q = a[:, None, :] - (a + (b - a) * share)[:, :, None]
            with np.errstate(divide="ignore", invalid="ignore"):
                s = (q.real * w.imag - q.imag * w.real) / cross
                u = (q.real * d.imag - q.imag * d.real) / cross
            s = np.where((np.abs(cross) > 1e-9) & (s > 1e-6) & (u > -1e-9) & (u < 1 + 1e-9), s, np.inf)
            near = s.argmin(axis=2)
            depth = np.take_along_axis(s, near[:, :, None], axis=2)[:, :, 0]
            both = np.take_along_axis(aimed[ids_of], near, axis=1)
            room[ids_of] = np.minimum(room[ids_of], depth * np.where(both, 0.47, 0.9))
    result: list[float] = room.tolist()
    return result


def _shape(ground: Ground, e: CutEdge, inner: list[float], free: Free, room: list[float], carrying: set[int]) -> None:
    """Corners of the tab at its present width, on paper; none where the corner angles leave no room."""
    graph = ground.graph
    length = graph.length[e.carry]
    width = WIDTHS[e.step]
    e.tab = None
    if length < SHORTEST:
        return
    steep = BEVEL * pi / 180
    # The tail of the carrying edge is the head of the target edge.
    at_tail = min(steep, inner[graph.after[e.target]] / 2 - 0.03, _beside(free[e.carry, False], carrying))
    at_head = min(steep, inner[e.target] / 2 - 0.03, _beside(free[e.carry, True], carrying))
    if min(at_tail, at_head) < 0.12:
        return
    cot = 1 / tan(at_tail) + 1 / tan(at_head)
    top = max(0.3 * length, min(1.0, 0.5 * length))
    width = min(width, (length - top) / cot, room[e.target])
    if width < 0.9:
        return
    a, b = width / tan(at_tail), width / tan(at_head)
    e.shape = (width, a, b)
    p = ground.position(e.carry)
    q = ground.position(graph.after[e.carry])
    u = (q - p) / length
    right = -1j * u
    e.tab = [p, p + u * a + right * width, q - u * b + right * width, q]


def _beside(free: tuple[float, int], carrying: set[int]) -> float:
    """The angle that a tab may open to beside its root: half of the free paper where a tab comes from there too."""
    angle, neighbour = free
    return angle / 2 - 0.01 if neighbour in carrying else angle - 0.03


def _field(ground: Ground) -> tuple[Any, list[complex]]:
    """All panels with every piece on its own ground, and the shift of each piece."""
    shifts, shapes = [], []
    from shapely import transform

    x = 0.0
    for laid in ground.pieces:
        own = polygons(ground.graph, laid, list(laid.place))
        z = [r * ground.graph.flat[h] + t for f, (r, t) in laid.place.items() for h in ground.graph.loops[f][0]]
        low = min(v.real for v in z)
        shift = complex(x - low + 50.0, 0.0)
        x = max(v.real for v in z) + shift.real + 50.0
        shifts.append(shift)
        shapes.append(transform(own, lambda c, s=shift: c + np.array([s.real, s.imag])))
    return np.concatenate(shapes), shifts


def _targets(graph: Graph) -> tuple[Any, list[complex]]:
    """Every face in its own frame, each on its own ground, to test the tabs that are glued behind it."""
    from shapely import prepare

    loops_of, shifts, x = [], [], 0.0
    for f in range(graph.count):
        loops = [np.array([graph.flat[h] for h in loop]) for loop in graph.loops[f]]
        shift = complex(x - float(loops[0].real.min()) + 5.0, 0.0)
        x = float(loops[0].real.max()) + shift.real + 5.0
        loops_of.append([np.column_stack((v.real + shift.real, v.imag)) for v in loops])
        shifts.append(shift)
    made = shapes_of(loops_of)
    prepare(made)
    return made, shifts


def _clear(corners: list[complex]) -> list[tuple[float, float]]:
    """The tab with its root drawn in by a hair, so that touching a neighbour at a corner is no clash."""
    p, a, b, q = corners
    u = (q - p) / abs(q - p) * _CLEAR
    root = [p + (a - p) * _CLEAR + u, q + (b - q) * _CLEAR - u]
    return [(c.real, c.imag) for c in (root[0], a, b, root[1])]


def _behind(ground: Ground, e: CutEdge, shift: complex) -> list[complex]:
    """The tab as it lies behind its target, in the target's own frame."""
    graph = ground.graph
    tail, head = graph.flat[e.target], graph.flat[graph.after[e.target]]
    u = (tail - head) / abs(tail - head)
    inside = -1j * u  # left of the target edge's own direction
    width, a, b = e.shape
    length = abs(tail - head)
    return [
        head + shift,
        head + u * a + inside * width + shift,
        head + u * (length - b) + inside * width + shift,
        tail + shift,
    ]


def _settle(
    ground: Ground,
    edges: list[CutEdge],
    panels: Any,
    offsets: list[complex],
    targets: tuple[Any, list[complex]],
) -> None:
    """Test all tabs as they stand; those that clash shrink, then change sides, then give up."""
    import shapely

    graph = ground.graph
    live = [e for e in edges if e.tab is not None]
    bad: set[int] = set()
    pending = [e for e in edges if not e.done]
    if live:
        paper, behind = [], []
        for e in live:
            tab = e.tab or []
            shift = offsets[ground.piece_of[graph.face[e.carry]]]
            paper.append(_clear([v + shift for v in tab]))
            behind.append(_clear(_behind(ground, e, targets[1][graph.face[e.target]])))
        on_paper = shapely.polygons(shapely.linearrings(np.array(paper)))
        at_back = shapely.polygons(shapely.linearrings(np.array(behind)))
        faces = targets[0][[graph.face[e.target] for e in live]]
        inside = shapely.contains_properly(faces, at_back)
        bad |= {i for i, ok in enumerate(inside.tolist()) if not ok}
        hits, _ = shapely.STRtree(panels).query(on_paper, predicate="intersects")
        bad |= set(hits.tolist())
        for shapes in (on_paper, at_back):
            left, right = shapely.STRtree(shapes).query(shapes, predicate="intersects")
            for i, j in zip(left.tolist(), right.tolist(), strict=True):
                if i < j:
                    a, b = live[i], live[j]
                    if a.done and b.done:
                        continue
                    if a.done or (not b.done and b.shape[0] > a.shape[0] + 1e-9):
                        bad.add(j)
                    elif b.done or a.shape[0] > b.shape[0] + 1e-9:
                        bad.add(i)
                    else:
                        bad |= {i, j}
    failing = {id(live[i]) for i in bad}
    good = [e for e in pending if e.tab is not None and id(e) not in failing]
    clashing = [e for e in pending if e.tab is None or id(e) in failing]
    for e in good:
        e.done = True
    for e in clashing:
        _next(e)


def _next(e: CutEdge) -> None:
    """A narrower tab; when there is none, the other side; when that fails too, butt."""
    if e.tab is not None:
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
    e.tab = None
    e.done = True
