"""Marks: everything printed on the panels, what has its place first, words around it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import dist

from foldsketch.base.findings import Finding
from foldsketch.base.units import counted
from foldsketch.net.labels.panel_space import Room
from foldsketch.net.marks.axis_centres import (
    Arrow,
    Centre,
    is_drawn,
    mark_arrows,
    mark_beside,
    mark_centres,
    mark_elsewhere,
    mark_letter,
    offset_text,
)
from foldsketch.net.marks.datum_lines import mark_datum, mark_joint
from foldsketch.net.marks.edge_numbers import mark_numbers
from foldsketch.net.marks.feature_labels import Keys, mark_names, mark_net
from foldsketch.net.marks.panel_view import Sheeted, lines_of
from foldsketch.net.model import Piece
from foldsketch.net.rolled_strips import owned, strips, whole
from foldsketch.solid.faceting.facet import Faceted
from foldsketch.solid.joining.blocks import Solids


def mark(
    faceted: Faceted,
    solids: Solids,
    pieces: Sequence[Piece],
    faces_of: Sequence[dict[int, int]],
    scale: float,
) -> tuple[list[Piece], list[Finding]]:
    """The pieces with everything printed on them. faces_of: for each piece, panel id -> face of its block's skin."""
    lines = lines_of(faceted, scale)
    datum = faceted.turn @ faceted.datum_direction
    sheeted = [
        Sheeted(k, piece.block, faces_of[k][p.id], p, room)
        for k, piece in enumerate(pieces)
        for p, room in zip(piece.panels, _rooms(piece), strict=True)
    ]
    by_face = {(s.block, s.face): s for s in sheeted}
    for joint in solids.joints:
        mark_joint(faceted, solids, joint, by_face, lines, datum)
    centres = mark_centres(sheeted, lines)
    named = {x.name: x for x in lines}
    mark_datum(sheeted, {f.name: named[f.axis] for f in faceted.part.features if f.axis in named}, datum)
    arrows = [mark_arrows(s, own, lines[0]) if own else [] for s, own in zip(sheeted, centres, strict=True)]
    skipped = mark_numbers(pieces, sheeted)
    keys: Keys = {}
    for s, own, drawn in zip(sheeted, centres, arrows, strict=True):
        _name_centres(faceted, s, own, drawn, keys)
    printed: list[list[Sheeted]] = [[] for _ in pieces]
    for s in sheeted:
        printed[s.piece].append(s)
    # On a panel that is a net by itself its number comes first; elsewhere names have the better places.
    for piece, panels in zip(pieces, printed, strict=True):
        if len(panels) == 1:
            mark_net(panels, piece.id)
    for block in solids.blocks:
        mark_names(faceted, [s for s in sheeted if s.block == block.id], keys)
    for piece, panels in zip(pieces, printed, strict=True):
        if len(panels) > 1:
            mark_net(panels, piece.id)
    marked = [
        replace(piece, marks=owned([m for s in own for m in s.marks], piece), key=tuple(keys.get(k, ())))
        for k, (piece, own) in enumerate(zip(pieces, printed, strict=True))
    ]
    sparse = any(b.bare for p in pieces for b in p.butts)
    return marked, _told(skipped, sum(map(_bare, pieces)), sparse)


def _name_centres(faceted: Faceted, s: Sheeted, own: Sequence[Centre], arrows: Sequence[Arrow], keys: Keys) -> None:
    """Offsets beside their arrows, the letters of the axes, and what offsets are left, where there is room."""
    left = []
    alone = sum(map(is_drawn, arrows)) == 1
    for arrow in sorted(arrows, key=lambda a: -round(dist(*a[1:]), 6)):
        text = offset_text(faceted, arrow[0])
        if not mark_beside(s, arrow, text, alone):
            left.append((arrow, text))
    for line, p, hole in own:
        mark_letter(s, line, p, hole, [q for _, q, _ in own if q != p])
    for arrow, text in left:
        mark_elsewhere(s, arrow, text, keys, alone)


def _rooms(piece: Piece) -> list[Room]:
    """The room of every panel; the panels of a rolled strip, which no crease parts, share one."""
    shared: dict[int, Room] = {}
    for own in strips(piece):
        room = Room(whole([piece.panel(k) for k in own]))
        shared |= dict.fromkeys(own, room)
    return [shared.get(p.id) or Room(p) for p in piece.panels]


def _told(skipped: int, bare: int, sparse: bool) -> list[Finding]:
    what = " and ".join(counted(n, f"{of} number") for n, of in ((skipped, "edge"), (bare, "tab")) if n)
    if not what:
        return []
    cure = "go by the neighbouring numbers, or print larger"
    if sparse and skipped:
        cure = "two short strokes stand where an edge has none; go by the booklet, or print larger"
    return [Finding("note", "marks", f"{what} found no room", cure)]


def _bare(piece: Piece) -> int:
    """Tabs that are too small for their number; teeth of a rim, which share one, do not count."""
    sharing = Counter(t.number for t in piece.tabs)
    return sum(not t.label_size and sharing[t.number] == 1 for t in piece.tabs)
