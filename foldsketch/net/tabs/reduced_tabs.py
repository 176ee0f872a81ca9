"""Sparse tabs: around the ends and holes of a quick model tabs are left out where the edges beside them hold."""

from __future__ import annotations

from collections.abc import Container, Sequence
from math import inf

from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout
from foldsketch.net.tabs.tab_search import find_tabs
from foldsketch.net.unfolding.face_graph import FaceGraph, clearance_behind_edge, half_edges_of_face

MIN_RIM_EDGES = 4
"""A rim of fewer edges keeps every tab."""

MAX_BARE_EDGES_IN_ROW = 2
"""Edges in a row that may be bare: the two walls at them stand as a triangle between those that hold, and cannot
give; three would be a linkage of four bars. Of six edges two are then enough, opposite each other: a straight tube
cannot lean over on them, for its folds stay square to the edges of its rim, which would have to leave the face."""

AMPLE_CLEARANCE_MM = 6.0
"""More room than this, mm on paper, is no better for a tab and its number."""

COLLINEAR_TOLERANCE_MM = 0.5
"""What lies nearer to a line than this, mm on paper, does not keep a face from swinging about it."""

MAX_BARE_LENGTH_MM = 40.0
"""Bare edges in a row that measure more than this, mm on paper, would gape, and keep a tab."""


def find_reduced_tabs(ground: UnfoldedLayout) -> list[CutEdge]:
    """A tab for every cut edge of the blocks but those around an end, or a hole in a wall, that stay bare.

    Bare edges lie between two that hold: folds, or tabs that found room. Where one found none, the bare edges in a row
    with it get their tabs after all, as do those of a panel that would swing about a line; then all are sought anew.
    """
    graph = ground.graph
    rims = _rims(graph)
    bare: set[int] = set()
    tabbed: set[int] = set()
    for loop in rims:
        spare = edges_needing_no_tab(graph, ground.folded, loop, tabbed)
        bare.update(spare)
        tabbed.update(h for h in loop if h not in spare and h not in ground.folded)
    while True:
        edges = find_tabs(ground, frozenset(bare))
        loose = {h for e in edges if e.shape is None for h in (e.carrier, e.target)}
        untabbed = loose - bare - {graph.twin[h] for h in bare}
        rescued = {h for rim in rims for run in _untabbed_runs(rim, loose) if not untabbed.isdisjoint(run) for h in run}
        swinging = [h for k in range(graph.count) if _can_swing(graph, k, loose) for h in half_edges_of_face(graph, k)]
        rescued |= {x for h in swinging for x in (h, graph.twin[h])}
        rescued &= bare
        if not rescued:
            return edges
        bare -= rescued


def _rims(graph: FaceGraph) -> list[list[int]]:
    """The loops around ends, and around the holes that tubes leave in walls."""
    rims = [loop for k, f in enumerate(graph.faces) if f.kind == "end" for loop in graph.loops[k]]
    holes = [loop for k, f in enumerate(graph.faces) if f.kind != "end" for loop in graph.loops[k][1:]]
    return rims + [loop for loop in holes if all(_meets_wall(graph, h) for h in loop)]


def edges_needing_no_tab(
    graph: FaceGraph, folded: frozenset[int], rim: Sequence[int], tabbed: Container[int] = ()
) -> list[int]:
    """The half-edges of a rim that can do without a tab: as many as may be, in runs as even as may be. tabbed: edges of
    other rims that have one already, with which the room between is shared."""
    if len(rim) < MIN_RIM_EDGES:
        return []
    held = [h in folded or not _may_be_bare(graph, h) for h in rim]
    # Walked from an edge that holds in any case, so that the first and the last come out as neighbours should; else
    # from each in turn, for tabs and their numbers want room behind and beside their edges.
    starts = [held.index(True)] if any(held) else range(len(rim))
    best: tuple[tuple[int, float], list[int]] | None = None
    for start in starts:
        turned = [*rim[start:], *rim[:start]]
        tabs = _choose_held_edges([graph.length[h] for h in turned], [*held[start:], *held[:start]])
        room = min(
            (
                clearance_behind_edge(graph, turned[k], AMPLE_CLEARANCE_MM, tabbed)
                for k in tabs
                if turned[k] not in folded
            ),
            default=AMPLE_CLEARANCE_MM,
        )
        score = (-len(tabs), round(room, 3))
        if best is None or score > best[0]:
            best = score, [h for k, h in enumerate(turned) if k not in tabs]
    assert best is not None
    return best[1]


def _can_swing(graph: FaceGraph, face: int, loose: set[int]) -> bool:
    """Whether all that holds a face lies on one line, about which it would swing."""
    held = [h for h in half_edges_of_face(graph, face) if h not in loose]
    if not held:
        return False
    p = graph.flat[held[0]]
    along = (graph.flat[graph.after[held[0]]] - p) / graph.length[held[0]]
    off = (abs((along.conjugate() * (graph.flat[x] - p)).imag) for h in held for x in (h, graph.after[h]))
    return max(off) < COLLINEAR_TOLERANCE_MM


def _choose_held_edges(lengths: Sequence[float], held: Sequence[bool]) -> set[int]:
    """Which edges around a rim hold, the first among them: all that are held in any case and the fewest more, so that
    no run between two is too long. Of equal choices the one with the evenest runs."""
    n = len(lengths)
    # Of the best choice whose last hold is edge k: cost and holds. Edge n is the first again.
    best: list[tuple[float, tuple[int, ...]]] = [(0.0, (0,))]
    for k in range(1, n + 1):
        found: tuple[float, tuple[int, ...]] = (inf, ())
        for run in range(min(MAX_BARE_EDGES_IN_ROW, k - 1) + 1):
            last = k - run - 1
            between = range(last + 1, k)
            if any(held[i] for i in between) or sum(lengths[i] for i in between) > MAX_BARE_LENGTH_MM:
                break
            cost, chosen = best[last]
            price = cost + (k < n) * n * n + run * run
            if price < found[0]:
                found = (price, (*chosen, k))
        best.append(found)
    return set(best[n][1]) - {n}


def _untabbed_runs(rim: Sequence[int], loose: set[int]) -> list[list[int]]:
    """The loose edges of a rim, those in a row together."""
    start = next((k for k, h in enumerate(rim) if h not in loose), 0)
    runs: list[list[int]] = [[]]
    for h in [*rim[start:], *rim[:start]]:
        if h in loose:
            runs[-1].append(h)
        elif runs[-1]:
            runs.append([])
    return runs


def _may_be_bare(graph: FaceGraph, h: int) -> bool:
    """Whether a rim's edge meets a wall, is no tooth, and is short enough not to gape."""
    return _meets_wall(graph, h) and h not in graph.teeth and graph.length[h] <= MAX_BARE_LENGTH_MM


def _meets_wall(graph: FaceGraph, h: int) -> bool:
    return graph.faces[graph.face[graph.twin[h]]].kind == "side"
