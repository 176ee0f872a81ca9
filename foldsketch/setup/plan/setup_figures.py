"""Figures: one clamping of a plan with all its figures, and what there is to report about it."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, inf, pi, sin, sqrt

from foldsketch.base.points import Point
from foldsketch.setup.access.tool_access import check_tool_access
from foldsketch.setup.formulas.balance import centrifugal_force, counterweight
from foldsketch.setup.formulas.centre_holes import centre_holes
from foldsketch.setup.formulas.couple import Unbalance, bearing_force, couple_left, couple_moment, two_plane_weights
from foldsketch.setup.formulas.indicator import full_indicator_reading
from foldsketch.setup.formulas.jaws import (
    JAW_CONTACT_POINTS,
    JawPacking,
    four_jaw_settings,
    jaw_packing,
)
from foldsketch.setup.formulas.turning_time import highest_speed
from foldsketch.setup.formulas.work_limits import RESIDUAL_SHARE
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import Clamping, CutLine, JawPlace, SetUp, ToolReach, WeightPlace
from foldsketch.setup.plan.clamping_cuts import ClampingCuts
from foldsketch.setup.plan.option import Option
from foldsketch.setup.plan.order import PlannedRun, shift_between
from foldsketch.setup.plan.setup_findings import set_up_findings
from foldsketch.setup.plan.targets import Cut, Place
from foldsketch.setup.speed_text import Speeds
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.clamping_limits import speed_of_clamps
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import WorkStates

MAX_SPEED_LIMIT_RPM = 1e6
"""A limit from balance or force beyond it is none."""

MIN_UNBALANCE_G_MM = 1.0
"""Below it no counterweight is given."""

MASS_UNKNOWN = "mass unknown: no speed can be recommended"
MATERIAL_UNKNOWN = "no cutting data for this material"


def calculate_set_up(
    cuts: ClampingCuts,
    machine: Machine,
    run: PlannedRun,
    number: int,
    run_number: int,
    before: Option | None,
    o: Option,
) -> SetUp:
    """An option as the number-th set-up of a plan. before: the one ahead of it, or None."""
    states, p, held, in_jaws = cuts.states, o.place, o.place.held, o.holding.in_jaws
    handed = before is not None and len(run.options) > 1 and o is run.options[1]
    shift = shift_between(before, o) if handed and before is not None else 0.0
    angle = _direction(held.at, p.at) if p.offset else 0.0
    orientation = _direction(before.place.at, p.at) if shift and before is not None else angle
    worst = _worst_unbalance(states, o)
    speeds = replace(_speeds(o, worst, cuts.data is not None), machine_limit=o.limits.machine_limit)
    moment, on_bearings = _couple_figures(o, worst, speeds.recommended or 0.0)
    made = SetUp(
        number=number,
        run=run_number,
        clamping=_clamping(o),
        work=states.solid(o.after).part,
        held_at=held.at,
        held_inside=held.kind == "bore",
        lies_flat=held.kind == "plate",
        features=tuple(c.target.name for c in o.cuts if c.target.name in states.rounds),
        faces=tuple(c.target.name for c in o.cuts if c.target.name in states.faces),
        cuts=tuple(_cut_line(c) for c in o.cuts),
        angle=angle if p.offset else orientation,
        orientation=orientation,
        held_diameter=held.diameter,
        shift=shift,
        by_hand=before is not None and not handed,
        indicator=full_indicator_reading(p.offset),
        swing=states.swing(o.before, p.at),
        mass=states.mass(o.before).mass,
        unbalance=None if worst is None else worst.amount,
        unbalance_angle=0.0 if worst is None else atan2(worst.y, worst.x) % (2 * pi),
        couple=None if worst is None else (worst.couple_x, worst.couple_y),
        moment=moment,
        bearing_force=on_bearings,
        grade=machine.grade,
        speeds=speeds,
        force=None if worst is None else _force_left(worst.amount, o.weighted, speeds),
        weighted=o.weighted,
        weights=_weights(worst, p.spindle, p),
        clamping_force=max((part.time.grip for c in o.cuts for part in c.parts), default=0.0) if in_jaws else None,
        grip_force=p.spindle.grip_force if in_jaws else None,
        packing=_packing(o.place),
        held_across=held.rectangle.across if held.rectangle is not None else (),
        jaws=_jaws(o, p.spindle, angle if p.offset else orientation),
        contact_points=4 if o.holding.chuck == "four-jaw" else JAW_CONTACT_POINTS["plain"],
        centre_holes=centre_holes(states.solid(o.before).part, (p.line,)),
        sweep=states.sweeps(o.before, p.at),
        reach=_reaches(cuts, o),
        minutes=o.minutes + o.each + o.parting,
        setting=o.setting,
        findings=(),
    )
    return replace(made, findings=tuple(set_up_findings(cuts, machine, before if handed else None, o, made)))


def _clamping(o: Option) -> Clamping:
    p, held = o.place, o.place.held
    return Clamping(
        *(p.spindle.name, p.from_end, held.name, held.axis, p.line, o.holding.method, o.holding.way),
        *(p.offset, p.at, p.grip, held.raw, o.centre),
    )


def _packing(p: Place) -> JawPacking | None:
    """The packing for an offset, whether or not the set-up uses it; None where three jaws cannot be packed to it."""
    packed = p.offset and p.offset * 3**0.5 < p.held.diameter and p.held.kind == "outside"
    return jaw_packing(p.held.diameter, p.offset, p.spindle.jaw_width) if packed else None


def _worst_unbalance(states: WorkStates, o: Option) -> Unbalance | None:
    """The greater unbalance of beginning and end; None where the mass is unknown."""
    found = (u for d in (o.before, o.after) if (u := states.unbalance(d, o.place.at)) is not None)
    return max(found, key=lambda u: u.amount, default=None)


def _force_left(unbalance: float, weighted: bool, speeds: Speeds) -> float:
    return centrifugal_force(unbalance * (RESIDUAL_SHARE if weighted else 1.0), speeds.recommended or 0.0)


def _couple_figures(o: Option, worst: Unbalance | None, speed: float) -> tuple[float | None, float | None]:
    """Moment, N m, of the couple that is left at a speed in r/min, and force, N, on each bearing; None if unknown."""
    if worst is None:
        return None, None
    spindle = o.place.spindle
    planes = _weight_heights(spindle, o.place) if o.weighted else ()
    moment = couple_moment(couple_left(worst, planes, RESIDUAL_SHARE), speed)
    return moment, bearing_force(moment, spindle.bearing_span) if spindle.bearing_span else None


def _cut_line(c: Cut) -> CutLine:
    top = highest_speed(p.time for p in c.parts)
    assert top is not None
    band = (c.target.surface.low, c.target.surface.high) if isinstance(c.target.surface, Band) else None
    tools = tuple((p.tool.kind, p.tool.diameter) for p in c.parts)
    return CutLine(
        c.target.name, c.target.how, band, c.minutes, top.speed, top.limit, c.parts[-1].time.speeds[-1], tools
    )


def _speeds(o: Option, worst: Unbalance | None, material: bool) -> Speeds:
    """The limits of a clamping, and the highest speed that a cut which turns uses."""
    limits = o.limits
    turned = [p.time for c in o.cuts if c.target.how in ("turned", "interpolated") for p in c.parts]
    fastest = highest_speed(turned)
    balance, weighted, force = map(_limit, (limits.balance, limits.balance_weighted, limits.force))
    machine = limits.machine
    if fastest is None:  # the spindle only indexes
        return Speeds(balance, weighted, force, machine, None, None, 0.0, "only indexed", None)
    clamps = speed_of_clamps(o.place.spindle, o.holding.way, worst.amount) if worst is not None else inf
    grip = _limit(min(fastest.grip_speed, clamps))
    slowest = min(turned, key=lambda t: t.lowest or t.speed)
    roughing = slowest.lowest or slowest.speed
    if worst is None and o.place.offset:
        return Speeds(balance, weighted, force, machine, grip, None, None, MASS_UNKNOWN, None)
    if not material:
        return Speeds(balance, weighted, force, machine, grip, None, None, MATERIAL_UNKNOWN, None)
    found = (fastest.wanted, fastest.speed, fastest.limit, roughing, slowest.slow, fastest.fast)
    return Speeds(balance, weighted, force, machine, grip, *found)


def _limit(speed: float | None) -> float | None:
    return None if speed is None or speed > MAX_SPEED_LIMIT_RPM else speed


def _weight_heights(spindle: Spindle, p: Place) -> tuple[float, ...]:
    """Heights of the chuck's planes for weights, at most two; they lie behind the face, where the jaws begin."""
    face, back = (p.grip[0], -1.0) if p.from_end == "+z" else (p.grip[1], 1.0)
    return tuple(face + back * plane for plane in spindle.weight_planes[:2])


def _weights(u: Unbalance | None, spindle: Spindle, p: Place) -> tuple[WeightPlace, ...]:
    """Counterweights at the chuck's own radius and planes."""
    if u is None or u.amount < MIN_UNBALANCE_G_MM or spindle.weight_radius is None or not spindle.weight_planes:
        return ()
    radius, planes = spindle.weight_radius, spindle.weight_planes
    if len(planes) < 2:
        kg, angle = counterweight(u.amount, atan2(u.y, u.x), radius)
        return (WeightPlace(kg, radius, angle, planes[0]),)
    first, second = _weight_heights(spindle, p)
    made = two_plane_weights(u, (first, second))
    return tuple(
        WeightPlace(w.mass(radius), radius, atan2(w.y, w.x) % (2 * pi), plane)
        for w, plane in zip(made, planes[:2], strict=True)
    )


def _jaws(o: Option, spindle: Spindle, towards: float) -> tuple[JawPlace, ...]:
    return tuple(replace(j, height=spindle.jaw_height) for j in _jaw_faces(o, spindle, towards))


def _jaw_faces(o: Option, spindle: Spindle, towards: float) -> tuple[JawPlace, ...]:
    """The jaws about the chuck's own centre, the first one on the offset's direction; towards: that, radians.

    Those of a rectangle stand square to its sides, the first one nearest to that direction.
    Bored jaws have their pocket towards jaw 1, which so stands on the held axis's side, opposite to that.
    """
    p, way = o.place, o.holding.way
    if not o.holding.in_jaws or p.held.kind == "bore":
        return ()
    r, e = p.held.diameter / 2, p.offset
    if p.held.rectangle is not None:
        turns = [(s.angle - towards + 1e-9) % (2 * pi) - 1e-9 for s in p.held.rectangle.sides]
        rows = sorted(zip(turns, p.held.rectangle.distances(p.at), strict=True))
        if rows[-1][0] > 7 * pi / 4:
            rows = [rows[-1], *rows[:-1]]
        return tuple(JawPlace(k + 1, t, away) for k, (t, away) in enumerate(rows))
    if o.holding.chuck == "four-jaw":
        if not e:
            return tuple(JawPlace(k + 1, k * pi / 2, r) for k in range(4))
        found = four_jaw_settings(p.held.diameter, e, pi, width=spindle.jaw_width)
        return tuple(JawPlace(k + 1, j.angle, j.contact_radius) for k, j in enumerate(found))
    angles = [2 * pi * k / 3 for k in range(3)]
    if way == "packed_three_jaw":
        packing = jaw_packing(p.held.diameter, e, spindle.jaw_width).for_chuck_jaws
        return (JawPlace(1, 0.0, r - e, packing), *(JawPlace(k + 1, angles[k], r - e + packing) for k in (1, 2)))
    turned = pi if way == "bored_jaws" else 0.0
    return tuple(
        JawPlace(k + 1, (t + turned) % (2 * pi), e * cos(t) + sqrt(r * r - (e * sin(t)) ** 2))
        for k, t in enumerate(angles)
    )


def _reaches(cuts: ClampingCuts, o: Option) -> tuple[ToolReach, ...]:
    """What tools reach of the features that are turned, on the work as it is at the end."""
    solid, found = cuts.states.solid(o.after), []
    for c in o.cuts:
        if c.target.how != "turned" or c.target.name not in cuts.states.rounds:
            continue
        f = next((g for g in solid.part.features if g.name == c.target.name), None)
        if f is not None:
            found.append(check_tool_access(solid.part, f, replace(cuts.access.approach(o.place), chuck=None)).reach)
    return tuple(found)


def _direction(a: Point, b: Point) -> float:
    """From one point to another, radians anticlockwise from +x, 0 to 2 pi."""
    return atan2(b[1] - a[1], b[0] - a[0]) % (2 * pi)
