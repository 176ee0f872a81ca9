"""The machine file: spindles, chucks, travels and limits; and the invented machine used where none is given."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from pathlib import Path
from typing import Any

from foldsketch.base.findings import FoldsketchError
from foldsketch.base.units import MM_PER_UNIT
from foldsketch.part.file.lines import KeyPath
from foldsketch.part.file.reader import ValueReader, did_you_mean, format_value
from foldsketch.part.file.text import FileFormat, load_text, parse_text
from foldsketch.setup import messages
from foldsketch.setup.cutters import DEFAULT_CUTTERS, Cutter
from foldsketch.setup.formulas.cycle_time import OperationTimes
from foldsketch.setup.model import HoldingMethod

HOLDING_METHODS: dict[str, HoldingMethod] = {
    "packed_three_jaw": "packed three-jaw",
    "four_jaw": "four-jaw",
    "bored_jaws": "bored jaws",
    "offset_fixture": "offset fixture",
    "between_centres": "between centres",
}
"""Keys of [holding] and the ways of holding off centre that they allow, the quickest to set first."""


@dataclass(frozen=True, slots=True)
class Spindle:
    """A spindle with its chuck. smallest, largest: diameters it holds; grip: least length it must hold; depth: length
    of part that fits behind the gripped length; jaw_height: radial, beyond the held surface; speed: r/min that must
    not be passed."""

    name: str
    smallest: float
    largest: float
    grip: float
    depth: float
    jaw_width: float
    jaw_height: float
    speed: float


@dataclass(frozen=True, slots=True)
class Tools:
    """room: radial space a turning tool needs beside the surface; overhang: longest reach; driven_diameter: of a
    driven tool's shank; drill: largest hole that is drilled and needs no set-up of its own; force: N at the tip."""

    room: float
    overhang: float
    driven_diameter: float
    drill: float
    force: float


@dataclass(frozen=True, slots=True)
class Machine:
    """kind: twin (main and sub-spindle) or single; swing: largest diameter that may turn; cross_travel: how far the
    sub-spindle moves off centre; orient_step: radians; grade: balance grade that limits the speed, mm/s; max_offsets:
    ways of holding off centre with the largest offset of each, mm; times: None where the file has none; cutters: tools
    there are."""

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
    cutters: tuple[Cutter, ...] = DEFAULT_CUTTERS

    def spindle(self, name: str) -> Spindle:
        """The spindle of that name. Raises KeyError."""
        return {s.name: s for s in self.spindles}[name]


DEFAULT_MACHINE = Machine(
    "harbour workshop twin-spindle lathe (invented)",
    "twin",
    300.0,
    60.0,
    pi / 180,
    16.0,
    (
        Spindle("main", 15.0, 210.0, 8.0, 80.0, 25.0, 30.0, 4000.0),
        Spindle("sub", 15.0, 165.0, 8.0, 70.0, 20.0, 25.0, 4500.0),
    ),
    Tools(6.0, 90.0, 12.0, 16.0, 200.0),
    (("packed three-jaw", 10.0), ("four-jaw", 40.0), ("bored jaws", 30.0), ("offset fixture", 60.0)),
    OperationTimes(2.0, 1.0, 0.3, 240.0, 35.0, 50),
)
"""Used where no machine file is given; the same figures as samples/machines/twin-spindle.toml."""

MACHINE_KEYS = (
    *("name", "units", "kind", "swing", "cross_travel", "orient_step", "grade"),
    *("spindle", "holding", "tool", "time"),
)
SPINDLE_KEYS = ("name", "smallest", "largest", "grip", "depth", "jaw_width", "jaw_height", "speed")
TIME_KEYS = ("cut", "load", "transfer", "queue", "setting", "batch")
TOOL_KEYS = ("room", "overhang", "driven_diameter", "drill", "force")


def read_machine(path: Path | str) -> Machine:
    """The machine of a machine file. Raises FoldsketchError with every error found."""
    text, kind = load_text(Path(path))
    return parse_machine(text, kind, Path(path).name)


def parse_machine(text: str, kind: FileFormat, source: str) -> Machine:
    """The machine of a machine file's text. Raises FoldsketchError with every error found."""
    r = ValueReader(parse_text(text, kind, source), source)
    values = r.tree.values
    r.keys((), values, MACHINE_KEYS)
    name = _read_name(r, values)
    units = values.get("units")
    if units not in ("mm", "in"):
        r.add_finding(("units",), messages.MACHINE_UNITS.at(value=format_value(units)))
    else:
        r.mm = MM_PER_UNIT[units]
    sort = values.get("kind")
    if sort not in ("twin", "single"):
        hint = did_you_mean(sort, ("twin", "single"))
        r.add_finding(("kind",), messages.MACHINE_KIND.at(value=format_value(sort), hint=hint))
    top = ("swing", "grade", *(("cross_travel", "orient_step") if sort == "twin" else ()))
    for key in top:
        if key not in values:
            r.missing((), key, f"give {key} = …")
    swing = r.length(("swing",), values.get("swing", 1))
    cross = r.length(("cross_travel",), values.get("cross_travel", 0), zero=True)
    step = r.number(("orient_step",), values.get("orient_step", 1), 0, 360, above=0)
    grade = r.number(("grade",), values.get("grade", 16), 0.1, 4000)
    spindles = [_read_spindle(r, place, table) for place, table in r.tables("spindle", 2)]
    wanted = ["main", "sub"] if sort == "twin" else ["main"]
    if all(s is not None for s in spindles) and [s.name for s in spindles if s] != wanted and not r.faults:
        r.add_finding(("spindle",), messages.MACHINE_SPINDLES.at(kind=str(sort), names=" and ".join(wanted)))
    tools = _read_tools(r, values)
    offsets = _read_max_offsets(r, values)
    times = _read_times(r, values)
    if r.faults or None in (name, swing, cross, step, grade, tools):
        raise FoldsketchError(r.faults)
    assert name is not None and swing is not None and cross is not None and step is not None
    assert grade is not None and tools is not None
    found = tuple(s for s in spindles if s is not None)
    return Machine(name, str(sort), swing, cross, step * pi / 180, grade, found, tools, offsets, times)


def _read_name(r: ValueReader, values: dict[str, Any]) -> str | None:
    if "name" not in values:
        r.missing((), "name", 'write name = "…" at the top')
        return None
    return r.name(("name",), values["name"])


def _read_numbers(
    r: ValueReader, place: KeyPath, table: dict[str, Any], keys: tuple[str, ...]
) -> dict[str, float] | None:
    """The lengths of a table in mm, all required; speed and force have units of their own."""
    found: dict[str, float] = {}
    for key in keys:
        if key not in table:
            r.missing(place, key, f"give {key} = …")
            continue
        at = (*place, key)
        value = r.number(at, table[key], 0, 1e6, above=0) if key in ("speed", "force") else r.length(at, table[key])
        if value is not None:
            found[key] = value
    return found if len(found) == len(keys) else None


def _read_spindle(r: ValueReader, place: KeyPath, table: dict[str, Any]) -> Spindle | None:
    r.keys(place, table, SPINDLE_KEYS)
    name = r.name((*place, "name"), table.get("name"))
    found = _read_numbers(r, place, table, SPINDLE_KEYS[1:])
    if name is None or found is None:
        return None
    if found["smallest"] >= found["largest"]:
        r.add_finding((*place, "smallest"), messages.CHUCK_RANGE_REVERSED.at())
        return None
    return Spindle(name, **found)


def _read_tools(r: ValueReader, values: dict[str, Any]) -> Tools | None:
    table = values.get("tool")
    if not isinstance(table, dict):
        r.add_finding(("tool",), messages.MACHINE_NO_TOOL.at())
        return None
    r.keys(("tool",), table, TOOL_KEYS)
    found = _read_numbers(r, ("tool",), table, TOOL_KEYS)
    return Tools(**found) if found else None


def _read_times(r: ValueReader, values: dict[str, Any]) -> OperationTimes | None:
    table = values.get("time")
    if table is None:
        return None
    if not isinstance(table, dict):
        r.add_finding(("time",), messages.MACHINE_NOT_A_TABLE.at(key="time"))
        return None
    r.keys(("time",), table, TIME_KEYS)
    found: dict[str, float] = {}
    for key in TIME_KEYS:
        if key not in table:
            r.missing(("time",), key, f"give {key} = …")
            continue
        least = 1 if key == "batch" else 0
        value = r.number(("time", key), table[key], least, 1e6)
        if value is not None:
            found[key] = value
    if len(found) < len(TIME_KEYS):
        return None
    batch = found.pop("batch")
    if batch != int(batch):
        r.add_finding(("time", "batch"), messages.MACHINE_BATCH.at(value=format_value(table["batch"])))
        return None
    return OperationTimes(**found, batch=int(batch))


def _read_max_offsets(r: ValueReader, values: dict[str, Any]) -> tuple[tuple[HoldingMethod, float], ...]:
    table = values.get("holding", {})
    if not isinstance(table, dict):
        r.add_finding(("holding",), messages.MACHINE_NOT_A_TABLE.at(key="holding"))
        return ()
    r.keys(("holding",), table, tuple(HOLDING_METHODS))
    found = []
    for key, way in HOLDING_METHODS.items():
        if key in table:
            most = r.length(("holding", key), table[key])
            if most is not None:
                found.append((way, most))
    return tuple(found)
