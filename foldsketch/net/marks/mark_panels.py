"""Everything printed on the panels: first the marks that have their place, then the words around them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import dist

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding
from foldsketch.geometry.polygon_loops import PolygonLoop
from foldsketch.net.labels.panel_space import PanelSpace
from foldsketch.net.marks.axis_centres import Centre, mark_centres, mark_letter, pierces_squarely
from foldsketch.net.marks.axis_pointers import point_to_unmarked_axes
from foldsketch.net.marks.datum_lines import mark_datum, mark_joint_outline
from foldsketch.net.marks.drawn_features import draw_features
from foldsketch.net.marks.edge_numbers import mark_edge_numbers
from foldsketch.net.marks.feature_labels import PieceKeys, mark_feature_names, mark_net_number
from foldsketch.net.marks.offset_arrows import (
    Arrow,
    is_drawn,
    mark_arrows,
    mark_offset_beside_arrow,
    mark_offset_elsewhere,
    offset_text,
)
from foldsketch.net.marks.panel_view import PanelView, scale_axes
from foldsketch.net.marks.tape_ticks import mark_tape
from foldsketch.net.messages import EDGE_NUMBERS_AS_STROKES, EDGE_NUMBERS_OMITTED, TAB_NUMBERS_OMITTED
from foldsketch.net.model import ButtEdge, DrawnFeature, JointFacts, Piece, Tab
from foldsketch.net.rolled_strips import assign_marks_to_panels, merge_panels, rolled_strips
from foldsketch.part.reduction import ReducedPart
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Solids


def mark_panels(
    faceted: FacetedPart,
    solids: Solids,
    pieces: Sequence[Piece],
    faces_of: Sequence[dict[int, int]],
    scale: float,
    joint_facts: Sequence[JointFacts] = (),
    reduced: ReducedPart | None = None,
) -> tuple[list[Piece], list[Finding]]:
    """The pieces with everything printed on them.

    faces_of: for each piece, panel id -> face of its block's skin; joint_facts: the joints as they are held; reduced:
    what is built and what is drawn.
    """
    lines = scale_axes(faceted, scale)
    datum = faceted.rotation_to_part @ faceted.datum_direction
    views = [
        PanelView(k, piece.block, faces_of[k][p.id], p, space)
        for k, piece in enumerate(pieces)
        for p, space in zip(piece.panels, _panel_spaces(piece), strict=True)
    ]
    by_face = {(s.block, s.face): s for s in views}
    for joint in solids.joints:
        mark_joint_outline(faceted, solids, joint, by_face, lines, datum)
    centres = mark_centres(views, lines)
    named = {x.name: x for x in lines}
    own_axis = {f.name: named[f.axis] for f in faceted.part.features if f.axis in named}
    mark_datum(views, own_axis, datum, _levels_of_loose_walls(faceted, solids, pieces))
    point_to_unmarked_axes(views, lines)
    square = [[c for c in own if pierces_squarely(s, c[0])] for s, own in zip(views, centres, strict=True)]
    arrows = [mark_arrows(s, own, lines[0]) if own else [] for s, own in zip(views, square, strict=True)]
    mark_tape(pieces, views, joint_facts)
    skipped = mark_edge_numbers(pieces, views)
    drawn_on = _draw_features(faceted, solids, views, by_face, reduced, scale)
    keys: PieceKeys = {}
    for s, own, drawn in zip(views, centres, arrows, strict=True):
        _label_centres(faceted, s, own, drawn, keys)
    printed: list[list[PanelView]] = [[] for _ in pieces]
    for s in views:
        printed[s.piece].append(s)
    # On a panel that is a net by itself its number comes first; elsewhere names have the better places.
    for piece, panels in zip(pieces, printed, strict=True):
        if len(panels) == 1:
            mark_net_number(panels, piece.id)
    for block in solids.blocks:
        mark_feature_names(faceted, [s for s in views if s.block == block.id], keys)
    for piece, panels in zip(pieces, printed, strict=True):
        if len(panels) > 1:
            mark_net_number(panels, piece.id)
    marked = [
        replace(
            piece,
            marks=assign_marks_to_panels([m for s in own for m in s.marks], piece),
            drawn=tuple(d for s, there in zip(views, drawn_on, strict=True) if s.piece == k for d in there),
            key=tuple(keys.get(k, ())),
        )
        for k, (piece, own) in enumerate(zip(pieces, printed, strict=True))
    ]
    findings = []
    if skipped:
        bare = any(b.bare for p in pieces for b in p.butts) and any(p.tabs for p in pieces)
        findings.append((EDGE_NUMBERS_AS_STROKES if bare else EDGE_NUMBERS_OMITTED).at(count=skipped))
    unnumbered = sum(map(_count_unnumbered_tabs, pieces))
    if unnumbered:
        findings.append(TAB_NUMBERS_OMITTED.at(count=unnumbered))
    return marked, findings


def _draw_features(
    faceted: FacetedPart,
    solids: Solids,
    views: Sequence[PanelView],
    by_face: dict[tuple[int, int], PanelView],
    reduced: ReducedPart | None,
    scale: float,
) -> list[list[DrawnFeature]]:
    """What is drawn on every panel, with its marks."""
    if reduced is None or not faceted.part.features:
        return [[] for _ in views]
    covered: dict[int, list[PolygonLoop]] = {}
    back = faceted.rotation_to_part.T
    for joint in solids.joints:
        # An open foot has no panel.
        for s in (by_face[at] for at in zip(joint.blocks, joint.faces, strict=True) if at in by_face):
            covered.setdefault(id(s), []).append(s.to_paper(joint.outline @ back).tolist())
    return draw_features(faceted, views, reduced, [covered.get(id(s), []) for s in views], scale)


def _label_centres(
    faceted: FacetedPart, s: PanelView, own: Sequence[Centre], arrows: Sequence[Arrow], keys: PieceKeys
) -> None:
    """Write offsets beside their arrows, the letters of the axes, and the other offsets where they fit."""
    left = []
    drawn = [a for a in arrows if is_drawn(a)]
    for arrow in sorted(arrows, key=lambda a: -round(dist(*a[1:]), 6)):
        text = offset_text(faceted, arrow[0])
        if not mark_offset_beside_arrow(s, arrow, text, [a for a in drawn if a is not arrow]):
            left.append((arrow, text))
    for line, p, hole in own:
        mark_letter(s, line, p, hole, [q for _, q, _ in own if q != p])
    for arrow, text in left:
        mark_offset_elsewhere(s, arrow, text, keys, [a for a in drawn if a is not arrow])


def _levels_of_loose_walls(faceted: FacetedPart, solids: Solids, pieces: Sequence[Piece]) -> dict[int, list[Array]]:
    """Where walls are glued to another block, or to an end of another net: for every block normals and heights (4,)."""
    found: dict[int, list[Array]] = {}
    for joint in solids.joints:
        normal = faceted.rotation_to_part @ joint.normal
        level = np.array([*normal, normal @ faceted.rotation_to_part @ joint.outline[0]])
        for block in joint.blocks:
            found.setdefault(block, []).append(level)
    by_id = {p.id: p for p in pieces}
    for piece in pieces:
        edges: list[Tab | ButtEdge] = [*piece.tabs, *piece.butts]
        for edge in edges:
            if edge.meets.piece != piece.id:
                ends = (piece.panel(edge.panel), by_id[edge.meets.piece].panel(edge.meets.panel))
                for end in ends:
                    if end.kind == "end":
                        level = np.array([*end.to_space[:, 2], end.to_space[:, 2] @ end.origin])
                        found.setdefault(piece.block, []).append(level)
    return found


def _panel_spaces(piece: Piece) -> list[PanelSpace]:
    """The free space of every panel; the panels of a rolled strip, which has no creases, share one."""
    shared: dict[int, PanelSpace] = {}
    for own in rolled_strips(piece):
        space = PanelSpace(merge_panels([piece.panel(k) for k in own]))
        shared |= dict.fromkeys(own, space)
    return [shared.get(p.id) or PanelSpace(p) for p in piece.panels]


def _count_unnumbered_tabs(piece: Piece) -> int:
    """Tabs that are too small for their number; teeth of a rim, which share one, and tabs of feet do not count."""
    tabs = [t for t in piece.tabs if t.joint is None]
    sharing = Counter(t.number for t in tabs)
    return sum(not t.label_size and sharing[t.number] == 1 for t in tabs)
