"""Reduced tabs: around ends and holes tabs are left out where the edges beside them hold."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from math import inf

from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout
from foldsketch.net.tabs.tab_search import find_tabs
from foldsketch.net.unfolding.face_graph import FaceGraph, clearance_behind_edge, half_edges_of_face

MIN_RIM_EDGES = 4
"""A rim of fewer edges keeps every tab."""

MAX_BARE_EDGES_IN_ROW = 2
"""Edges in a row that may be bare: the two walls at them form a triangle with the line between those that hold, and
cannot give; three would be a linkage of four bars. Of six edges two are then enough, opposite each other: a straight
tube cannot lean over on them, for its folds stay square to the edges of its rim, which would have to leave the face."""

AMPLE_CLEARANCE_MM = 6.0
"""A strip of paper wider than this, mm, is no better for a tab and its number."""

COLLINEAR_TOLERANCE_MM = 0.5
"""What is nearer to a line than this, mm on paper, does not keep a face from swinging about it."""

MAX_BARE_LENGTH_MM = 40.0
"""Bare edges in a row that measure more than this, mm on paper, would gape, and keep a tab."""

MIN_FOOT_EDGES = 3
"""A block that stands on another is held at so many edges at least."""


EdgeSearch = Callable[[UnfoldedLayout, frozenset[int]], list[CutEdge]]
"""Every cut edge with what holds it, but for those that are to be bare: half-edges, one of each."""


SpareFoot = Callable[[FaceGraph, Sequence[int]], list[int]]
"""The half-edges of a foot without an end of its own on which nothing holds it."""


def find_reduced_tabs(
    layout: UnfoldedLayout, search: EdgeSearch | None = None, spare_foot: SpareFoot | None = None
) -> list[CutEdge]:
    """Every cut edge with its tab; around an end, or a hole in a wall, as few tabs as hold.

    search: what holds the edges; tabs, unless it is tape; spare_foot: where feet are not held; at every other edge,
    unless it is said.
    A row of bare edges is between two that hold: folds, or edges with a tab. Where no tab fits on one of these, the
    bare edges in that row get their tabs back, as do those of a panel that would swing about a line; then all tabs are
    sought anew.
    """
    graph = layout.graph
    spare_foot = spare_foot or _every_other_edge
    rims = _rims(graph)
    bare: set[int] = set()
    tabbed: set[int] = set()
    for rim in rims:
        foot = graph.face[rim[0]] in layout.apart
        spare = spare_foot(graph, rim) if foot else edges_needing_no_tab(graph, layout.folded, rim, tabbed)
        bare.update(spare)
        tabbed.update(h for h in rim if h not in spare and h not in layout.folded)
    while True:
        edges = (search or find_tabs)(layout, frozenset(bare))
        loose = {h for e in edges if e.loose for h in (e.carrier, e.target)}
        failed = loose - bare - {graph.twin[h] for h in bare}
        restored = {h for rim in rims for row in _rows_of(rim, loose) if not failed.isdisjoint(row) for h in row}
        swinging = [h for k in range(graph.count) if _can_swing(graph, k, loose) for h in half_edges_of_face(graph, k)]
        restored.update(x for h in swinging for x in (h, graph.twin[h]))
        if restored.isdisjoint(bare):
            return edges
        bare -= restored


def _rims(graph: FaceGraph) -> list[list[int]]:
    """The loops around ends, and around the holes that tubes leave in walls."""
    rims = [loop for k, f in enumerate(graph.faces) if f.kind == "end" for loop in graph.loops[k]]
    holes = [loop for k, f in enumerate(graph.faces) if f.kind != "end" for loop in graph.loops[k][1:]]
    return rims + [loop for loop in holes if all(_meets_wall(graph, h) for h in loop)]


def held_foot_edges(lengths: Sequence[float]) -> tuple[int, ...]:
    """Which edges of a foot hold a block to what it stands on: every other one, and all that are long.

    lengths: of the edges around it, mm. At least MIN_FOOT_EDGES where there are as many.

    >>> held_foot_edges([10.0] * 8), held_foot_edges([10.0] * 5), held_foot_edges([10.0] * 4)
    ((0, 2, 4, 6), (0, 2, 4), (0, 1, 2, 3))
    """
    n = len(lengths)
    chosen = [k for k in range(n) if k % 2 == 0 or lengths[k] > MAX_BARE_LENGTH_MM]
    return tuple(chosen if len(chosen) >= MIN_FOOT_EDGES else range(n))


def _every_other_edge(graph: FaceGraph, rim: Sequence[int]) -> list[int]:
    held = held_foot_edges([graph.length[h] for h in rim])
    return [h for k, h in enumerate(rim) if k not in held]


def edges_needing_no_tab(
    graph: FaceGraph, folded: frozenset[int], rim: Sequence[int], tabbed: Container[int] = ()
) -> list[int]:
    """The half-edges of a rim that need no tab: as many as may be, in rows as even as may be.

    folded: half-edges that are folds; tabbed: edges of other rims with a tab, which shares the paper between.
    """
    if len(rim) < MIN_RIM_EDGES:
        return []
    held = [h in folded or not _may_be_bare(graph, h) for h in rim]
    # From an edge that holds in any case, so that the first and the last are neighbours as they should be; if there is
    # none, from each edge in turn, and the choice with most paper behind its tabs is taken.
    starts = [held.index(True)] if any(held) else range(len(rim))
    choices = []
    for start in starts:
        turned = [*rim[start:], *rim[:start]]
        holding = _choose_held_edges([graph.length[h] for h in turned], [*held[start:], *held[:start]])
        tabs = [turned[k] for k in holding if turned[k] not in folded]
        strips = (clearance_behind_edge(graph, h, AMPLE_CLEARANCE_MM, tabbed) for h in tabs)
        score = (-len(holding), round(min(strips, default=AMPLE_CLEARANCE_MM), 3))
        choices.append((score, [h for k, h in enumerate(turned) if k not in holding]))
    return max(choices, key=lambda choice: choice[0])[1]


def _can_swing(graph: FaceGraph, face: int, loose: set[int]) -> bool:
    """Whether all edges that hold a face are on one line, about which it would swing."""
    held = [h for h in half_edges_of_face(graph, face) if h not in loose]
    if not held:
        return False
    p = graph.flat[held[0]]
    along = (graph.flat[graph.after[held[0]]] - p) / graph.length[held[0]]
    off = (abs((along.conjugate() * (graph.flat[x] - p)).imag) for h in held for x in (h, graph.after[h]))
    return max(off) < COLLINEAR_TOLERANCE_MM


def _choose_held_edges(lengths: Sequence[float], held: Sequence[bool]) -> set[int]:
    """Which edges around a rim hold, the first among them, so that no row of bare edges between two is too long.

    All that are held in any case and the fewest more; of equal choices the one with the evenest rows. It is a shortest
    path along the rim from edge 0 to edge n, which is edge 0 again: one step goes over a row of bare edges and costs n
    * n for the edge it comes to, plus the square of the row.
    """
    n = len(lengths)
    costs, previous = [0.0] + [inf] * n, [0] * (n + 1)
    for k in range(1, n + 1):
        for row in range(min(MAX_BARE_EDGES_IN_ROW, k - 1) + 1):
            between = range(k - row, k)
            if any(held[i] for i in between) or sum(lengths[i] for i in between) > MAX_BARE_LENGTH_MM:
                break
            cost = costs[k - row - 1] + n * n + row * row
            if cost < costs[k]:
                costs[k], previous[k] = cost, k - row - 1
    chosen = {0}
    k = previous[n]
    while k:
        chosen.add(k)
        k = previous[k]
    return chosen


def _rows_of(rim: Sequence[int], loose: set[int]) -> list[list[int]]:
    """The loose edges of a rim, those in a row together."""
    start = next((k for k, h in enumerate(rim) if h not in loose), 0)
    rows: list[list[int]] = [[]]
    for h in [*rim[start:], *rim[:start]]:
        if h in loose:
            rows[-1].append(h)
        elif rows[-1]:
            rows.append([])
    return rows


def _may_be_bare(graph: FaceGraph, h: int) -> bool:
    """Whether a rim's edge meets a wall, is no tooth, and is short enough not to gape."""
    return _meets_wall(graph, h) and h not in graph.teeth and graph.length[h] <= MAX_BARE_LENGTH_MM


def _meets_wall(graph: FaceGraph, h: int) -> bool:
    return graph.faces[graph.across(h)].kind == "side"
