"""Plan: the chosen sequence of set-ups with every figure, the others and why not, and what cannot be done."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, inf, pi, sin

from foldsketch.base.findings import Finding, refuse
from foldsketch.base.progress import Listener, silent
from foldsketch.base.tolerance import DEFAULT, Tolerance
from foldsketch.base.units import degrees
from foldsketch.part.mass import MassProperties, mass_properties
from foldsketch.part.model import Part, Plate, PrismShape
from foldsketch.setup.balance import centrifugal_force, counterweight, speed_at_grade, unbalance
from foldsketch.setup.cantilever import USUAL_RATIO, bar_for
from foldsketch.setup.centres import centre_holes, misfits
from foldsketch.setup.clampings import Held, clampings, to_turn, width_of
from foldsketch.setup.indicator import full_reading
from foldsketch.setup.jaws import CONTACTS, JawSetting, four_jaw, frictionless_limit, packing_flat, packing_narrow
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import Alternative, Clamping, Reach, SetUp, SetUpPlan
from foldsketch.setup.order import Rules, Sequence_, best_sequence, shift_of
from foldsketch.setup.reach import reach_of
from foldsketch.setup.sweep import sweeps, swing

SLACK = 1e-6

FORCE_SPEED = 500.0
"""Speed, r/min, at which the centrifugal force is told, so that set-ups can be compared."""

ALTERNATIVES = 3
"""Other sequences that are told."""


def plan(part: Part, machine: Machine, tolerance: Tolerance = DEFAULT, listener: Listener = silent) -> SetUpPlan:
    """The set-ups of a part on a machine. Raises FoldsketchError for a part with nothing to turn along z."""
    wanted = to_turn(part, machine)
    if not wanted:
        raise refuse(
            f"part '{part.name}'",
            "has no feature to turn on an axis along z",
            'give a cylinder, cone or ring on an upright axis, not finish = "cast" without stock',
        )
    listener("mass", 0.0)
    mass = mass_properties(part, tolerance)
    listener("clampings", 0.2)
    held = clampings(part, machine, mass)
    needed = frozenset(f.name for f in wanted)
    rules = Rules(machine.kind == "twin", machine.cross_travel)
    listener("order", 0.4)
    found = best_sequence(held.clampings, needed, rules)
    setups: list[SetUp] = []
    if found is not None:
        done: set[str] = set()
        for k, index in enumerate(found.steps):
            before = held.clampings[found.steps[k - 1]] if k else None
            setups.append(_set_up(part, machine, mass, held.clampings[index], before, done, needed, k + 1))
            done |= set(held.clampings[index].turned)
    listener("others", 0.7)
    others = _alternatives(held, needed, rules, found)
    left = _left(needed - (found.done if found else frozenset()), held)
    findings = _findings(part, machine, mass, wanted, left)
    axes = len({f.axis for f in wanted if found is None or f.name in found.done})
    why = f"{axes} axes have to come onto the centreline, one a clamping"
    return SetUpPlan(
        part.name,
        machine.name,
        mass.mass,
        tuple(setups),
        left,
        others,
        (*held.refused, *((f"feature '{name}'", why) for name, why in held.unreached)),
        found.states if found else 0,
        (axes, why),
        findings,
    )


def _set_up(
    part: Part,
    machine: Machine,
    mass: MassProperties,
    c: Clamping,
    before: Clamping | None,
    done: set[str],
    needed: frozenset[str],
    number: int,
) -> SetUp:
    twin = machine.kind == "twin"
    shift = shift_of(before, c) if twin and before is not None else 0.0
    held = part.axis(c.held_axis)
    grip = next(f for f in part.features if f.name == c.held_on)
    across = width_of(grip)
    angle = _direction((held.point[0], held.point[1]), c.at) if c.offset > SLACK else 0.0
    orient = _direction(before.at, c.at) if shift > SLACK and before is not None else angle
    if c.offset <= SLACK:
        angle = orient
    rings = sweeps(part, c.at)
    away = hypot(mass.centroid[0] - c.at[0], mass.centroid[1] - c.at[1])
    amount = unbalance(mass.mass, away) if mass.mass is not None else None
    direction = atan2(mass.centroid[1] - c.at[1], mass.centroid[0] - c.at[0]) % (2 * pi)
    spindle = machine.spindle(c.spindle)
    limit = speed_at_grade(mass.mass, amount, machine.grade) if mass.mass and amount is not None else None
    limit = None if limit is None or limit == inf or limit > 1e6 else limit
    features = tuple(n for n in c.turned if n in needed and n not in done)
    reaches = tuple(
        reach_of(part, f, rings, c.from_end, c.held, machine.tools, grip).reach
        for f in part.features
        if f.name in features
    )
    jaws: tuple[JawSetting, ...] = ()
    if c.way == "four-jaw":
        # The first jaw stands on the offset's direction; the round's centre lies on the other side.
        jaws = four_jaw(across, c.offset, pi)
    packed = c.offset > SLACK and c.offset * 3**0.5 < across and grip.round and not grip.cut
    weight = None
    if amount is not None and amount > 1.0:
        radius = max(s.outer for s in rings)
        weight = (counterweight(amount, direction, radius)[0], radius)
    return SetUp(
        number=number,
        clamping=c,
        features=features,
        angle=angle,
        orient=orient,
        across=across,
        shift=shift,
        by_hand=not twin and before is not None,
        indicator=full_reading(c.offset),
        swing=swing(rings),
        mass=mass.mass,
        unbalance=amount,
        unbalance_angle=direction,
        grade=machine.grade,
        speed_limit=limit,
        machine_limit=spindle.speed,
        force=None if amount is None else centrifugal_force(amount, FORCE_SPEED),
        counterweight=weight,
        packing=(packing_narrow(across, c.offset), packing_flat(c.offset)) if packed else None,
        jaws=jaws,
        contacts=4 if c.way == "four-jaw" else CONTACTS["plain"],
        centre_holes=centre_holes(part, (c.on_centreline,)),
        sweep=rings,
        reach=reaches,
        findings=(
            *_set_up_findings(part, machine, c, shift, across, reaches, features),
            *_orientation(machine, c, orient, shift if shift > SLACK else c.offset),
        ),
    )


def _set_up_findings(
    part: Part,
    machine: Machine,
    c: Clamping,
    shift: float,
    across: float,
    reaches: Sequence[Reach],
    features: Sequence[str],
) -> list[Finding]:
    where = f"set-up on '{c.held_on}'"
    found = []
    h = next(f for f in part.features if f.name == c.held_on)
    if not features:
        found.append(
            Finding("note", where, "turns nothing: the spindle only takes the part over", "check that it can hold it")
        )
    if h.finish == "cast" or h.stock:
        found.append(
            Finding("note", where, "a cast surface is held", "rocking or floating jaws take up what it varies")
        )
    if isinstance(h.shape, PrismShape) and h.shape.flats % 3 and c.way in ("centred", "packed three-jaw"):
        found.append(
            Finding("note", where, f"{h.shape.flats} flats do not sit in three jaws", "use four jaws or a collet")
        )
    if isinstance(h.shape, Plate):
        found.append(
            Finding("note", where, "it is clamped to the face of a fixture", "leave a recess for what stands behind it")
        )
    if c.offset >= frictionless_limit(across) and c.way in ("bored jaws", "four-jaw") and not h.cut:
        limit = frictionless_limit(across)
        what = f"the offset of {c.offset:.2f} mm is at or beyond {limit:.2f} mm, where three packed jaws cannot hold"
        found.append(Finding("note", where, what, "it must not be packed in a three-jaw chuck"))
    if shift > machine.cross_travel * 0.9:
        found.append(Finding("note", where, "the shift nearly uses up the cross travel", "check it on the machine"))
    if c.way == "between centres":
        found += misfits(centre_holes(part, (c.on_centreline,)))
    for r in reaches:
        kind = bar_for(r.ratio)
        if r.overhang > 0 and kind is None:
            cure = f"bars beyond {max(USUAL_RATIO.values()):g} times their diameter need a maker's advice"
            found.append(Finding("warning", f"'{r.feature}'", f"overhang is {r.ratio:.1f} times the bar", cure))
        elif r.overhang > 0 and kind != "solid steel":
            what = f"overhang is {r.ratio:.1f} times the bar: a {kind} bar"
            found.append(Finding("note", f"'{r.feature}'", what, "a shorter or thicker tool is stiffer"))
    return found


def _direction(a: tuple[float, float], b: tuple[float, float]) -> float:
    """From one point to another, radians anticlockwise from +x, 0 to 2 pi."""
    return atan2(b[1] - a[1], b[0] - a[0]) % (2 * pi)


def _orientation(machine: Machine, c: Clamping, angle: float, reach: float) -> list[Finding]:
    """What the step of the spindle's orientation leaves: the axis lies so far beside the direction of the shift."""
    if machine.kind != "twin" or reach <= SLACK:
        return []
    step = machine.orient_step
    beside = abs(angle - round(angle / step) * step)
    if beside < 1e-9:
        return []
    what = (
        f"the spindle orients in steps of {degrees(step):g} degrees: {degrees(beside):.2f} are left, which puts the "
        f"axis {reach * sin(beside):.3f} mm beside the centreline"
    )
    return [
        Finding("warning", f"set-up on '{c.held_on}'", what, "turn the part in the chuck by that much, or indicate it")
    ]


def _left(missing: frozenset[str], held: Held) -> tuple[tuple[str, str], ...]:
    """Features that are not turned, each with the reasons, the first few."""
    result = []
    for name in sorted(missing):
        reasons = [why for feature, why in held.unreached if feature == name]
        if not reasons:
            reasons = [f"{what}: {why}" for what, why in held.refused]
        result.append((name, "; ".join(reasons[:3]) or "no clamping brings its axis onto the centreline"))
    return tuple(result)


def _alternatives(
    held: Held, needed: frozenset[str], rules: Rules, chosen: Sequence_ | None
) -> tuple[Alternative, ...]:
    """The best sequences that begin otherwise, each with what it costs more."""
    if chosen is None:
        return ()
    first = held.clampings[chosen.steps[0]]
    seen = {(first.from_end, first.held_on, first.on_centreline)}
    found = []
    for k, c in enumerate(held.clampings):
        key = (c.from_end, c.held_on, c.on_centreline)
        if key in seen or not c.turned:
            continue
        seen.add(key)
        other = best_sequence(held.clampings, needed, rules, k)
        if other is not None:
            found.append(((-len(other.done), other.cost, other.steps), other))
    found.sort(key=lambda f: f[0])
    return tuple(
        Alternative(tuple(told(held.clampings[i]) for i in other.steps), _why_not(other, chosen))
        for _, other in found[:ALTERNATIVES]
    )


def told(c: Clamping) -> str:
    """A clamping in one line."""
    way = "" if c.way == "centred" else f" ({c.way})"
    return f"{c.spindle}, held on '{c.held_on}'{way}, axis {c.on_centreline} on the centreline, working {c.from_end}"


def _why_not(other: Sequence_, chosen: Sequence_) -> str:
    if len(other.done) < len(chosen.done):
        return f"leaves {', '.join(sorted(chosen.done - other.done))} unturned"
    a, b = other.cost, chosen.cost
    if a[0] > b[0]:
        return f"{a[0] - b[0]} clamping{'s' if a[0] - b[0] > 1 else ''} more"
    if a[1] > b[1]:
        return f"as many clampings, {a[1] - b[1]} more of them off centre"
    if a[2] > b[2] + 1e-6:
        return f"as many clampings, {100 * (a[2] / b[2] - 1):.0f} % more unbalance in all" if b[2] else "more unbalance"
    if a[3] > b[3]:
        return "as good, but with more to set"
    return "as good; the other comes first in the part file"


def _findings(
    part: Part, machine: Machine, mass: MassProperties, wanted: Sequence[object], left: Sequence[tuple[str, str]]
) -> tuple[Finding, ...]:
    found = []
    for name, why in left:
        found.append(
            Finding(
                "warning",
                f"feature '{name}'",
                f"cannot be turned complete on this machine: {why}",
                "another machine file, another way of holding, or a shorter neighbour",
            )
        )
    if mass.mass is None:
        cure = "give material = … or density = … in the part file"
        found.append(Finding("note", f"part '{part.name}'", "has no density: unbalance and speed are missing", cure))
    if not mass.exact:
        found.append(
            Finding("note", f"part '{part.name}'", "has features on slant axes: its mass is good to about 1e-5", "")
        )
    crossing = [f.name for f in part.features if f.round and not part.axis(f.axis).along_z]
    if crossing:
        names = ", ".join(f"'{n}'" for n in crossing)
        found.append(Finding("note", names, "crosses the spindle and is not turned", "use a driven tool"))
    turned = {getattr(f, "name", "") for f in wanted}
    drilled = [
        f.name
        for f in part.features
        if f.round and f.cut and f.name not in turned and part.axis(f.axis).along_z and f.finish != "cast"
    ]
    if drilled:
        names = ", ".join(f"'{n}'" for n in drilled)
        what = f"up to {machine.tools.drill:g} mm: left to a driven drill, with no set-up of their own"
        found.append(Finding("note", names, what, 'give finish = "machined" to have them turned'))
    return tuple(found)
