"""Text of the steps in which a net is creased, pierced and cut out."""

from __future__ import annotations

import numpy as np

from foldsketch.base.units import format_count
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.assembly_text import pencil_numbers_text
from foldsketch.sheet.booklet.context import BookletContext, format_features


def cutting_text(context: BookletContext, piece: Piece) -> list[str]:
    """What to do with a net while it is flat, in this order."""
    rims = {t.number: t.angle for t in piece.tabs}  # the teeth of one rim have one number and one crease
    angles = [f.angle for f in piece.folds if not f.rolled] + list(rims.values())
    out, in_ = sum(a > 1e-9 for a in angles), sum(a < -1e-9 for a in angles)
    number = context.sheet_positions.get(piece.id, (0, 0.0))[0]
    net = f"net {piece.id} ({format_features(piece)}{f', sheet {number}' if number else ''})"
    forward = f", {in_} {'fold' if in_ == 1 else 'folds'} of it forward" if in_ and out else ", all folds forward"
    todo = [f"crease {net}{forward if in_ else ''}"] if out or in_ else []
    pins, holes = sum(len(m.dots) for m in piece.marks), sum(len(p.holes) for p in piece.panels)
    slits = sum(m.kind == "slit" for m in piece.marks)
    if pins:
        todo.append(f"pierce its {'centre' if pins == 1 else 'centres'}")
    if holes:
        todo.append(f"cut the {'opening' if holes == 1 else 'openings'} in it")
    if slits:
        todo.append(f"cut its {format_count(slits, 'slit')} with the knife, from tick to tick")
    todo.append("then cut it out" if todo else f"cut {net} out")
    said = ", ".join(todo)
    words = [f"{said[0].upper()}{said[1:]}." if out or in_ or len(todo) == 1 else f"Of {net}: {said}."]
    bends = [f.angle for f in piece.folds if f.rolled]
    if bends:
        # A bore curls with its printed side in.
        side = "up" if sum(bends) > 0 else "down"
        fan = ", the edge always along a line to the middle of the fan" if _is_cone_wall(piece) else ""
        words.append(
            f"Its wall is rolled, not creased: draw the strip over the edge of a table, printed side {side}{fan}, "
            "until it curls like the finished wall. Cut between its teeth down to their crease."
        )
        if fan:
            words.append("Crease the curved roots of its teeth tooth by tooth.")
    return words + pencil_numbers_text(context, piece)


def _is_cone_wall(piece: Piece) -> bool:
    """Whether a rolled wall is that of a cone: its bends are not parallel."""
    ways = [np.subtract(f.line[1], f.line[0]) for f in piece.folds if f.rolled]
    first = ways[0]
    return any(abs(first[0] * w[1] - first[1] * w[0]) > 1e-3 * float(np.hypot(*first) * np.hypot(*w)) for w in ways)
