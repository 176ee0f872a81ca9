"""Sparse tabs: around the ends of a quick model every other tab is left out, where both neighbours hold."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.net.cut_edges import CutEdge, Ground
from foldsketch.net.graph import Graph
from foldsketch.net.tabs import find_tabs

FEWEST = 5
"""A rim of fewer edges keeps every tab."""

HELD = 3
"""Edges at which a rim with bare ones is held at least."""

LONGEST = 40.0
"""An edge longer than this, mm on paper, keeps its tab: it would gape without one."""


def sparse_tabs(ground: Ground) -> list[CutEdge]:
    """A tab for every cut edge of the blocks but every other one around an end, which stays bare.

    A bare edge lies between two that hold: folds, or tabs that found room. Where one found none, the bare edges beside
    it get their tabs after all, as do all of a rim that would be held at too few edges; then all are sought anew.
    """
    graph = ground.graph
    rims = [loop for k, f in enumerate(graph.faces) if f.kind == "end" for loop in graph.loops[k]]
    bare = {h for loop in rims for h in spared(graph, ground.folded, loop)}
    while True:
        edges = find_tabs(ground, frozenset(bare))
        loose = {h for e in edges if e.shape is None for h in (e.carry, e.target)}
        rescued = {h for h in bare if graph.before[h] in loose or graph.after[h] in loose}
        rescued |= {h for rim in rims if sum(h not in loose for h in rim) < HELD for h in rim if h in bare}
        if not rescued:
            return edges
        bare -= rescued


def spared(graph: Graph, folded: frozenset[int], rim: Sequence[int]) -> list[int]:
    """The half-edges of an end's rim that can do without a tab: never two in a row, and both neighbours hold."""
    if len(rim) < FEWEST:
        return []
    held = [h in folded or not _may_be_bare(graph, h) for h in rim]
    # Walked from an edge that holds in any case, so that the first and the last come out as neighbours should.
    start = next((k for k, h in enumerate(rim) if h in folded), held.index(True) if any(held) else 0)
    chosen: list[int] = []
    bare = False
    for k in range(start + 1, start + len(rim)):
        bare = not bare and not held[k % len(rim)]
        if bare:
            chosen.append(rim[k % len(rim)])
    return chosen


def _may_be_bare(graph: Graph, h: int) -> bool:
    """Whether an end's edge meets a wall, is no tooth, and is short enough not to gape."""
    return graph.faces[graph.face[graph.twin[h]]].kind == "side" and h not in graph.teeth and graph.length[h] <= LONGEST
