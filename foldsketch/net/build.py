"""Build: blocks become pieces with numbered tabs, marks and a place in the folded model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from foldsketch.base.findings import Finding
from foldsketch.base.progress import Listener, silent
from foldsketch.base.vector import cross
from foldsketch.net.graph import Array, Graph, graph_of
from foldsketch.net.layout import Laid, all_folds, outline
from foldsketch.net.marks import mark
from foldsketch.net.model import BlockFacts, Butt, Fold, JointFacts, Line, Meets, Nets, Panel, Piece, Tab
from foldsketch.net.refold import check
from foldsketch.net.tabs import CutEdge, find_tabs, ground_of
from foldsketch.net.unfold import unfold
from foldsketch.solid.blocks import Block, Solids
from foldsketch.solid.facet import Faceted


def build(
    faceted: Faceted,
    solids: Solids,
    scale: float,
    page: tuple[float, float] | None = None,
    listener: Listener = silent,
) -> Nets:
    """Nets of all blocks, with tabs, marks and the oracle's checks.

    scale: paper mm per part mm; page: printable width and height, mm, that every piece must fit; None: no limit.
    """
    pieces: list[Piece] = []
    faces_of: list[dict[int, int]] = []
    findings: list[Finding] = []
    number = 1
    for k, block in enumerate(solids.blocks):
        listener("unfold", k / len(solids.blocks))
        graph = graph_of(block.skin)
        laid = unfold(graph, faceted.datum_direction, page)
        edges = find_tabs(ground_of(graph, laid))
        for e in edges:
            e.number = number
            number += 1
        made = _pieces(faceted, block, graph, laid, edges, len(pieces))
        pieces += [p for p, _ in made]
        faces_of += [f for _, f in made]
        butt = [e for e in edges if e.tab is None]
        if butt:
            findings.append(_butt_finding(faceted, block, butt))
    pieces, more = mark(faceted, solids, pieces, faces_of, scale)
    nets = Nets(
        faceted.part.name,
        scale,
        tuple(
            BlockFacts(b.id, tuple(faceted.prisms[f].feature.name for f in b.features), b.skin.volume, b.skin.euler)
            for b in solids.blocks
        ),
        tuple(_joint(faceted, j.blocks, j.outline, j.holes, j.normal) for j in solids.joints),
        tuple(pieces),
        findings=(*faceted.findings, *solids.findings, *findings, *more),
    )
    listener("refold", 0.0)
    return replace(nets, checks=check(nets))


def _joint(faceted: Faceted, blocks: tuple[int, int], ring: Array, holes: Sequence[Array], normal: Array) -> JointFacts:
    back = faceted.turn.T
    middle = _centroid(ring)
    return JointFacts(blocks, middle @ back, normal @ back, ring @ back, tuple(h @ back for h in holes))


def _centroid(ring: Array) -> Array:
    """Centroid of a flat polygon (n, 3)."""
    a, b = ring[1:-1] - ring[0], ring[2:] - ring[0]
    w = cross(a, b)
    w = w @ (w.sum(axis=0) / np.linalg.norm(w.sum(axis=0)))
    middle: Array = ring[0] + ((a + b) * w[:, None]).sum(axis=0) / (3 * w.sum())
    return middle


def _butt_finding(faceted: Faceted, block: Block, butt: Sequence[CutEdge]) -> Finding:
    name = faceted.prisms[block.features[0]].feature.name
    numbers = ", ".join(str(e.number) for e in butt[:8]) + (" …" if len(butt) > 8 else "")
    return Finding(
        "warning",
        f"block of '{name}'",
        f"no tab fits on {len(butt)} edge{'s' if len(butt) > 1 else ''} ({numbers})",
        "set these edges butt and hold them with a drop of glue or tape, or print larger",
    )


def _pieces(
    faceted: Faceted, block: Block, graph: Graph, laid: Sequence[Laid], edges: Sequence[CutEdge], before: int
) -> list[tuple[Piece, dict[int, int]]]:
    """Pieces of one block and, for each, panel id -> face of the skin."""
    shifts = [_shift(graph, own, [e for e in edges if e.tab and graph.face[e.carry] in own.place]) for own in laid]
    where = {f: (k, i) for k, own in enumerate(laid) for i, f in enumerate(own.place)}
    names = [str(before + k + 1) for k in range(len(laid))]

    def line(h: int) -> Line:
        f = graph.face[h]
        k, _ = where[f]
        r, t = laid[k].place[f]
        a = r * graph.flat[h] + t + shifts[k]
        b = r * graph.flat[graph.after[h]] + t + shifts[k]
        return ((a.real, a.imag), (b.real, b.imag))

    made = []
    for k, own in enumerate(laid):
        shift = shifts[k]
        panels = tuple(_panel(faceted, graph, own, f, i, shift) for i, f in enumerate(own.place))
        folds = tuple(
            Fold((where[graph.face[graph.twin[h]]][1], where[f][1]), line(graph.twin[h]), graph.angle[h])
            for h in all_folds(graph, own)
            for f in (graph.face[h],)
        )
        tabs, butts = [], []
        for e in edges:
            if graph.face[e.carry] not in own.place:
                continue
            target = where[graph.face[e.target]]
            meets = Meets(names[target[0]], target[1], line(e.target))
            panel = where[graph.face[e.carry]][1]
            if e.tab is None:
                butts.append(Butt(e.number, panel, line(e.carry), meets))
            else:
                corners = np.array([[(c + shift).real, (c + shift).imag] for c in e.tab])
                tabs.append(_tab(e, panel, corners, line(e.carry), meets, graph.angle[e.carry]))
        made.append(
            (
                Piece(names[k], block.id, panels, folds, tuple(tabs), tuple(butts)),
                dict(enumerate(own.place)),
            )
        )
    return made


def _tab(e: CutEdge, panel: int, corners: Array, root: Line, meets: Meets, angle: float) -> Tab:
    width = e.shape[0]
    (x0, y0), (x1, y1) = root
    along = float(np.arctan2(y1 - y0, x1 - x0)) + np.pi
    middle = corners.mean(axis=0)
    size = 2.5 if width >= 5 else 1.8
    # A number needs its height and a little air on both sides.
    fits = width >= 2.4 and float(np.hypot(x1 - x0, y1 - y0)) >= 1.1 * size * len(str(e.number))
    return Tab(
        e.number, panel, corners, root, meets, angle, (float(middle[0]), float(middle[1])), size if fits else 0.0, along
    )


def _shift(graph: Graph, laid: Laid, edges: Sequence[CutEdge]) -> complex:
    """What moves the piece so that its panels and tabs begin at x = 0 and y = 0."""
    points = [r * graph.flat[h] + t for f, (r, t) in laid.place.items() for h in graph.loops[f][0]]
    points += [c for e in edges for c in e.tab or ()]
    return -complex(min(p.real for p in points), min(p.imag for p in points))


def _panel(faceted: Faceted, graph: Graph, laid: Laid, face: int, number: int, shift: complex) -> Panel:
    r, t = laid.place[face]
    t += shift
    x, y, n = (graph.frame[face, :, k] for k in range(3))
    m = np.column_stack((x * r.real - y * r.imag, x * r.imag + y * r.real, n))
    origin = graph.origin[face] - m[:, 0] * t.real - m[:, 1] * t.imag
    loops = [a + np.array([shift.real, shift.imag]) for a in outline(graph, laid, face)]
    f = graph.faces[face]
    return Panel(
        number,
        loops[0],
        tuple(loops[1:]),
        faceted.prisms[f.feature].feature.name,
        f.kind,
        f.side,
        faceted.turn @ m,
        faceted.turn @ origin,
    )
