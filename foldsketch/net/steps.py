"""Steps: in which order the pieces of a model are cut, folded and glued."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from foldsketch.net.model import Nets, Piece

Kind = Literal["cut", "glue", "insert", "close", "join"]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do. piece: the piece in hand; tabs: numbers to be glued, in order; last: the panel that is closed
    last, or None; to: pieces that it is glued to; blocks: of a joint."""

    kind: Kind
    piece: str
    tabs: tuple[int, ...] = ()
    last: int | None = None
    to: tuple[str, ...] = ()
    blocks: tuple[int, int] | None = None


def steps_of(nets: Nets) -> list[Step]:
    """The order: block by block, inner tubes before what closes over them, joints when both their blocks stand.

    Within a piece its own tabs come first, then what is put into it, then the panel without tabs of its own: nothing
    behind it has to be reached, so it is pressed on from outside.
    """
    steps: list[Step] = []
    built: set[int] = set()
    for block in nets.blocks:
        own = [p for p in nets.pieces if p.block == block.id]
        done: set[str] = set()
        for piece in sorted(own, key=_late):
            steps.append(Step("cut", piece.id))
            lid = _lid(piece)
            inner = _in_order(piece, list(dict.fromkeys(t.number for t in piece.tabs if t.meets.piece == piece.id)))
            across, others = _across(piece, own, done)
            if not across:
                if inner:
                    steps.append(Step("glue", piece.id, tuple(inner), lid))
                done.add(piece.id)
                continue
            # What is put in is glued to the open side first; then the lid closes over all of it.
            at_lid = {t.number for t in piece.tabs if lid in (t.panel, t.meets.panel) and t.meets.piece == piece.id}
            at_lid |= {n for n, panel in across.items() if panel == lid}
            first = tuple(n for n in inner if n not in at_lid)
            put_in = tuple(n for n in sorted(across) if n not in at_lid)
            last = (*(n for n in inner if n in at_lid), *(n for n in sorted(across) if n in at_lid))
            if first:
                steps.append(Step("glue", piece.id, first))
            if put_in:
                steps.append(Step("insert", piece.id, put_in, None, others))
            if last:
                steps.append(Step("close", piece.id, last, lid, others))
            done.add(piece.id)
        built.add(block.id)
        for joint in nets.joints:
            if block.id in joint.blocks and all(b in built for b in joint.blocks):
                steps.append(Step("join", own[0].id if own else "", blocks=joint.blocks))
    return steps


def _across(piece: Piece, own: Sequence[Piece], done: set[str]) -> tuple[dict[int, int], tuple[str, ...]]:
    """Tabs between a piece and those that stand already: number -> the piece's panel at it; and which those are."""
    found: dict[int, int] = {}
    others: set[str] = set()
    for t in piece.tabs:
        if t.meets.piece in done:
            found[t.number] = t.panel
            others.add(t.meets.piece)
    for p in own:
        for t in p.tabs:
            if p.id in done and t.meets.piece == piece.id:
                found[t.number] = t.meets.panel
                others.add(p.id)
    return found, tuple(sorted(others))


def _late(piece: Piece) -> tuple[bool, bool, str]:
    """Tubes come first, then walls without ends, then what carries the ends."""
    ends = any(p.kind == "end" for p in piece.panels)
    return (ends, len(piece.panels) == 1, piece.id.zfill(4))


def _lid(piece: Piece) -> int | None:
    """The end panel without tabs of its own that receives most tabs: the last to be closed."""
    carrying = {t.panel for t in piece.tabs}
    free = [p for p in piece.panels if p.kind == "end" and p.id not in carrying]
    if not free:
        return None
    return max(free, key=lambda p: (len(p.outline), p.id)).id


def _in_order(piece: Piece, numbers: Sequence[int]) -> list[int]:
    """Tabs of the piece that meet the piece itself: the strip's own seam, then the ends, the lid's last."""
    lid = _lid(piece)
    kinds = {p.id: p.kind for p in piece.panels}
    where = {t.number: t.meets.panel for t in piece.tabs}
    return sorted(numbers, key=lambda n: (where[n] == lid, kinds[where[n]] == "end", n))
