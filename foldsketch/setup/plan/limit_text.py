"""What limits the set-ups of a plan, in words: speeds and what stops them, and the grip that the cuts need."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.findings import listed
from foldsketch.setup.formulas.balance import centrifugal_force
from foldsketch.setup.formulas.clamping_force import CHUCK_SAFETY, CUT_SAFETY
from foldsketch.setup.model import SetUp
from foldsketch.setup.speed_text import rounded_down, speed_limit_text
from foldsketch.setup.work.clamping_limits import CLAMPED_WAYS

CLOSE_SHARE = 0.9
"""Of the chuck's force; a need beyond it is told."""

NO_LIMIT_TIMES = 4.0
"""A limit of so many times the machine's own speed is not printed."""


def speed_rows(setups: Sequence[SetUp]) -> list[str]:
    """Slowest and highest speed of each set-up, what stops it there, and the other limits."""
    rows = []
    for s in setups:
        v = s.speeds
        if v.limit == "only indexed":
            rows.append(f"{s.number}: the spindle only indexes, driven tools cut")
            continue
        text = f"{s.number}: {v.limit}"
        if v.recommended is not None:
            least, most = rounded_down(v.roughing or v.recommended), rounded_down(v.recommended)
            span = f"{most}" if least == most else f"{least} to {most}"
            text = f"{s.number}: {span} r/min, {speed_limit_text(v.limit, s.weighted)}"
        balance = v.balance_weighted if s.weighted else v.balance
        clamps = v.grip if s.clamping.way in CLAMPED_WAYS else None
        limits = {"balance": balance, "force": v.force, "clamps": clamps, v.machine_limit: v.machine}
        others = [
            f"{'balance allows' if name == 'balance' else name} {rounded_down(value)}"
            for name, value in limits.items()
            if value is not None
            and value < NO_LIMIT_TIMES * v.machine
            and name != ("clamps" if v.limit == "grip" else v.limit)
        ]
        text += f"; {', '.join(others)}" if others else ""
        if s.weighted and v.balance is not None:
            text += f"; without the weight {rounded_down(v.balance)}: prove out below that first"
        if s.unbalance is not None and s.force is not None and s.unbalance >= 1:
            couple = f", the couple {s.bearing_force:.0f} N on each bearing" if (s.bearing_force or 0.0) >= 1 else ""
            pull = f"pull {s.force:.0f} N"
            if s.weighted:
                pull = f"pull {pull_of_the_work(s):.0f} N at the work and at the weight's bolts"
                pull += f", {s.force:.0f} N on the spindle"
            text += f" ({s.unbalance:.0f} g mm {pull}{couple})"
        rows.append(text)
    return rows


def weight_text(s: SetUp) -> str:
    """What comes before everything else of a set-up whose speed hangs on a counterweight."""
    v = s.speeds
    if not s.weighted or v.balance is None or v.recommended is None:
        return ""
    return f"NEEDS A COUNTERWEIGHT ({rounded_down(v.balance)} r/min of {rounded_down(v.recommended)} without): "


def pull_of_the_work(s: SetUp) -> float:
    """N with which the work pulls on what holds it at the recommended speed; no counterweight takes that away."""
    return centrifugal_force(s.unbalance or 0.0, s.speeds.recommended or 0.0)


def grip_rows(setups: Sequence[SetUp]) -> list[str]:
    """Grip at rest that the cuts of each set-up need, of what the chuck has, in one row; none where no jaws hold."""
    held = [s for s in setups if s.clamping_force]
    if not held:
        return []
    rows = []
    for s in held:
        has = f" of {s.grip_force / 1000:.0f}" if s.grip_force is not None else ""
        rows.append(f"{s.number}: {(s.clamping_force or 0.0) / 1000:.1f}{has} kN")
    known = all(s.grip_force is not None for s in held)
    plate = "" if known else "; compare with the chuck's plate: no grip_force in the machine file"
    close = [f"{s.number}" for s in held if s.grip_force and (s.clamping_force or 0.0) > CLOSE_SHARE * s.grip_force]
    reserve = f"; less than a tenth in hand in {listed(close)}" if close else ""
    safety = f"safety {CUT_SAFETY:g} on the cut and {CHUCK_SAFETY:g} on the chuck"
    return [f"{', '.join(rows)} at rest, {safety}{reserve}{plate}"]
