"""Batches: a net of many features is glued feature by feature, while the rest of it stays flat."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from foldsketch.net.model import Piece

FoldSet = frozenset[tuple[int, int]]
"""Folds, by the panels that they join."""

FULL_BATCH_TABS = 4
"""A batch of so many tabs, or more, is joined by no others [common practice]."""

MIN_TABS_TO_BATCH = 8
"""A net with fewer tabs of its own is glued in one go [common practice]."""


def tab_loops(piece: Piece) -> dict[int, frozenset[int]]:
    """The panels of the loop that every tab between two panels of a net closes: by its number."""
    beside: dict[int, list[int]] = {}
    for f in piece.folds:
        a, b = f.panels
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    first = piece.panels[0].id
    way: dict[int, tuple[int, ...]] = {first: (first,)}
    new = [first]
    while new:
        at = new.pop()
        for other in beside.get(at, ()):
            if other not in way:
                way[other] = (*way[at], other)
                new.append(other)
    found: dict[int, frozenset[int]] = {}
    for t in piece.tabs:
        if t.meets.piece == piece.id:
            found[t.number] = found.get(t.number, frozenset()) | _path_between(way[t.panel], way[t.meets.panel])
    return found


def _path_between(one: Sequence[int], two: Sequence[int]) -> frozenset[int]:
    """The panels from the last of one way to the last of another, both included."""
    shared = sum(a == b for a, b in zip(one, two, strict=False))
    return frozenset((*one[shared - 1 :], *two[shared:]))


def folds_to_bend(piece: Piece, numbers: Iterable[int], loops: Mapping[int, frozenset[int]] | None = None) -> FoldSet:
    """The folds that have to be bent for tabs to reach their edges. loops: as loops_of has them, if known."""
    known = tab_loops(piece) if loops is None else loops
    closed = [known[n] for n in numbers if n in known]
    return frozenset(f.panels for f in piece.folds if any(loop.issuperset(f.panels) for loop in closed))


def batch_tabs(piece: Piece, numbers: Sequence[int]) -> list[tuple[int, ...]]:
    """Tabs of a net's own in batches: those that close a loop within one feature first, feature by feature; then by the
    folds that have to be bent for them. One batch where the net is of one feature, has few tabs or a ring of folds;
    none without tabs."""
    feature = {p.id: p.feature for p in piece.panels}
    ring = len(piece.folds) >= len(piece.panels)  # a fold parted by an opening: neither half bends alone
    if len(numbers) < MIN_TABS_TO_BATCH or len(set(feature.values())) == 1 or ring:
        return [tuple(numbers)] if numbers else []
    loops = tab_loops(piece)
    batches: dict[str, list[int]] = {}
    rest = []
    for n in numbers:
        own = {feature[k] for k in loops[n]}
        if len(own) == 1:
            batches.setdefault(own.pop(), []).append(n)
        else:
            rest.append(n)
    needs = {n: folds_to_bend(piece, [n], loops) for n in numbers}
    done = frozenset[tuple[int, int]]().union(*(needs[n] for own in batches.values() for n in own))
    own_ones = [_order_singly(own, needs) for own in batches.values()]
    return [*own_ones, *_batch_by_folds({n: needs[n] for n in rest}, done)]


def _order_singly(numbers: Sequence[int], needs: Mapping[int, FoldSet]) -> tuple[int, ...]:
    """The few tabs of a feature in their order, or in the order of their folds where only that lets each be glued by
    itself."""
    if len(numbers) <= FULL_BATCH_TABS and len(_group_in_given_order(numbers, needs, frozenset())) < len(numbers):
        turns = [tabs for tabs, _ in _group_fewest_folds_first({n: needs[n] for n in numbers}, frozenset())]
        if len(turns) == len(numbers):
            return tuple(n for tabs in turns for n in tabs)
    return tuple(numbers)


def _group_in_given_order(numbers: Sequence[int], needs: Mapping[int, FoldSet], done: FoldSet) -> list[tuple[int, ...]]:
    """Tabs that come to their edges together when the folds of one after another are bent."""
    found = []
    left = list(numbers)
    while left:
        done |= needs[left[0]]
        found.append(tuple(n for n in left if needs[n] <= done))
        left = [n for n in left if not needs[n] <= done]
    return found


def _batch_by_folds(needs: Mapping[int, FoldSet], done: FoldSet) -> list[tuple[int, ...]]:
    """Tabs in batches, in the order in which bending fold by fold brings them to their edges. A batch is joined by what
    one more fold brings there, until it has as many as a hand keeps track of. A tab alone joins the batch that
    follows."""
    batches: list[tuple[int, ...]] = []
    full = True
    for tabs, folds in _group_fewest_folds_first(needs, done):
        if full or folds > 1:
            batches.append(batches.pop() + tabs if batches and len(batches[-1]) == 1 else tabs)
        else:
            batches[-1] += tabs
        full = len(batches[-1]) >= FULL_BATCH_TABS
    return batches


def _group_fewest_folds_first(needs: Mapping[int, FoldSet], done: FoldSet) -> list[tuple[tuple[int, ...], int]]:
    """Tabs that come to their edges together, in order, and how many folds are bent for that: those for which the
    fewest are still to be bent come first."""
    found = []
    left = list(needs)
    while left:
        first = min(left, key=lambda n: len(needs[n] - done))
        folds = needs[first] - done
        done |= folds
        found.append((tuple(n for n in left if needs[n] <= done), len(folds)))
        left = [n for n in left if not needs[n] <= done]
    return found


def tabs_closing_together(piece: Piece, numbers: Sequence[int], before: Iterable[int]) -> list[tuple[int, ...]]:
    """Of tabs of a net's own, glued in their order, those that come to their edges at once, when those before are glued
    already: none of these can be glued after another."""
    loops = tab_loops(piece)
    needs = {n: folds_to_bend(piece, [n], loops) for n in numbers if n in loops}
    return [
        tabs for tabs in _group_in_given_order(list(needs), needs, folds_to_bend(piece, before, loops)) if len(tabs) > 1
    ]
