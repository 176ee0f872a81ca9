"""The set-up plan in words: one line a set-up, then limits, then why not otherwise; it fits a screen.

Lengths are in the unit of the part file; unbalance is in g mm throughout.
"""

from __future__ import annotations

import textwrap
from math import cos

from foldsketch.base.findings import Quantity, listed
from foldsketch.base.units import format_count, normalized_degrees
from foldsketch.setup import messages
from foldsketch.setup.formulas.cycle_time import break_even_batch
from foldsketch.setup.formulas.way_cost import EQUAL_SHARE
from foldsketch.setup.formulas.workpiece_rules import LIFT_KG
from foldsketch.setup.messages import ORDER_EQUALLY_GOOD, ORDER_LEAVES_FEATURES
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.hand_over import facing_text, hand_over
from foldsketch.setup.plan.limit_text import grip_rows, speed_rows, weight_text
from foldsketch.setup.plan.set_up_text import cuts_text, held_text, plan_label, way_text
from foldsketch.setup.plan.text_layout import (
    INDENT,
    WIDTH,
    counted_surfaces,
    duration,
    joined_findings,
    joined_reasons,
    labelled,
    with_right,
)

CAUTIONS = (
    "First estimates, minutes right to a third, without chamfers, gauging and tool wear: check before use.",
    "Off-centre work shakes the machine. Balance it, close the guards, do not stand in line with the chuck.",
    "Grip falls with speed. Packing is captive, never loose in a power chuck. Bolt a counterweight, never clamp it.",
    "Set a speed limit before constant surface speed. Mind interrupted cuts, and a power loss with work in the chuck.",
    f"Lift what weighs more than {LIFT_KG:g} kg. Prove each set-up at low speed; raise it while nothing moves or hums.",
    "The chuck maker's plate and a licensed or trained person decide, under local rules.",
)
"""On every output that gives a speed, a clamping or a balance figure."""

TOLD_ELSEWHERE = frozenset((messages.GRIP_UNKNOWN.code, messages.BEYOND_THREE_JAW_PACKING.code))
"""Findings of set-ups that the rows of limits say as well."""

WATCHED = frozenset(
    (messages.SURFACE_IN_TWO_SETUPS.code, messages.LOCATION_NOT_KEPT.code, messages.LOCATION_FROM_CAST.code)
)
"""Findings of the plan that its own rows say."""

IN_ROWS = WATCHED | {m.code for m in (messages.DRILLED, messages.NOT_ALONG_SPINDLE, messages.NOT_ROUND)}
"""Findings of the plan that need not be printed below it."""


def plan_table(plan: SetUpPlan) -> str:
    """The plan on a screen."""
    return "\n".join([*_Table(plan).lines(), *CAUTIONS, "Figures with their formulas: --explain"])


class _Table:
    """The rows of one plan."""

    def __init__(self, plan: SetUpPlan) -> None:
        self.plan, self.units = plan, plan.units

    def lines(self) -> list[str]:
        plan, m = self.plan, self.plan.minutes
        head = plan.part.upper() + "  " + plan.blank
        if plan.mass is not None and plan.raw_mass is not None:
            head += f" {plan.raw_mass:.2f} kg, {plan.mass:.2f} done"
        if not plan.setups:
            return [head, plan.machine, "nothing can be cut on this machine", *self._left()]
        which = f"plan {plan.number}, " if plan.number > 1 else ""
        a_part = f"{which}{plan.batch}: {m.a_part(plan.batch):.1f} min each"
        lines = with_right(head, a_part)
        lines += with_right(plan.machine, f"setting {m.setting:.0f}, cycle {m.cycle:.1f}")
        if plan.unturned:
            cut = {c.surface for s in plan.setups for c in s.cuts} - {name for name, _ in plan.unturned}
            lines += with_right("", counted_surfaces(len(cut), len(cut) + len(plan.unturned)))
        for s in plan.setups:
            lines += self._set_up(s)
        lines += [
            *labelled("Speed", speed_rows(plan.setups)),
            *labelled("Grip", grip_rows(plan.setups)),
            *self._jaws(),
            *self._over(),
            *self._time(),
            *self._left(),
        ]
        return [*lines, *self._watch(), *self._not()]

    def length(self, value: float, places: int = 2) -> str:
        """A length in the unit of the part, without its name."""
        return Quantity(value, "mm", places).text(self.units).rsplit(" ", 1)[0]

    def _set_up(self, s: SetUp) -> list[str]:
        c = s.clamping
        line = f"{c.on_centreline} on the spindle"
        line = f"centred on {c.on_centreline}" if not c.offset else f"{line}, {self.length(c.offset)} off {c.held_axis}"
        extra = ", tailstock centre" if c.centre else ""
        text = f"{weight_text(s)}{way_text(s)}, {held_text(s, self.length)}, {line}, from the {c.from_end} end{extra}"
        rows = textwrap.wrap(text, WIDTH - INDENT - 6)
        first = with_right(f"{s.number} {c.spindle.upper():<{INDENT - 3}} {rows[0]}", f"{s.minutes:.1f}")
        return [*first, *(" " * INDENT + r for r in rows[1:]), *labelled("", ["; ".join(cuts_text(s, self.length))])]

    def _jaws(self) -> list[str]:
        rows = []
        for s in self.plan.setups:
            if not s.clamping.offset:
                continue
            text = f"{s.number}: indicator reading {self.length(s.indicator)}"
            if s.jaws:
                text += ", jaws from the centre " + ", ".join(self.length(j.from_centre) for j in s.jaws)
                side = s.clamping.on_centreline if cos(s.jaws[0].angle) > 0 else s.clamping.held_axis
                text += f" (jaw 1 on {side}'s side)"
                if s.jaw_swing > s.swing:
                    text += f", jaws swing {self.length(s.jaw_swing, 0)}"
            if s.packed and s.packing is not None:
                text += f", packing under jaw 1 {self.length(s.packing.for_chuck_jaws)} for these jaws"
                text += f", {self.length(s.packing.narrow)} for narrow ones"
            rows.append(text)
        return labelled("Off", rows)

    def _over(self) -> list[str]:
        rows = []
        for before, s in zip(self.plan.setups, self.plan.setups[1:], strict=False):
            if s.by_hand:
                continue
            over, on = hand_over(before, s), s.clamping.on_centreline
            between = f"{self.length(over.gap, 1)} between the jaws"
            if not s.shift:
                rows.append(f"{before.number} to {s.number}: sub straight on, no shift; {between}")
                continue
            angles = [f"{normalized_degrees(v):.1f}°" for v in (over.main, over.sub)]
            text = f"{before.number} to {s.number}: turn main until {on} is on the tool's side (+X) of "
            text += f"{before.clamping.on_centreline}: C {angles[0]}, sub C {angles[1]}, mirrored; a control may "
            text += f"count C the other way: go by the eye; sub {self.length(s.shift)} off centre in X"
            text += f"; its jaw 1 faces {facing_text(over.jaw_1)}" if over.jaw_1 is not None else ""
            text += f"; {between}" + (", clear on either side" if over.gap > 0 else "")
            rows.append(f"{text}; draw the work {self.length(over.draw_back, 1)} out before X goes back to 0")
        return labelled("Over", rows)

    # Time ------------------------------------------------------------------------------------------------------------

    def _time(self) -> list[str]:
        plan, rows = self.plan, []
        for run in plan.runs:
            if len(run.setups) < 2:
                continue
            for spindle in ("main", "sub"):
                lanes = " | ".join(f"{v.what} {v.end - v.start:.1f}" for v in run.lanes if v.spindle == spindle)
                binds = f"  {spindle} binds" if run.binding == spindle else ""
                rows.append(f"{spindle:<4} | {lanes} |{binds}")
        total = plan.minutes.batch(plan.batch)
        text = f"{format_count(plan.batch, 'part')} {duration(total)}"
        if plan.separate is not None:
            apart, queue = plan.separate.batch(plan.batch), f"{plan.queue:.0f} min of waiting"
            same = abs(apart - total) <= EQUAL_SHARE * total
            text += f"; a machine for each set-up {'as long' if same else duration(apart)}, and {queue}"
            text += "" if same else f"; {break_even_text(plan)}"
        return labelled("Time", [*rows, text])

    # What is left, cautions, others ----------------------------------------------------------------------------------

    def _left(self) -> list[str]:
        rows = []
        for words, names in (("stays as cast", self.plan.as_it_comes), ("made elsewhere", self.plan.elsewhere)):
            if names:
                rows.append(f"{words}: {listed(names)}")
        by_reason: dict[str, list[str]] = {}
        for name, reasons in self.plan.unturned:
            text = joined_reasons(reasons[:2], self.units) or "nothing holds the work for it"
            by_reason.setdefault(text, []).append(name)
        rows += [f"NOT CUT: {listed(names)}: {text}" for text, names in by_reason.items()]
        return labelled("Left", rows)

    def _watch(self) -> list[str]:
        """What to see to: set-ups of the same need in one line, then what concerns the plan."""
        noted = [f for s in self.plan.setups for f in s.findings if f.code not in TOLD_ELSEWHERE]
        rows = joined_findings(noted, self.units)
        rows += [f.text_in(self.units) for f in self.plan.findings if f.code in WATCHED]
        return labelled("Watch", rows)

    def _not(self) -> list[str]:
        """The next best plans in short; the steps of those whose short name says no difference."""
        rows = []
        labels = [plan_label(self.plan), *(a.label for a in self.plan.alternatives)]
        for a in self.plan.alternatives:
            why = a.reason.wording(self.units)[0]
            if a.reason.code in (ORDER_EQUALLY_GOOD.code, ORDER_LEAVES_FEATURES.code):
                why = f"{a.minutes:.1f} min a part, {why}"
            name = a.label if labels.count(a.label) == 1 else " | ".join(a.steps)
            rows.append(f"plan {a.number}: {name}: {why}")
        if rows:
            rows.append(f"--plan {self.plan.alternatives[0].number} works out that one")
        return labelled("Not", rows)


def break_even_text(plan: SetUpPlan) -> str:
    """From how many parts on one machine takes less time than separate ones, in words."""
    if plan.separate is None:
        return ""
    least = break_even_batch(plan.minutes, plan.separate)
    if least is None:
        better = plan.minutes.batch(plan.batch) < plan.separate.batch(plan.batch)
        return "less for small batches" if better else "never pays in time"
    return "pays for any batch" if least == 1 else f"pays from {least} parts"
