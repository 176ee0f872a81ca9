"""Castings and time: whether turned surfaces clean up, and what a batch takes, from the user's tolerances and times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from foldsketch.base.findings import Quantity
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.part.model import Part
from foldsketch.setup.formulas.casting_stock import (
    CastStock,
    CleanUpYield,
    WorstCaseStock,
    simulate_yield,
    worst_case_stock,
)
from foldsketch.setup.formulas.cycle_time import TimeComparison, compare_times
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan


@dataclass(frozen=True, slots=True)
class CastingCheck:
    """One turned feature with stock: how it is cast, the worst case, and the share of parts that clean up."""

    feature: str
    set_up: int
    cast: CastStock
    worst_case: WorstCaseStock
    clean_up_yield: CleanUpYield


def check_castings(
    part: Part, plan: SetUpPlan, location: float, diameter: float, listener: Listener = ignore_progress
) -> tuple[CastingCheck, ...]:
    """For every turned feature with stock; location and diameter: tolerances of the castings, mm."""
    found = []
    for s in plan.setups:
        for f in part.features:
            if f.name in s.features and f.stock > 0:
                cast = CastStock(f.stock, location, diameter)
                found.append(
                    CastingCheck(
                        f.name, s.number, cast, worst_case_stock(cast), simulate_yield(cast, listener=listener)
                    )
                )
    return tuple(found)


def time_comparison(plan: SetUpPlan, machine: Machine) -> TimeComparison | None:
    """One machine against one for each set-up; None where the machine file gives no times, or for one set-up."""
    if machine.times is None or plan.separate is None:
        return None
    overlapped = machine.turrets > 1 and any(len(r.setups) > 1 for r in plan.runs)
    cuts = [s.minutes for s in plan.setups]
    return compare_times(cuts, plan.minutes, plan.separate, plan.batch, plan.queue, overlapped)


def castings_text(castings: Sequence[CastingCheck], units: str = "mm") -> str:
    """Castings in words."""
    lines: list[str] = []
    for c in castings:
        worst = c.worst_case
        least, most, move = (Quantity(v, "mm").text(units) for v in (worst.least, worst.most, worst.take_up))
        lines.append(
            f"casting '{c.feature}' (set-up {c.set_up}): stock {Quantity(c.cast.stock, 'mm').text(units)} per side, "
            f"least {least}, most {most}: {'always' if worst.cleans_up else 'does not always'} "
            f"{'cleans up' if worst.cleans_up else 'clean up'}; {100 * c.clean_up_yield.fraction:.2f} % of "
            f"{c.clean_up_yield.parts:,} simulated parts do (± {100 * c.clean_up_yield.error:.2f}); held as cast, jaws "
            f"must move {move}"
        )
    return "\n".join(lines)
