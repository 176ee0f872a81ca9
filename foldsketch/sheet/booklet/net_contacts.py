"""How a net meets others in a step: one stands on the other, is set into it, or goes on in it."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.context import format_nets
from foldsketch.sheet.booklet.scene import faces_inward


def share_tab(piece: Piece, other: Piece, number: int) -> bool:
    """Whether the tab of a number joins two nets."""
    return any(
        t.number == number and t.meets.piece == b.id for a, b in ((piece, other), (other, piece)) for t in a.held_edges
    )


def is_tube_behind_end(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> bool:
    """Whether tubes are glued behind openings of an end, whose numbers are on its other side."""
    return any(
        faces_inward(p)
        and t.number in step.tabs
        and t.meets.piece == piece.id
        and piece.panel(t.meets.panel).kind == "end"
        for p in others
        for t in p.held_edges
    )


def standing_and_base(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> tuple[str, str] | None:
    """What stands on what, where walls meet a face at an inside corner; None where one is set into the other."""
    tabs = [
        (t, t.panel if p is piece else t.meets.panel)
        for p in (piece, *others)
        for t in p.held_edges
        if t.number in step.tabs and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece)
    ]
    if sum(t.angle < 0 for t, _ in tabs) * 2 <= len(tabs):
        return None
    walls = sum(piece.panel(k).kind == "side" for _, k in tabs) * 2 > len(tabs)
    names = (f"net {piece.id}", format_nets([p.id for p in others]))
    return names if walls else (names[1], names[0])


def wall_continues(piece: Piece, others: Sequence[Piece]) -> bool:
    """Whether the wall of one feature continues from a net to others, not all of them tubes."""
    own = {p.feature for p in piece.panels if p.kind == "side"}
    return any(not faces_inward(q) and own & {p.feature for p in q.panels if p.kind == "side"} for q in others)


def are_one_wall(pieces: Sequence[Piece]) -> bool:
    """Whether nets are parts of one wall, of a feature longer than a page."""
    return (
        all(p.kind == "side" for q in pieces for p in q.panels)
        and len({p.feature for q in pieces for p in q.panels}) == 1
    )
