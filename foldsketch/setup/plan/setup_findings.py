"""What there is to report about one clamping of a plan: holding, balance, tools, weight and spindle angle."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, atan2, degrees, hypot, pi, remainder, sin

from foldsketch.base.findings import Finding, Quantity, mm
from foldsketch.base.units import format_number
from foldsketch.part.details import MAX_SMALL_HOLE_SHARE
from foldsketch.part.model import Ring
from foldsketch.setup import messages
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.formulas.bar_deflection import MAX_OVERHANG_RATIOS, bar_type_for
from foldsketch.setup.formulas.centre_holes import centre_hole_findings, centre_holes
from foldsketch.setup.formulas.clamping_force import PLAIN_JAW_FRICTION
from foldsketch.setup.formulas.jaws import frictionless_offset_limit, jaw_edge_slope
from foldsketch.setup.formulas.milling_time import (
    OUTSIDE_LEVEL_SHARE,
    OUTSIDE_WIDTH_SHARE,
    drill_torque,
    milling_torque,
)
from foldsketch.setup.formulas.workpiece_rules import LIFT_KG, support_for, wall_rule
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUp, ToolReach
from foldsketch.setup.plan.clamping_cuts import MILLED_ROUNDNESS_MM, ClampingCuts
from foldsketch.setup.plan.direction_text import way_round, weights_text
from foldsketch.setup.plan.option import Option
from foldsketch.setup.plan.options import MIN_WEIGHTED_UNBALANCE_G_MM
from foldsketch.setup.speed_text import rounded_down
from foldsketch.setup.spindle import RIM_SPEED_M_PER_S, speed_key
from foldsketch.setup.work.clamping_limits import usual_grip

WALL_CURES = {
    "soft jaws": "soft jaws all round, and half the grip",
    "along the axis": "clamp it along the axis, not across",
}

MAX_TRAVEL_SHARE = 0.9
"""Share of the cross travel above which a set-up says that it is nearly used up."""


def set_up_findings(cuts: ClampingCuts, machine: Machine, before: Option | None, o: Option, s: SetUp) -> list[Finding]:
    """Notes and warnings about a set-up. before: the option that hands the work over to it, or None."""
    where, c, held = f"set-up {s.number}", s.clamping, o.place.held
    found = []
    holder = "face plate" if c.way == "face_plate" else "fixture"
    if held.raw and not cuts.states.blank.bar:
        on_face = messages.RAW_FACE_ON_FIXTURE.at(where, feature=held.name, holder=holder)
        found.append(on_face if held.kind == "plate" else messages.CAST_SURFACE_HELD.at(where, feature=held.name))
    pieces = cuts.states.solid(o.before).pieces
    if held.kind == "plate" and any(
        p.low < held.low if c.from_end == "+z" else p.high > held.high for p in pieces if p.of != held.of
    ):
        found.append(messages.PLATE_ON_FIXTURE.at(where, feature=held.name, holder=holder))
    packing_limit = frictionless_offset_limit(s.held_diameter)
    if c.offset >= packing_limit and c.way in ("bored_jaws", "four_jaw") and held.kind == "outside":
        found.append(messages.BEYOND_THREE_JAW_PACKING.at(where, offset=mm(c.offset), limit=mm(packing_limit)))
    found += _edge_findings(where, o, s)
    if s.shift > machine.cross_travel * MAX_TRAVEL_SHARE:
        travel = mm(machine.cross_travel)
        found.append(messages.CROSS_TRAVEL_NEARLY_USED.at(where, shift=mm(s.shift), travel=travel))
    if s.shift and _is_default(machine, c.spindle, "x_axis"):
        found.append(messages.X_AXIS_ASSUMED.at(where, shift=mm(s.shift)))
    if c.holding_method == "between centres":
        found += centre_hole_findings(s.centre_holes)
    if _centre_holes_stay(cuts, s):
        found.append(messages.CENTRE_HOLE_STAYS.at(where))
    found += _angle_findings(where, cuts, o, s)
    found += _overhang_findings(s.reach)
    found += _limit_findings(where, o, s)
    found += _holder_findings(where, machine, s)
    found += _work_findings(where, cuts, o, s)
    found += _wall_findings(where, cuts, o)
    milled = tuple(t.surface for t in s.cuts if t.how == "driven" and t.surface in s.features)
    if milled:
        found.append(messages.MILLED_ROUND.at(where, names=milled, out=mm(MILLED_ROUNDNESS_MM)))
    found += _torque_findings(where, cuts, machine, o)
    if before is not None:
        # The spindle stops in steps: what is left of the angle puts the axis beside the direction of the shift.
        step, reach = machine.orient_step, s.shift or c.offset
        rest = abs(s.orientation - round(s.orientation / step) * step)
        if reach and rest >= 1e-9:
            angles = {"step": Quantity(degrees(step), "deg"), "angle": Quantity(degrees(rest), "deg")}
            found.append(messages.SPINDLE_ANGLE_LEFT.at(where, **angles, beside=mm(reach * sin(rest), 3)))
    return found


def _angle_findings(where: str, cuts: ClampingCuts, o: Option, s: SetUp) -> list[Finding]:
    """How an axis off the datum lies to another one that something was turned about before."""
    part, c = cuts.part, s.clamping
    made = {getattr(d, "feature", d) for d in o.before}
    others = {
        f.axis for f in part.features if f.name in made and part.axis(f.axis).along_z and not cuts.is_drilled(f)
    } - {part.datum.name, c.on_centreline}
    if c.on_centreline == part.datum.name or not others or not c.offset:
        return []
    other = c.held_axis if c.held_axis in others else next(a.name for a in part.axes if a.name in others)
    (ax, ay), (bx, by), (x, y) = (part.axis(n).point[:2] for n in (other, c.on_centreline, part.datum.name))
    turn = remainder(atan2(by - y, bx - x) - atan2(ay - y, ax - x), 2 * pi)
    shown = f"{format_number(round(degrees(abs(turn)), 2))}°"
    shown += "" if abs(abs(turn) - pi) < 1e-6 or abs(turn) < 1e-6 else f" {way_round(s, turn)}"
    values = {"axis": c.on_centreline, "turn": shown, "other": other, "datum": part.datum.name, "end": c.from_end}
    return [messages.ANGLE_TO_OTHER_AXIS.at(where, **values)]


def _centre_holes_stay(cuts: ClampingCuts, s: SetUp) -> bool:
    """Whether a centre stands in an end where the finished part has material: elsewhere its hole is cut away."""
    between = s.clamping.holding_method == "between centres"
    ends = ("+z", "-z") if between else (s.clamping.from_end,) if s.clamping.centre else ()
    finished = cuts.states.solid(cuts.access.finished).part
    return any(h.end in ends and h.edge_distance > 0 for h in centre_holes(finished, (s.clamping.on_centreline,)))


def _limit_findings(where: str, o: Option, s: SetUp) -> list[Finding]:
    """What stops the speed below what the cut wants, and what would lift it."""
    v, allowed = s.speeds, o.place.spindle.force
    found: list[Finding] = []
    pull = (s.force or 0.0) + (s.bearing_force or 0.0)
    if s.bearing_force is not None and allowed is not None and pull > allowed * (1 + 1e-9):
        forces = {"force": Quantity(pull, "N", 0), "allowed": Quantity(allowed, "N", 0)}
        found.append(messages.COUPLE_ON_BEARINGS.at(where, **forces))
    if v.recommended is None or v.cut is None or v.limit not in ("balance", "force") or s.unbalance is None:
        return found
    amount, gains = Quantity(s.unbalance, "g mm", 0), v.balance_weighted
    if s.weighted or s.unbalance < MIN_WEIGHTED_UNBALANCE_G_MM:
        return found
    speed = Quantity(rounded_down(min(x for x in (gains, v.force, v.cut, v.machine) if x is not None)), "r/min", 0)
    if s.weights:
        kg = Quantity(sum(w.mass for w in s.weights), "kg", 3)
        radius, place = mm(s.weights[0].radius, 1), weights_text(s, s.weights)
        found.append(messages.WEIGHT_WOULD_LIFT.at(where, mass=kg, radius=radius, place=place, speed=speed))
    else:
        found.append(messages.NO_PLACE_FOR_WEIGHT.at(where, amount=amount, speed=speed))
    return found


def _is_default(machine: Machine, spindle: str, key: str) -> bool:
    """Whether the machine file leaves out a key of a spindle."""
    return any((d.where, d.key) == (f"{spindle} spindle", key) for d in machine.defaults)


def _holder_findings(where: str, machine: Machine, s: SetUp) -> list[Finding]:
    """The usual limit of a face plate, fixture or other chuck, where that stops the speed."""
    key = speed_key(s.speeds.limit)
    if key not in RIM_SPEED_M_PER_S or not _is_default(machine, s.clamping.spindle, key):
        return []
    holder = s.speeds.limit if s.speeds.limit in ("face plate", "fixture") else f"{s.speeds.limit} chuck"
    shown = {"rim": Quantity(RIM_SPEED_M_PER_S[key], "m/s", 0), "speed": Quantity(s.speeds.machine, "r/min", 0)}
    return [messages.HOLDER_SPEED_USUAL.at(where, holder=holder, key=key, **shown)]


def _work_findings(where: str, cuts: ClampingCuts, o: Option, s: SetUp) -> list[Finding]:
    """Weight, slenderness, interrupted cuts and long driven cutters."""
    found = []
    if s.mass is not None and s.mass > LIFT_KG:
        found.append(messages.USE_A_LIFT.at(where, mass=Quantity(s.mass, "kg", 0)))
    pieces = cuts.states.solid(o.before).pieces
    low, high = min(p.low for p in pieces), max(p.high for p in pieces)
    free = high - o.place.grip[1] if o.place.from_end == "+z" else o.place.grip[0] - low
    support = support_for(max(free, 0.0), s.held_diameter)
    if o.holding.in_jaws and (support == "steady" or (support == "centre" and not o.centre)):
        ratio = Quantity(free / s.held_diameter, "", 1)
        centre = cuts.machine.tailstock and support == "centre"
        found.append(messages.SLENDER_WORK.at(where, ratio=ratio, support="a centre" if centre else "a steady"))
    if s.clamping_force is not None and s.grip_force is None and s.clamping_force > 0:
        needed = Quantity(s.clamping_force / 1000, "kN", 1)
        given = Quantity(usual_grip(o.place.spindle) / 1000, "kN", 0)
        found.append(messages.GRIP_UNKNOWN.at(where, needed=needed, given=given))
    return found


def _edge_findings(where: str, o: Option, s: SetUp) -> list[Finding]:
    """Jaws of a four-jaw chuck that bear on a round with their edge, on a slope that friction does not hold."""
    if s.clamping.way != "four_jaw" or o.place.held.rectangle is not None:
        return []
    e, wide = s.clamping.offset, o.place.spindle.jaw_width
    slopes = {j.number: jaw_edge_slope(s.held_diameter, e, j.angle, wide) for j in s.jaws}
    steep = tuple(k for k, slope in slopes.items() if slope > atan(PLAIN_JAW_FRICTION))
    if not steep:
        return []
    slope = round(degrees(max(slopes.values())))
    return [messages.JAWS_ON_EDGE.at(where, jaws=" and ".join(map(str, steep)), slope=slope)]


def _wall_findings(where: str, cuts: ClampingCuts, o: Option) -> list[Finding]:
    """A bore so near to the gripped diameter that jaws press it out of round."""
    held, part = o.place.held, cuts.states.solid(o.before).part
    if not o.holding.in_jaws or held.kind != "outside":
        return []
    radius, wall = held.diameter / 2, held.diameter / 2
    for f in part.features:
        ring = f.shape.bore / 2 if isinstance(f.shape, Ring) else 0.0
        axis, (low, high) = part.axis(f.axis), z_extent(part, f)
        hollow = ring > 0 if not f.cut else not ring  # a ring that is cut is a groove outside
        if not hollow or not axis.along_z or high <= o.place.grip[0] or low >= o.place.grip[1]:
            continue
        away = hypot(axis.point[0] - held.at[0], axis.point[1] - held.at[1])
        # Beside a small hole the rest of the section carries the jaws.
        if away < radius and (f.radius if f.cut else ring) >= MAX_SMALL_HOLE_SHARE * radius:
            wall = min(wall, max(0.0, radius - away - (f.radius if f.cut else ring)))
    rule = wall_rule(wall, held.diameter)
    if rule == "none" or (rule == "soft jaws" and o.holding.way in ("soft_jaws", "bored_jaws")):
        return []
    return [messages.THIN_WALL.at(where, wall=mm(wall), diameter=mm(held.diameter), cure=WALL_CURES[rule])]


def _torque_findings(where: str, cuts: ClampingCuts, machine: Machine, o: Option) -> list[Finding]:
    """Drills and cutters that ask more of a driven tool than the machine file says it gives."""
    data, found = cuts.data, dict[tuple[str, float], list[str]]()
    for c in o.cuts:
        for p in c.parts:
            if data is not None and c.target.how in ("driven", "drilled") and p.tool.diameter:
                found.setdefault((p.tool.kind, p.tool.diameter), []).append(c.target.name)
    made = []
    for (kind, d), names in found.items():
        assert data is not None
        rough = milling_torque(OUTSIDE_LEVEL_SHARE * d, OUTSIDE_WIDTH_SHARE * d, d, data)
        needed = drill_torque(d, data) if kind == "drill" else rough
        if needed > machine.driven_torque:
            torques = {"needed": Quantity(needed, "N m", 1), "given": Quantity(machine.driven_torque, "N m", 1)}
            made.append(messages.DRIVEN_TORQUE.at(where, tool=kind, size=mm(d), names=tuple(names), **torques))
    return made


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
