"""The machine: spindles with their chucks, tools, travels, times, limits; and the one used where none is given.

What a machine file leaves out takes a default, and the machine keeps a list of those. Defaults are common practice [C]
or from memory [M] unless a source is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf, pi
from typing import Any, Literal, NamedTuple

from foldsketch.base.findings import Quantity, mm
from foldsketch.part.cutting import CUTTING_DATA, CuttingData
from foldsketch.part.material import material_key
from foldsketch.setup.cutters import DEFAULT_CUTTERS, Cutter, CutterKind
from foldsketch.setup.formulas.clamping_force import MAX_GRIP_LOSS_SHARE
from foldsketch.setup.formulas.cycle_time import OperationTimes
from foldsketch.setup.formulas.way_cost import CHUCK_CHANGE_MIN, WAY_MINUTES, WayMinutes
from foldsketch.setup.model import HoldingMethod

HOLDING_METHODS: dict[str, HoldingMethod] = {
    "packed_three_jaw": "packed three-jaw",
    "four_jaw": "four-jaw",
    "bored_jaws": "bored jaws",
    "offset_fixture": "offset fixture",
    "between_centres": "between centres",
    "face_plate": "face plate",
}
"""Keys of [holding] and the ways of holding off centre that they allow, the quickest to set first."""

ChuckKind = Literal["three-jaw", "four-jaw", "face plate"]
CHUCK_KINDS: tuple[ChuckKind, ...] = ("three-jaw", "four-jaw", "face plate")

ROTATING_MASS_PER_DIAMETER = 0.15
"""kg of spindle and chuck per mm of the largest diameter held: low on purpose, a heavier rotor may turn faster [M]."""

DEFAULT_POWER_STROKE_MM = 4.0
"""Stroke of each jaw of a power chuck, mm [M]; a hand-tightened one has no limit."""

DEFAULT_C_TORQUE_NM = 60.0
"""Torque, N m, that a spindle under C holds against a driven tool [M]."""


@dataclass(frozen=True, slots=True)
class Spindle:
    """A spindle with its chuck. smallest, largest: diameters it holds; grip: least length it must hold; depth: length
    of part that fits behind the gripped length; jaw_width: of a jaw's face; jaw_height: radial, beyond the held
    surface; speed: r/min that must not be passed.

    chuck: mounted; chucks: others there are; power: closed by a cylinder; soft_jaw_width: of soft jaws; jaw_stroke: of
    each jaw; rotating_mass: kg, spindle with chuck; force: N radial at the nose, or None; grip_force: N, sum of jaws at
    rest, or None; grip_loss: N lost at speed; weight_radius, weight_planes: where a counterweight bolts on, from the
    centre and from the chuck's face, None and () for nowhere; bearing_span: or None; part_weight: kg it may carry, or
    None; bar: through the spindle, 0 for none; c_axis: it indexes; c_torque: N m then; x_axis: how far it moves off
    centre; y_axis: travel of driven tools each way; x_below: their travel past the centre. mm where nothing is said."""

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
    rotating_mass: float = 0.0
    force: float | None = None
    grip_force: float | None = None
    grip_loss: float | None = None
    weight_radius: float | None = None
    weight_planes: tuple[float, ...] = ()
    bearing_span: float | None = None
    part_weight: float | None = None
    bar: float = 0.0
    c_axis: bool = False
    c_torque: float = DEFAULT_C_TORQUE_NM
    x_axis: float = 0.0
    y_axis: float = 0.0
    x_below: float = 0.0


@dataclass(frozen=True, slots=True)
class Tools:
    """room: radial space a turning tool needs beside the surface; overhang: longest reach; driven_diameter: of a
    driven tool's shank; drill: largest hole that is drilled and needs no set-up of its own; force: N at the tip; accel:
    mm/s2 of the axes, for interpolation turning, or None."""

    room: float
    overhang: float
    driven_diameter: float
    drill: float
    force: float
    accel: float | None = None


class Default(NamedTuple):
    """A default that stands in for a key. where: spindle or table, "" at the top; value: as it is shown."""

    where: str
    key: str
    value: Quantity | str


@dataclass(frozen=True, slots=True)
class Machine:
    """kind: twin (main and sub-spindle) or single; swing: largest diameter that may turn; cross_travel: how far the
    sub-spindle moves off centre; orient_step: radians; grade: balance grade that limits the speed, mm/s; max_offsets:
    ways of holding off centre with the largest offset of each, mm; times: None where the file has none.

    turrets: how many cut at once; load_while_cutting: a part is put in while the sub-spindle cuts; driven_speed: r/min
    and driven_torque: N m of driven tools; tailstock; driven, interpolated: largest offset, mm, that is milled with
    driven tools or turned by interpolation, None where it is not; cutters: tools there are; way_minutes: by key of
    [way]; cutting: cutting data by material; defaults: what the file left out."""

    name: str
    kind: str
    swing: float
    cross_travel: float
    orient_step: float
    grade: float
    spindles: tuple[Spindle, ...]
    tools: Tools
    max_offsets: tuple[tuple[HoldingMethod, float], ...]
    times: OperationTimes | None = None
    turrets: int = 1
    load_while_cutting: bool = False
    driven_speed: float = 6000.0
    driven_torque: float = 15.0
    tailstock: bool = False
    driven: float | None = None
    interpolated: float | None = None
    cutters: tuple[Cutter, ...] = DEFAULT_CUTTERS
    way_minutes: Mapping[str, WayMinutes] = field(default_factory=lambda: dict(WAY_MINUTES))
    cutting: Mapping[str, CuttingData] = field(default_factory=lambda: dict(CUTTING_DATA))
    defaults: tuple[Default, ...] = ()

    def spindle(self, name: str) -> Spindle:
        """The spindle of that name. Raises KeyError."""
        return {s.name: s for s in self.spindles}[name]

    def cutting_data(self, material: str) -> CuttingData | None:
        """The shop's cutting data of a material, or the usual ones; None where there are none."""
        return self.cutting.get(material_key(material))

    def cutters_of(self, kind: CutterKind) -> tuple[Cutter, ...]:
        """The tools of a kind."""
        return tuple(c for c in self.cutters if c.kind == kind)


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
    mass = ROTATING_MASS_PER_DIAMETER * values["largest"]
    default("rotating_mass", mass, Quantity(mass, "kg", 1))
    for key in ("force", "grip_force", "weight_radius", "bearing_span", "part_weight"):
        default(key, None, "unknown")
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


def _default_machine() -> Machine:
    ways = ("packed_three_jaw", "four_jaw", "bored_jaws", "offset_fixture")
    keys = ("name", "smallest", "largest", "grip", "depth", "jaw_width", "jaw_height", "speed")
    rows = (("main", 15.0, 210.0, 8.0, 80.0, 25.0, 30.0, 4000.0), ("sub", 15.0, 165.0, 8.0, 70.0, 20.0, 25.0, 4500.0))
    made = [complete_spindle(dict(zip(keys, row, strict=True)), ways, 60.0) for row in rows]
    return Machine(
        "harbour workshop twin-spindle lathe (invented)",
        "twin",
        300.0,
        60.0,
        pi / 180,
        16.0,
        tuple(spindle for spindle, _ in made),
        Tools(6.0, 90.0, 12.0, 16.0, 200.0),
        tuple((HOLDING_METHODS[w], most) for w, most in zip(ways, (10.0, 40.0, 30.0, 60.0), strict=True)),
        OperationTimes(2.0, 1.0, 0.3, 240.0, 35.0, 50),
        defaults=(*MACHINE_DEFAULTS, *(d for _, used in made for d in used)),
    )


MACHINE_DEFAULTS: tuple[Default, ...] = (
    Default("", "turrets", "1"),
    Default("", "load_while_cutting", "no"),
    Default("", "tailstock", "no"),
    Default("", "chuck_change", Quantity(CHUCK_CHANGE_MIN, "min", 0)),
    Default("", "cutter", "the usual small list"),
    Default("", "way", "the usual minutes"),
    Default("", "cut", "the usual cutting data"),
)
"""Keys outside [[spindle]] that any machine may have, with their defaults."""

OFF_CENTRE_DEFAULTS: dict[str, tuple[Default, ...]] = {
    "driven": (
        Default("", "driven_speed", Quantity(6000.0, "r/min", 0)),
        Default("", "driven_torque", Quantity(15.0, "N m", 0)),
    ),
    "interpolated": (Default("", "accel", "unknown"),),
}
"""Of machines whose [holding] has driven tools, or interpolation turning."""

DEFAULT_MACHINE = _default_machine()
"""Used where no machine file is given; the same figures as samples/machines/twin-spindle.toml."""
