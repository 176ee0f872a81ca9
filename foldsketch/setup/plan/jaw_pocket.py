"""The pocket that a set-up's soft jaws are bored to, with every figure of its drawing."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import atan2, ceil, cos, hypot, pi, sin

from foldsketch.base.findings import Finding, mm
from foldsketch.base.points import Point
from foldsketch.part.model import Part
from foldsketch.setup import messages
from foldsketch.setup.access.sweep import sweep_of, z_extent
from foldsketch.setup.formulas.bored_pocket import (
    JawContact,
    JawHouseValues,
    jaw_contacts,
    largest_bored_offset,
)
from foldsketch.setup.formulas.jaws import bored_jaws
from foldsketch.setup.machine import Machine
from foldsketch.setup.messages.reasons import BORED_JAWS_TOO_DEEP, BORED_JAWS_TOO_NARROW
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, SetUp, SetUpPlan
from foldsketch.setup.plan.workholding import why_not_bored
from foldsketch.setup.spindle import Spindle

BORED_WAYS = ("bored_jaws", "soft_jaws")
"""Ways whose jaws are bored: off centre, and centred."""

JAW_DATA_KEYS = ("soft_jaw_width", "weight_radius", "weight_planes")
"""Keys of a spindle that a jaw drawing rests on."""

REST_WIDTH_MM = 2.0
"""Least radial width of the rest face that counts, where a jaw presses [C]."""

MOST_REASONS = 2
"""Reasons why no jaws are bored that are shown."""

TURN_LOCATION_MM = 0.05
"""What boring jaws off centre adds to the location of the turned axis, mm [M]: sets how exact the stop is."""


@dataclass(frozen=True, slots=True)
class JawPocket:
    """A pocket in three soft jaws. mm and radians, in the jaws' frame: jaw 1 along +x, seen on the jaw face.

    setup: the set-up; spindle: whose chuck; held: nominal diameter held; bore: of the pocket; offset: e, of its centre
    from the spindle axis, towards jaw 1; angle: of that from the spindle's 0, which is on jaw 1 except at a hand-over
    off centre; depth: of the rest face below the jaw face; through: diameter of the hole in the jaws about the spindle
    axis; rests: a rest face is left where the jaws press; behind: mm of the work behind the rest face; wall: left
    behind the pocket at jaw 1; width: of the jaws; width_needed: of them; contacts: where they press; turn_matters:
    other features say which way round the work lies; values: the shop's own.
    """

    setup: SetUp
    spindle: Spindle
    held: float
    bore: float
    offset: float
    angle: float
    depth: float
    through: float
    rests: bool
    behind: float
    wall: float
    width: float
    width_needed: float
    contacts: tuple[JawContact, ...]
    turn_matters: bool
    values: JawHouseValues

    @property
    def chuck_radius(self) -> float:
        """mm, of the largest diameter that the chuck holds."""
        return self.spindle.largest / 2

    def place(self, x: float, y: float) -> Point:
        """A point of the part in the jaws' frame."""
        return place_on_face(self.setup, x, y)

    def direction(self, angle: float) -> float:
        """A direction of the part, radians from its +x, in the jaws' frame: -pi to pi."""
        return direction_on_face(self.setup, angle)


def jaw_1_direction(s: SetUp) -> float:
    """Where jaw 1 stands in the part, radians from +x: towards the held axis; 0 where the work is centred."""
    at, held = s.clamping.at, s.held_at
    if hypot(held[0] - at[0], held[1] - at[1]) <= LENGTH_TOLERANCE_MM:
        return 0.0
    return atan2(held[1] - at[1], held[0] - at[0])


def place_on_face(s: SetUp, x: float, y: float) -> Point:
    """A point of the part as seen on the face of jaws or plate: jaw 1 along +x."""
    dx, dy = x - s.clamping.at[0], y - s.clamping.at[1]
    t = jaw_1_direction(s)
    u, v = dx * cos(t) + dy * sin(t), dy * cos(t) - dx * sin(t)
    return (u, v if s.clamping.from_end == "+z" else -v)


def direction_on_face(s: SetUp, angle: float) -> float:
    """A direction of the part, radians from its +x, as seen there: -pi to pi."""
    t = angle - jaw_1_direction(s)
    t = t if s.clamping.from_end == "+z" else -t
    return atan2(sin(t), cos(t))


def spindle_zero(s: SetUp) -> float:
    """Angle of the offset from the spindle's 0, radians: 0 but at a hand-over off centre."""
    before = jaw_1_direction(s) - s.orientation if s.shift else 0.0
    return before if s.clamping.from_end == "+z" else -before


def has_bored_jaws(s: SetUp) -> bool:
    """Whether a jaw drawing can be made of a set-up: soft jaws around a round outside."""
    return s.clamping.way in BORED_WAYS and not s.held_inside and bool(s.jaws)


def jaw_pocket(part: Part, machine: Machine, s: SetUp, values: JawHouseValues | None = None) -> JawPocket:
    """The pocket of a set-up's bored jaws.

    Raises FoldsketchError where these jaws cannot have it, with the offset that would go.
    """
    values = values or JawHouseValues()
    c, spindle = s.clamping, machine.spindle(s.clamping.spindle)
    d, e = s.held_diameter, c.offset
    refused = why_no_pocket(d, e, spindle)
    if refused is not None:
        raise messages.JAWS_CANNOT_BE_BORED.error(
            f"set-up {s.number}, '{c.held_on}' with axis {c.on_centreline} on the spindle", why=refused.wording()[0]
        )
    bore = d + values.clearance
    contacts = jaw_contacts(bore / 2, e)
    through, behind = through_hole(s, values)
    inner = min(hypot(*contact.at) for contact in contacts)
    rests = inner - through / 2 >= REST_WIDTH_MM
    return JawPocket(
        setup=s,
        spindle=spindle,
        held=d,
        bore=bore,
        offset=e,
        angle=spindle_zero(s),
        depth=c.grip_range[1] - c.grip_range[0],
        through=through if rests else 0.0,  # without a rest face the pocket goes right through
        rests=rests,
        behind=behind,
        wall=spindle.largest / 2 - e - d / 2,
        width=spindle.soft_jaw_width,
        width_needed=bored_jaws(d, e, spindle.soft_jaw_width, spindle.smallest).width,
        contacts=contacts,
        turn_matters=turn_matters(part, s),
        values=values,
    )


def why_no_pocket(diameter: float, offset: float, spindle: Spindle) -> Finding | None:
    """Why jaws cannot be bored for a diameter so far off centre, mm, or None."""
    wall = (spindle.largest - diameter) / 2 - offset
    if wall < 0:
        most = mm(
            max(0.0, largest_bored_offset(diameter, spindle.soft_jaw_width, spindle.smallest, spindle.largest)), 1
        )
        return messages.NO_WALL_LEFT.at(short=mm(-wall), most=most)
    return why_not_bored(diameter, offset, spindle)


def through_hole(s: SetUp, values: JawHouseValues, apart: Collection[str] = ()) -> tuple[float, float]:
    """Diameter of the hole in the jaws about the spindle axis, 0 for none, and mm of the work behind the rest face.

    It clears bores that are cut through the rest face on the centreline, and what of the work lies behind it,
    but for the features apart.
    """
    c = s.clamping
    up = c.from_end == "+z"
    rest = c.grip_range[0] if up else c.grip_range[1]
    radius, behind = 0.0, 0.0
    for f in s.work.features:
        if not s.work.axis(f.axis).along_z:
            continue
        low, high = z_extent(s.work, f)
        past = rest - low if up else high - rest
        if f.cut:
            if f.axis == c.on_centreline and f.name in s.features and past > -LENGTH_TOLERANCE_MM:
                radius = max(radius, f.radius)
        elif past > LENGTH_TOLERANCE_MM and f.name not in apart:
            behind = max(behind, past)
            radius = max(radius, sweep_of(s.work, f, c.at).outer)
    return (2.0 * ceil(radius + values.beside_through - 1e-9) if radius else 0.0), behind


def turn_matters(part: Part, s: SetUp) -> bool:
    """Whether something beside the held axis is there already when the work is put in."""
    planned = {f.name: f for f in part.features}
    for f in s.work.features:
        axis = s.work.axis(f.axis)
        if not axis.along_z or f.axis == s.clamping.held_axis:
            continue
        own = planned.get(f.name)
        if f.name not in s.features or (own is not None and not own.cut and (own.stock or own.finish == "cast")):
            return True
    return False


def jaw_notes(machine: Machine, plan: SetUpPlan, drawn: tuple[JawPocket, ...], plates: int = 0) -> tuple[Finding, ...]:
    """What there is to say about the jaw drawings of a plan: none off centre, keys that the machine file lacks.

    plates: how many fixture plates are drawn beside them.
    """
    found = []
    if not plates and not any(p.offset for p in drawn):
        others = [str(a.number) for a in plan.alternatives if {"bored_jaws", "offset_fixture"} & {*a.ways}]
        if others:
            found.append(messages.NO_OFFSET_JAWS.at("--jaws", plan=plan.number, others=" or ".join(others)))
        else:
            found.append(messages.NO_OFFSET_JAWS_ANYWHERE.at("--jaws", plan=plan.number))
            narrow = [f for f in plan.rejected if f.code in (BORED_JAWS_TOO_NARROW.code, BORED_JAWS_TOO_DEEP.code)]
            found += narrow[:MOST_REASONS]
    for name in dict.fromkeys(p.spindle.name for p in drawn):
        keys = [d.key for d in machine.defaults if d.where == f"{name} spindle" and d.key in JAW_DATA_KEYS]
        if keys:
            shown = ", ".join(keys)
            width = mm(machine.spindle(name).soft_jaw_width)
            found.append(messages.JAW_DATA_DEFAULT.at(f"{name} spindle", keys=shown, width=width))
    return tuple(found)


def spindle_mark(p: JawPocket) -> float:
    """Where the spindle's 0 is in the jaws' frame, radians."""
    return -p.angle % (2 * pi)
