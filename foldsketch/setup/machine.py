"""The machine: spindles with their chucks, tools, travels, times, limits; and the one used where none is given.

What a machine file leaves out takes a default, and the machine keeps a list of those. Defaults are common practice [C]
or from memory [M] unless a source is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import pi

from foldsketch.base.findings import Quantity
from foldsketch.part.cutting import CUTTING_DATA, CuttingData
from foldsketch.part.material import material_key
from foldsketch.setup.cutters import DEFAULT_CUTTERS, Cutter, CutterKind
from foldsketch.setup.formulas.cycle_time import OperationTimes
from foldsketch.setup.formulas.way_cost import CHUCK_CHANGE_MIN, WAY_MINUTES, WayMinutes
from foldsketch.setup.model import HoldingMethod
from foldsketch.setup.spindle import Default, Spindle, complete_spindle

HOLDING_METHODS: dict[str, HoldingMethod] = {
    "packed_three_jaw": "packed three-jaw",
    "four_jaw": "four-jaw",
    "bored_jaws": "bored jaws",
    "offset_fixture": "offset fixture",
    "between_centres": "between centres",
    "face_plate": "face plate",
}
"""Keys of [holding] and the ways of holding off centre that they allow, the quickest to set first."""


@dataclass(frozen=True, slots=True)
class Tools:
    """room: radial space a turning tool needs beside the surface.

    overhang: longest reach; driven_diameter: of a driven tool's shank; drill: largest hole that is drilled and needs no
    set-up of its own; force: N at the tip; accel: mm/s2 of the axes, for interpolation turning, or None.
    """

    room: float
    overhang: float
    driven_diameter: float
    drill: float
    force: float
    accel: float | None = None


@dataclass(frozen=True, slots=True)
class Machine:
    """A lathe: its spindles, chucks, travels and limits.

    Attributes
    ----------
    name : str
        What the machine is called.
    kind : {"twin", "single"}
        Main and sub-spindle, or main spindle only.
    swing : float
        Largest diameter that may turn, mm.
    cross_travel : float
        How far the sub-spindle moves off centre, mm.
    orient_step : float
        Step of the spindle angle, radians.
    grade : float
        Balance grade that limits the speed, mm/s.
    spindles : tuple of Spindle
        Each with its chuck.
    tools : Tools
        Space and reach of the tools, mm; force, N.
    max_offsets : tuple of (str, float)
        Workholdings off centre with the largest offset of each, mm.
    times : OperationTimes or None
        Minutes, where the machine file has them.
    turrets : int
        How many cut at once.
    load_while_cutting : bool
        A part is put in while the sub-spindle cuts.
    driven_speed, driven_torque : float
        r/min and N m of driven tools.
    tailstock : bool
        Whether there is one.
    driven, interpolated : float or None
        Largest offset that is milled with driven tools, or turned by interpolation, mm; None where it is not.
    cutters : tuple of Cutter
        Tools there are.
    way_minutes : mapping
        Minutes of each way of holding or cutting, by key of [way].
    cutting : mapping
        Cutting data by material.
    defaults : tuple of Default
        What the file left out.

    Examples
    --------
    >>> DEFAULT_MACHINE.kind, DEFAULT_MACHINE.spindle("main").largest
    ('twin', 210.0)
    """

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

    def __repr__(self) -> str:
        return f"<Machine '{self.name}': {self.kind} spindle, swing {self.swing:g} mm>"

    def spindle(self, name: str) -> Spindle:
        """The spindle of that name. Raises KeyError."""
        return {s.name: s for s in self.spindles}[name]

    def cutting_data(self, material: str) -> CuttingData | None:
        """The shop's cutting data of a material, or the usual ones; None where there are none."""
        return self.cutting.get(material_key(material))

    def cutters_of(self, kind: CutterKind) -> tuple[Cutter, ...]:
        """The tools of a kind."""
        return tuple(c for c in self.cutters if c.kind == kind)


def _default_machine() -> Machine:
    ways = ("packed_three_jaw", "four_jaw", "bored_jaws", "offset_fixture")
    keys = ("name", "smallest", "largest", "grip", "depth", "jaw_width", "jaw_height", "speed")
    rows = (("main", 15.0, 210.0, 5.0, 80.0, 25.0, 30.0, 4000.0), ("sub", 15.0, 165.0, 5.0, 70.0, 20.0, 25.0, 4500.0))
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
