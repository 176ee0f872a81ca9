"""What the set-up plan says in words: the table, every figure with its formula, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from foldsketch.base.units import format_count, normalized_degrees
from foldsketch.setup.formulas.balance import FORCE_REFERENCE_SPEED_RPM
from foldsketch.setup.formulas.cycle_time import TimeComparison
from foldsketch.setup.formulas.indicator import stroke
from foldsketch.setup.formulas.jaws import corrected_packing, frictionless_offset_limit
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.setup.plan.castings_and_time import CastingCheck

CAUTIONS = (
    "First estimates from the nominal shape of the part alone, without chuck and fixture: check before use.",
    "Work held off centre throws the machine about: balance it, close the guards, stay out of the plane of rotation.",
    "The chuck's and jaws' makers' limits for speed, grip and jaw height go before every figure here.",
    "Prove each set-up at low speed, and raise it in steps while nothing moves, hums or loosens.",
    "Local rules and a licensed or trained person's judgement decide whether and how the work is turned.",
)
"""Stand on every output that gives a speed, a clamp or a balance figure."""


def plan_table(plan: SetUpPlan) -> str:
    """The sequence as a table, with what goes with it."""
    head = ("no", "spindle", "held on", "way", "end", "on centre", "offset", "shift", "orient", "swing", "turned")
    rows = [head]
    for s in plan.setups:
        c = s.clamping
        rows.append(
            (
                str(s.number),
                c.spindle + (" by hand" if s.by_hand else ""),
                c.held_on,
                c.way,
                c.from_end,
                c.on_centreline,
                f"{c.offset:.2f}",
                f"{s.shift:.2f}",
                f"{normalized_degrees(s.orient):.1f}°",
                f"{s.swing:.1f}",
                ", ".join(s.features) or "(takes over)",
            )
        )
    wide = [max(len(r[k]) for r in rows) for k in range(len(head))]
    lines = [f"{plan.part} on {plan.machine}", ""]
    lines += ["  ".join(v.ljust(w) for v, w in zip(r, wide, strict=True)).rstrip() for r in rows]
    if not plan.setups:
        lines.append("no clamping of this machine turns anything of it")
    lines.append("")
    lines += [_balance_line(s) for s in plan.setups]
    lines += ["", _optimality_text(plan)]
    for a in plan.alternatives:
        lines += [f"instead: {' | '.join(a.steps)}", f"         {a.why}"]
    if plan.left:
        lines += ["", "not turned complete in this machine:"]
        lines += [f"  {name}: {why}" for name, why in plan.left]
    lines += ["", *CAUTIONS]
    return "\n".join(lines)


def _balance_line(s: SetUp) -> str:
    text = f"{s.number}: indicator {s.indicator:.2f} mm on '{s.clamping.held_on}'"
    if s.unbalance is not None:
        speed, why = s.speed
        text += f", unbalance {s.unbalance:.0f} g mm, {s.force or 0:.1f} N at {FORCE_REFERENCE_SPEED_RPM:g} r/min; "
        text += f"at most {speed:.0f} r/min ({why})"
    if s.counterweight:
        text += f", counterweight {s.counterweight[0]:.3f} kg at {s.counterweight[1]:.0f} mm"
    if s.packing and s.packable:
        text += f", packing {s.packing.narrow:.2f} mm narrow, {s.packing.flat:.2f} mm flat jaws"
    for r in s.reach:
        if r.overhang > 0:
            text += f"; '{r.feature}' needs {r.overhang:.1f} mm overhang"
            text += f" in {r.room:.1f} mm of room" if r.room is not None else ""
    return text


def _optimality_text(plan: SetUpPlan) -> str:
    n = len(plan.setups)
    text = f"{format_count(n, 'clamping')}: least by exact search ({plan.searched} states)"
    return f"{text}; no plan can do with fewer than {plan.bound[0]}: {plan.bound[1]}"


def castings_and_time_text(castings: Sequence[CastingCheck], time: TimeComparison | None, batch: int) -> str:
    """Castings and time in words."""
    lines: list[str] = []
    for c in castings:
        verdict = "always cleans up" if c.worst.cleans_up else "does not always clean up"
        lines.append(
            f"casting '{c.feature}' (set-up {c.set_up}): {c.cast.stock:g} mm a side, least {c.worst.least:.2f}, most "
            f"{c.worst.most:.2f}: {verdict}; {100 * c.share.share:.2f} % of a million parts do "
            f"(± {100 * c.share.error:.2f}); held as cast, jaws must take up {c.worst.take_up:.2f} mm"
        )
    if time is not None:
        lines += [
            f"time a part: {time.separate_part:.1f} min on separate machines, {time.one_part:.1f} min in one"
            + (", both spindles at work" if time.overlapped else ""),
            f"time a batch of {batch}: {time.separate_batch:.0f} min on separate machines with waiting, "
            f"{time.one_batch:.0f} min in one; one machine is done first {time.from_when}",
        ]
    return "\n".join(lines)


def explain_figures(plan: SetUpPlan) -> str:
    """Every figure of every set-up with its formula and the numbers put in."""
    lines: list[str] = []
    for s in plan.setups:
        c = s.clamping
        lines.append(f"set-up {s.number}: held on '{c.held_on}' ({c.way}), axis {c.on_centreline} on the centreline")
        for name, formula, value in figure_rows(s):
            lines.append(f"  {name:<16} {formula} = {value}")
        lines.append("")
    if plan.refused:
        lines.append("not possible on this machine:")
        lines += [f"  {what}: {why}" for what, why in plan.refused]
    return "\n".join(lines)


def figure_rows(s: SetUp) -> list[tuple[str, str, str]]:
    """Name, formula with numbers, and value with unit of every figure of a set-up."""
    return [*_offset_rows(s), *_balance_rows(s), *_jaw_rows(s), *_tool_rows(s)]


def _offset_rows(s: SetUp) -> list[tuple[str, str, str]]:
    c, e = s.clamping, s.clamping.offset
    widest = max(s.sweep, key=lambda w: w.outer)
    between = f"distance of axis {c.held_axis} (held) from axis {c.on_centreline} (on the centreline)"
    farthest = f"2 x {widest.outer:.3f}, the farthest of '{widest.feature}' from the centreline"
    return [
        ("offset e", between, f"{e:.3f} mm"),
        ("stroke", f"2 e = 2 x {e:.3f}", f"{stroke(e):.3f} mm"),
        ("indicator", f"full reading 2 e = 2 x {e:.3f}", f"{s.indicator:.3f} mm"),
        (
            "orientation",
            "from the centreline before to this one, from the part's +x, seen from +z",
            f"{normalized_degrees(s.orient):.3f} degrees",
        ),
        ("shift", "distance of this centreline from the one before, in the part", f"{s.shift:.3f} mm"),
        ("swing", farthest, f"{s.swing:.3f} mm"),
    ]


def _balance_rows(s: SetUp) -> list[tuple[str, str, str]]:
    if not s.mass or s.unbalance is None:
        return []
    m, u = s.mass, s.unbalance
    away = f"1000 m d = 1000 x {m:.4f} x {u / m / 1000:.4f} (d: from the centre of mass to the centreline)"
    made = [
        ("mass m", "volume x density", f"{m:.4f} kg"),
        ("unbalance U", away, f"{u:.1f} g mm"),
        (
            "force",
            f"U/10^6 (2 pi n/60)^2 = {u:.1f}/10^6 x (2 pi {FORCE_REFERENCE_SPEED_RPM:g}/60)^2",
            f"{s.force or 0:.3f} N at {FORCE_REFERENCE_SPEED_RPM:g} r/min",
        ),
    ]
    if s.speed_limit:
        formula = f"30/pi x 1000 G m / U = 9549.3 x {s.grade:g} x {m:.4f} / {u:.1f} [ISO 21940-11]"
        made.append(("speed at grade", formula, f"{s.speed_limit:.1f} r/min"))
    lower = f"the lower of that and the machine's {s.machine_limit:.0f}: {s.speed[1]}"
    made.append(("speed at most", lower, f"{s.speed[0]:.0f} r/min"))
    if s.counterweight:
        kg, radius = s.counterweight
        made.append(("counterweight", f"U / (1000 r) = {u:.1f} / (1000 x {radius:.1f})", f"{kg:.4f} kg, opposite"))
    return made


def _jaw_rows(s: SetUp) -> list[tuple[str, str, str]]:
    made: list[tuple[str, str, str]] = []
    e = s.clamping.offset
    if s.packing:
        narrow, flat, own, width = s.packing
        d = s.across
        more = 100 * (flat / narrow - 1)
        limit = frictionless_offset_limit(d)
        verdict = "e stays below" if s.packable else "e is not below it: do not pack"
        made += [
            ("packing, narrow", f"1.5 e + (sqrt(D^2 - 3 e^2) - D)/2, D {d:.3f}, e {e:.3f}", f"{narrow:.3f} mm"),
            ("packing, flat", f"1.5 e = 1.5 x {e:.3f}", f"{flat:.3f} mm, {more:+.1f} % beside narrow jaws"),
            (
                "packing, jaws",
                f"1.5 e + sqrt(R^2 - h^2) - R, h = e sqrt 3 / 2 - w/2 or 0, w {width:g}: this chuck's",
                f"{own:.3f} mm",
            ),
            (
                "packing, second trial",
                "1.5 e + 1.5 (e - measured); say the first of 1.5 e came out 0.1 mm short",
                f"{corrected_packing(e, e - 0.1):.3f} mm",
            ),
            ("packing, limit", f"D / (2 sqrt 3) = {d:.3f} / {2 * sqrt(3):.4f}", f"{limit:.3f} mm; {verdict}"),
        ]
    for j in s.jaws:
        value = f"{j.reach:.3f} mm from the centre, {j.moved:+.3f} from centred (indicator there {j.reading:+.3f})"
        made.append(
            (
                f"jaw at {normalized_degrees(j.angle):.0f}°",
                "e cos t + sqrt(R^2 - e^2 sin^2 t), t from the held centre",
                value,
            )
        )
    for h in s.centre_holes:
        where = f"x {h.at[0]:.3f}, y {h.at[1]:.3f} in the {h.end} face; {h.room:.2f} mm to its edge"
        fits = "fits" if h.fits else "does not fit"
        made.append(("centre hole", where, f"{h.pilot:g} mm pilot, {h.mouth:g} mm mouth: {fits}"))
    made.append(("contact points", "of the jaws; rocking jaws with two inserts each double them", str(s.contacts)))
    return made


def _tool_rows(s: SetUp) -> list[tuple[str, str, str]]:
    made = []
    for r in s.reach:
        if r.deflection is not None:
            formula = f"F L^3/(3 E I), {r.overhang:.1f} mm overhang to '{r.feature}', {r.ratio:.1f} x the bar"
            made.append(("tool bends", formula, f"{r.deflection:.4f} mm"))
    return made
