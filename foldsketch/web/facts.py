"""What a page has to know about a model and its set-ups, as plain values for JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.units import normalized_degrees
from foldsketch.job.model import Model
from foldsketch.net.marks.dimension_text import length_text, size_text
from foldsketch.net.model import Mark, PaperLine, Piece, Tab
from foldsketch.net.rolled_strips import rolled_strips
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.axis_colours import axis_colour_indices
from foldsketch.web.rounded import model_bounds, model_reach, rounded_values
from foldsketch.web.setup_facts import set_up_facts

MAX_ANIMATED_PANELS = 400
"""Panels up to which a browser folds smoothly; a larger model is shown as a still picture."""


def model_facts(made: Model, plan: SetUpPlan | None, machine: Machine | None = None) -> dict[str, Any]:
    """The model and its set-ups. Lengths are paper mm; those of the figures are the part's."""
    part = made.part
    names = [f.name for f in part.features]
    paint = axis_colour_indices(sorted(a.name for a in part.axes))
    low, high = model_bounds(made)
    return {
        "part": part.name,
        "scale": scale_text(made.nets.scale),
        "panels": sum(len(p.panels) for p in made.nets.pieces),
        "features": [
            {"name": f.name, "axis": f.axis, "size": size_text(f, part.units), "cut": f.cut, "drawn": f in made.drawn}
            for f in (*part.features, *made.drawn)
        ],
        "paints": paint,
        "axes": [_axis_facts(made, a.name) for a in part.axes if any(f.axis == a.name for f in part.features)],
        "middle": rounded_values((low + high) / 2),
        "reach": round(model_reach(made, (low + high) / 2), 3),
        "blocks": {str(b.id): _block_centre(made, b.id) for b in made.nets.blocks},
        "pieces": [_piece_facts(p, names, paint) for p in made.nets.pieces],
        "flat": _flat_placements(made),
        "checked": bool(made.nets.checks and made.nets.checks.passed()),
        **set_up_facts(made, plan, machine),
    }


def _block_centre(made: Model, block: int) -> list[float]:
    skin = next(b for b in made.solids.blocks if b.id == block).skin
    corners = skin.corners @ made.faceted.rotation_to_part.T
    return rounded_values((corners.min(axis=0) + corners.max(axis=0)) / 2)


def _axis_facts(made: Model, name: str) -> dict[str, Any]:
    a = made.part.axis(name)
    offset, angle = made.part.offset(name)
    return {
        "name": name,
        "point": rounded_values(np.array(a.point) * made.nets.scale),
        "direction": rounded_values(np.array(a.direction)),
        "offset": length_text(offset, made.part.units),
        "angle": round(normalized_degrees(angle) % 360, 2) if offset else None,
        "upright": a.along_z,
    }


def _flat_placements(made: Model) -> dict[str, list[float]]:
    """Where each piece is when it is flat, the sheets in rows beside each other: turn (radians) and shift (mm)."""
    placed: dict[str, list[float]] = {}
    across = max(1, round(len(made.sheets) ** 0.5 + 0.3))
    for k, sheet in enumerate(made.sheets):
        x, y = (k % across) * (sheet.size[0] + 10), -(k // across) * (sheet.size[1] + 10)
        for p in sheet.placed:
            placed[p.piece] = [round(p.angle, 6), round(p.shift[0] + x, 3), round(p.shift[1] + y, 3)]
    return placed


def _piece_facts(piece: Piece, names: Sequence[str], paint: Mapping[str, int]) -> dict[str, Any]:
    """A piece as a tree of panels: each with its parent, hinge line and fold angle. paint: the axes' colours."""
    root = piece.panels[0]
    hinges = _hinges(piece)
    rolled = {k for f in piece.folds if f.rolled for k in f.panels}
    marks = _marks_by_panel(piece)
    tabs: dict[int, list[Tab]] = {}
    for t in piece.tabs:
        tabs.setdefault(t.panel, []).append(t)
    by_id = {p.id: p for p in piece.panels}
    panels = []
    for k in (root.id, *hinges):
        panel = by_id[k]
        panels.append(
            {
                "id": k,
                "feature": names.index(panel.feature) if panel.feature in names else -1,
                "rolled": k in rolled,
                "loops": [_flat_coordinates(loop) for loop in (panel.outline, *panel.holes)],
                "hinge": hinges.get(k),
                "marks": [_mark_facts(m, paint) for m in marks.get(k, ())],
                "tabs": [_tab_facts(t) for t in tabs.get(k, ())],
            }
        )
    return {
        "id": piece.id,
        "block": piece.block,
        "turn": [rounded_values(row, 7) for row in root.to_space],
        "origin": rounded_values(root.origin, 5),
        "panels": panels,
    }


def _hinges(piece: Piece) -> dict[int, dict[str, Any]]:
    """The fold that each panel but the first hangs on, breadth first from the first panel: panel, line and angle."""
    links: dict[int, list[tuple[int, PaperLine, float]]] = {}
    for f in piece.folds:
        one, other = f.panels
        links.setdefault(one, []).append((other, f.line, f.angle))
        # Seen from the second panel the line runs the other way.
        links.setdefault(other, []).append((one, (f.line[1], f.line[0]), f.angle))
    order = [piece.panels[0].id]
    hinges: dict[int, dict[str, Any]] = {}
    for panel in order:
        for other, line, angle in links.get(panel, ()):
            if other not in hinges and other != order[0]:
                hinges[other] = {"on": panel, "line": _flat_values(line), "angle": round(angle, 6)}
                order.append(other)
    return hinges


def _marks_by_panel(piece: Piece) -> dict[int, list[Mark]]:
    """The marks of each panel. On a rolled strip a word runs over several panels: each of them shows its share."""
    strips = {k: strip for strip in rolled_strips(piece) for k in strip}
    marks: dict[int, list[Mark]] = {}
    for m in piece.marks:
        if m.panel is not None:
            for k in strips.get(m.panel, (m.panel,)):
                marks.setdefault(k, []).append(m)
    return marks


def _tab_facts(t: Tab) -> dict[str, Any]:
    """A tab. kind: what is tucked in or goes through a slit, where it is not glued; its own slits and second crease."""
    kind = {"kind": t.part or "tongue"} if not t.glued else {}
    more: dict[str, Any] = {"slits": [_flat_values(v) for v in t.openings]} if t.openings else {}
    if t.bend:
        more["bend"] = _flat_values(t.bend)
    return {
        **kind,
        **more,
        "number": t.number,
        "loop": _flat_coordinates(t.outline),
        "line": _flat_values(t.line),
        "angle": round(t.angle, 6),
        "at": rounded_values(t.label_at),
        "size": t.label_size,
        "turn": round(t.label_angle, 4),
    }


def _flat_values(line: PaperLine) -> list[float]:
    """The ends of a line as four numbers."""
    return rounded_values((*line[0], *line[1]))


def _mark_facts(m: Mark, paint: Mapping[str, int]) -> dict[str, Any]:
    made: dict[str, Any] = {"kind": m.kind}
    if m.axis in paint:
        made["paint"] = paint[m.axis]
    if m.text and m.size:
        made |= {"text": m.text, "at": rounded_values(m.at), "size": m.size, "turn": round(m.angle, 4)}
    if m.paths:
        made["paths"] = [_flat_coordinates(np.array(path)) for path in m.paths]
    if m.circles:
        made["circles"] = [rounded_values(c) for c in m.circles]
    if m.dots:
        made["dots"] = [rounded_values(d) for d in m.dots]
    return made


def _flat_coordinates(loop: Array) -> list[float]:
    """Corners as one flat list."""
    return [round(v, 2) + 0.0 for v in np.asarray(loop, float).ravel().tolist()]
