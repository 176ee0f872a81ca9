"""Sparse tabs: around the ends and holes of a quick model tabs are left out where the edges beside them hold."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from foldsketch.net.cut_edges import CutEdge, Ground
from foldsketch.net.graph import Graph
from foldsketch.net.tabs import find_tabs

FEWEST = 4
"""A rim of fewer edges keeps every tab."""

RUN = 2
"""Edges in a row that may be bare: the two walls at them stand as a triangle between those that hold, and cannot
give; three would be a linkage of four bars."""

LONGEST = 40.0
"""Bare edges in a row that measure more than this, mm on paper, would gape, and keep a tab."""


def sparse_tabs(ground: Ground) -> list[CutEdge]:
    """A tab for every cut edge of the blocks but those around an end, or a hole in a wall, that stay bare.

    Bare edges lie between two that hold: folds, or tabs that found room. Where one found none, the bare edges in a row
    with it get their tabs after all, as do all of a rim that would be held at too few edges; then all are sought anew.
    """
    graph = ground.graph
    rims = _rims(graph)
    bare = {h for loop in rims for h in spared(graph, ground.folded, loop)}
    while True:
        edges = find_tabs(ground, frozenset(bare))
        loose = {h for e in edges if e.shape is None for h in (e.carry, e.target)}
        untabbed = loose - bare - {graph.twin[h] for h in bare}
        rescued = {h for rim in rims for run in _runs(rim, loose) if not untabbed.isdisjoint(run) for h in run}
        rescued |= {h for rim in rims if sum(h not in loose for h in rim) < _holds(ground.folded, rim) for h in rim}
        rescued &= bare
        if not rescued:
            return edges
        bare -= rescued


def _rims(graph: Graph) -> list[list[int]]:
    """The loops around ends, and around the holes that tubes leave in walls."""
    rims = [loop for k, f in enumerate(graph.faces) if f.kind == "end" for loop in graph.loops[k]]
    holes = [loop for k, f in enumerate(graph.faces) if f.kind != "end" for loop in graph.loops[k][1:]]
    return rims + [loop for loop in holes if all(_meets_wall(graph, h) for h in loop)]


def spared(graph: Graph, folded: frozenset[int], rim: Sequence[int]) -> list[int]:
    """The half-edges of a rim that can do without a tab: as many as may be, in runs as even as may be."""
    if len(rim) < FEWEST:
        return []
    held = [h in folded or not _may_be_bare(graph, h) for h in rim]
    # Walked from an edge that holds in any case, so that the first and the last come out as neighbours should.
    start = held.index(True) if any(held) else 0
    turned = [*rim[start:], *rim[:start]]
    held = [*held[start:], *held[:start]]
    tabs = _fewest_holds([graph.length[h] for h in turned], held, _holds(folded, rim))
    return [h for k, h in enumerate(turned) if k not in tabs]


def _holds(folded: frozenset[int], rim: Sequence[int]) -> int:
    """Edges at which a rim is held at least: two of a lid that hangs on a fold, three of one that does not."""
    return 2 if any(h in folded for h in rim) else 3


def _fewest_holds(lengths: Sequence[float], held: Sequence[bool], least: int) -> set[int]:
    """Which edges around a rim hold, the first among them: all that are held in any case and the fewest more, so that
    no run between two is too long and there are so many at least. Of equal choices the one with the evenest runs."""
    n = len(lengths)
    # Of the best choice whose last hold is edge k, by how many holds it has (counted up to least): cost and holds.
    best: list[dict[int, tuple[float, tuple[int, ...]]]] = [{} for _ in range(n + 1)]
    best[0][1] = (0.0, (0,))
    for k in range(1, n + 1):  # n is the first edge again
        for run in range(min(RUN, k - 1) + 1):
            last = k - run - 1
            between = range(last + 1, k)
            if any(held[i] for i in between) or sum(lengths[i] for i in between) > LONGEST:
                break
            for count, (cost, chosen) in best[last].items():
                new = min(count + (k < n), least)
                price = cost + (k < n) * n * n + run * run
                if price < best[k].get(new, (inf, ()))[0]:
                    best[k][new] = (price, (*chosen, k))
    return set(best[n][least][1]) - {n}


def _runs(rim: Sequence[int], loose: set[int]) -> list[list[int]]:
    """The loose edges of a rim, those in a row together."""
    start = next((k for k, h in enumerate(rim) if h not in loose), 0)
    runs: list[list[int]] = [[]]
    for h in [*rim[start:], *rim[:start]]:
        if h in loose:
            runs[-1].append(h)
        elif runs[-1]:
            runs.append([])
    return runs


def _may_be_bare(graph: Graph, h: int) -> bool:
    """Whether a rim's edge meets a wall, is no tooth, and is short enough not to gape."""
    return _meets_wall(graph, h) and h not in graph.teeth and graph.length[h] <= LONGEST


def _meets_wall(graph: Graph, h: int) -> bool:
    return graph.faces[graph.face[graph.twin[h]]].kind == "side"
