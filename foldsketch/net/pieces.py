"""From the graph to paper: flat faces and cut edges become pieces with panels, folds and tabs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import atan2, cos, hypot, pi, sin
from typing import NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.net.marks.dimension_text import net_title
from foldsketch.net.model import ButtEdge, Fold, MatingEdge, Panel, PaperLine, Piece, Tab
from foldsketch.net.open_feet import OpenFoot
from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout, tab_corners_on_paper
from foldsketch.net.tabs.tab_numbers import place_tab_number
from foldsketch.net.tabs.taped_edges import tape_strips
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import ComplexPoints, all_folds
from foldsketch.solid.faceting.facet import FacetedPart

TEETH_PER_NUMBER = 8
"""Of the teeth on a rolled rim the first, and then one in so many, has its number printed on it."""


def number_edges(layout: UnfoldedLayout, edges: Sequence[CutEdge]) -> None:
    """Number the cut edges, the teeth of one rim alike; bare edges come last, for nobody glues by them."""
    graph = layout.graph
    number = 1
    rims: dict[tuple[int, int, int], int] = {}
    for e in sorted(edges, key=lambda e: e.bare):
        e.number = number
        if e.carrier in graph.teeth:
            # A rim is known by the feature and the piece of its rolled wall, and by the face that the wall meets.
            ends = sorted((graph.face[e.carrier], graph.face[e.target]), key=lambda f: graph.faces[f].kind != "side")
            rim = (graph.faces[ends[0]].feature, layout.piece_of[ends[0]], ends[1])
            e.number = rims.setdefault(rim, number)
        if e.number == number:
            number += 1


def build_pieces(
    faceted: FacetedPart,
    blocks: Sequence[int],
    layout: UnfoldedLayout,
    edges: Sequence[CutEdge],
    feet: Mapping[int, OpenFoot],
) -> list[Piece]:
    """The pieces, each moved so that its panels and tabs begin at x = 0 and y = 0.

    blocks: the block of every piece; feet: ends that are not built, by their faces.
    """
    graph, pieces = layout.graph, layout.pieces
    tabbed = [e for e in edges if e.shape is not None]
    corners = tab_corners_on_paper(tabbed, graph, layout.at) if tabbed else np.empty((0, 4), dtype=complex)
    piece_of_face = np.array([layout.piece_of[f] for f in range(graph.count)])
    at = layout.at.copy()
    _move_to_origin(at, piece_of_face[graph.face], corners, piece_of_face[[graph.face[e.carrier] for e in tabbed]])
    where = {f: (k, i) for k, piece in enumerate(pieces) for i, f in enumerate(piece.place)}
    ends = list(zip(at.real.tolist(), at.imag.tolist(), strict=True))

    def line(h: int) -> PaperLine:
        return (ends[h], ends[graph.after[h]])

    panels = _panels(faceted, graph, at, where)
    outlines = iter(np.stack((corners.real, corners.imag), axis=-1))
    tabs, butts, opened = _held_edges(layout, edges, feet, panels, where, line, outlines)
    made = []
    for k, piece in enumerate(pieces):
        if piece.root in feet:
            continue
        folds = tuple(
            Fold(
                (where[graph.across(h)][1], where[graph.face[h]][1]),
                line(graph.twin[h]),
                graph.angle[h],
                h in graph.rolled,
            )
            for h in all_folds(graph, piece)
        )
        joints = tuple(joint for joint, at in opened.items() if at == k)
        contents = _Contents(tuple(panels[f] for f in piece.place), folds, tuple(tabs[k]), tuple(butts[k]), joints)
        made.append(_piece(faceted, k, blocks[k], contents))
    return made


def _held_edges(
    layout: UnfoldedLayout,
    edges: Sequence[CutEdge],
    feet: Mapping[int, OpenFoot],
    panels: Sequence[Panel],
    where: Mapping[int, tuple[int, int]],
    line: Callable[[int], PaperLine],
    outlines: Iterator[Array],
) -> tuple[list[list[Tab]], list[list[ButtEdge]], dict[int, int]]:
    """Tabs and edges without one of every piece, and the piece of every joint that closes an open foot.

    where: piece and panel of every face; line: where a half-edge lies on paper; outlines: of the tabs, in turn.
    """
    graph, pieces = layout.graph, layout.pieces
    tabs: list[list[Tab]] = [[] for _ in pieces]
    butts: list[list[ButtEdge]] = [[] for _ in pieces]
    teeth: dict[int, int] = {}  # number -> teeth that have it so far
    opened: dict[int, int] = {}  # joint -> piece
    for e in edges:
        k, panel = where[graph.face[e.carrier]]
        foot = feet.get(graph.face[e.target])
        face = foot.receiving if foot else graph.face[e.target]
        target, target_panel = where[face]
        own = line(e.carrier)
        there = _line_on_panel(panels[face], panels[graph.face[e.carrier]], own) if foot else line(e.target)
        meets = MatingEdge(str(target + 1), target_panel, there)
        joint = foot.joint if foot else None
        if foot:
            opened.setdefault(foot.joint, k)
        if e.shape is None:
            strips = len(tape_strips(graph.length[e.carrier])) if e.taped else 0
            bare = e.bare or foot is not None
            butts[k].append(ButtEdge(e.number, panel, own, meets, bare, strips, graph.angle[e.carrier], joint))
            continue
        tab = _tab(e, panel, next(outlines), own, meets, graph.angle[e.carrier])
        if foot:  # it is seen where it goes
            tab = tab._replace(label_size=0.0, joint=joint)
        if e.carrier in graph.teeth:
            teeth[e.number] = teeth.get(e.number, 0) + 1
            if teeth[e.number] % TEETH_PER_NUMBER != 1:
                tab = tab._replace(label_size=0.0)
        tabs[k].append(tab)
    return tabs, butts, opened


class _Contents(NamedTuple):
    """What a piece is made of. open: joints that close it where it has no foot."""

    panels: tuple[Panel, ...]
    folds: tuple[Fold, ...]
    tabs: tuple[Tab, ...]
    butts: tuple[ButtEdge, ...]
    open: tuple[int, ...]


def _piece(faceted: FacetedPart, k: int, block: int, own: _Contents) -> Piece:
    """The k-th piece, with the title of its features."""
    shown = [faceted.prisms_by_name[name].feature for name in dict.fromkeys(p.feature for p in own.panels)]
    title, size = net_title(shown, faceted.part.units)
    return Piece(str(k + 1), block, own.panels, own.folds, own.tabs, own.butts, open=own.open, title=title, size=size)


def _move_to_origin(at: ComplexPoints, piece: Ints, corners: ComplexPoints, piece_of_tab: Ints) -> None:
    """Shift points (n,) and corners of tabs (m, 4) in place, so that every piece begins at 0. piece: of every point."""
    for k in range(int(piece.max()) + 1):
        own, carried = piece == k, piece_of_tab == k
        points = np.concatenate((at[own], corners[carried].ravel()))
        shift = -complex(points.real.min(), points.imag.min())
        at[own] += shift
        corners[carried] += shift


def _line_on_panel(panel: Panel, own: Panel, line: PaperLine) -> PaperLine:
    """A line of one panel on another that it lies on in space, from its end to its beginning."""
    end, start = ((own.in_space(np.array(line[::-1])) - panel.origin) @ panel.to_space[:, :2]).tolist()
    return ((end[0], end[1]), (start[0], start[1]))


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
    """Every face as a panel of its piece, in the order of the faces.

    at: tails of half-edges on paper; where: face -> piece and number in it.
    """
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
