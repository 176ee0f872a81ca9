"""Figures: one clamping with every figure about it, and what there is to tell of it."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, inf, pi, sin

from foldsketch.base.findings import Finding
from foldsketch.base.units import normalized_degrees
from foldsketch.part.mass.mass_properties import MassProperties
from foldsketch.part.model import Part, Plate, PrismShape
from foldsketch.setup.access.sweep import sweeps, swing
from foldsketch.setup.access.tool_access import check_tool_access
from foldsketch.setup.formulas.balance import (
    FORCE_REFERENCE_SPEED_RPM,
    centrifugal_force,
    counterweight,
    speed_at_grade,
    unbalance,
)
from foldsketch.setup.formulas.bar_deflection import MAX_OVERHANG_RATIOS, bar_type_for
from foldsketch.setup.formulas.centre_holes import centre_hole_findings, centre_holes
from foldsketch.setup.formulas.indicator import full_indicator_reading
from foldsketch.setup.formulas.jaws import (
    JAW_CONTACT_POINTS,
    JawSetting,
    four_jaw_settings,
    frictionless_offset_limit,
    jaw_packing,
)
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, Clamping, SetUp, ToolReach
from foldsketch.setup.plan.clampings import gripped_diameter
from foldsketch.setup.plan.search import transfer_shift


def calculate_set_up(
    part: Part,
    machine: Machine,
    mass: MassProperties,
    c: Clamping,
    before: Clamping | None,
    done: set[str],
    needed: frozenset[str],
    number: int,
) -> SetUp:
    """A clamping as the number-th of a plan. before: the clamping ahead of it, or None; done: features that are turned
    by then; needed: all that are to be turned."""
    twin = machine.kind == "twin"
    shift = transfer_shift(before, c) if twin and before is not None else 0.0
    held = part.axis(c.held_axis)
    grip = next(f for f in part.features if f.name == c.held_on)
    across = gripped_diameter(grip)
    angle = _direction_angle((held.point[0], held.point[1]), c.at) if c.offset > LENGTH_TOLERANCE_MM else 0.0
    orient = _direction_angle(before.at, c.at) if shift > LENGTH_TOLERANCE_MM and before is not None else angle
    if c.offset <= LENGTH_TOLERANCE_MM:
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
        check_tool_access(part, f, rings, c.from_end, c.held, machine.tools, grip).reach
        for f in part.features
        if f.name in features
    )
    jaws: tuple[JawSetting, ...] = ()
    if c.way == "four-jaw":
        # The first jaw stands on the offset's direction; the round's centre lies on the other side.
        jaws = four_jaw_settings(across, c.offset, pi)
    packed = c.offset > LENGTH_TOLERANCE_MM and c.offset * 3**0.5 < across and grip.round and not grip.cut
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
        indicator=full_indicator_reading(c.offset),
        swing=swing(rings),
        mass=mass.mass,
        unbalance=amount,
        unbalance_angle=direction,
        grade=machine.grade,
        speed_limit=limit,
        machine_limit=spindle.speed,
        force=None if amount is None else centrifugal_force(amount, FORCE_REFERENCE_SPEED_RPM),
        counterweight=weight,
        packing=jaw_packing(across, c.offset, spindle.jaw_width) if packed else None,
        jaws=jaws,
        contacts=4 if c.way == "four-jaw" else JAW_CONTACT_POINTS["plain"],
        centre_holes=centre_holes(part, (c.on_centreline,)),
        sweep=rings,
        reach=reaches,
        findings=(
            *_set_up_findings(part, machine, c, shift, across, reaches, features),
            *_transfer_findings(part, machine, before, c),
            *_orientation_findings(machine, c, orient, shift if shift > LENGTH_TOLERANCE_MM else c.offset),
        ),
    )


def _set_up_findings(
    part: Part,
    machine: Machine,
    c: Clamping,
    shift: float,
    across: float,
    reaches: Sequence[ToolReach],
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
    if c.offset >= frictionless_offset_limit(across) and c.way in ("bored jaws", "four-jaw") and not h.cut:
        limit = frictionless_offset_limit(across)
        what = f"the offset of {c.offset:.2f} mm is at or beyond {limit:.2f} mm, where three packed jaws cannot hold"
        found.append(Finding("note", where, what, "it must not be packed in a three-jaw chuck"))
    if shift > machine.cross_travel * 0.9:
        found.append(Finding("note", where, "the shift nearly uses up the cross travel", "check it on the machine"))
    if c.way == "between centres":
        found += centre_hole_findings(centre_holes(part, (c.on_centreline,)))
    for r in reaches:
        kind = bar_type_for(r.ratio)
        if r.overhang > 0 and kind is None:
            cure = f"bars beyond {max(MAX_OVERHANG_RATIOS.values()):g} times their diameter need a maker's advice"
            found.append(Finding("warning", f"'{r.feature}'", f"overhang is {r.ratio:.1f} times the bar", cure))
        elif r.overhang > 0 and kind != "solid steel":
            what = f"overhang is {r.ratio:.1f} times the bar: a {kind} bar"
            found.append(Finding("note", f"'{r.feature}'", what, "a shorter or thicker tool is stiffer"))
    return found


def _transfer_findings(part: Part, machine: Machine, before: Clamping | None, c: Clamping) -> list[Finding]:
    """Both chucks hold the part for a moment: jaws that close on the same length of one surface would meet."""
    if machine.kind != "twin" or before is None or before.held_on != c.held_on:
        return []
    h = next(f for f in part.features if f.name == c.held_on)
    both = min(before.held[1], c.held[1]) - max(before.held[0], c.held[0])
    if isinstance(h.shape, Plate) or both <= LENGTH_TOLERANCE_MM:
        return []
    what = f"at the hand-over the jaws of both chucks close on the same {both:.1f} mm of its length"
    cure = "turn one chuck so that its jaws come between the other's, or use jaws that grip less"
    return [Finding("note", f"set-up on '{c.held_on}'", what, cure)]


def _direction_angle(a: tuple[float, float], b: tuple[float, float]) -> float:
    """From one point to another, radians anticlockwise from +x, 0 to 2 pi."""
    return atan2(b[1] - a[1], b[0] - a[0]) % (2 * pi)


def _orientation_findings(machine: Machine, c: Clamping, angle: float, reach: float) -> list[Finding]:
    """What the step of the spindle's orientation leaves: the axis lies so far beside the direction of the shift."""
    if machine.kind != "twin" or reach <= LENGTH_TOLERANCE_MM:
        return []
    step = machine.orient_step
    beside = abs(angle - round(angle / step) * step)
    if beside < 1e-9:
        return []
    what = (
        f"the spindle orients in steps of {normalized_degrees(step):g} degrees: "
        f"{normalized_degrees(beside):.2f} are left, which puts the "
        f"axis {reach * sin(beside):.3f} mm beside the centreline"
    )
    return [
        Finding("warning", f"set-up on '{c.held_on}'", what, "turn the part in the chuck by that much, or indicate it")
    ]
