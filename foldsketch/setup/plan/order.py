"""Order: the cheapest sequence of runs for a batch, by an exact search (Dijkstra).

A run is the batch through once: a clamping on the main spindle, or main and sub-spindle in one cycle. A state is
what is machined, which raw surfaces were held, which chuck is on, and which tools are in the turrets. Costs add up over
runs.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from math import hypot

from foldsketch.setup.formulas.cycle_time import OperationTimes
from foldsketch.setup.formulas.run_time import Run
from foldsketch.setup.formulas.way_cost import HAND_OVER_MIN, PROVE_MIN, TOOL_MIN, PlanMinutes
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM
from foldsketch.setup.plan.option import Option
from foldsketch.setup.plan.options import OptionFinder
from foldsketch.setup.spindle import ChuckKind
from foldsketch.setup.work.solid import Done
from foldsketch.setup.work.surface_cuts import Tool

MAX_STATES = 400
"""States after which the search stops with the best plan so far."""

MIN_CHUCK_GAP_MM = 1.0
"""Between the jaws of both chucks at a hand-over, where both grip the same diameter [C]."""

Tools = frozenset[tuple[str, Tool]]
"""Tools that are set, with the spindle that they serve."""


@dataclass(frozen=True, slots=True)
class PlannedRun:
    """A run of a plan.

    options: its clampings, one or two; run: minutes a part; minutes: setting, one part, cycle; new_tools: tools set for
    it; chuck_change: another chuck is mounted.
    """

    options: tuple[Option, ...]
    run: Run
    minutes: PlanMinutes
    new_tools: int
    chuck_change: bool


@dataclass(frozen=True, slots=True)
class Order:
    """A sequence of runs.

    cost: minutes a part for the batch; left: surfaces that are not machined; states: searched; exact: every cheaper
    sequence was looked at.
    """

    runs: tuple[PlannedRun, ...]
    cost: float
    left: tuple[str, ...]
    states: int
    exact: bool

    @property
    def minutes(self) -> PlanMinutes:
        """Setting, one part through, and cycle of the whole."""
        totals = [r.minutes for r in self.runs]
        return PlanMinutes(*(sum(column) for column in zip((0.0, 0.0, 0.0), *totals, strict=True)))


@dataclass(frozen=True, slots=True)
class _State:
    done: Done
    raw_used: frozenset[str]
    chuck: ChuckKind
    tools: Tools


class OrderSearch:
    """Searches the orders of one part on one machine; options are found once for all batches."""

    def __init__(self, finder: OptionFinder, machine: Machine, times: OperationTimes) -> None:
        self.finder, self.machine, self.times = finder, machine, times
        self.start = _State(frozenset(), frozenset(), machine.spindles[0].chuck, frozenset())

    def best(
        self, batch: int, allowed: Callable[[PlannedRun], bool] = lambda _: True, most: int = MAX_STATES
    ) -> Order | None:
        """The cheapest order for a batch, or the one that machines most; None where nothing can be cut.

        allowed: which runs may be used; most: states that are searched.
        """
        ticket = count()
        heap: list[tuple[float, int, float, _State, tuple[PlannedRun, ...], Option | None]] = []
        heap.append((0.0, next(ticket), 0.0, self.start, (), None))
        seen: dict[tuple[object, ...], list[tuple[float, Tools]]] = {}
        best: tuple[int, float, tuple[PlannedRun, ...], tuple[str, ...]] | None = None
        further = (PROVE_MIN + min(w.make + w.set for w in self.machine.way_minutes.values())) / batch + self.times.load
        states = 0

        def push(cost: float, state: _State, runs: tuple[PlannedRun, ...]) -> None:
            left = self.finder.left(state.done)
            # Where something is left there is at least one more run.
            heapq.heappush(heap, (cost + (further if left else 0.0), next(ticket), cost, state, runs, None))

        while heap and states < most:
            _, _, cost, state, runs, main = heapq.heappop(heap)
            if main is not None:
                for planned, after in self._pairs(state, main):
                    if allowed(planned):
                        push(cost + planned.minutes.a_part(batch), after, (*runs, planned))
                continue
            if _is_beaten(seen, state, cost):
                continue
            states += 1
            left = self.finder.left(state.done)
            if runs and (best is None or len(left) < best[0]):
                best = (len(left), cost, runs, left)
            if not left:
                break
            for a in self.finder.options(state.done, state.raw_used, self.machine.spindles[0]):
                planned, after = self._planned(state, (a,))
                if allowed(planned):
                    push(cost + planned.minutes.a_part(batch), after, (*runs, planned))
                if len(self.machine.spindles) > 1 and self.finder.left(a.after):
                    # What a pair with it costs at least: its partner is looked for only when its turn comes.
                    least = (planned.minutes.setting + HAND_OVER_MIN + PROVE_MIN) / batch
                    least += planned.minutes.cycle + self.times.transfer
                    heapq.heappush(heap, (cost + least, next(ticket), cost, state, runs, a))
        if best is None:
            return None
        return Order(best[2], best[1], best[3], states, best[0] == 0 or not heap)

    def _pairs(self, state: _State, main: Option) -> Iterator[tuple[PlannedRun, _State]]:
        """Runs of a clamping on the main spindle with one on the sub-spindle, and the state after each."""
        for b in self.finder.options(main.after, main.raw_after, self.machine.spindles[1]):
            if self._hands_over(main, b):
                yield self._planned(state, (main, b))

    def _hands_over(self, a: Option, b: Option) -> bool:
        """Whether the sub-spindle can pick a part up from the main spindle."""
        if a.place.from_end == b.place.from_end or b.holding.way in ("between_centres", "face_plate", "four_jaw"):
            return False
        if a.holding.way == "between_centres" or shift_between(a, b) > b.place.spindle.x_axis + LENGTH_TOLERANCE_MM:
            return False
        low, high = max(a.place.grip[0], b.place.grip[0]), min(a.place.grip[1], b.place.grip[1])
        return high - low <= -MIN_CHUCK_GAP_MM or a.place.held.kind != b.place.held.kind

    def _planned(self, state: _State, options: tuple[Option, ...]) -> tuple[PlannedRun, _State]:
        a, last = options[0], options[-1]
        tools: set[tuple[str, Tool]] = set()
        for o in options:
            tools |= {(o.place.spindle.name, t) for t in o.tools}
        new = len(tools - state.tools)
        chuck = a.holding.chuck or state.chuck
        changed = chuck != state.chuck
        setting = sum(o.setting for o in options) + TOOL_MIN * new + (self.times.chuck_change if changed else 0.0)
        # A bar is fed, not loaded; both spindles hold the work while it is parted off.
        fed = a.place.parting > 0
        load = a.each + (0.0 if fed else self.times.load)
        if len(options) > 1:
            setting += HAND_OVER_MIN
            run = Run(load, a.minutes, last.minutes, self.times.transfer + last.each + a.parting)
        else:
            run = Run(load, a.minutes + a.parting)
        cycle = run.cycle(self.machine.turrets, self.machine.load_while_cutting, fed)
        minutes = PlanMinutes(setting, run.through, cycle)
        after = _State(last.after, last.raw_after, chuck, state.tools | tools)
        return PlannedRun(options, run, minutes, new, changed), after


def _is_beaten(seen: dict[tuple[object, ...], list[tuple[float, Tools]]], state: _State, cost: float) -> bool:
    """Whether a state was reached before at no more cost, with its tools and fewer raw surfaces used."""
    labels = seen.setdefault((state.done, state.raw_used, state.chuck), [])
    if any(c <= cost + 1e-9 and tools >= state.tools for c, tools in labels):
        return True
    labels.append((cost, state.tools))
    return False


def shift_between(a: Option, b: Option) -> float:
    """How far the sub-spindle moves off centre at a hand-over, mm."""
    d = hypot(a.place.at[0] - b.place.at[0], a.place.at[1] - b.place.at[1])
    return 0.0 if d < LENGTH_TOLERANCE_MM else d
