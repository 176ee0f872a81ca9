"""Figures: one clamping with all its figures, and what there is to report about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, degrees, hypot, pi, sin

from foldsketch.base.arrays import Point
from foldsketch.base.findings import Finding, Quantity, mm
from foldsketch.part.mass.mass_properties import MassProperties
from foldsketch.part.model import Part, Plate, PrismShape
from foldsketch.setup import messages
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
    four_jaw_settings,
    frictionless_offset_limit,
    jaw_packing,
)
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, Clamping, SetUp, ToolReach
from foldsketch.setup.plan.clampings import gripped_diameter, tool_approach
from foldsketch.setup.plan.search import transfer_shift

MAX_TRAVEL_SHARE = 0.9
"""Share of the cross travel above which a set-up says that it is nearly used up."""

MIN_UNBALANCE_G_MM = 1.0
"""Below it no counterweight is given."""

MAX_SPEED_LIMIT_RPM = 1e6
"""A limit from balance beyond it is none."""


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
    axis = part.axis(c.held_axis)
    held = next(f for f in part.features if f.name == c.held_on)
    diameter = gripped_diameter(held)
    angle = _direction_angle((axis.point[0], axis.point[1]), c.at) if c.offset else 0.0
    orientation = _direction_angle(before.at, c.at) if shift and before is not None else angle
    rings = sweeps(part, c.at)
    centroid = (mass.centroid[0], mass.centroid[1])
    amount = None if mass.mass is None else unbalance(mass.mass, hypot(centroid[0] - c.at[0], centroid[1] - c.at[1]))
    direction = _direction_angle(c.at, centroid)
    limit = weight = None
    if mass.mass and amount is not None:
        speed = speed_at_grade(mass.mass, amount, machine.grade)
        limit = speed if speed <= MAX_SPEED_LIMIT_RPM else None
        if amount > MIN_UNBALANCE_G_MM:
            radius = max(s.outer for s in rings)
            weight = (counterweight(amount, direction, radius)[0], radius)
    features = tuple(n for n in c.turned if n in needed and n not in done)
    spindle = machine.spindle(c.spindle)
    approach = tool_approach(part, held, c.from_end, c.grip_range, c.at, machine, spindle)
    reaches = tuple(check_tool_access(part, f, approach).reach for f in part.features if f.name in features)
    four_jaw = c.holding_method == "four-jaw"
    packed = c.offset and c.offset * 3**0.5 < diameter and held.is_round and not held.cut
    made = SetUp(
        number=number,
        clamping=c,
        features=features,
        angle=angle if c.offset else orientation,
        orientation=orientation,
        held_diameter=diameter,
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
        packing=jaw_packing(diameter, c.offset, spindle.jaw_width) if packed else None,
        # The first jaw is on the offset's direction; the centre of the held diameter is on the other side.
        jaws=four_jaw_settings(diameter, c.offset, pi) if four_jaw else (),
        contact_points=4 if four_jaw else JAW_CONTACT_POINTS["plain"],
        centre_holes=centre_holes(part, (c.on_centreline,)),
        sweep=rings,
        reach=reaches,
        findings=(),
    )
    return replace(made, findings=tuple(_set_up_findings(part, machine, before, made)))


def _set_up_findings(part: Part, machine: Machine, before: Clamping | None, s: SetUp) -> list[Finding]:
    where, c = f"set-up {s.number}", s.clamping
    found = []
    h = next(f for f in part.features if f.name == c.held_on)
    if not s.features:
        found.append(messages.TURNS_NOTHING.at(where))
    if h.finish == "cast" or h.stock:
        found.append(messages.CAST_SURFACE_HELD.at(where, feature=h.name))
    if isinstance(h.shape, PrismShape) and h.shape.flats % 3 and c.holding_method in ("centred", "packed three-jaw"):
        found.append(messages.FLATS_IN_THREE_JAWS.at(where, flats=h.shape.flats))
    if isinstance(h.shape, Plate):
        found.append(messages.PLATE_ON_FIXTURE.at(where, feature=h.name))
    packing_limit = frictionless_offset_limit(s.held_diameter)
    if c.offset >= packing_limit and c.holding_method in ("bored jaws", "four-jaw") and not h.cut:
        found.append(messages.BEYOND_THREE_JAW_PACKING.at(where, offset=mm(c.offset), limit=mm(packing_limit)))
    if s.shift > machine.cross_travel * MAX_TRAVEL_SHARE:
        travel = mm(machine.cross_travel)
        found.append(messages.CROSS_TRAVEL_NEARLY_USED.at(where, shift=mm(s.shift), travel=travel))
    if c.holding_method == "between centres":
        found += centre_hole_findings(s.centre_holes)
    found += _overhang_findings(s.reach)
    if machine.kind == "twin":
        if before is not None and before.held_on == c.held_on and not isinstance(h.shape, Plate):
            # Both chucks hold the part for a moment: jaws that close on the same length of one surface would meet.
            both = min(before.grip_range[1], c.grip_range[1]) - max(before.grip_range[0], c.grip_range[0])
            if both > LENGTH_TOLERANCE_MM:
                found.append(messages.JAWS_MEET.at(where, length=mm(both, 1), feature=h.name))
        # The spindle stops in steps: what is left of the angle puts the axis beside the direction of the shift.
        step, reach = machine.orient_step, s.shift or c.offset
        rest = abs(s.orientation - round(s.orientation / step) * step)
        if reach and rest >= 1e-9:
            angles = {"step": Quantity(degrees(step), "deg"), "angle": Quantity(degrees(rest), "deg")}
            found.append(messages.SPINDLE_ANGLE_LEFT.at(where, **angles, beside=mm(reach * sin(rest), 3)))
    return found


def _overhang_findings(reaches: Sequence[ToolReach]) -> list[Finding]:
    """What kind of bar the overhangs need."""
    found = []
    for r in (r for r in reaches if r.tool == "bar"):
        bar = bar_type_for(r.overhang_ratio)
        where, ratio = f"feature '{r.feature}'", Quantity(r.overhang_ratio, "", 1)
        if bar is None:
            most = Quantity(max(MAX_OVERHANG_RATIOS.values()), "")
            found.append(messages.OVERHANG_BEYOND_BARS.at(where, ratio=ratio, most=most))
        elif bar != "solid steel":
            found.append(messages.OVERHANG_NEEDS_BAR.at(where, ratio=ratio, bar=bar))
    return found


def _direction_angle(a: Point, b: Point) -> float:
    """From one point to another, radians anticlockwise from +x, 0 to 2 pi."""
    return atan2(b[1] - a[1], b[0] - a[0]) % (2 * pi)
