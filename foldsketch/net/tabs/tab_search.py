"""Tabs: every cut edge gets one glue flap that is wholly behind its target panel and clear of every other."""

from __future__ import annotations

from collections.abc import Container
from math import pi, tan

from foldsketch.net.tabs.cut_edges import CutEdge, TabShape, UnfoldedLayout, cut_edge, cut_half_edges
from foldsketch.net.tabs.tab_collisions import build_collision_index, colliding_tabs
from foldsketch.net.tabs.tab_limits import (
    bevel_limit_behind_target,
    bevel_limit_beside_root,
    corner_angles,
    depths_behind_edges,
)

TAB_WIDTHS_MM = (7.0, 6.0, 5.0, 4.2, 3.5, 3.0, 2.5, 2.0, 1.5)
"""Tab widths that are tried, mm, the most comfortable first [common practice: 5 to 8 mm, less on small panels]."""

MIN_TAB_WIDTH_MM = 0.9
"""No tab is narrower, mm, whatever bounds it."""

MAX_TAB_BEVEL_DEG = 62.0
"""Steepest bevel of a tab's ends against its root, degrees."""

MIN_TAB_BEVEL_RAD = 0.12
"""Where a corner leaves less than this, radians, there is no tab."""

MAX_TOOTH_BEVEL_DEG, MAX_TOOTH_TAB_WIDTH_MM = 84.0, 5.0
"""Bevel and width of the teeth on the rim of a rolled wall: they are close together, and one snip separates them."""

WIDEN_TABS_BELOW_MM, MIN_WIDENING_RATIO = 5.0, 1.2
"""A tab narrower than this, mm, is tried once more when all are settled, from the widest and with the corners that are
then free, and changed if that makes it so many times as wide."""

MIN_TABBED_EDGE_MM = 1.6
"""An edge shorter than this, mm, has no tab: scissors cannot cut one."""


def find_tabs(layout: UnfoldedLayout, bare: frozenset[int] = frozenset()) -> list[CutEdge]:
    """Every cut edge with its tab, or without one where none fits, in the order of half-edges.

    bare: half-edges, one of each edge that is to have no tab.
    """
    return _TabSearch(layout, bare).run()


class _TabSearch:
    """The search while it runs.

    inner: angle of its face at every half-edge's tail, radians; free: free paper at both ends of every cut edge; depth:
    behind every half-edge, mm.
    """

    def __init__(self, layout: UnfoldedLayout, bare: frozenset[int]) -> None:
        self.graph = layout.graph
        twin = self.graph.twin
        self.edges = [cut_edge(layout, h, h in bare or twin[h] in bare) for h in cut_half_edges(layout)]
        self.inner, self.free = corner_angles(layout)
        targets = {e.target for e in self.edges if not e.bare}
        self.depth = depths_behind_edges(self.graph, targets, TAB_WIDTHS_MM[0])
        self.index = build_collision_index(layout)

    def run(self) -> list[CutEdge]:
        """Shape and test all tabs until each is settled; those that collide shrink, then change sides, then give up."""
        for _ in range(3 * len(TAB_WIDTHS_MM)):
            pending = [e for e in self.edges if not e.settled]
            if not pending:
                break
            carrying = {e.carrier for e in self.edges if not e.bare}
            for e in pending:
                e.shape = self._shape(e, carrying)
            colliding = self._colliding(set(pending))
            for e in pending:
                if e.shape is not None and e not in colliding:
                    e.settled = True
                else:
                    _prepare_next_attempt(e)
        for e in self.edges:
            if not e.settled:
                e.shape, e.settled = None, True
        self._widen_narrow_tabs()
        return self.edges

    def _colliding(self, new: Container[CutEdge]) -> set[CutEdge]:
        """Which of the new tabs have to give way."""
        tabbed = [e for e in self.edges if e.shape is not None]
        rows = [i for i, e in enumerate(tabbed) if e in new]
        return {tabbed[i] for i in colliding_tabs(self.graph, tabbed, rows, self.index)}

    def _shape(self, e: CutEdge, carrying: set[int], aimed: Container[int] | None = None) -> TabShape | None:
        """The tab of an edge at its present width; None if the edge or its corners leave too little paper.

        carrying: half-edges that carry tabs; aimed: half-edges with tabs behind them, if known; else a tab is expected
        behind the next edge at every corner.
        """
        graph = self.graph
        length = graph.length[e.carrier]
        if length < MIN_TABBED_EDGE_MM:
            return None
        tooth = e.carrier in graph.teeth
        steepest = (MAX_TOOTH_BEVEL_DEG if tooth else MAX_TAB_BEVEL_DEG) * pi / 180
        # The tail of the carrying edge is the head of the target edge.
        after, before = graph.after[e.target], graph.before[e.target]
        tail, head = (
            min(
                steepest,
                bevel_limit_behind_target(self.inner[corner], aimed is None or neighbour in aimed),
                bevel_limit_beside_root(self.free[e.carrier, at_head], carrying),
            )
            for corner, neighbour, at_head in ((after, after, False), (e.target, before, True))
        )
        if min(tail, head) < MIN_TAB_BEVEL_RAD:
            return None
        far_side = max(0.3 * length, min(1.0, 0.5 * length))
        width = min(
            TAB_WIDTHS_MM[e.width_index],
            MAX_TOOTH_TAB_WIDTH_MM if tooth else TAB_WIDTHS_MM[0],
            (length - far_side) / (1 / tan(tail) + 1 / tan(head)),
            self.depth[e.target],
        )
        return (width, width / tan(tail), width / tan(head)) if width >= MIN_TAB_WIDTH_MM else None

    def _widen_narrow_tabs(self) -> None:
        """Try narrow tabs once more, now that it is known where tabs are.

        All are settled, so of two that collide both go back to what they were. The teeth of one rim stay alike.
        """
        carrying = {e.carrier for e in self.edges if e.shape}
        aimed = {e.target for e in self.edges if e.shape}
        before: dict[CutEdge, TabShape] = {}
        for e in self.edges:
            shape = e.shape
            if shape is None or shape[0] >= WIDEN_TABS_BELOW_MM or e.carrier in self.graph.teeth:
                continue
            e.width_index = 0
            wider = self._shape(e, carrying, aimed)
            if wider is not None and _is_worth_widening(wider, shape):
                e.shape, before[e] = wider, shape
        for e in self._colliding(before):
            e.shape = before[e]


def _is_worth_widening(wider: TabShape, shape: TabShape) -> bool:
    """Whether a tab is much wider than another one and covers it, so that it collides wherever that would."""
    covers = all(a / wider[0] <= b / shape[0] + 1e-9 for a, b in zip(wider[1:], shape[1:], strict=True))
    return covers and wider[0] >= MIN_WIDENING_RATIO * shape[0]


def _prepare_next_attempt(e: CutEdge) -> None:
    """A narrower tab; when there is none, the other side; when that fails too, none."""
    narrower = [k for k, w in enumerate(TAB_WIDTHS_MM) if e.shape and k >= e.width_index and w < e.shape[0] - 1e-9]
    if narrower:
        e.width_index = narrower[0]
    elif not e.flipped:
        e.flipped, e.width_index = True, 0
        e.carrier, e.target = e.target, e.carrier
    else:
        e.shape, e.settled = None, True
