"""Time: one machine compared with separate machines, handling and queueing included, for a part and for a batch.

A plain model; every figure in it comes from the machine file. Minutes throughout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

from foldsketch.setup.formulas.way_cost import CHUCK_CHANGE_MIN


@dataclass(frozen=True, slots=True)
class OperationTimes:
    """cut: a turned feature; load: putting a part in by hand; transfer: from spindle to spindle; queue: waiting
    before each further machine, a batch; setting: one clamping's first setting up; all minutes; batch: parts;
    chuck_change: minutes for another chuck."""

    cut: float
    load: float
    transfer: float
    queue: float
    setting: float
    batch: int
    chuck_change: float = CHUCK_CHANGE_MIN


@dataclass(frozen=True, slots=True)
class TimeComparison:
    """Minutes. cuts: of each set-up; separate_part, one_part: a part once running; separate_batch, one_batch: a whole
    batch with setting up; break_even: the smallest batch for which one machine is quicker, None where it never is;
    overlapped: both spindles work at once."""

    cuts: tuple[float, ...]
    separate_part: float
    one_part: float
    separate_batch: float
    one_batch: float
    break_even: int | None
    overlapped: bool

    @property
    def break_even_text(self) -> str:
        """For which batches one machine is quicker, in words."""
        if self.break_even is None:
            return "for no batch size"
        return "for any batch size" if self.break_even == 1 else f"from {self.break_even} parts on"


def compare_cycle_times(features: Sequence[int], spindles: Sequence[str], times: OperationTimes) -> TimeComparison:
    """The comparison. features: number of features turned in each set-up; spindles: main or sub for each.

    Separate machines: each set-up on a machine of its own, loaded by hand, the batch waiting before each further one:
    batch time = n setting + (n - 1) queue + b (n load + cuts).
    One machine: one load a part, a transfer between set-ups. A part that goes once from main to sub lets both spindles
    cut at the same time, so a part leaves after the longer of the two; otherwise it passes through alone:
    batch time = n setting + first part + (b - 1) cycle.
    """
    n = len(features)
    cuts = tuple(times.cut * k for k in features)
    separate_part = sum(cuts) + n * times.load
    through = sum(cuts) + times.load + (n - 1) * times.transfer
    overlapped = list(spindles) == ["main", "sub"]
    cycle = max(cuts[0] + times.load, cuts[1]) + times.transfer if overlapped else through
    both = n * times.setting
    waiting = (n - 1) * times.queue
    b = times.batch
    separate_batch = both + waiting + b * separate_part
    one_batch = both + through + (b - 1) * cycle
    return TimeComparison(
        cuts,
        separate_part,
        cycle,
        separate_batch,
        one_batch,
        _break_even_batch(waiting, separate_part, through, cycle),
        overlapped,
    )


def _break_even_batch(waiting: float, separate: float, through: float, cycle: float) -> int | None:
    """Smallest b with through + (b - 1) cycle <= waiting + b separate."""
    if through <= waiting + separate:
        return 1
    gain = separate - cycle
    b = (through - cycle - waiting) / gain if gain > 0 else inf
    return None if b == inf else max(1, ceil(b - 1e-9))
