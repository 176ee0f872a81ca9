"""Tabs: every cut edge gets one glue flap that lies wholly behind its target panel and clear of every other."""

from __future__ import annotations

from collections.abc import Container
from math import pi, tan

from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout
from foldsketch.net.tabs.tab_collisions import CollisionIndex, build_collision_index, colliding_tabs
from foldsketch.net.tabs.tab_limits import (
    FreeAngles,
    bevel_limit_behind_target,
    bevel_limit_beside_root,
    corner_angles,
    depths_behind_edges,
)
from foldsketch.net.unfolding.face_graph import FaceGraph

TabShape = tuple[float, float, float]
"""Width of a tab and its two slants along the root, mm."""

TAB_WIDTHS_MM = (7.0, 6.0, 5.0, 4.2, 3.5, 3.0, 2.5, 2.0, 1.5)
"""Tab widths that are tried, mm, the most comfortable first [common practice: 5 to 8 mm, less on small panels]."""

MAX_TAB_BEVEL_DEG = 62.0
"""Steepest bevel of a tab's ends against its root, degrees."""

MAX_TOOTH_BEVEL_DEG, MAX_TOOTH_TAB_WIDTH_MM = 84.0, 5.0
"""Bevel and width of the teeth on the rim of a rolled wall: they stand close, and one snip parts them."""

WIDEN_TABS_BELOW_MM, MIN_WIDENING_RATIO = 5.0, 1.2
"""A tab narrower than this, mm, is tried once more when all are settled, with corners that are its own and from the
widest, if that makes it so many times as wide."""

MIN_TABBED_EDGE_MM = 1.6
"""An edge shorter than this, mm, is set butt: no scissors cut a tab on it."""


def find_tabs(ground: UnfoldedLayout, bare: frozenset[int] = frozenset()) -> list[CutEdge]:
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
            edge.bare = edge.settled = h in bare or g in bare
            edges.append(edge)
    inner, free = corner_angles(ground)
    room = depths_behind_edges(graph, {e.target for e in edges if not e.bare}, TAB_WIDTHS_MM[0])
    field = build_collision_index(ground)
    for _ in range(3 * len(TAB_WIDTHS_MM)):
        pending = [e for e in edges if not e.settled]
        if not pending:
            break
        carrying = {e.carrier for e in edges if not e.bare}
        for e in pending:
            _shape_tab(ground, e, inner, free, room, carrying)
        _settle_tabs(graph, edges, field)
    for e in edges:
        if not e.settled:
            e.shape = None
            e.settled = True
    _widen_narrow_tabs(ground, edges, inner, free, room, field)
    return edges


def _is_worth_widening(wider: TabShape | None, shape: TabShape) -> bool:
    """Whether a tab is worth its change and covers what it was, so that it clashes wherever that would."""
    if wider is None or wider[0] < MIN_WIDENING_RATIO * shape[0]:
        return False
    return all(a / wider[0] <= b / shape[0] + 1e-9 for a, b in zip(wider[1:], shape[1:], strict=True))


def _widen_narrow_tabs(
    ground: UnfoldedLayout,
    edges: list[CutEdge],
    inner: list[float],
    free: FreeAngles,
    room: list[float],
    field: CollisionIndex,
) -> None:
    """Narrow tabs are tried once more, now that it is known where tabs are: those that clash with nothing as they are
    then stay so. All are settled: of two that clash both give way. The teeth of one rim stay alike."""
    graph = ground.graph
    carrying = {e.carrier for e in edges if e.shape}
    aimed = {e.target for e in edges if e.shape}
    before: dict[CutEdge, TabShape] = {}
    for e in edges:
        shape = e.shape
        if shape is None or shape[0] >= WIDEN_TABS_BELOW_MM or e.carrier in graph.teeth:
            continue
        e.width_index = 0
        _shape_tab(ground, e, inner, free, room, carrying, aimed)
        if _is_worth_widening(e.shape, shape):
            before[e] = shape
        else:
            e.shape = shape
    live = [e for e in edges if e.shape is not None]
    new = [i for i, e in enumerate(live) if e in before]
    for i in colliding_tabs(graph, live, new, field) if new else ():
        live[i].shape = before[live[i]]


def _shape_tab(
    ground: UnfoldedLayout,
    e: CutEdge,
    inner: list[float],
    free: FreeAngles,
    room: list[float],
    carrying: set[int],
    aimed: Container[int] | None = None,
) -> None:
    """Corners of the tab at its present width, on paper; none where the corner angles leave no room. aimed: edges with
    tabs behind them, if that is known; else every corner is shared with a tab at the next edge."""
    graph = ground.graph
    length = graph.length[e.carrier]
    width = TAB_WIDTHS_MM[e.width_index]
    e.shape = None
    if length < MIN_TABBED_EDGE_MM:
        return
    tooth = e.carrier in graph.teeth
    steep = (MAX_TOOTH_BEVEL_DEG if tooth else MAX_TAB_BEVEL_DEG) * pi / 180
    if tooth:
        width = min(width, MAX_TOOTH_TAB_WIDTH_MM)
    # The tail of the carrying edge is the head of the target edge.
    after, before = graph.after[e.target], graph.before[e.target]
    at_tail = min(
        steep,
        bevel_limit_behind_target(inner[after], aimed is None or after in aimed),
        bevel_limit_beside_root(free[e.carrier, False], carrying),
    )
    at_head = min(
        steep,
        bevel_limit_behind_target(inner[e.target], aimed is None or before in aimed),
        bevel_limit_beside_root(free[e.carrier, True], carrying),
    )
    if min(at_tail, at_head) < 0.12:
        return
    cot = 1 / tan(at_tail) + 1 / tan(at_head)
    top = max(0.3 * length, min(1.0, 0.5 * length))
    width = min(width, (length - top) / cot, room[e.target])
    if width >= 0.9:
        e.shape = (width, width / tan(at_tail), width / tan(at_head))


def _settle_tabs(graph: FaceGraph, edges: list[CutEdge], field: CollisionIndex) -> None:
    """Test the tabs that are not settled; those that clash shrink, then change sides, then give up."""
    live = [e for e in edges if e.shape is not None]
    pending = [e for e in edges if not e.settled]
    new = [i for i, e in enumerate(live) if not e.settled]
    bad = colliding_tabs(graph, live, new, field) if new else set()
    failing = {id(live[i]) for i in bad}
    for e in pending:
        if e.shape is not None and id(e) not in failing:
            e.settled = True
        else:
            _prepare_next_attempt(e)


def _prepare_next_attempt(e: CutEdge) -> None:
    """A narrower tab; when there is none, the other side; when that fails too, butt."""
    if e.shape is not None:
        width = e.shape[0]
        while e.width_index < len(TAB_WIDTHS_MM) and TAB_WIDTHS_MM[e.width_index] >= width - 1e-9:
            e.width_index += 1
    else:
        e.width_index = len(TAB_WIDTHS_MM)
    if e.width_index < len(TAB_WIDTHS_MM):
        return
    if not e.flipped:
        e.flipped = True
        e.width_index = 0
        e.carrier, e.target = e.target, e.carrier
        return
    e.shape = None
    e.settled = True
