"""The fixture plate of a set-up: a plate on the spindle that locates the work off centre, with its balance pocket."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, ceil, cos, hypot, pi, sin
from typing import Literal, NamedTuple

from foldsketch.base.findings import Finding, mm
from foldsketch.base.points import Point
from foldsketch.part.model import Part
from foldsketch.setup import messages
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.formulas.bored_pocket import JawHouseValues
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, SetUp, SetUpPlan
from foldsketch.setup.plan.jaw_pocket import direction_on_face, spindle_zero, through_hole, turn_matters
from foldsketch.setup.spindle import Spindle

PLATE_STEP_MM = 5.0
"""Radii of plates are whole steps, mm."""

STEEL_G_PER_MM3 = 7.85e-3
"""Of the plate, taken as steel."""

SCREW_ANGLES = tuple(pi / 4 + k * pi / 2 for k in range(4))
"""Of the clamp screws about the held axis, radians from the direction of the offset."""

LEAST_REST_MM = 3.0
"""Width of the rest face that is left beside a relief [C]."""

BALANCED_G_MM = 100.0
"""Below so little no pocket is milled: a balancing machine's trial run finds as much."""

BALANCE_DIAMETERS_MM = tuple(float(d) for d in range(16, 61, 4))
BALANCE_SPREAD = tuple(k * pi / 18 for k in range(8))
"""Pockets that are tried: end-mill sizes, and one on the heavy side or two this far to both sides of it, radians."""


class FixtureHouseValues(NamedTuple):
    """What the shop chooses for a fixture plate, mm; common practice [C].

    clearance: bore over, or spigot under, the largest or least held diameter; over: width of its tolerance; depth_over:
    of the depth; centre: plus or minus on its place; roughness: Ra in micrometres; land: metal left beside bore, screws
    and pockets; floor: under the bore; thickness: of a plate with a spigot; screw, screw_depth: of the clamp screws;
    beside: from the held diameter to their centres; recess: depth of the bore for work that lies on its face.
    """

    clearance: float = 0.02
    over: float = 0.02
    depth_over: float = 0.05
    centre: float = 0.01
    roughness: float = 1.6
    land: float = 6.0
    floor: float = 20.0
    thickness: float = 25.0
    screw: float = 8.0
    screw_depth: float = 16.0
    beside: float = 10.0
    recess: float = 3.0


@dataclass(frozen=True, slots=True)
class BalancePocket:
    """A round pocket in the plate's face. at: x, y; diameter, depth: mm."""

    at: Point
    diameter: float
    depth: float

    @property
    def moment(self) -> float:
        """G mm that it takes away."""
        return STEEL_G_PER_MM3 * pi / 4 * self.diameter**2 * self.depth * hypot(*self.at)


@dataclass(frozen=True, slots=True)
class FixturePlate:
    """A plate that turns about its own middle. mm, radians; +x towards what is held, seen on the plate's face.

    swing: of the machine; locator: a bore around what is held, or a spigot in its bore; held: nominal diameter;
    size: of bore or spigot; offset: e, of its centre from the spindle axis; angle: of that from the spindle's 0;
    depth: of the bore, or height of the spigot; through: diameter of the run-out hole about the spindle axis, 0 for
    none; relief: diameter of what is turned out behind the rest face about the held axis, 0 for none; behind: of the
    work behind the rest face; radius, thickness: of the plate; screws: places of clamp screws;
    unbalance: g mm of plate and work before the pockets, x and y, None without a mass; pockets: that take it away, ()
    where it is little or they have no room; turn_matters: other features say which way round the work lies.
    """

    setup: SetUp
    spindle: Spindle
    swing: float
    locator: Literal["bore", "spigot"]
    held: float
    size: float
    offset: float
    angle: float
    depth: float
    through: float
    relief: float
    behind: float
    radius: float
    thickness: float
    screws: tuple[Point, ...]
    unbalance: Point | None
    pockets: tuple[BalancePocket, ...]
    turn_matters: bool
    values: FixtureHouseValues

    @property
    def weight_radius(self) -> float:
        """Where a counterweight bolts on, mm: the chuck's own place, or near the plate's rim."""
        return self.spindle.weight_radius or self.radius - 2 * self.values.land


def has_fixture_plate(s: SetUp) -> bool:
    """Whether a plate can be drawn: the offset fixture holds something round off centre, also by its face."""
    c = s.clamping
    held = next((f for f in s.work.features if f.name == c.held_on), None)
    return c.way == "offset_fixture" and c.offset > 0 and held is not None and held.is_round and not c.raw


def fixture_plate(part: Part, machine: Machine, s: SetUp, values: FixtureHouseValues | None = None) -> FixturePlate:
    """The plate of a set-up. Raises FoldsketchError where the machine has no swing for it."""
    v, c = values or FixtureHouseValues(), s.clamping
    spindle = machine.spindle(c.spindle)
    d, e = s.held_diameter, c.offset
    depth = c.grip_range[1] - c.grip_range[0] or v.recess
    ring = d / 2 + v.beside
    screws = tuple((e + ring * cos(t), ring * sin(t)) for t in SCREW_ANGLES)
    through, relief, behind = _run_out(s)
    far = max(e + d / 2 + 2 * v.land, *(hypot(*at) + v.screw / 2 + v.land for at in screws))
    radius = ceil(max(far, through / 2 + 2 * v.land) / PLATE_STEP_MM) * PLATE_STEP_MM
    if 2 * radius > machine.swing:
        where = f"set-up {s.number}, '{c.held_on}' with axis {c.on_centreline} on the spindle"
        raise messages.NO_SWING_FOR_PLATE.error(where, plate=mm(2 * radius), swing=mm(machine.swing))
    bore = not s.held_inside
    thickness = ceil(depth + (behind if relief else 0.0) + v.floor) if bore else v.thickness
    unbalance = _unbalance(s, v, screws, (-1 if bore else 1) * pi / 4 * d * d * depth * e)
    plate = FixturePlate(
        setup=s,
        spindle=spindle,
        swing=machine.swing,
        locator="bore" if bore else "spigot",
        held=d,
        size=d + v.clearance if bore else d - v.clearance,
        offset=e,
        angle=spindle_zero(s),
        depth=depth,
        through=through,
        relief=relief,
        behind=behind,
        radius=radius,
        thickness=float(thickness),
        screws=screws,
        unbalance=unbalance,
        pockets=(),
        turn_matters=turn_matters(part, s),
        values=v,
    )
    return _balanced(plate)


def _run_out(s: SetUp) -> tuple[float, float, float]:
    """The hole about the spindle axis for bores cut through, the relief about the held axis, mm behind the rest face.

    The plate turns with the work: what stands behind the rest face on the held axis needs room there, and not all round
    the spindle axis. What stands there on another axis is cleared all round.
    """
    held = {f.name for f in s.work.features if not f.cut and f.axis == s.clamping.held_axis}
    v = JawHouseValues()
    through, _ = through_hole(s, v, held)
    whole, behind = through_hole(s, v)
    if whole == through:
        return through, 0.0, behind
    up, (low, high) = s.clamping.from_end == "+z", s.clamping.grip_range
    past = [
        f.radius
        for f in s.work.features
        if f.name in held and ((z := z_extent(s.work, f))[0] < low - LENGTH_TOLERANCE_MM if up else z[1] > high)
    ]
    own = [r for r in past if 2 * r < s.held_diameter]
    return through, 2.0 * ceil(max(own) + v.beside_through - 1e-9) if own else 0.0, behind


def plate_fault(p: FixturePlate) -> Finding | None:
    """What of a plate the run-out hole takes away, so that it must not be made as it is; None for a sound plate."""
    where, hole, values = f"set-up {p.setup.number}", p.through / 2, {"hole": mm(p.through)}
    r = p.size / 2
    if p.relief and p.relief / 2 > r - LEAST_REST_MM:
        return messages.PLATE_CUT_AWAY.at(where, what="rest face", hole=mm(p.relief))
    # The locator's wall is gone where it is nearer to the spindle axis than the hole's edge: half of it, or more.
    if hole**2 >= p.offset**2 + r**2:
        return messages.PLATE_CUT_AWAY.at(where, what=f"half of the {p.locator}'s wall", **values)
    if any(hypot(*at) - hole < p.values.beside for at in p.screws):
        return messages.PLATE_CUT_AWAY.at(where, what="place of a clamp screw", **values)
    heavy = p.unbalance is not None and hypot(*p.unbalance) >= BALANCED_G_MM and not p.pockets
    if heavy and p.weight_radius - hole < p.values.beside:
        return messages.PLATE_CUT_AWAY.at(where, what="place of the counterweight", **values)
    return None


def _unbalance(s: SetUp, v: FixtureHouseValues, screws: tuple[Point, ...], locator: float) -> Point | None:
    """Of work and plate, g mm: the work's, the locator's (mm4, signed) and the screw holes'."""
    if s.unbalance is None:
        return None
    t = direction_on_face(s, s.unbalance_angle)
    hole = -STEEL_G_PER_MM3 * pi / 4 * v.screw**2 * v.screw_depth
    x = s.unbalance * cos(t) + STEEL_G_PER_MM3 * locator + hole * sum(x for x, _ in screws)
    return (x, s.unbalance * sin(t) + hole * sum(y for _, y in screws))


def _balanced(p: FixturePlate) -> FixturePlate:
    """The plate with the smallest pocket, or pair of pockets, that takes its unbalance away and has room.

    The plate grows for it up to the largest diameter that the chuck holds.
    """
    if p.unbalance is None or hypot(*p.unbalance) < BALANCED_G_MM:
        return p
    most = max(p.radius, min(p.spindle.largest, p.swing) / 2)
    radius = p.radius
    while radius <= most:
        grown = replace(p, radius=radius)
        pockets = _pockets(grown, *p.unbalance)
        if pockets:
            return replace(grown, pockets=pockets)
        radius += PLATE_STEP_MM
    return p if p.spindle.weight_radius is not None else replace(p, radius=most // PLATE_STEP_MM * PLATE_STEP_MM)


def _pockets(p: FixturePlate, x: float, y: float) -> tuple[BalancePocket, ...]:
    """The smallest pocket on the heavy side, or a pair beside it, that has room; () for none."""
    heavy, turn = hypot(x, y), atan2(y, x)
    for spread in BALANCE_SPREAD:
        turns = (turn + spread, turn - spread) if spread else (turn,)
        for diameter in BALANCE_DIAMETERS_MM:
            r = p.radius - p.values.land - diameter / 2
            if r <= diameter / 2:
                continue
            depth = heavy / len(turns) / cos(spread) / (STEEL_G_PER_MM3 * pi / 4 * diameter**2 * r)
            apart = not spread or 2 * r * sin(spread) >= diameter + p.values.land / 2
            places = [(r * cos(t), r * sin(t)) for t in turns]
            if depth <= p.thickness - p.values.land and apart and all(_has_room(p, q, diameter / 2) for q in places):
                return tuple(BalancePocket(q, diameter, depth) for q in places)
    return ()


def _has_room(p: FixturePlate, at: Point, radius: float) -> bool:
    """Whether a pocket keeps clear of locator, screws and run-out hole."""
    taken = [((p.offset, 0.0), p.size / 2), ((0.0, 0.0), p.through / 2)]
    taken += [(screw, p.values.screw / 2) for screw in p.screws]
    return all(hypot(at[0] - q[0], at[1] - q[1]) >= radius + r + p.values.land / 2 for q, r in taken if r)


def fixture_notes(plan: SetUpPlan, drawn: tuple[FixturePlate, ...]) -> tuple[Finding, ...]:
    """Fixtures of a plan for which no plate is drawn, and plates that no pocket balances."""
    found = [
        messages.NO_FIXTURE_PLATE.at(f"set-up {s.number}", held=s.clamping.held_on)
        for s in plan.setups
        if s.clamping.way == "offset_fixture" and not has_fixture_plate(s)
    ]
    for p in drawn:
        if p.unbalance is not None and hypot(*p.unbalance) >= BALANCED_G_MM and not p.pockets:
            found.append(
                messages.PLATE_NOT_BALANCED.at(f"set-up {p.setup.number}", unbalance=round(hypot(*p.unbalance)))
            )
    return tuple(found)
