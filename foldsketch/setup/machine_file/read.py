"""Read a machine file: every error with its line, nothing guessed; what is left out takes a default that is listed."""

from __future__ import annotations

from math import pi
from pathlib import Path
from typing import Any

from foldsketch.base.findings import FoldsketchError, Quantity
from foldsketch.base.units import MM_PER_UNIT
from foldsketch.part.file.value_reader import ValueReader
from foldsketch.part.file.value_tree import FileFormat, Table, load_text, parse_text
from foldsketch.part.file.wording import did_you_mean, format_value
from foldsketch.setup import messages
from foldsketch.setup.cutters import DEFAULT_CUTTERS
from foldsketch.setup.machine import MACHINE_DEFAULTS, OFF_CENTRE_DEFAULTS, Machine
from foldsketch.setup.machine_file.spindles import read_spindle
from foldsketch.setup.machine_file.tables import (
    default_chuck_change,
    max_offsets,
    read_cutters,
    read_cutting,
    read_holding,
    read_times,
    read_tools,
    read_ways,
)
from foldsketch.setup.spindle import Default, Spindle

DEFAULT_GRADE_MM_PER_S = 16.0
"""Balance grade: strict for slow face-plate work, and speed goes with it [ISO 21940-11]."""

OPTIONAL_KEYS = ("turrets", "load_while_cutting", "driven_speed", "driven_torque", "tailstock")
MACHINE_KEYS = (
    *("name", "units", "kind", "swing", "cross_travel", "orient_step", "grade", *OPTIONAL_KEYS),
    *("spindle", "holding", "tool", "cutter", "time", "way", "cut"),
)
MAX_TURRETS = 4


def read_machine(path: Path | str) -> Machine:
    """Read a machine file.

    Parameters
    ----------
    path : str or Path
        TOML or JSON.

    Returns
    -------
    Machine
        Lengths in mm, whatever the file's unit.

    Raises
    ------
    FoldsketchError
        With every error found, each with its line.

    Examples
    --------
    >>> read_machine("samples/machines/single-spindle.toml").kind
    'single'
    """
    text, kind = load_text(Path(path))
    return parse_machine(text, kind, Path(path).name)


def parse_machine(text: str, kind: FileFormat, source: str) -> Machine:
    """The machine of a machine file's text. Raises FoldsketchError with every error found."""
    r = ValueReader(parse_text(text, kind, source), source)
    values = r.tree.values
    r.check_keys((), values, MACHINE_KEYS)
    name = _read_name(r, values)
    units = values.get("units")
    if units not in ("mm", "in"):
        r.add_finding(("units",), messages.MACHINE_UNITS.at(value=format_value(units)))
    else:
        r.mm_per_unit = MM_PER_UNIT[units]
    sort = values.get("kind")
    if sort not in ("twin", "single"):
        hint = did_you_mean(sort, ("twin", "single"))
        r.add_finding(("kind",), messages.MACHINE_KIND.at(value=format_value(sort), hint=hint))
    for key in ("swing", *(("cross_travel", "orient_step") if sort == "twin" else ())):
        if key not in values:
            r.report_missing((), key, f"give {key} = …")
    swing = r.length(("swing",), values.get("swing", 1))
    cross = r.length(("cross_travel",), values.get("cross_travel", 0), zero=True)
    step = r.number(("orient_step",), values.get("orient_step", 1), 0, 360, above=0)
    grade = r.number(("grade",), values.get("grade", DEFAULT_GRADE_MM_PER_S), 0.1, 4000)
    options = _read_options(r, values)
    holding = read_holding(r)
    spindles, used = _read_spindles(r, tuple(holding), cross or 0.0, str(sort))
    tools, cutters = read_tools(r), read_cutters(r)
    power = spindles[0].power if spindles else True
    times = read_times(r, power)
    ways, cutting = read_ways(r), read_cutting(r)
    if r.errors or None in (name, swing, cross, step, grade, tools):
        raise FoldsketchError(r.errors)
    assert name is not None and swing is not None and cross is not None and step is not None
    assert grade is not None and tools is not None
    return Machine(
        name,
        str(sort),
        swing,
        cross,
        step * pi / 180,
        grade,
        spindles,
        tools,
        max_offsets(holding),
        times,
        **options,
        driven=holding.get("driven"),
        interpolated=holding.get("interpolated"),
        cutters=cutters or DEFAULT_CUTTERS,
        way_minutes=ways,
        cutting=cutting,
        defaults=(*_top_defaults(values, holding, power), *used),
    )


def _read_name(r: ValueReader, values: Table) -> str | None:
    if "name" not in values:
        r.report_missing((), "name", 'write name = "…" at the top')
        return None
    return r.name(("name",), values["name"])


def _read_options(r: ValueReader, values: dict[str, Any]) -> dict[str, Any]:
    """What the file says of turrets, loading, driven tools and tailstock."""
    found: dict[str, Any] = {}
    for key in OPTIONAL_KEYS:
        if key not in values:
            continue
        if key in ("load_while_cutting", "tailstock"):
            found[key] = r.flag((key,), values[key])
        elif key == "turrets":
            found[key] = r.whole_number((key,), values[key], 1, MAX_TURRETS)
        else:
            found[key] = r.number((key,), values[key], 0, 1e6, above=0)
    return found


def _read_spindles(
    r: ValueReader, ways: tuple[str, ...], cross_travel: float, sort: str
) -> tuple[tuple[Spindle, ...], tuple[Default, ...]]:
    found = [read_spindle(r, place, table, ways, cross_travel) for place, table in r.tables("spindle", 2)]
    made = [f for f in found if f is not None]
    wanted = ["main", "sub"] if sort == "twin" else ["main"]
    if len(made) == len(found) and [s.name for s, _ in made] != wanted and not r.errors:
        r.add_finding(("spindle",), messages.MACHINE_SPINDLES.at(kind=sort, names=" and ".join(wanted)))
    return tuple(s for s, _ in made), tuple(d for _, used in made for d in used)


def _top_defaults(values: dict[str, Any], holding: dict[str, float], power: bool) -> tuple[Default, ...]:
    """The defaults used outside the spindles; a table that is given in part keeps the usual figures for the rest."""
    asked = [Default("", "grade", Quantity(DEFAULT_GRADE_MM_PER_S, "mm/s", 0)), *MACHINE_DEFAULTS]
    asked += [d for way, defaults in OFF_CENTRE_DEFAULTS.items() if way in holding for d in defaults]
    tables = {"accel": values.get("tool", {}), "chuck_change": values.get("time", {"chuck_change": 0})}
    change = Quantity(default_chuck_change(power), "min", 0)
    left_out = [d for d in asked if d.key not in tables.get(d.key, values)]
    return tuple(d._replace(value=change) if d.key == "chuck_change" else d for d in left_out)
