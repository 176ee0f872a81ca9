"""Steps: in which order the pieces of a model are cut, folded and glued."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from foldsketch.net.model import Nets, Piece

Kind = Literal["cut", "glue", "insert", "join"]


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

    Within a piece its own tabs come first, and of these the ones on the panel without tabs of its own last: that panel
    has nothing behind it that must be reached, so it is pressed on from outside.
    """
    steps: list[Step] = []
    built: set[int] = set()
    for block in nets.blocks:
        own = [p for p in nets.pieces if p.block == block.id]
        done: set[str] = set()
        for piece in sorted(own, key=_late):
            steps.append(Step("cut", piece.id))
            inner = _in_order(piece, [t.number for t in piece.tabs if t.meets.piece == piece.id])
            lid = _lid(piece)
            if inner:
                steps.append(Step("glue", piece.id, tuple(inner), lid))
            # Tabs between this piece and those that stand already.
            across = [t.number for t in piece.tabs if t.meets.piece in done]
            across += [t.number for p in own if p.id in done for t in p.tabs if t.meets.piece == piece.id]
            if across:
                others = {t.meets.piece for t in piece.tabs if t.meets.piece in done}
                others |= {p.id for p in own if p.id in done for t in p.tabs if t.meets.piece == piece.id}
                steps.append(Step("insert", piece.id, tuple(across), lid, tuple(sorted(others))))
            done.add(piece.id)
        built.add(block.id)
        for joint in nets.joints:
            if block.id in joint.blocks and all(b in built for b in joint.blocks):
                steps.append(Step("join", own[0].id if own else "", blocks=joint.blocks))
    return steps


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
