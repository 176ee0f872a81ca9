"""Time: one machine compared with separate machines, for a part and for a batch. Minutes.

Minutes that bind a man or a machine; the batch's waiting before further machines is lead time and no cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

from foldsketch.setup.formulas.way_cost import CHUCK_CHANGE_MIN, PlanMinutes, crossing_batch


@dataclass(frozen=True, slots=True)
class OperationTimes:
    """cut: a turned feature.

    load: putting a part in by hand; transfer: from spindle to spindle; queue: waiting before each further machine, a
    batch; setting: one clamping's first setting up; all minutes; batch: parts; chuck_change: minutes for another chuck.
    """

    cut: float
    load: float
    transfer: float
    queue: float
    setting: float
    batch: int
    chuck_change: float = CHUCK_CHANGE_MIN


@dataclass(frozen=True, slots=True)
class TimeComparison:
    """Minutes.

    cuts: of each set-up; separate_part, one_part: a part once running; separate_batch, one_batch: a whole batch with
    setting up; waiting: of the batch before further machines, besides; break_even: the smallest batch for which one
    machine takes less, None where it never does; overlapped: both spindles work at once.
    """

    cuts: tuple[float, ...]
    separate_part: float
    one_part: float
    separate_batch: float
    one_batch: float
    waiting: float
    break_even: int | None
    overlapped: bool

    @property
    def break_even_text(self) -> str:
        """For which batches one machine takes less, in words."""
        if self.break_even is None:
            return "for no batch size"
        return "for any batch size" if self.break_even == 1 else f"from {self.break_even} parts on"


def compare_times(
    cuts: Sequence[float], one: PlanMinutes, separate: PlanMinutes, batch: int, queue: float, overlapped: bool
) -> TimeComparison:
    """One machine against one for each set-up. queue: minutes that the batch waits in all.

    >>> compare_times((3.12, 1.49), PlanMinutes(88, 5.92, 4.42), PlanMinutes(78, 6.62, 6.62), 50, 240, True).break_even
    6
    """
    waiting = queue if len(cuts) > 1 else 0.0
    batches = separate.batch(batch), one.batch(batch)
    return TimeComparison(
        tuple(cuts), separate.cycle, one.cycle, *batches, waiting, break_even_batch(one, separate), overlapped
    )


def break_even_batch(one: PlanMinutes, separate: PlanMinutes) -> int | None:
    """The smallest batch for which one machine takes less time than separate ones; None where it never does."""
    if one.batch(1) < separate.batch(1) - 1e-9:
        return 1 if one.cycle <= separate.cycle + 1e-9 else None
    if one.cycle >= separate.cycle - 1e-9:
        return None
    return max(1, floor(crossing_batch(one, separate) + 1e-9) + 1)
