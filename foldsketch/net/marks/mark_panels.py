"""Everything printed on the panels: first the marks that have their place, then the words around them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import hypot

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding, quoted
from foldsketch.geometry.polygon_loops import PolygonLoop
from foldsketch.net.labels.panel_space import PanelSpace
from foldsketch.net.marks.axis_centres import Centre, mark_centres, mark_letter, pierces_squarely
from foldsketch.net.marks.axis_pointers import point_to_unmarked_axes
from foldsketch.net.marks.datum_lines import mark_datum, mark_joint_outline
from foldsketch.net.marks.drawn_features import draw_features
from foldsketch.net.marks.edge_numbers import mark_edge_numbers
from foldsketch.net.marks.feature_labels import mark_face_names
from foldsketch.net.marks.offset_chain import angles_are_seen, mark_offset_in_words, mark_offsets, offset_figure
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, scale_axes
from foldsketch.net.marks.seam_signs import mark_seam_signs
from foldsketch.net.marks.tape_ticks import mark_tape
from foldsketch.net.messages import EDGE_NUMBERS_OMITTED, NAMES_OMITTED, OFFSET_OMITTED, TAB_NUMBERS_OMITTED
from foldsketch.net.model import ButtEdge, DrawnFeature, JointFacts, Mark, Piece, Tab
from foldsketch.net.rolled_strips import assign_marks_to_panels, merge_panels, rolled_strips
from foldsketch.part.reduction import ReducedPart
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Solids

SLIT_TICK_MM = 0.8
"""Half the length of the tick across the end of a slit, mm."""


def mark_panels(
    faceted: FacetedPart,
    solids: Solids,
    pieces: Sequence[Piece],
    faces_of: Sequence[dict[int, int]],
    scale: float,
    joint_facts: Sequence[JointFacts] = (),
    reduced: ReducedPart | None = None,
    quarters: Sequence[int] | None = None,
    signs: bool = False,
) -> tuple[list[Piece], list[Finding]]:
    """The pieces with everything printed on them.

    faces_of: for each piece, panel id -> face of its block's skin; joint_facts: the joints as they are held; reduced:
    what is built and what is drawn; quarters: quarter turns by which the pieces lie turned on their pages; signs:
    instead of numbers, where they suffice.
    """
    lines = scale_axes(faceted, scale)
    datum = faceted.rotation_to_part @ faceted.datum_direction
    views = [
        PanelView(k, piece.block, faces_of[k][p.id], p, space)
        for k, piece in enumerate(pieces)
        for p, space in zip(piece.panels, _panel_spaces(piece, quarters[k] if quarters else 0), strict=True)
    ]
    by_face = {(s.block, s.face): s for s in views}
    standing = [mark_joint_outline(faceted, solids, joint, by_face, lines, datum) for joint in solids.joints]
    centres = mark_centres(views, lines)
    named = {x.name: x for x in lines}
    own_axis = {f.name: named[f.axis] for f in faceted.part.features if f.axis in named}
    walls = {f.name for f in faceted.part.features if not f.cut}
    mark_datum(views, own_axis, datum, walls, _levels_of_loose_walls(faceted, solids, pieces, standing))
    point_to_unmarked_axes(views, lines)
    mark_tape(pieces, views, joint_facts)
    _mark_slits(pieces, views)
    signed = signs and mark_seam_signs(pieces, views)
    if signed:
        pieces = [replace(p, tabs=tuple(t._replace(label_size=0.0) for t in p.tabs)) for p in pieces]
    skipped = 0 if signed else mark_edge_numbers(pieces, views)
    drawn_on = _draw_features(faceted, solids, views, by_face, reduced, scale)
    silent = _label_centres(faceted, views, centres, lines)
    unnamed = mark_face_names(faceted, pieces, views)
    marked = []
    for k, piece in enumerate(pieces):
        own = [m for s in views if s.piece == k for m in s.marks]
        drawn = tuple(d for s, there in zip(views, drawn_on, strict=True) if s.piece == k for d in there)
        marked.append(replace(piece, marks=assign_marks_to_panels(own, piece), drawn=drawn))
    findings = []
    if skipped:
        findings.append(EDGE_NUMBERS_OMITTED.at(count=skipped))
    if not signed and (unnumbered := sum(map(_count_unnumbered_tabs, pieces))):
        findings.append(TAB_NUMBERS_OMITTED.at(count=unnumbered))
    findings += [OFFSET_OMITTED.at(f"axis {name}") for name in silent]
    if unnamed:
        findings.append(NAMES_OMITTED.at(names=quoted(unnamed)))
    return marked, findings


def _mark_slits(pieces: Sequence[Piece], views: Sequence[PanelView]) -> None:
    """The slits for tongues, with a tick across each end, which no words may cover."""
    names = {piece.id: k for k, piece in enumerate(pieces)}
    by_panel = {(s.piece, s.panel.id): s for s in views}
    slits = [(t.meets.piece, t.meets.panel, t.slit) for piece in pieces for t in piece.tabs if t.slit]
    slits += [(piece.id, t.panel, slit) for piece in pieces for t in piece.tabs for slit in t.openings]
    for name, panel, slit in slits:
        s = by_panel[names[name], panel]
        (ax, ay), (bx, by) = slit
        share = SLIT_TICK_MM / hypot(bx - ax, by - ay)
        u, v = (ay - by) * share, (bx - ax) * share
        ticks = (((x - u, y - v), (x + u, y + v)) for x, y in slit)
        paths = (slit, *ticks)
        s.marks.append(Mark("slit", s.panel.id, "", ((ax + bx) / 2, (ay + by) / 2), paths=paths))
        for path in paths:
            s.free_space.add_obstacle(path)


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
    faceted: FacetedPart,
    views: Sequence[PanelView],
    centres: Sequence[Sequence[Centre]],
    lines: Sequence[ScaledAxis],
) -> list[str]:
    """Offsets and letters of the axes; returns the offset axes whose offset is nowhere on paper."""
    base, units, plain = lines[0], faceted.part.units, angles_are_seen(lines)
    located: set[str] = set()
    for s, own in zip(views, centres, strict=True):
        square = [c for c in own if pierces_squarely(s, c[0])]
        if square:
            located |= mark_offsets(s, square, base, units, plain)
    for s, own in zip(views, centres, strict=True):
        for line, p, hole in own:
            mark_letter(s, line, p, hole, [q for _, q, _ in own if q != p])
    silent = []
    for line in lines[1:]:
        if line.parallel and line.offset > 1e-9 and line.name not in located:
            there = [(s, c) for s, own in zip(views, centres, strict=True) for c in own if c[0] is line]
            if there and not mark_offset_in_words(there, base.name, offset_figure(line, units)):
                silent.append(line.name)
    return silent


def _levels_of_loose_walls(
    faceted: FacetedPart, solids: Solids, pieces: Sequence[Piece], standing: Sequence[Sequence[int]]
) -> dict[int, list[Array]]:
    """Where walls are glued to another block, or to an end that is a net: for every block normals and heights (4,).

    standing: for every joint the blocks whose walls end there.
    """
    found: dict[int, list[Array]] = {}
    for joint, blocks in zip(solids.joints, standing, strict=True):
        normal = faceted.rotation_to_part @ joint.normal
        level = np.array([*normal, normal @ faceted.rotation_to_part @ joint.outline[0]])
        for block in blocks:
            found.setdefault(block, []).append(level)
    by_id = {p.id: p for p in pieces}
    for piece in pieces:
        edges: list[Tab | ButtEdge] = [*piece.tabs, *piece.butts]
        for edge in edges:
            if edge.meets.piece != piece.id:
                for name, panel in ((piece.id, edge.panel), (edge.meets.piece, edge.meets.panel)):
                    end = by_id[name].panel(panel)
                    if end.kind == "end" and len(by_id[name].panels) == 1:
                        level = np.array([*end.to_space[:, 2], end.to_space[:, 2] @ end.origin])
                        found.setdefault(piece.block, []).append(level)
    return found


def _panel_spaces(piece: Piece, quarter: int) -> list[PanelSpace]:
    """The free space of every panel; the panels of a rolled strip, which has no creases, share one."""
    shared: dict[int, PanelSpace] = {}
    for own in rolled_strips(piece):
        space = PanelSpace(merge_panels([piece.panel(k) for k in own]), quarter)
        shared |= dict.fromkeys(own, space)
    return [shared.get(p.id) or PanelSpace(p, quarter) for p in piece.panels]


def _count_unnumbered_tabs(piece: Piece) -> int:
    """Tabs that are too small for their number; teeth of a rim, which share one, and tabs of feet do not count."""
    tabs = [t for t in piece.tabs if t.joint is None and t.glued]
    sharing = Counter(t.number for t in tabs)
    return sum(not t.label_size and sharing[t.number] == 1 for t in tabs)
