"""Build: blocks become nets, each a set of pieces with numbered tabs, marks and a place in the folded model."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.card import NO_CARD, Card, tab_crease_shift
from foldsketch.base.findings import Finding, quoted
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.vector import cross
from foldsketch.net.marks.mark_panels import mark_panels
from foldsketch.net.messages import NO_TAB_FITS, NO_TAB_NEEDED, NO_TAPE_NEEDED, NO_TONGUES, NOT_TUCKED
from foldsketch.net.model import BlockFacts, Hold, JointFacts, Nets, Piece
from foldsketch.net.open_feet import OpenFoot, badly_held_feet, find_open_feet, lengths_around
from foldsketch.net.pieces import build_pieces, number_edges
from foldsketch.net.refold import check_nets
from foldsketch.net.tabs.cut_edges import CutEdge, build_unfolded_layout
from foldsketch.net.tabs.reduced_tabs import find_reduced_tabs, held_foot_edges
from foldsketch.net.tabs.tab_search import MIN_TAB_WIDTH_MM, find_tabs
from foldsketch.net.tabs.taped_edges import find_taped_edges
from foldsketch.net.unfolding.face_graph import FaceGraph, build_face_graph
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.reduction import ReducedPart
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Block, Solids
from foldsketch.solid.joining.skin import combine_skins

if TYPE_CHECKING:
    from foldsketch.net.unfolding.flatten import FlatPiece
    from foldsketch.net.unfolding.tucked_prisms import TuckedPrism

LayNets = Callable[[Sequence[Piece]], Sequence[int]]
"""Quarter turns, anticlockwise, by which each net lies turned on its page."""

MAX_NUMBERS_LISTED = 8
"""Edges that a warning lists by their numbers."""


def build_nets(
    faceted: FacetedPart,
    solids: Solids,
    scale: float,
    page: tuple[float, float] | None = None,
    listener: Listener = ignore_progress,
    card: Card = NO_CARD,
    sparse: bool = False,
    reduced: ReducedPart | None = None,
    hold: Hold = "glue",
    open_feet: bool = False,
    lay: LayNets | None = None,
    tongues: bool = False,
) -> Nets:
    """Nets of all blocks, with tabs, marks and the result of the fold-up check.

    scale: paper mm per part mm; page: printable width and height, mm, that every piece must fit; None: no limit;
    card: whose thickness the tabs are compensated for; sparse: without the tabs around ends and holes that are not
    needed; hold: what holds the cut edges; tape goes only where it is needed, sparse or not; open_feet: a block that
    stands on another has no end there, but tabs that are turned in, or tape; not with card, for its foot would be one
    thickness too short; reduced: what is built, and what is drawn on the faces instead; lay: how the nets lie on their
    pages, so that words are upright there; tongues: open feet stand on tongues through slits, where these fit.
    """
    # All blocks are one graph, so that what is computed face by face is computed once for all of them.
    rolled = frozenset(p.index for p in faceted.prisms if p.rolled)
    graph = build_face_graph(combine_skins([b.skin for b in solids.blocks]), rolled)
    feet = find_open_feet(solids, graph, faceted.prisms) if open_feet and not card else {}
    search = find_taped_edges if hold != "glue" else find_reduced_tabs if sparse or feet else find_tabs
    prisms = _tucked_prisms(faceted, solids, graph, feet, page) if hold == "tuck" else []
    given, discs = [flat for p in prisms for flat in p.pieces], sparse or hold != "glue"
    while True:
        flat_pieces = unfold(graph, faceted.datum_direction, page, listener, frozenset(feet), discs, given)
        layout = build_unfolded_layout(graph, flat_pieces, frozenset(feet))
        edges = search(layout)
        loose = badly_held_feet(graph, edges, feet) if hold == "glue" else set()
        if not loose:
            break
        feet = {face: foot for face, foot in feet.items() if face not in loose}
    number_edges(layout, edges)
    if card:
        _shorten_tabs(edges, graph, card)
    block_of = [(b, k) for b in solids.blocks for k in range(len(b.skin.faces))]  # block of every face, number in it
    pieces = build_pieces(faceted, [block_of[p.root][0].id for p in flat_pieces], layout, edges, feet)
    faces_of = [{i: block_of[f][1] for i, f in enumerate(p.place)} for p in flat_pieces]
    findings = _tab_findings(faceted, [block_of[graph.face[e.carrier]][0] for e in edges], edges, hold)
    if hold == "tuck":
        pieces, taped = _tuck(faceted, solids, pieces, prisms, flat_pieces)
        findings += taped
    pieces, joints, told = _stand(pieces, _joint_facts(faceted, solids, hold), tongues)
    quarters = lay(pieces) if lay else [0] * len(pieces)
    signs = sparse and hold == "glue"
    pieces, number_findings = mark_panels(faceted, solids, pieces, faces_of, scale, joints, reduced, quarters, signs)
    if card:
        pieces = [_allow_for_card(p, card) for p in pieces]
    nets = Nets(
        faceted.part.name,
        scale,
        _block_facts(faceted, solids),
        joints,
        tuple(pieces),
        findings=(*faceted.findings, *solids.findings, *findings, *told, *number_findings),
        card=card,
        hold=hold,
        drawn=reduced.drawn if reduced else (),
    )
    listener("refold", 0.0)
    return replace(nets, checks=check_nets(nets))


def _shorten_tabs(edges: Sequence[CutEdge], graph: FaceGraph, card: Card) -> None:
    """Shorten the tabs whose crease moves into the panel by as much, so that they end where they did."""
    for e in edges:
        more = tab_crease_shift(graph.angle[e.carrier], card.thickness)
        if e.shape is not None and more > 0 and e.shape[0] - more >= MIN_TAB_WIDTH_MM:
            width, a, b = e.shape
            left = (width - more) / width
            e.shape = (width - more, a * left, b * left)


def _allow_for_card(piece: Piece, card: Card) -> Piece:
    """A piece with compensation for the thickness of the card.

    The creases of its tabs are one thickness in, and pin holes wide enough for the needle to pass the card.
    """
    marks = tuple(
        m._replace(dots=tuple((x, y, r + card.thickness / 2) for x, y, r in m.dots)) if m.kind == "pin" else m
        for m in piece.marks
    )
    tabs = tuple(t._replace(crease_shift=tab_crease_shift(t.angle, card.thickness)) for t in piece.tabs)
    return replace(piece, tabs=tabs, marks=marks)


def _block_facts(faceted: FacetedPart, solids: Solids) -> tuple[BlockFacts, ...]:
    """What the fold-up check needs of every block."""
    names = {b.id: tuple(faceted.prisms[f].feature.name for f in b.features) for b in solids.blocks}
    return tuple(BlockFacts(b.id, names[b.id], b.skin.volume, b.skin.euler) for b in solids.blocks)


def _stand(
    pieces: list[Piece], joints: tuple[JointFacts, ...], tongues: bool
) -> tuple[list[Piece], tuple[JointFacts, ...], list[Finding]]:
    """The pieces with tongues where these fit, the joints without tape there, and a note on those where none fit."""
    if not tongues:
        return pieces, joints, []
    from foldsketch.net.foot_tongues import put_feet_on_tongues

    made, held, left = put_feet_on_tongues(pieces, joints)
    told = [NO_TONGUES.at("model", count=len(left))] if left else []
    return made, tuple(replace(j, taped=()) if k in held else j for k, j in enumerate(joints)), told


def _tucked_prisms(
    faceted: FacetedPart,
    solids: Solids,
    graph: FaceGraph,
    feet: Mapping[int, OpenFoot],
    page: tuple[float, float] | None,
) -> list[TuckedPrism]:
    # Like what follows imported for the few models that need it: a cold start is half imports.
    from foldsketch.net.unfolding.tucked_prisms import find_tucked_prisms

    return find_tucked_prisms(solids, graph, feet, faceted.datum_direction, page)


def _tuck(
    faceted: FacetedPart,
    solids: Solids,
    pieces: Sequence[Piece],
    prisms: Sequence[TuckedPrism],
    laid: Sequence[FlatPiece],
) -> tuple[list[Piece], list[Finding]]:
    """The pieces with what tucks them together, and a note on the blocks that are taped, by their first features."""
    from foldsketch.net.tucked_tabs import tuck_prisms

    tucked = {p.block for p in prisms}
    names = [faceted.prisms[b.features[0]].feature.name for b in solids.blocks if b.id not in tucked]
    told = [NOT_TUCKED.at("model", count=len(names), names=quoted(names))] if names else []
    return tuck_prisms(pieces, prisms, laid), told


def _joint_facts(faceted: FacetedPart, solids: Solids, hold: Hold) -> tuple[JointFacts, ...]:
    """The joints in the part's frame."""
    back = faceted.rotation_to_part.T
    found = []
    for j in solids.joints:
        taped: tuple[int, ...] = ()
        if hold != "glue":
            taped = held_foot_edges(lengths_around(j.outline))
        holes = tuple(h @ back for h in j.holes)
        found.append(JointFacts(j.blocks, _centroid(j.outline) @ back, j.normal @ back, j.outline @ back, holes, taped))
    return tuple(found)


def _centroid(ring: Array) -> Array:
    """Centroid of a flat polygon (n, 3)."""
    a, b = ring[1:-1] - ring[0], ring[2:] - ring[0]
    w = cross(a, b)
    w = w @ (w.sum(axis=0) / np.linalg.norm(w.sum(axis=0)))
    middle: Array = ring[0] + ((a + b) * w[:, None]).sum(axis=0) / (3 * w.sum())
    return middle


def _tab_findings(faceted: FacetedPart, blocks: Sequence[Block], edges: Sequence[CutEdge], hold: Hold) -> list[Finding]:
    """A warning for every block with edges on which no tab fits, and one note on those that need none.

    blocks: of every edge.
    """
    numbers: dict[int, list[int]] = {}
    names: dict[int, str] = {}
    for block, e in zip(blocks, edges, strict=True):
        if e.loose and not e.bare:
            numbers.setdefault(block.id, []).append(e.number)
            names[block.id] = faceted.prisms[block.features[0]].feature.name
    findings = []
    for block_id in sorted(numbers):
        listed = list(dict.fromkeys(numbers[block_id]))  # the teeth of a rim share one number
        text = ", ".join(map(str, listed[:MAX_NUMBERS_LISTED])) + (" …" if len(listed) > MAX_NUMBERS_LISTED else "")
        count = len(numbers[block_id])
        findings.append(NO_TAB_FITS.at(f"block '{names[block_id]}'", count=count, numbers=text))
    bare = 0 if hold == "tuck" else sum(e.bare for e in edges)
    note = NO_TAPE_NEEDED.at(count=bare) if hold == "tape" else NO_TAB_NEEDED.at("model", count=bare)
    return [*findings, *([note] if bare else [])]
