"""Tape: which edges it holds, where its strips go, and what holds a block to another."""

from __future__ import annotations

from math import ceil

from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout, cut_edge, cut_half_edges
from foldsketch.net.tabs.reduced_tabs import MAX_BARE_LENGTH_MM, find_reduced_tabs

TAPE_WIDTH_MM, MAX_TAPE_WIDTH_MM = 12.0, 19.0
"""Widths of office tape, mm [common practice]: a strip across an edge covers as much of it."""

STRIP_INSET_MM = 1.0
"""Where a strip covers a whole edge, its ticks are so far inside the corners, mm, so that no tick is on a fold."""


def find_taped_edges(layout: UnfoldedLayout) -> list[CutEdge]:
    """Every cut edge, held by tape; around ends and holes only as many as are needed, on a foot none: its joint is."""
    return find_reduced_tabs(layout, _tape_edges, lambda _, rim: list(rim))


def _tape_edges(layout: UnfoldedLayout, bare: frozenset[int]) -> list[CutEdge]:
    """All cut edges with tape, but for the bare ones."""
    twin = layout.graph.twin
    edges = [cut_edge(layout, h, h in bare or twin[h] in bare) for h in cut_half_edges(layout)]
    for e in edges:
        e.settled, e.taped = True, not e.bare
    return edges


def tape_strips(length: float) -> list[tuple[float, float]]:
    """Where strips of tape cross an edge: from and to, mm from its beginning, evenly spread.

    length: of the edge, mm. No more than MAX_BARE_LENGTH_MM between two strips, or beside the last, is left open.

    >>> tape_strips(30.0), tape_strips(10.0), len(tape_strips(120.0))
    ([(9.0, 21.0)], [(1.0, 9.0)], 2)
    """
    if length <= TAPE_WIDTH_MM + 2 * STRIP_INSET_MM:
        inset = min(STRIP_INSET_MM, length / 4)
        return [(inset, length - inset)]
    count = max(1, ceil((length - MAX_BARE_LENGTH_MM) / (TAPE_WIDTH_MM + MAX_BARE_LENGTH_MM)))
    gap = (length - count * TAPE_WIDTH_MM) / (count + 1)
    starts = [gap + k * (gap + TAPE_WIDTH_MM) for k in range(count)]
    return [(start, start + TAPE_WIDTH_MM) for start in starts]
