"""Rounds: a net of many features is glued feature by feature, while the rest of it stays flat."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from foldsketch.net.model import Piece

MANY = 8
"""A net with fewer tabs of its own is glued in one go [common practice]."""


def loops_of(piece: Piece) -> dict[int, frozenset[int]]:
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
            found[t.number] = found.get(t.number, frozenset()) | _between(way[t.panel], way[t.meets.panel])
    return found


def _between(one: Sequence[int], two: Sequence[int]) -> frozenset[int]:
    """The panels from the last of one way to the last of another, both included."""
    shared = sum(a == b for a, b in zip(one, two, strict=False))
    return frozenset((*one[shared - 1 :], *two[shared:]))


def bent(piece: Piece, numbers: Iterable[int]) -> frozenset[tuple[int, int]]:
    """The folds, by their panels, that have to be bent for tabs to reach their edges."""
    loops = loops_of(piece)
    closed = [loops[n] for n in numbers if n in loops]
    return frozenset(f.panels for f in piece.folds if any(loop.issuperset(f.panels) for loop in closed))


def rounds_of(piece: Piece, numbers: Sequence[int]) -> list[tuple[int, ...]]:
    """Tabs of a net's own in rounds: those that close a loop within one feature first, feature by feature; then by the
    folds that have to be bent for them, few at a time. One round where the net is of one feature, has few tabs or a
    ring of folds; none without tabs."""
    feature = {p.id: p.feature for p in piece.panels}
    ring = len(piece.folds) >= len(piece.panels)  # a fold parted by an opening: neither half bends alone
    if len(numbers) < MANY or len(set(feature.values())) == 1 or ring:
        return [tuple(numbers)] if numbers else []
    loops = loops_of(piece)
    rounds: dict[str, list[int]] = {}
    rest = []
    for n in numbers:
        own = {feature[k] for k in loops[n]}
        if len(own) == 1:
            rounds.setdefault(own.pop(), []).append(n)
        else:
            rest.append(n)
    done = bent(piece, (n for r in rounds.values() for n in r))
    return [*map(tuple, rounds.values()), *_by_folds(piece, rest, done)]


def _by_folds(piece: Piece, numbers: Sequence[int], done: frozenset[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Tabs in rounds, each begun by the one that needs the fewest folds bent that are not done, and joined by all that
    need one more at most."""
    needs = {n: bent(piece, [n]) for n in numbers}
    rounds: list[tuple[int, ...]] = []
    left = list(numbers)
    while left:
        chosen: list[int] = []
        more = [min(left, key=lambda n: len(needs[n] - done))]
        while more:
            chosen += more
            done = done.union(*(needs[n] for n in more))
            left = [n for n in left if n not in more]
            more = [n for n in left if len(needs[n] - done) <= 1]
        if rounds and len(rounds[-1]) == 1:
            chosen = [*rounds.pop(), *chosen]
        rounds.append(tuple(sorted(chosen, key=list(numbers).index)))
    return rounds
