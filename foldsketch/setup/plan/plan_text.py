"""The set-up plan in words: the table, castings and time, and the cautions.

Lengths are in the unit of the part file; unbalance is in g mm throughout.
"""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.findings import Quantity
from foldsketch.base.units import format_count, normalized_degrees
from foldsketch.setup.cutters import TOOL_NAMES
from foldsketch.setup.formulas.balance import FORCE_REFERENCE_SPEED_RPM
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck

CAUTIONS = (
    "First estimates from the nominal shape of the part alone, without chuck and fixture: check before use.",
    "Off-centre work shakes the machine. Balance it, close the guards, do not stand in line with the chuck.",
    "The chuck and jaw makers' limits for speed, grip and jaw height come before every figure here.",
    "Prove each set-up at low speed. Raise the speed in steps while nothing moves, hums or loosens.",
    "Local rules and a licensed or trained person decide whether and how the work is turned.",
)
"""On every output that gives a speed, a clamping or a balance figure."""


def plan_table(plan: SetUpPlan) -> str:
    """The sequence as a table, then balance, overhang, other orders, what is left and the cautions."""

    def length(value: float, places: int = 2) -> str:
        return Quantity(value, "mm", places).text(plan.units)

    rows = [
        ("no", "spindle", "held on", "workholding", "end", "axis", "offset", "sub offset", "angle", "swing", "turned")
    ]
    for s in plan.setups:
        c = s.clamping
        rows.append(
            (
                str(s.number),
                c.spindle + (" by hand" if s.by_hand else ""),
                c.held_on,
                c.holding_method,
                c.from_end,
                c.on_centreline,
                length(c.offset),
                length(s.shift),
                f"{normalized_degrees(s.orientation):.1f}°",
                length(s.swing, 1),
                ", ".join(s.features) or "(picks up)",
            )
        )
    widths = [max(len(v) for v in column) for column in zip(*rows, strict=True)]
    lines = [f"{plan.part} on {plan.machine}", ""]
    lines += ["  ".join(v.ljust(w) for v, w in zip(r, widths, strict=True)).rstrip() for r in rows]
    if not plan.setups:
        lines.append("nothing can be turned on this machine")
    lines.append("")
    lines += [_balance_line(s, plan.units) for s in plan.setups]
    lines += ["", _optimality_text(plan)]
    for a in plan.alternatives:
        steps = "; ".join(f"({k}) {step}" for k, step in enumerate(a.steps, 1))
        lines.append(f"other order, {a.reason.text}: {steps}")
    if plan.unturned:
        lines += ["", "not turned on this machine:"]
        for name, reasons in plan.unturned:
            lines.append(f"  {name}: {'; '.join(f.text_in(plan.units) for f in reasons) or 'nothing holds it'}")
    lines += ["", *CAUTIONS]
    return "\n".join(lines)


def _balance_line(s: SetUp, units: str) -> str:
    def length(value: float, places: int = 2) -> str:
        return Quantity(value, "mm", places).text(units)

    text = f"{s.number}: indicator reading (TIR) {length(s.indicator)} on '{s.clamping.held_on}'"
    if s.unbalance is not None:
        speed, limit = s.speed
        text += f", unbalance {s.unbalance:.0f} g mm, {s.force or 0:.1f} N at {FORCE_REFERENCE_SPEED_RPM:g} r/min; "
        text += f"at most {speed:.0f} r/min ({limit})"
    if s.counterweight:
        kg, radius = s.counterweight
        text += f", counterweight {kg:.3f} kg at {length(radius, 0)} radius, opposite the heavy side"
    if s.packing and s.packable:
        text += f", packing {length(s.packing.narrow)} under narrow, {length(s.packing.flat)} under flat jaws"
    for r in s.reach:
        if r.overhang > 0 and r.tool != "outside":
            text += f"; '{r.feature}' needs a tool stick-out of {length(r.overhang, 1)}"
            if r.radial_clearance is not None:
                text += f" in a clearance of {length(r.radial_clearance, 1)}"
            text += f" ({TOOL_NAMES[r.tool]}, {length(r.size)})"
    return text


def _optimality_text(plan: SetUpPlan) -> str:
    if not plan.setups:
        return "no set-up is possible"
    n, (least, why) = len(plan.setups), plan.lower_bound
    checked = f"all {plan.states_searched} combinations checked"
    text = f"{format_count(n, 'set-up')} {'is' if n == 1 else 'are'} the fewest on this machine ({checked})"
    return text if n == least else f"{text}; at least {least} on any, because {why}"


def castings_and_time_text(
    castings: Sequence[CastingCheck], time: TimeComparison | None, batch: int, units: str = "mm"
) -> str:
    """Castings and time in words."""
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
    if time is not None:
        lines += [
            f"time per part: {time.separate_part:.1f} min on separate machines, {time.one_part:.1f} min in one"
            + (", both spindles cutting" if time.overlapped else ""),
            f"time for a batch of {batch}: {time.separate_batch:.0f} min on separate machines with waiting, "
            f"{time.one_batch:.0f} min in one machine: quicker {time.break_even_text}",
        ]
    return "\n".join(lines)
