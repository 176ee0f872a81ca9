"""A spindle with its chuck: what it holds, carries and moves; and the defaults of what a machine file leaves out.

Defaults are common practice [C] or from memory [M] unless a source is named.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi
from typing import Any, Literal, NamedTuple

from foldsketch.base.findings import Quantity, mm
from foldsketch.setup.formulas.clamping_force import MAX_GRIP_LOSS_SHARE

ChuckKind = Literal["three-jaw", "four-jaw", "face plate"]


CHUCK_KINDS: tuple[ChuckKind, ...] = ("three-jaw", "four-jaw", "face plate")


ROTATING_MASS_PER_DIAMETER = 0.15
"""kg of spindle and chuck per mm of the largest diameter held: low on purpose, a heavier rotor may turn faster [M]."""


DEFAULT_POWER_STROKE_MM = 4.0
"""Stroke of each jaw of a power chuck, mm [C]; a hand-tightened one has no limit."""


POWER_JAW_CLEARANCE_MM, HAND_JAW_CLEARANCE_MM = 0.5, 2.0
"""Between the front of the jaws and what a tool cuts, with a power chuck and with one tightened by hand [C]."""


DEFAULT_FIXTURE_PULL_N = 1000.0
"""Pull of the work, N, that the clamps of a fixture or face plate hold besides the cut [C].

Clamps of 20 kN together, friction 0.15, safety 1.5, half of it kept for the cut.
"""


RIM_SPEED_M_PER_S = {"three_jaw_speed": 30.0, "four_jaw_speed": 20.0, "face_plate_speed": 10.0, "fixture_speed": 20.0}
"""m/s at the rim, as large as `largest`, that a chuck beside the mounted one, a face plate or a fixture may run at [C].

Bodies of cast iron; straps and weights of a face plate are bolted on by hand. What the maker's plate says goes first.
"""


DEFAULT_C_TORQUE_NM = 60.0
"""Torque, N m, that a spindle under C holds against a driven tool [M]."""


@dataclass(frozen=True, slots=True)
class Spindle:
    """A spindle with its chuck.

    smallest, largest: diameters it holds; grip: least length it must hold; depth: length of part that fits behind the
    gripped length; jaw_width: of a jaw's face; jaw_height: radial, beyond the held surface; speed: r/min that must not
    be passed.

    chuck: mounted; chucks: others there are; power: closed by a cylinder; soft_jaw_width: of soft jaws; jaw_stroke: of
    each jaw; jaw_clearance: between the front of the jaws and what a tool cuts; rotating_mass: kg, spindle with chuck;
    force: N radial at the nose, or None; grip_force: N, sum of jaws at rest, or None; grip_loss: N lost at speed;
    weight_radius, weight_planes: where a counterweight bolts on, from the centre and from the chuck's face, None and ()
    for nowhere; fixture_pull: N of the work's pull that the clamps of a fixture may take; bearing_span: or None;
    part_weight: kg it may carry, or None; bar: through the spindle, 0 for none; c_axis: it indexes; c_torque: N m then;
    x_axis: how far it moves off centre; y_axis: travel of driven tools each way; x_below: their travel past the centre.
    mm where nothing is said.

    three_jaw_speed, four_jaw_speed, face_plate_speed, fixture_speed: r/min with that on the spindle, None for speed.
    """

    name: str
    smallest: float
    largest: float
    grip: float
    depth: float
    jaw_width: float
    jaw_height: float
    speed: float
    chuck: ChuckKind = "three-jaw"
    chucks: tuple[ChuckKind, ...] = ()
    power: bool = True
    soft_jaw_width: float = 0.0
    jaw_stroke: float = inf
    jaw_clearance: float = POWER_JAW_CLEARANCE_MM
    rotating_mass: float = 0.0
    force: float | None = None
    grip_force: float | None = None
    grip_loss: float | None = None
    weight_radius: float | None = None
    weight_planes: tuple[float, ...] = ()
    bearing_span: float | None = None
    fixture_pull: float = DEFAULT_FIXTURE_PULL_N
    part_weight: float | None = None
    bar: float = 0.0
    c_axis: bool = False
    c_torque: float = DEFAULT_C_TORQUE_NM
    x_axis: float = 0.0
    y_axis: float = 0.0
    x_below: float = 0.0
    three_jaw_speed: float | None = None
    four_jaw_speed: float | None = None
    face_plate_speed: float | None = None
    fixture_speed: float | None = None

    def speed_on(self, holder: str) -> float:
        """r/min that must not be passed with a "three-jaw", "four-jaw", "face plate" or "fixture" on the spindle."""
        own: float | None = getattr(self, speed_key(holder))
        return self.speed if own is None else min(self.speed, own)


def speed_key(holder: str) -> str:
    """The key with the speed limit of a chuck, face plate or fixture.

    >>> speed_key("face plate")
    'face_plate_speed'
    """
    return holder.replace(" ", "_").replace("-", "_") + "_speed"


class Default(NamedTuple):
    """A default that stands in for a key. where: spindle or table, "" at the top; value: as it is shown."""

    where: str
    key: str
    value: Quantity | str


def complete_spindle(
    given: dict[str, Any], ways: tuple[str, ...] = (), cross_travel: float = 0.0
) -> tuple[Spindle, tuple[Default, ...]]:
    """A spindle of the keys that were given, with defaults for the others, and what they are.

    given: keys of [[spindle]], the required ones among them; ways: keys of [holding]; cross_travel: mm.
    """
    used: list[Default] = []
    values = dict(given)
    where = f"{values['name']} spindle"

    def default(key: str, value: Any, shown: Quantity | str) -> None:
        if key not in values:
            values[key] = value
            used.append(Default(where, key, shown))

    default("chuck", "three-jaw", "three-jaw")
    others = chucks_for(ways, values["chuck"])
    default("chucks", others, ", ".join(others) or "none besides")
    default("power", True, "yes")
    default("soft_jaw_width", values["jaw_width"], mm(values["jaw_width"]))
    stroke = DEFAULT_POWER_STROKE_MM if values["power"] else inf
    default("jaw_stroke", stroke, mm(stroke) if values["power"] else "no limit")
    clearance = POWER_JAW_CLEARANCE_MM if values["power"] else HAND_JAW_CLEARANCE_MM
    default("jaw_clearance", clearance, mm(clearance))
    mass = ROTATING_MASS_PER_DIAMETER * values["largest"]
    default("rotating_mass", mass, Quantity(mass, "kg", 1))
    for key in ("force", "grip_force", "weight_radius", "bearing_span", "part_weight"):
        default(key, None, "unknown")
    default("fixture_pull", DEFAULT_FIXTURE_PULL_N, Quantity(DEFAULT_FIXTURE_PULL_N, "N", 0))
    if values["grip_force"] is None:
        values["grip_loss"] = None
    else:
        loss = MAX_GRIP_LOSS_SHARE * values["grip_force"]
        default("grip_loss", loss, Quantity(loss, "N", 0))
    default("weight_planes", (), "none")
    default("bar", 0.0, "none")
    default("c_axis", False, "no")
    if values["c_axis"]:
        default("c_torque", DEFAULT_C_TORQUE_NM, Quantity(DEFAULT_C_TORQUE_NM, "N m", 0))
    across = cross_travel if values["name"] == "sub" else 0.0
    default("x_axis", across, mm(across))
    default("y_axis", 0.0, mm(0.0))
    default("x_below", 0.0, mm(0.0))
    for holder in (*values["chucks"], *(("fixture",) if "offset_fixture" in ways else ())):
        if holder != values["chuck"]:
            key = speed_key(holder)
            most = min(values["speed"], 60000 * RIM_SPEED_M_PER_S[key] / (pi * values["largest"]))
            default(key, most, Quantity(most, "r/min", 0))
    return Spindle(**values), tuple(used)


def chucks_for(ways: tuple[str, ...], mounted: ChuckKind) -> tuple[ChuckKind, ...]:
    """The chucks, besides the one that is mounted, that the keys of [holding] ask for.

    >>> chucks_for(("packed_three_jaw", "four_jaw", "face_plate"), "three-jaw")
    ('four-jaw', 'face plate')
    """
    needed: dict[ChuckKind, tuple[str, ...]] = {
        "three-jaw": ("packed_three_jaw", "bored_jaws"),
        "four-jaw": ("four_jaw",),
        "face plate": ("face_plate",),
    }
    return tuple(kind for kind, keys in needed.items() if kind != mounted and any(k in ways for k in keys))
