"""Steps: in which order the pieces of a model are cut, folded and glued."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Container, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.assembly.glue_batches import batch_tabs, tab_loops
from foldsketch.net.model import Nets, Piece

StepKind = Literal["cut", "glue", "insert", "close", "join"]


MIN_STICK_OPENING_MM = 4.0
"""An opening narrower than this, mm, lets no stick in to press a tab from behind [common practice]."""


@dataclass(frozen=True, slots=True)
class AssemblyStep:
    """One thing to do. piece: the piece in hand; tabs: numbers to be glued, in order; last: the panel that is closed
    last, or None; to: pieces that it is glued to; fresh: those of them that were apart from it until now; along: what
    else of its block hung together with it before; brought: what else hung together with the fresh ones; blocks: of a
    joint; tucked: tabs on the panel closed last, which are slid in, because nothing can be pressed on behind them;
    already_glued_tabs: tabs of the block that are glued already; only: the features that are folded in this batch
    while the rest stays flat, none where all of the piece is."""

    kind: StepKind
    piece: str
    tabs: tuple[int, ...] = ()
    closing_panel: int | None = None
    target_pieces: tuple[str, ...] = ()
    newly_attached: tuple[str, ...] = ()
    already_attached: tuple[str, ...] = ()
    also_attached: tuple[str, ...] = ()
    blocks: tuple[int, int] | None = None
    tucked_tabs: tuple[int, ...] = ()
    already_glued_tabs: tuple[int, ...] = ()
    folded_features: tuple[str, ...] = ()


def assembly_steps(nets: Nets) -> list[AssemblyStep]:
    """The order: block by block, inner tubes before what closes over them, joints when both their blocks stand.

    Within a block its lid is searched first, the panel that can be pressed on from outside when all else is glued; its
    piece comes last. Within a piece its own tabs come first, then what is put into it, then its lid.
    """
    steps: list[AssemblyStep] = []
    built: set[int] = set()
    for block in nets.blocks:
        own = [p for p in nets.pieces if p.block == block.id]
        order = _order_pieces(own)
        stood = _tabs_standing_on(own)
        last, cover = _block_lid(order, stood)
        together: dict[str, set[str]] = {}
        done: list[int] = []
        for piece in sorted(order, key=lambda p: p.id == last):
            steps.append(AssemblyStep("cut", piece.id))
            lid = cover if piece.id == last else _piece_lid(piece, stood, _ends_carrying_tube(piece, own, together))
            for step in _glue_steps(piece, own, together, lid):
                steps.append(replace(step, already_glued_tabs=tuple(done)))
                done += step.tabs
        built.add(block.id)
        for joint in nets.joints:
            if block.id in joint.blocks and all(b in built for b in joint.blocks):
                steps.append(AssemblyStep("join", own[0].id if own else "", blocks=joint.blocks))
    return steps


def _glue_steps(
    piece: Piece, own: Sequence[Piece], together: dict[str, set[str]], lid: int | None
) -> list[AssemblyStep]:
    """What is glued when a piece joins those of its block that stand already. together: for each of these what hangs
    together with it, itself included; kept up to date."""
    inner = _order_own_tabs(piece, list(dict.fromkeys(t.number for t in piece.tabs if t.meets.piece == piece.id)), lid)
    across = _tabs_to_attached(piece, own, together)
    together[piece.id] = {piece.id}
    tucked = tuple(dict.fromkeys(t.number for t in piece.tabs if t.panel == lid))
    at_lid = {t.number for t in piece.tabs if lid in (t.panel, t.meets.panel) and t.meets.piece == piece.id}
    batches = _batch_steps(piece, [n for n in inner if n not in at_lid], lid)
    if not across:
        closing = tuple(n for n in inner if n in at_lid)
        if len(batches) > 1:
            return [*batches, *([AssemblyStep("close", piece.id, closing, lid, tucked_tabs=tucked)] if closing else [])]
        return [AssemblyStep("glue", piece.id, tuple(inner), lid, tucked_tabs=tucked)] if inner else []
    # What is put in is glued to the open side first; then the lid closes over all of it.
    at_lid |= {n for n, (_, panel) in across.items() if panel == lid}
    put_in = tuple(n for n in sorted(across) if n not in at_lid)
    last = (*(n for n in inner if n in at_lid), *(n for n in sorted(across) if n in at_lid))
    steps = batches
    kinds: tuple[StepKind, ...] = ("insert", "close")
    for kind, numbers, closed in zip(kinds, (put_in, last), (None, lid), strict=True):
        if numbers:
            to = {across[n][0] for n in numbers if n in across}
            before = together[piece.id]
            fresh = to - before
            joined = before.union(*(together[i] for i in to))
            together |= dict.fromkeys(joined, joined)
            steps.append(
                AssemblyStep(
                    kind,
                    piece.id,
                    numbers,
                    closed,
                    _sort_ids(to),
                    newly_attached=_sort_ids(fresh),
                    already_attached=_sort_ids(before - to - {piece.id}),
                    also_attached=_sort_ids(joined - before - to),
                    tucked_tabs=tucked if kind == "close" else (),
                )
            )
    return steps


def _batch_steps(piece: Piece, numbers: Sequence[int], lid: int | None) -> list[AssemblyStep]:
    """The piece's own tabs but those of its lid, in one step or, if the lid can stay open that long, in batches."""
    feature = {p.id: p.feature for p in piece.panels}
    loops = tab_loops(piece)
    shut = any(lid in loops[n] for n in numbers)
    batches = [tuple(numbers)] if shut else batch_tabs(piece, numbers)
    steps: list[AssemblyStep] = []
    for number, tabs in enumerate(batches, 1):
        features = tuple(dict.fromkeys(feature[k] for n in tabs for k in sorted(loops[n])))
        steps.append(AssemblyStep("glue", piece.id, tabs, folded_features=features if number < len(batches) else ()))
    return steps


def _sort_ids(ids: set[str]) -> tuple[str, ...]:
    return tuple(sorted(ids, key=lambda i: i.zfill(4)))


def _block_lid(own: Sequence[Piece], stood: Counter[tuple[str, int]]) -> tuple[str, int | None]:
    """The panel of a block that is closed last and its piece: one that leaves an opening for a stick and carries no tab
    if there is such a one, best with nothing hanging on it, else one that leaves an opening; of these one with the
    fewest tabs, an end before a side, in the piece that comes late, one on which little stands, the widest."""
    ends = [(x, y) for p in own for t in p.tabs for x, y in ((t.meets.piece, t.meets.panel), (p.id, t.panel))]
    glued = set(ends)
    best: tuple[tuple[float, ...], str, int] | None = None
    for k, piece in enumerate(own):
        carried = Counter(t.panel for t in piece.tabs)
        hinges = _count_neighbours(piece)
        hung = _ends_carrying_tube(piece, own, [q.id for q in own if q is not piece])
        for p in piece.panels:
            if (piece.id, p.id) not in glued:
                continue
            wide = equivalent_width(p) >= MIN_STICK_OPENING_MM
            free = wide and not carried[p.id]
            rank = (free and hinges[p.id] <= 1, free, wide, -carried[p.id], p.kind == "end")
            score = (
                *rank,
                k,
                p.id not in hung,
                -stood[piece.id, p.id],
                len(p.outline),
                round(equivalent_width(p), 6),
                p.id,
            )
            if best is None or score > best[0]:
                best = (score, piece.id, p.id)
    return (best[1], best[2]) if best else (own[-1].id if own else "", None)


def _count_neighbours(piece: Piece) -> Counter[int]:
    """With how many others each panel hangs together."""
    pairs = {pair for f in piece.folds for pair in (f.panels, f.panels[::-1])}
    return Counter(k for k, _ in pairs)


def _tabs_to_attached(piece: Piece, own: Sequence[Piece], done: Container[str]) -> dict[int, tuple[str, int]]:
    """Tabs between a piece and those that stand already: number -> which it is, and the piece's own panel at it."""
    found = {t.number: (t.meets.piece, t.panel) for t in piece.tabs if t.meets.piece in done}
    for p in own:
        if p.id in done:
            found |= {t.number: (p.id, t.meets.panel) for t in p.tabs if t.meets.piece == piece.id}
    return found


def _tabs_standing_on(own: Sequence[Piece]) -> Counter[tuple[str, int]]:
    """How many tabs of walls that rise from a panel, at a hollow crease, each panel of each piece has."""
    found: Counter[tuple[str, int]] = Counter()
    for p in own:
        for t in p.tabs:
            if t.angle < 0 and t.meets.piece != p.id:
                found.update([(p.id, t.panel), (t.meets.piece, t.meets.panel)])
    return found


def _order_pieces(own: Sequence[Piece]) -> list[Piece]:
    """The pieces of a block so that walls come before the faces that they stand on or are set into: those are still
    open then, so that what goes behind them can be reached."""
    kinds = {(p.id, q.id): q.kind for p in own for q in p.panels}
    before: Counter[tuple[str, str]] = Counter()
    for p in own:
        for t in p.tabs:
            other = (t.meets.piece, t.meets.panel)
            if other[0] != p.id and (kinds[p.id, t.panel] == "side") != (kinds[other] == "side"):
                pair = (p.id, other[0]) if kinds[other] != "side" else (other[0], p.id)
                before[pair] += 1
                before[pair[::-1]] -= 1
    left = sorted(own, key=_build_priority)
    found: list[Piece] = []
    while left:
        # Where they wait for each other in a ring, the one that waits for the fewest begins.
        chosen = min(left, key=lambda p: sum(before[q.id, p.id] > 0 for q in left))
        found.append(chosen)
        left.remove(chosen)
    return found


def _build_priority(piece: Piece) -> tuple[bool, bool, str]:
    """Tubes come first, then walls without ends, then what carries the ends."""
    ends = any(p.kind == "end" for p in piece.panels)
    return (ends, len(piece.panels) == 1, piece.id.zfill(4))


def _piece_lid(piece: Piece, stood: Counter[tuple[str, int]], hung: Container[int]) -> int | None:
    """The end panel without tabs of its own that receives most tabs: the last to be closed. Nothing but the panel that
    it is hinged to hangs on it, for that could not be glued before it closes; and no tube that would swing in with
    it."""
    carrying = {t.panel for t in piece.tabs}
    hinges = _count_neighbours(piece)
    ends = [p for p in piece.panels if p.kind == "end" and p.id not in carrying and hinges[p.id] <= 1]
    free = [p for p in ends if p.id not in hung]
    if not free:
        return None
    return max(free, key=lambda p: (-stood[piece.id, p.id], len(p.outline), p.id)).id


def _ends_carrying_tube(piece: Piece, own: Sequence[Piece], there: Collection[str]) -> set[int]:
    """The ends of a piece into which a tube is set that touches nothing else of what is there. Were such an end the
    lid, the tube would hang on it and swing in with it, and its far edge would come against the walls."""
    kinds = {p.id: p.kind for p in piece.panels}
    touched: dict[str, set[tuple[str, int]]] = {}
    set_in: set[tuple[str, int]] = set()
    for p in own:
        for t in p.tabs:
            one, two = (p.id, t.panel), (t.meets.piece, t.meets.panel)
            for (mine, _), other in ((one, two), (two, one)):
                if mine != other[0] and mine in there and other[0] in {*there, piece.id}:
                    touched.setdefault(mine, set()).add(other)
                    if other[0] == piece.id and t.angle > 0 and kinds[other[1]] == "end":
                        set_in.add((mine, other[1]))
    walls = len(piece.panels) > 1
    return {panel for tube, panel in set_in if walls and touched[tube] == {(piece.id, panel)}}


def _order_own_tabs(piece: Piece, numbers: Sequence[int], lid: int | None) -> list[int]:
    """Tabs of the piece that meet the piece itself: the strip's own seam, then end by end, the lid's last; at each end
    from the fold on which it hangs round both sides, so that the next one lies open until it is glued."""
    kinds = {p.id: p.kind for p in piece.panels}
    at_lid = {t.number for t in piece.tabs if lid in (t.panel, t.meets.panel)}
    ends: dict[int, int] = {}
    for t in (t for t in piece.tabs if t.meets.piece == piece.id):
        ends.update((t.number, k) for k in (t.panel, t.meets.panel) if kinds[k] == "end")
    first = {k: min(n for n, end in ends.items() if end == k) for k in ends.values()}
    loops = tab_loops(piece)

    def turn(n: int) -> tuple[int, ...]:
        if n in at_lid:
            return (2, n)
        return (1, first[ends[n]], len(loops.get(n, ())), n) if n in ends else (0, n)

    return sorted(numbers, key=turn)
