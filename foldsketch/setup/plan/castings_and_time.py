"""Outlook: what a plan means for castings that vary and for time, where the user gives tolerances and times."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.progress import Listener, silent
from foldsketch.part.model import Part
from foldsketch.setup.formulas.casting_stock import Cast, Worst, Yield, thrown, worst_case
from foldsketch.setup.formulas.cycle_time import Compared, compare
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan


@dataclass(frozen=True, slots=True)
class Casting:
    """One turned feature with stock: what it is cast to, the worst case, and the share that cleans up."""

    feature: str
    set_up: int
    cast: Cast
    worst: Worst
    share: Yield


def castings(
    part: Part, plan: SetUpPlan, location: float, diameter: float, listener: Listener = silent
) -> tuple[Casting, ...]:
    """For every turned feature with stock; location and diameter: tolerances of the castings, mm."""
    found = []
    for s in plan.setups:
        for f in part.features:
            if f.name in s.features and f.stock > 0:
                cast = Cast(f.stock, location, diameter)
                found.append(Casting(f.name, s.number, cast, worst_case(cast), thrown(cast, listener=listener)))
    return tuple(found)


def times(plan: SetUpPlan, machine: Machine) -> Compared | None:
    """Separate machines against this one; None where the machine file gives no times or nothing is turned."""
    if machine.times is None or not plan.setups:
        return None
    return compare([len(s.features) for s in plan.setups], [s.clamping.spindle for s in plan.setups], machine.times)
