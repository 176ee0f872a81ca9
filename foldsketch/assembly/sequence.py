"""The order in which the pieces of a model are cut, folded and glued."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from foldsketch.assembly.glue_batches import batch_tabs, tab_loops
from foldsketch.assembly.lids import block_lid, ends_carrying_tube, piece_lid, tabs_standing_on
from foldsketch.net.model import Nets, Piece

StepKind = Literal["cut", "glue", "insert", "close", "join", "tuck"]


@dataclass(frozen=True, slots=True)
class AssemblyStep:
    """One thing to do.

    piece: the piece in hand; tabs: numbers to be glued, or taped, in order; closing_panel: the one that is closed last,
    or None; target_pieces: those that it is glued to; newly_attached: those of them that were apart from it until now;
    already_attached: what else of its block was attached to it before; also_attached: what else was attached to the
    new ones; blocks: of a joint; tucked_tabs: tabs on the closing panel, which are slid in, because nobody can press
    on them from behind; already_glued_tabs: of the block; folded_features: those that are folded in this batch while
    the rest stays flat, none if the whole piece is folded.
    """

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
    """All steps: block by block, inner tubes before what closes over them, joints when both their blocks are built.

    Within a block its lid is chosen first, the panel that can be pressed on from outside when all else is glued; its
    piece comes last. Within a piece its own tabs come first, then what is put into it, then its lid. Blocks that stand
    on tongues come before what they stand on, and go on while that net is flat.
    """
    steps: list[AssemblyStep] = []
    built: set[int] = set()
    standing = _joints_on_tongues(nets)
    for block in _carriers_first(nets, standing):
        own = [p for p in nets.pieces if p.block == block]
        received = {piece: [k for k, at in standing.items() if at[1] == piece] for piece in (p.id for p in own)}
        tucked = any(t.part for p in own for t in p.tabs)
        for step in tucking_steps(own) if tucked else _BlockAssembly(own).run():
            steps.append(step)
            if step.kind == "cut":
                joints = (nets.joints[k] for k in received[step.piece])
                steps += [AssemblyStep("join", step.piece, blocks=j.blocks) for j in joints]
        built.add(block)
        for k, joint in enumerate(nets.joints):
            if k not in standing and block in joint.blocks and built.issuperset(joint.blocks):
                steps.append(AssemblyStep("join", own[0].id if own else "", blocks=joint.blocks))
    return steps


def tucking_steps(pieces: Sequence[Piece]) -> list[AssemblyStep]:
    """The steps of a block that is tucked together: its seams with the end that is closed first, then the other end.

    An end whose tongue is bent over is first, while it can be reached from the other one.
    """
    steps = [AssemblyStep("cut", p.id) for p in pieces]
    seams = [t.number for p in pieces for t in p.tabs if t.part == "land"]
    ends = []
    for p in pieces:
        for panel in (e.id for e in p.panels if e.kind == "end"):
            own = [t for t in p.tabs if t.panel == panel and t.part]
            ends.append((all(t.bend is None for t in own), p.id, panel, sorted(t.number for t in own)))
    for k, (_, piece, end, numbers) in enumerate(sorted(ends)):
        tabs = (*sorted(seams), *numbers) if k == 0 else tuple(numbers)
        others = tuple(p.id for p in pieces if p.id != piece)
        done = tuple(n for s in steps for n in s.tabs)
        steps.append(AssemblyStep("tuck", piece, tabs, end, others, already_glued_tabs=done))
    return steps


def _joints_on_tongues(nets: Nets) -> dict[int, tuple[int, str]]:
    """For every joint whose block stands on tongues that block, and the piece with the slits."""
    return {t.joint: (p.block, t.meets.piece) for p in nets.pieces for t in p.tabs if t.slit and t.joint is not None}


def _carriers_first(nets: Nets, standing: Mapping[int, tuple[int, str]]) -> list[int]:
    """The blocks in their order, but what stands on tongues before what it stands on."""
    block_of = {p.id: p.block for p in nets.pieces}
    below = {block: block_of[piece] for block, piece in standing.values()}
    found: list[int] = []

    def add(block: int) -> None:
        for above in sorted(below):
            if below[above] == block and above not in begun:
                begun.add(above)
                add(above)
        found.append(block)

    begun: set[int] = set()
    for b in nets.blocks:
        if b.id not in begun:
            begun.add(b.id)
            add(b.id)
    return found


class _BlockAssembly:
    """A block while its steps are found.

    attached: for each piece that is built the pieces attached to it, itself included.
    """

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self.pieces = pieces
        self.standing = tabs_standing_on(pieces)
        self.attached: dict[str, set[str]] = {}
        self.glued: tuple[int, ...] = ()
        self.steps: list[AssemblyStep] = []

    def run(self) -> list[AssemblyStep]:
        """The steps, piece by piece."""
        order = _order_pieces(self.pieces)
        last, block_panel = block_lid(order, self.standing)
        for piece in sorted(order, key=lambda p: p.id == last):
            tubes = ends_carrying_tube(piece, self.pieces, self.attached)
            self._build(piece, block_panel if piece.id == last else piece_lid(piece, self.standing, tubes))
        return self.steps

    def _build(self, piece: Piece, lid: int | None) -> None:
        """Cut a piece, glue it, put in what is built already, close its lid over all of it."""
        self.steps.append(AssemblyStep("cut", piece.id))
        own = _own_tabs(piece, lid)
        across = self._tabs_to_attached(piece)
        self.attached[piece.id] = {piece.id}
        tucked = tuple(dict.fromkeys(t.number for t in piece.tabs if t.panel == lid))
        at_lid = _tabs_at(piece, lid)
        batches = _batch_steps(piece, [n for n in own if n not in at_lid], lid)
        if not across and len(batches) <= 1:
            self._glue(AssemblyStep("glue", piece.id, tuple(own), lid, tucked_tabs=tucked))
            return
        for step in batches:
            self._glue(step)
        put_in = sorted(n for n, (_, panel) in across.items() if panel != lid)
        closing = [*(n for n in own if n in at_lid), *sorted(across.keys() - put_in)]
        self._attach(AssemblyStep("insert", piece.id, tuple(put_in)), across)
        self._attach(AssemblyStep("close", piece.id, tuple(closing), lid, tucked_tabs=tucked), across)

    def _attach(self, step: AssemblyStep, across: dict[int, tuple[str, int]]) -> None:
        """Add a step that attaches the pieces its tabs lead to. across: as _tabs_to_attached finds them."""
        targets = {across[n][0] for n in step.tabs if n in across}
        before = self.attached[step.piece]
        joined = before.union(*(self.attached[i] for i in targets))
        self.attached |= dict.fromkeys(joined, joined)
        self._glue(
            replace(
                step,
                target_pieces=_sorted_ids(targets),
                newly_attached=_sorted_ids(targets - before),
                already_attached=_sorted_ids(before - targets - {step.piece}),
                also_attached=_sorted_ids(joined - before - targets),
            )
        )

    def _glue(self, step: AssemblyStep) -> None:
        """Add a step, if there is anything to glue in it."""
        if step.tabs:
            self.steps.append(replace(step, already_glued_tabs=self.glued))
            self.glued += step.tabs

    def _tabs_to_attached(self, piece: Piece) -> dict[int, tuple[str, int]]:
        """Tabs between a piece and those that are built: number -> which piece it is, and the piece's own panel."""
        found = {t.number: (t.meets.piece, t.panel) for t in piece.held_edges if t.meets.piece in self.attached}
        for p in self.pieces:
            if p.id in self.attached:
                found |= {t.number: (p.id, t.meets.panel) for t in p.held_edges if t.meets.piece == piece.id}
        return found


def _batch_steps(piece: Piece, numbers: Sequence[int], lid: int | None) -> list[AssemblyStep]:
    """The piece's own tabs but those of its lid, in one step or, if the lid can stay open that long, in batches."""
    feature = {p.id: p.feature for p in piece.panels}
    loops = tab_loops(piece)
    closed = any(lid in loops[n] for n in numbers)
    batches = [tuple(numbers)] if closed else batch_tabs(piece, numbers)
    steps = []
    for tabs in batches:
        features = dict.fromkeys(feature[k] for n in tabs for k in sorted(loops[n]))
        steps.append(AssemblyStep("glue", piece.id, tabs, folded_features=tuple(features)))
    return [*steps[:-1], *(replace(step, folded_features=()) for step in steps[-1:])]


def _sorted_ids(ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(ids, key=lambda i: i.zfill(4)))


def _order_pieces(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces of a block so that walls come before the faces that they stand on or are set into.

    Those faces are still open then, so that what is behind them can be reached.
    """
    kinds = {(p.id, q.id): q.kind for p in pieces for q in p.panels}
    before: Counter[tuple[str, str]] = Counter()  # how many tabs ask for the first piece before the second
    for p in pieces:
        for t in p.held_edges:
            other = (t.meets.piece, t.meets.panel)
            if other[0] != p.id and (kinds[p.id, t.panel] == "side") != (kinds[other] == "side"):
                pair = (p.id, other[0]) if kinds[other] != "side" else (other[0], p.id)
                before[pair] += 1
                before[pair[::-1]] -= 1
    left = sorted(pieces, key=_build_priority)
    found: list[Piece] = []
    while left:
        # Where they wait for each other in a ring, the one that waits for the fewest begins.
        chosen = min(left, key=lambda p: sum(before[q.id, p.id] > 0 for q in left))
        found.append(chosen)
        left.remove(chosen)
    return found


def _build_priority(piece: Piece) -> tuple[bool, bool, str]:
    """Tubes come first, then walls without ends, then pieces with ends."""
    ends = any(p.kind == "end" for p in piece.panels)
    return (ends, len(piece.panels) == 1, piece.id.zfill(4))


def _tabs_at(piece: Piece, panel: int | None) -> set[int]:
    """Numbers of the piece's own tabs on a panel or behind it."""
    return {t.number for t in piece.held_edges if t.meets.piece == piece.id and panel in (t.panel, t.meets.panel)}


def _own_tabs(piece: Piece, lid: int | None) -> list[int]:
    """Numbers of the tabs that meet the piece itself, in the order of gluing.

    The strip's own seam, then end by end, the lid's last; at each end from its fold round both sides, so that the next
    tab is open until it is glued.
    """
    kinds = {p.id: p.kind for p in piece.panels}
    own = [t for t in piece.held_edges if t.meets.piece == piece.id]
    at_lid = _tabs_at(piece, lid)
    end_of = {t.number: k for t in own for k in (t.panel, t.meets.panel) if kinds[k] == "end"}
    first = {end: min(n for n, k in end_of.items() if k == end) for end in end_of.values()}
    loops = tab_loops(piece)

    def turn(n: int) -> tuple[int, ...]:
        if n in at_lid:
            return (2, n)
        return (1, first[end_of[n]], len(loops[n]), n) if n in end_of else (0, n)

    return sorted({t.number for t in own}, key=turn)
