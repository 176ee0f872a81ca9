"""Read the smaller tables of a machine file: holding, tools, cutters, times, ways and cutting data."""

from __future__ import annotations

from typing import Any

from foldsketch.base.units import MM_PER_UNIT
from foldsketch.part.cutting import CUTTING_DATA, CuttingData
from foldsketch.part.file.line_numbers import KeyPath
from foldsketch.part.file.messages import TABLE_NOT_TABLE
from foldsketch.part.file.value_reader import ValueReader
from foldsketch.part.material import material_key
from foldsketch.setup import messages
from foldsketch.setup.cutters import CUTTER_KINDS, ROUND_KINDS, Cutter
from foldsketch.setup.formulas.cycle_time import OperationTimes
from foldsketch.setup.formulas.way_cost import CHUCK_CHANGE_MIN, HAND_CHUCK_CHANGE_MIN, WAY_MINUTES, WayMinutes
from foldsketch.setup.machine import HOLDING_METHODS, Tools
from foldsketch.setup.model import HoldingMethod

HOLDING_KEYS = (*HOLDING_METHODS, "driven", "interpolated")
TOOL_LENGTHS = ("room", "overhang", "driven_diameter", "drill")
TIME_KEYS = ("cut", "load", "transfer", "queue", "setting", "batch")
CUTTER_KEYS = ("kind", "width", "shank", "overhang", "diameter", "depth")
WAY_KEYS = WayMinutes._fields
CUT_KEYS = CuttingData._fields
M_PER_FT = MM_PER_UNIT["ft"] / 1000

CUT_SPEEDS = ("rough_speed", "finish_speed", "drill_speed", "mill_speed")
CUT_LENGTHS = ("rough_feed", "finish_feed", "depth")
MAX_CUTTERS = 200
MAX_BATCH = 1_000_000


def read_holding(r: ValueReader) -> dict[str, float]:
    """Largest offset, mm, of every way of holding or cutting off centre that the file has."""
    table = r.table("holding") or {}
    r.check_keys(("holding",), table, HOLDING_KEYS)
    found = {key: r.length(("holding", key), table[key]) for key in HOLDING_KEYS if key in table}
    return {key: most for key, most in found.items() if most is not None}


def max_offsets(holding: dict[str, float]) -> tuple[tuple[HoldingMethod, float], ...]:
    """The ways of holding among them, the quickest to set first."""
    return tuple((way, holding[key]) for key, way in HOLDING_METHODS.items() if key in holding)


def read_tools(r: ValueReader) -> Tools | None:
    """[tool]; None after an error."""
    if "tool" not in r.tree.values:
        r.add_finding(("tool",), messages.MACHINE_NO_TOOL.at())
    table = r.table("tool")
    if table is None:
        return None
    r.check_keys(("tool",), table, (*TOOL_LENGTHS, "force", "accel"))
    found: dict[str, float | None] = {}
    for key in (*TOOL_LENGTHS, "force"):
        if key not in table:
            r.report_missing(("tool",), key, f"give {key} = …")
        elif key == "force":
            found[key] = r.number(("tool", key), table[key], 0, 1e6, above=0)
        else:
            found[key] = r.length(("tool", key), table[key])
    if "accel" in table:
        found["accel"] = r.number(("tool", "accel"), table["accel"], 0, 1e6, above=0, unit="mm")
    if len(found) < 5 or None in found.values():
        return None
    return Tools(**{key: v for key, v in found.items() if v is not None})


def read_cutters(r: ValueReader) -> tuple[Cutter, ...]:
    """The list [[cutter]]; empty without one."""
    if "cutter" not in r.tree.values:
        return ()
    found = [_read_cutter(r, place, table) for place, table in r.tables("cutter", MAX_CUTTERS)]
    return tuple(c for c in found if c is not None)


def _read_cutter(r: ValueReader, place: KeyPath, table: dict[str, Any]) -> Cutter | None:
    r.check_keys(place, table, CUTTER_KEYS)
    if "kind" not in table:
        r.report_missing(place, "kind", "one of " + ", ".join(CUTTER_KINDS))
        return None
    kind = r.choice((*place, "kind"), table["kind"], CUTTER_KINDS)
    if kind is None:
        return None
    needed = ("diameter", "overhang") if kind in ROUND_KINDS else ("width", "overhang")
    for key in needed:
        if key not in table:
            r.report_missing(place, key, f"a tool of the kind {kind} needs {' and '.join(needed)}")
    sizes = {key: r.length((*place, key), table[key]) for key in CUTTER_KEYS[1:] if key in table}
    if None in sizes.values() or any(key not in sizes for key in needed):
        return None
    across = sizes[needed[0]] or 0.0
    width, shank = sizes.get("width") or across, sizes.get("shank") or across
    return Cutter(kind, width, shank, sizes["overhang"] or 0.0, sizes.get("diameter") or 0.0, sizes.get("depth") or 0.0)


def read_times(r: ValueReader, power: bool) -> OperationTimes | None:
    """[time]; None where the file has none or after an error. power: the chuck is closed by a cylinder."""
    table = r.table("time")
    if table is None:
        return None
    r.check_keys(("time",), table, (*TIME_KEYS, "chuck_change"))
    found: dict[str, float] = {}
    for key in TIME_KEYS:
        if key not in table:
            r.report_missing(("time",), key, f"give {key} = …")
    for key in (*TIME_KEYS, "chuck_change"):
        if key in table:
            at = ("time", key)
            value = r.whole_number(at, table[key], 1, MAX_BATCH) if key == "batch" else r.number(at, table[key], 0, 1e6)
            if value is not None:
                found[key] = value
    if any(key not in found for key in TIME_KEYS):
        return None
    batch = found.pop("batch")
    change = found.pop("chuck_change", default_chuck_change(power))
    return OperationTimes(**found, batch=int(batch), chuck_change=change)


def default_chuck_change(power: bool) -> float:
    """Minutes for another chuck, on a power chuck or one tightened by hand."""
    return CHUCK_CHANGE_MIN if power else HAND_CHUCK_CHANGE_MIN


def read_ways(r: ValueReader) -> dict[str, WayMinutes]:
    """Minutes of every way: the usual ones, overruled by [way.NAME]."""
    found = dict(WAY_MINUTES)
    table = r.table("way") or {}
    r.check_keys(("way",), table, tuple(WAY_MINUTES))
    for name in WAY_MINUTES:
        if name not in table:
            continue
        place, row = ("way", name), table[name]
        if not isinstance(row, dict):
            r.add_finding(place, TABLE_NOT_TABLE.at(key=f"way.{name}"))
            continue
        r.check_keys(place, row, WAY_KEYS)
        given = {key: r.number((*place, key), row[key], 0, 1e6) for key in WAY_KEYS if key in row}
        found[name] = found[name]._replace(**{key: v for key, v in given.items() if v is not None})
    return found


def read_cutting(r: ValueReader) -> dict[str, CuttingData]:
    """Cutting data by material: the usual ones, overruled by [cut.MATERIAL]; speeds in m/min, or in ft/min."""
    found = dict(CUTTING_DATA)
    table = r.table("cut") or {}
    for name, row in table.items():
        place, key = ("cut", name), material_key(name)
        if not isinstance(row, dict):
            r.add_finding(place, TABLE_NOT_TABLE.at(key=f"cut.{name}"))
            continue
        r.check_keys(place, row, CUT_KEYS)
        given = {k: _read_cut_value(r, (*place, k), row[k]) for k in CUT_KEYS if k in row}
        values = {k: v for k, v in given.items() if v is not None}
        lacking = ", ".join(k for k in CUT_KEYS if k not in given)
        if key in found:
            found[key] = found[key]._replace(**values)
        elif lacking:
            r.add_finding(place, messages.MACHINE_NO_CUTTING_DATA.at(material=name, keys=lacking))
        elif len(values) == len(CUT_KEYS):
            found[key] = CuttingData(**values)
    return found


def _read_cut_value(r: ValueReader, place: KeyPath, value: Any) -> float | None:
    """A figure of the cutting data, in the units of the house."""
    key = place[-1]
    if key in CUT_SPEEDS:
        speed = r.number(place, value, 0, 1e5, above=0)
        return None if speed is None else speed * (M_PER_FT if r.mm_per_unit != 1 else 1.0)
    return r.number(place, value, 0, 1e5, above=0, unit="mm" if key in CUT_LENGTHS else "")
