"""Lids: which panel of a piece, and of a block, is closed last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Container, Sequence
from typing import NamedTuple

from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.net.model import Panel, Piece

MIN_STICK_OPENING_MM = 4.0
"""An opening narrower than this, mm, lets no stick in to press a tab from behind [common practice]."""

TabCounts = Counter[tuple[str, int]]
"""How many tabs a panel has, by the ids of piece and panel."""


class _LidRank(NamedTuple):
    """Why one panel is a better lid of its block than another, the weightiest reason first; more is better.

    free: it leaves an opening for a stick and carries no tab; free_leaf: it is folded to one panel only besides; late:
    place of its piece in the order of building; tube_free: no tube would swing in with it; fewer_tabs, fewer_walls:
    counts below 0.
    """

    free_leaf: bool
    free: bool
    leaves_opening: bool
    fewer_tabs: int
    is_end: bool
    late: int
    tube_free: bool
    fewer_walls: int
    corners: int
    width: float
    panel: int


def block_lid(pieces: Sequence[Piece], standing: TabCounts) -> tuple[str, int | None]:
    """The piece and panel of a block that are closed last: the best by _LidRank of the panels that are glued to others.

    pieces: in the order in which they are built; standing: tabs of walls that stand on a panel. The last piece, and no
    panel, of a block where nothing is glued.
    """
    glued = {end for p in pieces for t in p.held_edges for end in ((t.meets.piece, t.meets.panel), (p.id, t.panel))}
    ranked = []
    for late, piece in enumerate(pieces):
        carried = Counter(t.panel for t in piece.tabs if t.joint is None)
        neighbours = _neighbour_counts(piece)
        tubes = ends_carrying_tube(piece, pieces, [p.id for p in pieces if p is not piece])
        for p in piece.panels:
            if (piece.id, p.id) in glued:
                opening = equivalent_width(p) >= MIN_STICK_OPENING_MM
                free = opening and not carried[p.id]
                rank = _LidRank(
                    free_leaf=free and neighbours[p.id] <= 1,
                    free=free,
                    leaves_opening=opening,
                    fewer_tabs=-carried[p.id],
                    is_end=p.kind == "end",
                    late=late,
                    tube_free=p.id not in tubes,
                    fewer_walls=-standing[piece.id, p.id],
                    corners=len(p.outline),
                    width=round(equivalent_width(p), 6),
                    panel=p.id,
                )
                ranked.append((rank, piece.id))
    if not ranked:
        return (pieces[-1].id if pieces else "", None)
    rank, piece_id = max(ranked)
    return piece_id, rank.panel


def piece_lid(piece: Piece, standing: TabCounts, tubes: Container[int]) -> int | None:
    """The panel of a piece that is closed last; None if no panel suits.

    Of the ends without tabs that are folded to one panel only and carry no tube the one on which fewest walls stand,
    with most corners. standing: tabs of walls that stand on a panel; tubes: panels that carry a tube, as
    ends_carrying_tube finds them.
    """
    carrying = {t.panel for t in piece.tabs if t.joint is None}
    neighbours = _neighbour_counts(piece)

    def suits(p: Panel) -> bool:
        return p.kind == "end" and p.id not in carrying and p.id not in tubes and neighbours[p.id] <= 1

    lids = [p for p in piece.panels if suits(p)]
    best = max(lids, key=lambda p: (-standing[piece.id, p.id], len(p.outline), p.id), default=None)
    return best.id if best else None


def _neighbour_counts(piece: Piece) -> Counter[int]:
    """The number of others that each panel is folded to."""
    pairs = {pair for f in piece.folds for pair in (f.panels, f.panels[::-1])}
    return Counter(k for k, _ in pairs)


def tabs_standing_on(pieces: Sequence[Piece]) -> TabCounts:
    """For each panel of each piece the tabs of walls of other pieces that rise from it, at a valley."""
    found: TabCounts = Counter()
    for p in pieces:
        for t in p.held_edges:
            if t.angle < 0 and t.meets.piece != p.id:
                found.update([(p.id, t.panel), (t.meets.piece, t.meets.panel)])
    return found


def ends_carrying_tube(piece: Piece, pieces: Sequence[Piece], built: Collection[str]) -> set[int]:
    """The ends of a piece into which a tube is set that touches nothing else of what is built.

    Were such an end the lid, the tube would swing in with it, and its far edge would hit the walls. built: ids of
    pieces.
    """
    if len(piece.panels) == 1:
        return set()
    kinds = {p.id: p.kind for p in piece.panels}
    touched: dict[str, set[tuple[str, int]]] = {}
    set_in: set[tuple[str, int]] = set()
    for p in pieces:
        for t in p.held_edges:
            one, two = (p.id, t.panel), (t.meets.piece, t.meets.panel)
            for (tube, _), other in ((one, two), (two, one)):
                if tube != other[0] and tube in built and other[0] in {*built, piece.id}:
                    touched.setdefault(tube, set()).add(other)
                    if other[0] == piece.id and t.angle > 0 and kinds[other[1]] == "end":
                        set_in.add((tube, other[1]))
    return {panel for tube, panel in set_in if touched[tube] == {(piece.id, panel)}}
