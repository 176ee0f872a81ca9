"""Read the features of a part file: shape and sizes, extent along the axis, and what is optional."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians

from foldsketch.base.findings import Finding, mm
from foldsketch.geometry.polygon_loops import signed_area
from foldsketch.part.file import messages
from foldsketch.part.file.line_numbers import KeyPath
from foldsketch.part.file.outline import hull_fault, outline_fault
from foldsketch.part.file.value_reader import MIN_LENGTH_MM, ValueReader
from foldsketch.part.file.value_tree import Table
from foldsketch.part.file.wording import did_you_mean, format_value, normalize_name
from foldsketch.part.model import Cone, Cylinder, Feature, FeatureShape, Finish, Plate, PrismShape, Ring

COMMON_KEYS = (
    *("name", "axis", "shape", "start", "end", "length", "cut", "sides", "stock", "finish", "note"),
    *("location", "round", "together", "turned"),
)
SIZE_KEYS: dict[str, tuple[str, ...]] = {
    "cylinder": ("diameter",),
    "cone": ("start_diameter", "end_diameter"),
    "ring": ("diameter", "bore"),
    "prism": ("across_flats", "across_corners", "turn"),
    "plate": ("outline", "hull"),
}
FINISHES: tuple[Finish, ...] = ("cast", "machined")
MAX_CORNERS = 500
MAX_NOTE_CHARACTERS = 500
MIN_SIDES, MAX_SIDES = 3, 120
"""Bounds for the sides of a prism on paper; 6 to 24 are folded with ease."""


def read_features(r: ValueReader, tables: list[tuple[KeyPath, Table]], axes: tuple[str, ...]) -> tuple[Feature, ...]:
    """The features that could be read. Errors go to the reader. axes: names of all axes that were written."""
    made: dict[str, Feature] = {}
    names: set[str] = set()
    for place, table in tables:
        feature = _read_feature(r, place, table, axes)
        name = table.get("name")
        if isinstance(name, str):
            name = normalize_name(name)
            if name in names:
                r.add_finding((*place, "name"), messages.NAME_TWICE.at(kind="feature", name=name))
                continue
            names.add(name)
        if feature is not None:
            made[feature.name] = feature
    if made and all(f.cut for f in made.values()) and len(made) == len(tables):
        r.add_finding(("feature",), messages.NO_MATERIAL.at())
    return tuple(made.values())


def _read_feature(r: ValueReader, place: KeyPath, table: Table, axes: tuple[str, ...]) -> Feature | None:
    before = len(r.errors)
    name = r.name((*place, "name"), table.get("name"))
    axis = _read_axis_name(r, place, table, axes)
    kind = _read_kind(r, place, table)
    if kind is None:
        return None
    r.check_keys(place, table, SIZE_KEYS[kind] + COMMON_KEYS, _sizes_of_other_shapes(table, kind))
    shape = SHAPE_READERS[kind](r, place, table)
    extent = _read_extent(r, place, table)
    cut = r.flag((*place, "cut"), table.get("cut", False))
    sides = None
    if "sides" in table and kind != "prism":
        sides = r.whole_number((*place, "sides"), table["sides"], MIN_SIDES, MAX_SIDES)
    stock = r.length((*place, "stock"), table.get("stock", 0), zero=True)
    finish = r.choice((*place, "finish"), table["finish"], FINISHES) if "finish" in table else None
    location, roundness = (r.length((*place, k), table[k]) if k in table else None for k in ("location", "round"))
    together, turned = (
        r.flag((*place, k), table.get(k, default)) for k, default in (("together", True), ("turned", False))
    )
    note = r.printable_text((*place, "note"), table.get("note", ""), MAX_NOTE_CHARACTERS, "\n\t")
    if len(r.errors) > before or name is None or shape is None or extent is None or stock is None or note is None:
        return None
    made = Feature(name, axis, shape, *extent, cut, sides, stock, finish, note)
    return replace(made, location=location, roundness=roundness, together=together, turned=turned)


def _sizes_of_other_shapes(table: Table, kind: str) -> dict[str, Finding]:
    """What to report for every key of a table that is a size of other shapes only."""
    found = {}
    for key in table.keys() - {*SIZE_KEYS[kind], *COMMON_KEYS}:
        if owners := [k for k in SIZE_KEYS if key in SIZE_KEYS[k]]:
            found[key] = messages.KEY_OF_OTHER_SHAPE.at(shape=kind, key=key, owners=" or ".join(owners))
    return found


def _read_axis_name(r: ValueReader, place: KeyPath, table: Table, axes: tuple[str, ...]) -> str:
    """The name of an axis, one of those written if there are any."""
    axis = table.get("axis")
    if axis is None:
        r.report_missing(place, "axis", f"one of {', '.join(axes)}" if axes else "")
        return ""
    name = normalize_name(axis) if isinstance(axis, str) else axis
    if axes and name not in axes:
        unknown = messages.AXIS_UNKNOWN.at(key="axis", given=format_value(name), advice=did_you_mean(name, axes))
        r.add_finding((*place, "axis"), unknown)
    return str(name)


def _read_kind(r: ValueReader, place: KeyPath, table: Table) -> str | None:
    """The word for the shape."""
    if table.get("shape") is None:
        r.report_missing(place, "shape", "one of " + ", ".join(SIZE_KEYS))
        return None
    return r.choice((*place, "shape"), table["shape"], tuple(SIZE_KEYS))


def _read_extent(r: ValueReader, place: KeyPath, table: Table) -> tuple[float, float] | None:
    """Start and end along the axis, mm."""
    start = end = None
    if "start" in table:
        start = r.number((*place, "start"), table["start"], unit="mm")
    else:
        r.report_missing(place, "start", "give start and end (or length) along the axis")
    key = r.one_key_of(place, table, ("length", "end"), "give one of end and length")
    if key == "end":
        end = r.number((*place, key), table[key], unit="mm")
    elif key == "length":
        length = r.length((*place, key), table[key])
        end = None if length is None or start is None else start + length
    if start is None or end is None:
        return None
    if end <= start:
        r.add_finding((*place, "end"), messages.END_BELOW_START.at(start=mm(start, 3), end=mm(end, 3)))
    elif end - start < MIN_LENGTH_MM:
        r.add_finding(
            (*place, "end"), messages.FEATURE_TOO_SHORT.at(length=mm(end - start, 6), least=mm(MIN_LENGTH_MM, 3))
        )
    return start, end


def _read_size(r: ValueReader, place: KeyPath, table: Table, key: str, zero: bool = False) -> float | None:
    if key not in table:
        r.report_missing(place, key, f"a {table['shape']} needs {' and '.join(SIZE_KEYS[table['shape']])}")
        return None
    return r.length((*place, key), table[key], zero)


def _read_cylinder(r: ValueReader, place: KeyPath, table: Table) -> FeatureShape | None:
    diameter = _read_size(r, place, table, "diameter")
    return None if diameter is None else Cylinder(diameter)


def _read_cone(r: ValueReader, place: KeyPath, table: Table) -> FeatureShape | None:
    start, end = (_read_size(r, place, table, key, zero=True) for key in SIZE_KEYS["cone"])
    if start is None or end is None:
        return None
    if start == end == 0:
        r.add_finding(place, messages.CONE_WITHOUT_SIZE.at())
    return Cone(start, end)


def _read_ring(r: ValueReader, place: KeyPath, table: Table) -> FeatureShape | None:
    diameter, bore = (_read_size(r, place, table, key) for key in SIZE_KEYS["ring"])
    if diameter is None or bore is None:
        return None
    if diameter - bore < MIN_LENGTH_MM:
        r.add_finding((*place, "bore"), messages.RING_WITHOUT_WALL.at(bore=mm(bore, 3), diameter=mm(diameter, 3)))
    return Ring(diameter, bore)


def _read_prism(r: ValueReader, place: KeyPath, table: Table) -> FeatureShape | None:
    sides = None
    if "sides" in table:
        sides = r.whole_number((*place, "sides"), table["sides"], MIN_SIDES, MAX_SIDES)
    else:
        r.report_missing(place, "sides", "a hexagon has sides = 6")
    key = r.one_key_of(place, table, ("across_flats", "across_corners"), "give across_flats or across_corners")
    size = r.length((*place, key), table[key]) if key else None
    turn = r.number((*place, "turn"), table.get("turn", 0), -36000, 36000)
    if sides is None or size is None or turn is None:
        return None
    return PrismShape(sides, size if key == "across_flats" else size * cos(pi / sides), radians(turn))


def _read_plate(r: ValueReader, place: KeyPath, table: Table) -> FeatureShape | None:
    key = r.one_key_of(place, table, ("outline", "hull"), "give one: outline = [[x, y], …] or hull = [[x, y, r], …]")
    if key is None:
        return None
    rows = r.rows((*place, key), table[key], 2 if key == "outline" else 3, MAX_CORNERS)
    if rows is None:
        return None
    if key == "hull":
        circles = tuple((x, y, radius) for x, y, radius in rows)
        fault = hull_fault(circles)
        plate = Plate(hull=circles)
    else:
        corners = [(x, y) for x, y in rows]
        if len(corners) > 1 and corners[0] == corners[-1]:
            corners.pop()
        fault = outline_fault(corners)
        plate = Plate(outline=tuple(corners if signed_area(corners) > 0 else corners[::-1]))
    if fault is not None:
        r.add_finding((*place, key), fault)
    return plate


SHAPE_READERS = {
    "cylinder": _read_cylinder,
    "cone": _read_cone,
    "ring": _read_ring,
    "prism": _read_prism,
    "plate": _read_plate,
}
"""The function that reads each shape: reader, place and table to the shape, None after an error."""
