"""Work limits: the speeds that balance, the force on the spindle, and machine and chuck allow a clamping.

The rotor of ISO 21940-11 is everything that turns: spindle, chuck and work. A counterweight leaves a share of the
unbalance, since it is never exactly right.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from typing import Literal, NamedTuple

from foldsketch.setup.formulas.balance import angular_speed, speed_at_grade

RESIDUAL_SHARE = 0.05
"""Share of the unbalance that is left with a counterweight fitted [common practice]."""

SpeedLimit = Literal["balance", "force", "grip", "machine", "three-jaw", "four-jaw", "face plate", "fixture", "cut"]
"""What stops the speed: balance grade, force on the spindle, grip of the jaws, machine and chuck, the limit of another
chuck, a face plate or a fixture, or the cut itself."""


class Cap(NamedTuple):
    """The highest speed that a clamping allows, r/min, and what sets it."""

    speed: float
    limit: SpeedLimit


class RotorState(NamedTuple):
    """The work at the beginning or at the end of a clamping. mass: kg; unbalance: g mm about the centreline."""

    mass: float
    unbalance: float


def speed_at_force(unbalance: float, allowed: float) -> float:
    """Speed, r/min, at which an unbalance in g mm pulls with an allowed force in N: (30 / pi) sqrt(F 10^6 / U).

    >>> round(speed_at_force(5334, 800))
    3698
    """
    return inf if unbalance <= 0 else sqrt(allowed * 1e6 / unbalance) / angular_speed(1.0)


@dataclass(frozen=True, slots=True)
class WorkLimits:
    """Speeds, r/min: balance as loaded and with the counterweight fitted, force, None where an input is unknown.

    The force on the spindle is that as loaded, with a counterweight too: the spindle must bear its coming off.
    machine: of machine and what is on its spindle, and what of them sets it.
    """

    balance: float | None
    balance_weighted: float | None
    force: float | None
    machine: float
    machine_limit: SpeedLimit = "machine"

    def cap(self, weighted: bool = False, clamps: float = inf) -> Cap:
        """The least of them, as loaded or with the counterweight; clamps: r/min that those of a fixture allow.

        A counterweight takes the pull off the spindle, not off what holds the work.
        """
        balance = self.balance_weighted if weighted else self.balance
        found = [Cap(self.machine, self.machine_limit)]
        if self.force is not None:
            found.append(Cap(self.force, "force"))
        if balance is not None:
            found.append(Cap(balance, "balance"))
        if clamps < inf:
            found.append(Cap(clamps, "grip"))
        return min(found, key=lambda c: c.speed)


def work_limits(
    states: tuple[RotorState, ...] | None, rotor: float, grade: float, allowed: float | None, machine: float
) -> WorkLimits:
    """Limits of a clamping.

    states: of the work at its beginning and its end, None without a density; rotor: kg of spindle and chuck; grade:
    mm/s; allowed: N on the spindle, or None; machine: r/min.

    n_G = (30 / pi) 1000 G (m_rotor + m_part) / U, the lower one of the states; n_F by the greatest U.
    """
    if states is None:
        return WorkLimits(None, None, None, machine)

    def balance(share: float) -> float:
        return min(speed_at_grade(rotor + s.mass, share * s.unbalance, grade) for s in states)

    force = None if allowed is None else speed_at_force(max(s.unbalance for s in states), allowed)
    return WorkLimits(balance(1.0), balance(RESIDUAL_SHARE), force, machine)
