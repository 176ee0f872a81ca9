"""What a way of holding or cutting costs: minutes to make jaws or fixture, to set it, and for each part.

Minutes that bind a man or a machine; no money. Every figure is from memory [M] and common practice [C], right to
perhaps a half: the machine file overrules it.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import inf
from typing import NamedTuple


class WayMinutes(NamedTuple):
    """Minutes: make, once a batch (jaws, fixture, packing); set, once a batch; each, for every part besides loading."""

    make: float
    set: float
    each: float


WAY_MINUTES: dict[str, WayMinutes] = {
    "hard_jaws": WayMinutes(0, 10, 0),
    "pads": WayMinutes(5, 10, 1),
    "soft_jaws": WayMinutes(0, 25, 0),
    "packed_three_jaw": WayMinutes(10, 20, 2.5),
    "four_jaw": WayMinutes(0, 15, 6),
    "bored_jaws": WayMinutes(60, 20, 0),
    "offset_fixture": WayMinutes(240, 30, 0.5),
    "face_plate": WayMinutes(60, 45, 8),
    "between_centres": WayMinutes(15, 15, 4.5),
    "driven": WayMinutes(0, 5, 0),
    "interpolated": WayMinutes(0, 20, 0),
    "fed_bar": WayMinutes(0, 15, 0.15),
}
"""By key of [way.NAME]: hard jaws on a raw surface, pads on hard jaws for a finished one, soft jaws bored in place, the
ways of holding off centre, driven tools and interpolation turning (a clamping), and a bar fed through the spindle."""

PROVE_MIN, TOOL_MIN, HAND_OVER_MIN, COUNTERWEIGHT_MIN = 10.0, 3.0, 10.0, 10.0
"""Setting minutes besides: proving a clamping, a tool, a proved hand-over, a counterweight [M]."""

SAWING_MIN = 3.0
"""Minutes a part to saw a piece off a bar that is not fed [M]."""

CHUCK_CHANGE_MIN, HAND_CHUCK_CHANGE_MIN = 30.0, 10.0
"""Setting minutes for another chuck: power chuck, and one tightened by hand [M]."""

EQUAL_SHARE = 0.05
"""Two plans whose minutes differ by less are equally good within the estimate."""


def setting_minutes(
    ways: Iterable[WayMinutes],
    clampings: int,
    tools: int,
    hand_overs: int = 0,
    counterweights: int = 0,
    chuck_changes: float = 0.0,
) -> float:
    """S, minutes before a batch.

    ways: of every clamping, driven or interpolated cutting included; clampings: how many are proved; tools: set;
    chuck_changes: minutes of them all.

    >>> hard, soft, driven = WAY_MINUTES["hard_jaws"], WAY_MINUTES["soft_jaws"], WAY_MINUTES["driven"]
    >>> setting_minutes([hard, soft, driven], 2, 6, hand_overs=1)
    88.0
    """
    ways_total = sum(w.make + w.set for w in ways)
    others = PROVE_MIN * clampings + TOOL_MIN * tools + HAND_OVER_MIN * hand_overs + COUNTERWEIGHT_MIN * counterweights
    return ways_total + others + chuck_changes


class PlanMinutes(NamedTuple):
    """Minutes of a plan: setting S, before a batch.

    Through T1, one part through all clampings; cycle C, from part to part once running.
    """

    setting: float
    through: float
    cycle: float

    def batch(self, parts: int) -> float:
        """Minutes of a batch: S + T1 + (b - 1) C."""
        return self.setting + self.through + (parts - 1) * self.cycle

    def a_part(self, parts: int) -> float:
        """Minutes a part: (S + T1 - C) / b + C.

        >>> round(PlanMinutes(88, 5.92, 4.42).a_part(50), 2)
        6.21
        """
        return (self.setting + self.through - self.cycle) / parts + self.cycle


def crossing_batch(one: PlanMinutes, other: PlanMinutes) -> float:
    """Batch at which two plans take the same time, b* = (S2 + T2 - C2 - S1 - T1 + C1) / (C1 - C2).

    Below 1 where one of them is the quicker for every batch; infinite where the cycles are alike.
    """
    if one.cycle == other.cycle:
        return inf
    fixed = (other.setting + other.through - other.cycle) - (one.setting + one.through - one.cycle)
    return fixed / (one.cycle - other.cycle)
