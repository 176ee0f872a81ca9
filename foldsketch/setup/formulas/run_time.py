"""Run time: a batch through one clamping, or through main and sub-spindle in one cycle. Minutes.

A run is the batch through once. The same spindle with other jaws is another run with a loading of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Run(NamedTuple):
    """Minutes a part.

    load: on the main spindle; main, sub: cuts, sub None without a second clamping; hand_over: binds both spindles.
    """

    load: float
    main: float
    sub: float | None = None
    hand_over: float = 0.0

    @property
    def through(self) -> float:
        """One part through: T1 = L + A + H + B."""
        return self.load + self.main + (self.sub + self.hand_over if self.sub is not None else 0.0)

    def cycle(self, turrets: int, load_while_cutting: bool = False, fed_bar: bool = False) -> float:
        """From part to part, C. Two turrets, hand-loaded: L + H + max(A, B).

        Loading while the sub-spindle cuts, or a fed bar: H + max(L + A, B); one turret: L + H + A + B, the load beside
        the sub-spindle's cuts only with a loading of its own.

        >>> Run(1.0, 3.12, 1.49, 0.3).cycle(turrets=2)
        4.42
        """
        if self.sub is None:
            return self.through
        beside = load_while_cutting or fed_bar
        if turrets > 1:
            cuts = max(self.load + self.main, self.sub) if beside else self.load + max(self.main, self.sub)
            return self.hand_over + cuts
        return self.hand_over + self.main + (max(self.load, self.sub) if beside else self.load + self.sub)

    @property
    def binding(self) -> str:
        """The spindle that sets the cycle of two turrets: "main" or "sub"."""
        return "main" if self.sub is None or self.main >= self.sub else "sub"


def separate_minutes(runs: Iterable[Run], load: float) -> float:
    """Minutes a part when each clamping has a machine of its own: C' = sum (L + cut)."""
    return sum(load + cut for r in runs for cut in (r.main, r.sub) if cut is not None)
