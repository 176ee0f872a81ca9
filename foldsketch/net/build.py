"""Build: blocks become pieces with numbered tabs, marks and a place in the folded model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, cos, hypot, pi, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.card import NO_CARD, Card, tab_crease_shift
from foldsketch.base.findings import Finding
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.units import format_count
from foldsketch.base.vector import cross
from foldsketch.net.marks.mark_panels import mark_panels
from foldsketch.net.model import BlockFacts, ButtEdge, Fold, JointFacts, MatingEdge, Nets, Panel, PaperLine, Piece, Tab
from foldsketch.net.refold import check_nets
from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout, build_unfolded_layout, tab_corners_on_paper
from foldsketch.net.tabs.reduced_tabs import find_reduced_tabs
from foldsketch.net.tabs.tab_numbers import place_tab_number
from foldsketch.net.tabs.tab_search import find_tabs
from foldsketch.net.unfolding.face_graph import FaceGraph, build_face_graph
from foldsketch.net.unfolding.flatten import ComplexPoints, all_folds
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Block, Solids
from foldsketch.solid.joining.skin import combine_skins

TEETH_PER_NUMBER = 8
"""Of the teeth on a rolled rim one in so many bears its number."""


def build_nets(
    faceted: FacetedPart,
    solids: Solids,
    scale: float,
    page: tuple[float, float] | None = None,
    listener: Listener = ignore_progress,
    card: Card = NO_CARD,
    sparse: bool = False,
) -> Nets:
    """Nets of all blocks, with tabs, marks and the oracle's checks.

    scale: paper mm per part mm; page: printable width and height, mm, that every piece must fit; None: no limit;
    card: what the tabs are allowed for; sparse: tabs around ends and holes that can be spared are left out.
    """
    # All blocks are one graph, so that whatever is looked at face by face is looked at once for all of them.
    rolled = frozenset(p.index for p in faceted.prisms if p.rolled)
    graph = build_face_graph(combine_skins([b.skin for b in solids.blocks]), rolled)
    laid = unfold(graph, faceted.datum_direction, page, listener=listener)
    ground = build_unfolded_layout(graph, laid)
    edges = find_reduced_tabs(ground) if sparse else find_tabs(ground)
    _number_edges(ground, edges)
    if card:
        _shorten_tabs(edges, graph, card)
    place = [(b, k) for b in solids.blocks for k in range(len(b.skin.faces))]  # block of every face, and its number
    pieces = _pieces(faceted, [place[own.root][0] for own in laid], ground, edges)
    faces_of = [{i: place[f][1] for i, f in enumerate(own.place)} for own in laid]
    findings = [
        _butt_finding(faceted, block, butt)
        for block in solids.blocks
        for butt in ([e for e in edges if e.shape is None and not e.bare and place[graph.face[e.carrier]][0] is block],)
        if butt
    ]
    findings += _untabbed_finding(edges)
    pieces, more = mark_panels(faceted, solids, pieces, faces_of, scale)
    if card:
        pieces = [_allow_for_card(p, card) for p in pieces]
    nets = Nets(
        faceted.part.name,
        scale,
        tuple(
            BlockFacts(b.id, tuple(faceted.prisms[f].feature.name for f in b.features), b.skin.volume, b.skin.euler)
            for b in solids.blocks
        ),
        tuple(_joint_facts(faceted, j.blocks, j.outline, j.holes, j.normal) for j in solids.joints),
        tuple(pieces),
        findings=(*faceted.findings, *solids.findings, *findings, *more),
        card=card,
    )
    listener("refold", 0.0)
    return replace(nets, checks=check_nets(nets))


def _shorten_tabs(edges: Sequence[CutEdge], graph: FaceGraph, card: Card) -> None:
    """Tabs whose crease moves into the panel end that much sooner behind their targets."""
    for e in edges:
        more = tab_crease_shift(graph.angle[e.carrier], card.thickness)
        if e.shape is not None and more > 0 and e.shape[0] - more >= 0.9:
            width, a, b = e.shape
            left = (width - more) / width
            e.shape = (width - more, a * left, b * left)


def _allow_for_card(piece: Piece, card: Card) -> Piece:
    """The creases of tabs one thickness in, and pin holes wide enough for the needle to pass the card."""
    marks = tuple(
        m._replace(dots=tuple((x, y, r + card.thickness / 2) for x, y, r in m.dots)) if m.kind == "pin" else m
        for m in piece.marks
    )
    tabs = tuple(t._replace(crease_shift=tab_crease_shift(t.angle, card.thickness)) for t in piece.tabs)
    return replace(piece, tabs=tabs, marks=marks)


def _number_edges(ground: UnfoldedLayout, edges: Sequence[CutEdge]) -> None:
    """Number the cut edges, the teeth of one rim alike; those that are bare come last, for nobody glues by them."""
    graph = ground.graph
    number = 1
    rims: dict[tuple[int, int, int], int] = {}
    for e in sorted(edges, key=lambda e: e.bare):
        if e.carrier in graph.teeth:
            # Numbered by the wall that is rolled, its piece, and the face that it meets.
            wall, end = sorted(
                (graph.face[e.carrier], graph.face[e.target]), key=lambda f: graph.faces[f].kind != "side"
            )
            key = (graph.faces[wall].feature, ground.piece_of[wall], end)
            e.number = rims.setdefault(key, number)
            if e.number != number:
                continue
        else:
            e.number = number
        number += 1


def _joint_facts(
    faceted: FacetedPart, blocks: tuple[int, int], ring: Array, holes: Sequence[Array], normal: Array
) -> JointFacts:
    back = faceted.rotation_to_part.T
    middle = _centroid(ring)
    return JointFacts(blocks, middle @ back, normal @ back, ring @ back, tuple(h @ back for h in holes))


def _centroid(ring: Array) -> Array:
    """Centroid of a flat polygon (n, 3)."""
    a, b = ring[1:-1] - ring[0], ring[2:] - ring[0]
    w = cross(a, b)
    w = w @ (w.sum(axis=0) / np.linalg.norm(w.sum(axis=0)))
    middle: Array = ring[0] + ((a + b) * w[:, None]).sum(axis=0) / (3 * w.sum())
    return middle


def _butt_finding(faceted: FacetedPart, block: Block, butt: Sequence[CutEdge]) -> Finding:
    name = faceted.prisms[block.features[0]].feature.name
    named = [str(n) for n in dict.fromkeys(e.number for e in butt)]  # the teeth of a rim bear one number
    numbers = ", ".join(named[:8]) + (" …" if len(named) > 8 else "")
    what = "these edges butt and hold them" if len(butt) > 1 else "this edge butt and hold it"
    return Finding(
        "warning",
        f"block of '{name}'",
        f"no tab fits on {format_count(len(butt), 'edge')} ({numbers})",
        f"set {what} with a drop of glue or tape, or print larger",
    )


def _untabbed_finding(edges: Sequence[CutEdge]) -> list[Finding]:
    """A note that counts the edges which were left without a tab."""
    bare = sum(e.bare for e in edges)
    if not bare:
        return []
    one = bare == 1
    what = f"{format_count(bare, 'edge')} around its ends and holes {'has' if one else 'have'} no tab: without glue "
    what += "it lies against its neighbour" if one else "they lie against their neighbours"
    return [Finding("note", "the quick model", what, "leave --quick out to have tabs there")]


def _pieces(
    faceted: FacetedPart, blocks: Sequence[Block], ground: UnfoldedLayout, edges: Sequence[CutEdge]
) -> list[Piece]:
    """The pieces, each moved so that its panels and tabs begin at x = 0 and y = 0. blocks: the block of every piece."""
    graph, laid = ground.graph, ground.pieces
    tabbed = [e for e in edges if e.shape is not None]
    corners = tab_corners_on_paper(tabbed, graph, ground.at) if tabbed else np.empty((0, 4), dtype=complex)
    piece = np.array([ground.piece_of[f] for f in range(graph.count)])
    on = piece[np.array(graph.face)]
    carried = piece[[graph.face[e.carrier] for e in tabbed]] if tabbed else np.empty(0, dtype=np.int64)
    at = ground.at.copy()
    for k in range(len(laid)):
        mine, own = on == k, carried == k
        all_points = np.concatenate((at[mine], corners[own].ravel()))
        shift = -complex(all_points.real.min(), all_points.imag.min())
        at[mine] += shift
        corners[own] += shift
    where = {f: (k, i) for k, own in enumerate(laid) for i, f in enumerate(own.place)}
    names = [str(k + 1) for k in range(len(laid))]
    ends = list(zip(at.real.tolist(), at.imag.tolist(), strict=True))

    def line(h: int) -> PaperLine:
        return (ends[h], ends[graph.after[h]])

    panels = _panels(faceted, graph, at, where)
    tabs: list[list[Tab]] = [[] for _ in laid]
    butts: list[list[ButtEdge]] = [[] for _ in laid]
    flat = np.stack((corners.real, corners.imag), axis=-1)
    rows = iter(flat)
    met: dict[int, int] = {}
    for e in edges:
        k, panel = where[graph.face[e.carrier]]
        target = where[graph.face[e.target]]
        meets = MatingEdge(names[target[0]], target[1], line(e.target))
        if e.shape is None:
            butts[k].append(ButtEdge(e.number, panel, line(e.carrier), meets, e.bare))
        else:
            tab = _tab(e, panel, next(rows), line(e.carrier), meets, graph.angle[e.carrier])
            if e.carrier in graph.teeth:
                met[e.number] = met.get(e.number, -1) + 1
                tab = tab._replace(label_size=0.0) if met[e.number] % TEETH_PER_NUMBER else tab
            tabs[k].append(tab)
    made = []
    for k, own in enumerate(laid):
        folds = tuple(
            Fold(
                (where[graph.face[graph.twin[h]]][1], where[graph.face[h]][1]),
                line(graph.twin[h]),
                graph.angle[h],
                h in graph.rolled,
            )
            for h in all_folds(graph, own)
        )
        mine_ = tuple(panels[f] for f in own.place)
        made.append(Piece(names[k], blocks[k].id, mine_, folds, tuple(tabs[k]), tuple(butts[k])))
    return made


def _tab(e: CutEdge, panel: int, corners: Array, root: PaperLine, meets: MatingEdge, angle: float) -> Tab:
    (x0, y0), (x1, y1) = root
    along = atan2(y1 - y0, x1 - x0)
    x, y, size, turn = place_tab_number(e.number, hypot(x1 - x0, y1 - y0), e.shape or (1.0, 0.0, 0.0))
    c, s = cos(along), sin(along)
    at = (x0 + c * x + s * y, y0 + s * x - c * y)
    return Tab(e.number, panel, corners, root, meets, angle, at, size, along + pi + turn)


def _panels(
    faceted: FacetedPart, graph: FaceGraph, at: ComplexPoints, where: dict[int, tuple[int, int]]
) -> list[Panel]:
    """Every face as a panel of its piece, in the order of the faces. at: tails of half-edges on paper."""
    flat = np.array(graph.flat)
    first = np.array([loops[0][0] for loops in graph.loops])
    second = np.array([loops[0][1] for loops in graph.loops])
    turn = (at[second] - at[first]) / (flat[second] - flat[first])
    turn /= np.abs(turn)
    shift = at[first] - turn * flat[first]
    x, y, n = (graph.frame[:, :, k] for k in range(3))
    c, s = turn.real[:, None], turn.imag[:, None]
    m = np.stack((x * c - y * s, x * s + y * c, n), axis=2)
    origin = graph.origin - m[:, :, 0] * shift.real[:, None] - m[:, :, 1] * shift.imag[:, None]
    to_space, origin = faceted.rotation_to_part @ m, origin @ faceted.rotation_to_part.T
    points = np.column_stack((at.real, at.imag))
    panels = []
    for k, (f, loops) in enumerate(zip(graph.faces, graph.loops, strict=True)):
        outer, *holes = (points[loop[0] : loop[-1] + 1] for loop in loops)
        feature = faceted.prisms[f.feature].feature.name
        panels.append(Panel(where[k][1], outer, tuple(holes), feature, f.kind, f.side, to_space[k], origin[k]))
    return panels
