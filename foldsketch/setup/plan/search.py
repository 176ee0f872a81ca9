"""Search: the sequence of clampings with the fewest clampings, then the fewest off-centre ones, then least unbalance.

An exact search (Dijkstra): states are (features done, last clamping), and sequences are checked in rising cost, so the
first one that turns everything is the cheapest.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from foldsketch.setup.model import LENGTH_TOLERANCE_MM, Clamping, HoldingMethod

SequenceCost = tuple[int, int, float, int]
"""Clampings, off-centre ones among them, sum of unbalance, and among equals how much there is to set."""

SETTING_EFFORT: dict[HoldingMethod, int] = {
    "centred": 0,
    "packed three-jaw": 1,
    "four-jaw": 2,
    "between centres": 3,
    "bored jaws": 4,
    "offset fixture": 5,
}
"""What has to be set or made, least first [common practice]."""


@dataclass(frozen=True, slots=True)
class SequenceRules:
    """twin: clampings alternate between main and sub-spindle, first the main one, and between the ends.

    The sub-spindle moves off centre by up to cross_travel. Otherwise every clamping is made by hand.
    """

    twin: bool
    cross_travel: float


@dataclass(frozen=True, slots=True)
class BestSequence:
    """steps: clampings in order, as numbers; done: features turned; states_searched: combinations checked."""

    steps: tuple[int, ...]
    cost: SequenceCost
    done: frozenset[str]
    states_searched: int


def transfer_shift(before: Clamping, after: Clamping) -> float:
    """How far the sub-spindle moves off centre at a transfer, mm: the distance of the two centrelines in the part."""
    d = hypot(after.at[0] - before.at[0], after.at[1] - before.at[1])
    return 0.0 if d < LENGTH_TOLERANCE_MM else d


def may_follow(before: Clamping, after: Clamping, rules: SequenceRules) -> bool:
    """Whether a clamping can come straight after another one."""
    if not rules.twin:
        return True
    return (
        before.spindle != after.spindle
        and before.from_end != after.from_end
        and transfer_shift(before, after) <= rules.cross_travel + LENGTH_TOLERANCE_MM
    )


def step_cost(before: Clamping | None, after: Clamping, rules: SequenceRules) -> SequenceCost:
    """What a clamping adds to the cost."""
    moved = rules.twin and before is not None and transfer_shift(before, after) > LENGTH_TOLERANCE_MM
    return (
        1,
        int(moved or after.offset > LENGTH_TOLERANCE_MM),
        round(after.unbalance, 6),
        SETTING_EFFORT[after.holding_method],
    )


def add_costs(a: SequenceCost, b: SequenceCost) -> SequenceCost:
    """The sum of two costs."""
    return (a[0] + b[0], a[1] + b[1], round(a[2] + b[2], 6), a[3] + b[3])


def best_sequence(
    clampings: Sequence[Clamping], needed: frozenset[str], rules: SequenceRules, first: int | None = None
) -> BestSequence | None:
    """The least sequence that turns all needed features, or as many as can be; None where none can be turned.

    first: the number of the clamping it must begin with.
    """
    turns = [frozenset(c.turned) & needed for c in clampings]
    follow = [[j for j, d in enumerate(clampings) if may_follow(c, d, rules)] for c in clampings]
    begin = [
        k
        for k, c in enumerate(clampings)
        if (first is None or k == first) and (not rules.twin or c.spindle == "main") and not c.required_bore
    ]
    # A heap entry: cost, then the steps, so that equal costs are taken in one fixed order.
    heap: list[tuple[SequenceCost, tuple[int, ...], frozenset[str]]] = []
    for k in begin:
        heapq.heappush(heap, (step_cost(None, clampings[k], rules), (k,), turns[k]))
    seen: dict[tuple[frozenset[str], int], SequenceCost] = {}
    best: tuple[int, SequenceCost, tuple[int, ...], frozenset[str]] | None = None
    states = 0
    while heap:
        cost, steps, done = heapq.heappop(heap)
        last = steps[-1]
        if (done, last) in seen:
            continue
        seen[done, last] = cost
        states += 1
        if done and (best is None or len(done) > -best[0]):
            best = (-len(done), cost, steps, done)
        if done == needed:
            break
        for k in follow[last]:
            bore = clampings[k].required_bore
            if bore and bore not in done:
                continue  # it is not there yet to be held
            after = done | turns[k]
            if (after, k) in seen:
                continue
            heapq.heappush(heap, (add_costs(cost, step_cost(clampings[last], clampings[k], rules)), (*steps, k), after))
    if best is None:
        return None
    return BestSequence(best[2], best[1], best[3], states)
