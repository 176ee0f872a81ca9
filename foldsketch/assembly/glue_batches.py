"""Batches: a net of many features is glued feature by feature, while the rest of it stays flat."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from foldsketch.net.model import Piece

FoldSet = frozenset[tuple[int, int]]
"""Folds, by the panels that they join."""

FULL_BATCH_TABS = 4
"""A batch of so many tabs, or more, gets no others [common practice]."""

MIN_TABS_TO_BATCH = 8
"""A net with fewer tabs of its own is glued in one go [common practice]."""


def tab_loops(piece: Piece) -> dict[int, frozenset[int]]:
    """For every tab or taped edge between two panels of a net the panels of the loop that it closes; by its number."""
    beside: dict[int, list[int]] = {}
    for f in piece.folds:
        a, b = f.panels
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    first = piece.panels[0].id
    way: dict[int, tuple[int, ...]] = {first: (first,)}  # panels on the way to a panel from the first one
    new = [first]
    while new:
        at = new.pop()
        for other in beside.get(at, ()):
            if other not in way:
                way[other] = (*way[at], other)
                new.append(other)
    loops: dict[int, frozenset[int]] = {}
    for t in piece.held_edges:
        if t.meets.piece == piece.id:
            loops[t.number] = loops.get(t.number, frozenset()) | _path_between(way[t.panel], way[t.meets.panel])
    return loops


def _path_between(one: Sequence[int], two: Sequence[int]) -> frozenset[int]:
    """The panels from the last of one way to the last of another, both included."""
    shared = sum(a == b for a, b in zip(one, two, strict=False))
    return frozenset((*one[shared - 1 :], *two[shared:]))


def folds_to_bend(piece: Piece, numbers: Iterable[int], loops: Mapping[int, frozenset[int]] | None = None) -> FoldSet:
    """The folds that have to be bent for tabs to reach their edges. loops: as tab_loops returns them, if known."""
    known = tab_loops(piece) if loops is None else loops
    closed = [known[n] for n in numbers if n in known]
    return frozenset(f.panels for f in piece.folds if any(loop.issuperset(f.panels) for loop in closed))


def batch_tabs(piece: Piece, numbers: Sequence[int]) -> list[tuple[int, ...]]:
    """A net's own tabs in batches.

    Those that close a loop within one feature come first, feature by feature; then the others, by the folds that have
    to be bent for them. One batch if the net is of one feature, has few tabs or has a ring of folds; none without tabs.
    """
    feature = {p.id: p.feature for p in piece.panels}
    ring = len(piece.folds) >= len(piece.panels)  # a fold split by an opening: neither half bends alone
    if len(numbers) < MIN_TABS_TO_BATCH or len(set(feature.values())) == 1 or ring:
        return [tuple(numbers)] if numbers else []
    loops = tab_loops(piece)
    needs = {n: folds_to_bend(piece, [n], loops) for n in numbers}
    of_feature: dict[str, list[int]] = {}
    rest: dict[int, FoldSet] = {}
    for n in numbers:
        features = {feature[k] for k in loops[n]}
        if len(features) == 1:
            of_feature.setdefault(features.pop(), []).append(n)
        else:
            rest[n] = needs[n]
    bent = FoldSet().union(*(needs[n] for n in numbers if n not in rest))
    return [*(_order_singly(own, needs) for own in of_feature.values()), *batch_by_folds(rest, bent)]


def _order_singly(numbers: Sequence[int], needs: Mapping[int, FoldSet]) -> tuple[int, ...]:
    """The few tabs of a feature in the order given.

    Or in the order of their folds, where only that lets each be glued by itself.
    """
    own = {n: needs[n] for n in numbers}
    if len(own) <= FULL_BATCH_TABS and len(_arrivals(own, FoldSet())) < len(own):
        groups = _arrivals(own, FoldSet(), fewest_first=True)
        if len(groups) == len(own):
            return tuple(n for tabs, _ in groups for n in tabs)
    return tuple(numbers)


def _arrivals(
    needs: Mapping[int, FoldSet], bent: FoldSet, fewest_first: bool = False
) -> list[tuple[tuple[int, ...], int]]:
    """Tabs that come to their edges together, and how many folds are bent for that.

    needs: the folds of every tab; bent: folds that are bent already. The folds of one tab after another are bent, in
    the order given or of those that need the fewest more.
    """
    found = []
    left = list(needs)
    while left:
        first = min(left, key=lambda n: len(needs[n] - bent)) if fewest_first else left[0]
        folds = needs[first] - bent
        bent |= folds
        found.append((tuple(n for n in left if needs[n] <= bent), len(folds)))
        left = [n for n in left if not needs[n] <= bent]
    return found


def batch_by_folds(needs: Mapping[int, FoldSet], bent: FoldSet) -> list[tuple[int, ...]]:
    """Tabs in batches, in the order in which bending fold by fold brings them to their edges.

    needs: the folds of every tab; bent: folds that are bent already. A batch takes on what one more fold brings, until
    it has FULL_BATCH_TABS. A tab alone joins the batch that follows.
    """
    batches: list[tuple[int, ...]] = []
    full = True
    for tabs, folds in _arrivals(needs, bent, fewest_first=True):
        if full or folds > 1:
            batches.append(batches.pop() + tabs if batches and len(batches[-1]) == 1 else tabs)
        else:
            batches[-1] += tabs
        full = len(batches[-1]) >= FULL_BATCH_TABS
    return batches


def tabs_closing_together(piece: Piece, numbers: Sequence[int], already_glued: Iterable[int]) -> list[tuple[int, ...]]:
    """Of a net's own tabs, glued in their order, the groups that come to their edges at once.

    No tab of a group can be glued after another.
    """
    loops = tab_loops(piece)
    needs = {n: folds_to_bend(piece, [n], loops) for n in numbers if n in loops}
    groups = _arrivals(needs, folds_to_bend(piece, already_glued, loops))
    return [tabs for tabs, _ in groups if len(tabs) > 1]
