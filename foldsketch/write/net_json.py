"""The net file: nets and sheets as JSON, so that whoever has only this file can rebuild the model."""

from __future__ import annotations

import json
from collections.abc import Sequence
from math import degrees
from typing import Any

from foldsketch.net.model import ButtEdge, DrawnFeature, Fold, Mark, Nets, Panel, Piece, Tab
from foldsketch.sheet.layout.model import Sheet

NET_FORMAT = "foldsketch-net 1"


def net_json(nets: Nets, sheets: Sequence[Sheet]) -> bytes:
    """The net file. Lengths are paper mm, angles degrees."""
    checks = nets.checks
    tree = {
        "format": NET_FORMAT,
        "part": nets.part,
        "units": "mm",
        "scale": nets.scale,
        **({"card": nets.card.thickness} if nets.card else {}),
        "blocks": [
            {"id": b.id, "features": list(b.features), "volume": b.volume, "euler": b.euler} for b in nets.blocks
        ],
        "joints": [
            {
                "blocks": list(j.blocks),
                "at": j.at.tolist(),
                "normal": j.normal.tolist(),
                "outline": j.outline.tolist(),
                "holes": [h.tolist() for h in j.holes],
                **({"taped": list(j.taped)} if j.taped else {}),
            }
            for j in nets.joints
        ],
        "pieces": [_piece(p) for p in nets.pieces],
        "sheets": [
            {
                "paper": s.paper,
                "size": list(s.size),
                "placed": [{"piece": p.piece, "angle": degrees(p.angle), "shift": list(p.shift)} for p in s.placed],
            }
            for s in sheets
        ],
        "hold": nets.hold,
        "checks": {}
        if checks is None
        else {
            "refold_gap": checks.refold_gap,
            "overlap_area": checks.overlap_area,
            "tabs_inside": checks.tabs_inside,
            "volume_error": checks.volume_error,
            "panel_gap": checks.panel_gap,
            "tab_clash": checks.tab_clash,
            "overlap_depth": checks.overlap_depth,
        },
        "findings": [f.as_dict() for f in nets.findings],
    }
    return (_format_json(tree) + "\n").encode()


def _format_json(value: Any, indent: int = 0, depth: int = 4) -> str:
    """JSON with one panel, fold, tab or mark a line: long lists of objects are broken, everything else is not."""
    pad = " " * indent
    if depth and isinstance(value, dict) and any(_breaks_into_lines(v) for v in value.values()):
        rows = [f"{pad} {json.dumps(k)}: {_format_json(v, indent + 1, depth - 1)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + f"\n{pad}}}"
    if _breaks_into_lines(value):
        rows = [f"{pad} {_format_json(v, indent + 1, depth - 1)}" for v in value]
        return "[\n" + ",\n".join(rows) + f"\n{pad}]"
    return json.dumps(value, ensure_ascii=False)


def _breaks_into_lines(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _piece(p: Piece) -> dict[str, Any]:
    return {
        "id": p.id,
        "block": p.block,
        "panels": [_panel(x) for x in p.panels],
        "folds": [_fold(f) for f in p.folds],
        "tabs": [_tab(t) for t in p.tabs],
        **({"tongues": tongues} if (tongues := [_tongue(t) for t in p.tabs if t.slit]) else {}),
        "butts": [_butt(b) for b in p.butts],
        "marks": [_mark(m) for m in p.marks],
        "drawn": [_drawn(d) for d in p.drawn],
        "key": [{"number": n, "text": t} for n, t in p.key],
        **({"open": list(p.open)} if p.open else {}),
    }


def _fold(f: Fold) -> dict[str, Any]:
    made: dict[str, Any] = {"panels": list(f.panels), "line": f.line, "angle": degrees(f.angle)}
    if f.rolled:
        made["rolled"] = True
    return made


def _panel(p: Panel) -> dict[str, Any]:
    return {
        "id": p.id,
        "outline": p.outline.tolist(),
        "holes": [h.tolist() for h in p.holes],
        "feature": p.feature,
        "kind": p.kind,
        "side": p.side,
        "to_space": p.to_space.tolist(),
        "origin": p.origin.tolist(),
    }


def _edge_meeting(t: Tab | ButtEdge) -> dict[str, Any]:
    meets = {"piece": t.meets.piece, "panel": t.meets.panel, "line": t.meets.line}
    made: dict[str, Any] = {"number": t.number, "panel": t.panel, "line": t.line, "meets": meets}
    if t.joint is not None:
        made["joint"] = t.joint
    return made


def _butt(b: ButtEdge) -> dict[str, Any]:
    made = _edge_meeting(b)
    if b.bare:
        made["bare"] = True
    if b.strips:
        made["strips"] = b.strips
    return made


def _tab(t: Tab) -> dict[str, Any]:
    made = {**_edge_meeting(t), "outline": t.outline.tolist(), "angle": degrees(t.angle)}
    if t.slit is not None:
        made["slit"] = t.slit
    if t.part:
        made["part"] = t.part
    if t.openings:
        made["slits"] = t.openings
    if t.bend is not None:
        made["bend"] = t.bend
    if t.crease_shift:
        made["under"] = t.crease_shift
    return made


def _tongue(t: Tab) -> dict[str, Any]:
    """A tongue of a foot and its slit; it is among the tabs as well."""
    slit = {"piece": t.meets.piece, "panel": t.meets.panel, "line": t.slit}
    return {"number": t.number, "panel": t.panel, "line": t.line, "outline": t.outline.tolist(), "slit": slit}


def _drawn(d: DrawnFeature) -> dict[str, Any]:
    made: dict[str, Any] = {"feature": d.feature, "axis": d.axis, "panel": d.panel, "kind": d.kind}
    made |= {"centre": list(d.centre), "radius": d.radius} if d.line is None else {"line": d.line}
    return {**made, "hidden": d.hidden}


def _mark(m: Mark) -> dict[str, Any]:
    return {
        "kind": m.kind,
        "panel": m.panel,
        "axis": m.axis,
        "at": list(m.at),
        "text": m.text,
        "size": m.size,
        "angle": degrees(m.angle),
        "paths": m.paths,
        "dots": m.dots,
        **({"circles": m.circles} if m.circles else {}),
    }
