"""Read the features of a part file: shape, sizes, extent along the axis, and what is optional."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians
from typing import Any

from foldsketch.part.file.lines import KeyPath
from foldsketch.part.file.outline import hull_fault, outline_fault, signed_area
from foldsketch.part.file.reader import (
    MIN_LENGTH_MM,
    ValueReader,
    did_you_mean,
    format_value,
    is_printable,
    normalize_name,
)
from foldsketch.part.model import Cone, Cylinder, Feature, FeatureShape, Plate, PrismShape, Ring

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
MAX_CORNERS = 500
MAX_NOTE_CHARACTERS = 500

FOREIGN_SIZE_ADVICE: dict[str, dict[str, str]] = {
    kind: {
        key: f"a {kind} has no {key}; it is a size of a " + " or ".join(k for k in SIZE_KEYS if key in SIZE_KEYS[k])
        for key in dict.fromkeys(size for sizes in SIZE_KEYS.values() for size in sizes)
        if key not in SIZE_KEYS[kind]
    }
    for kind in SIZE_KEYS
}
"""For every shape, the sizes that belong to other shapes, and what to say of them."""


def read_features(
    r: ValueReader, tables: list[tuple[KeyPath, dict[str, Any]]], axes: tuple[str, ...]
) -> tuple[Feature, ...]:
    """The features that could be read; faults go to the reader. axes: the names of all axes written."""
    made: dict[str, Feature] = {}
    names: set[str] = set()
    for place, table in tables:
        feature = _read_feature(r, place, table, axes)
        name = table.get("name")
        if isinstance(name, str) and normalize_name(name) in names:
            r.fault(
                (*place, "name"), f"a second feature named '{normalize_name(name)}'", "give each feature its own name"
            )
            continue
        if isinstance(name, str):
            names.add(normalize_name(name))
        if feature is not None:
            made[feature.name] = feature
    if made and all(f.cut for f in made.values()) and len(made) == len(tables):
        r.fault(("feature",), "every feature is a cut: there is no material", "add the material they cut")
    return tuple(made.values())


def _read_feature(r: ValueReader, place: KeyPath, table: dict[str, Any], axes: tuple[str, ...]) -> Feature | None:
    before = len(r.faults)
    name = r.name((*place, "name"), table.get("name"))
    axis = table.get("axis")
    axis = normalize_name(axis) if isinstance(axis, str) else axis
    if axis is None:
        r.missing(place, "axis", f"one of {', '.join(axes)}" if axes else "")
    elif axis not in axes and axes:
        r.fault((*place, "axis"), f"axis = {format_value(axis)}: no such axis", did_you_mean(axis, list(axes)))
    kind = table.get("shape")
    if not isinstance(kind, str) or kind not in SIZE_KEYS:
        if kind is None:
            r.missing(place, "shape", "one of " + ", ".join(SIZE_KEYS))
        else:
            r.fault(
                (*place, "shape"), f"shape = {format_value(kind)}: unknown shape", did_you_mean(kind, list(SIZE_KEYS))
            )
        return None
    r.keys(place, table, SIZE_KEYS[kind] + COMMON_KEYS, FOREIGN_SIZE_ADVICE[kind])
    shape = _read_shape(r, place, table, kind)
    extent = _read_extent(r, place, table)
    cut = _read_flag(r, place, table, "cut")
    sides = _read_sides(r, place, table) if kind != "prism" else None
    stock = r.length((*place, "stock"), table["stock"], zero=True) if "stock" in table else 0.0
    location, roundness = (r.length((*place, k), table[k]) if k in table else None for k in ("location", "round"))
    together, turned = _read_flag(r, place, table, "together", True), _read_flag(r, place, table, "turned")
    finish = table.get("finish")
    if finish not in (None, "cast", "machined"):
        r.fault((*place, "finish"), f'finish = {format_value(finish)}: expected "cast" or "machined"')
    note = table.get("note", "")
    if not isinstance(note, str) or len(note) > MAX_NOTE_CHARACTERS:
        r.fault(
            (*place, "note"),
            f"note = {format_value(note)}: expected a text of at most {MAX_NOTE_CHARACTERS} characters",
        )
    elif not is_printable(note, "\n\t"):
        r.fault(
            (*place, "note"), f"note = {format_value(note)}: holds a control character", "use letters, digits and signs"
        )
    if len(r.faults) > before or name is None or shape is None or extent is None or stock is None:
        return None
    made = Feature(name, str(axis), shape, *extent, cut, sides, stock, finish, note)
    return replace(made, location=location, roundness=roundness, together=together, turned=turned)


def _read_sides(r: ValueReader, place: KeyPath, table: dict[str, Any]) -> int | None:
    """The number of sides that stands in for the chosen one."""
    if "sides" not in table:
        return None
    value = table["sides"]
    if isinstance(value, bool) or not isinstance(value, int):
        r.fault((*place, "sides"), f"sides = {format_value(value)}: expected a whole number")
    elif not 3 <= value <= 120:
        r.fault(
            (*place, "sides"), f"sides = {format_value(value)}: expected 3 to 120", "a hand folds 6 to 24 with ease"
        )
    else:
        return value
    return None


def _read_flag(r: ValueReader, place: KeyPath, table: dict[str, Any], key: str, default: bool = False) -> bool:
    value = table.get(key, default)
    if not isinstance(value, bool):
        r.fault((*place, key), f"{key} = {format_value(value)}: expected true or false without quotes")
        return False
    return value


def _read_extent(r: ValueReader, place: KeyPath, table: dict[str, Any]) -> tuple[float, float] | None:
    if "start" not in table:
        r.missing(place, "start", "give start and end (or length) along the axis")
    start = r.number((*place, "start"), table["start"], factor=r.mm) if "start" in table else None
    if ("end" in table) == ("length" in table):
        if "end" in table:
            r.fault((*place, "end"), "both end and length are given", "give one of end and length")
        else:
            r.missing(place, "end", "give one of end and length")
        return None
    if "end" in table:
        end = r.number((*place, "end"), table["end"], factor=r.mm)
    else:
        length = r.length((*place, "length"), table["length"])
        end = None if length is None or start is None else start + length
    if start is None or end is None:
        return None
    if end - start < MIN_LENGTH_MM:
        cure = "start is the lower of the two" if end <= start else f"a length is at least {MIN_LENGTH_MM:g} mm"
        r.fault((*place, "end"), f"end is not above start ({start:g} to {end:g} mm)", cure)
        return None
    return start, end


def _read_size(r: ValueReader, place: KeyPath, table: dict[str, Any], key: str, zero: bool = False) -> float | None:
    if key not in table:
        r.missing(place, key, f"a {table['shape']} needs {' and '.join(SIZE_KEYS[table['shape']])}")
        return None
    return r.length((*place, key), table[key], zero)


def _read_shape(r: ValueReader, place: KeyPath, table: dict[str, Any], kind: str) -> FeatureShape | None:
    if kind == "cylinder":
        d = _read_size(r, place, table, "diameter")
        return None if d is None else Cylinder(d)
    if kind == "cone":
        a, b = (_read_size(r, place, table, k, zero=True) for k in SIZE_KEYS["cone"])
        if a is None or b is None:
            return None
        if a == b == 0:
            r.fault(place, "both diameters of the cone are 0", "give at least one")
            return None
        return Cone(a, b)
    if kind == "ring":
        d, bore = (_read_size(r, place, table, k) for k in SIZE_KEYS["ring"])
        if d is None or bore is None:
            return None
        if d - bore < MIN_LENGTH_MM:
            what = (
                f"bore = {format_value(table['bore'])}: not smaller than the diameter {format_value(table['diameter'])}"
            )
            r.fault((*place, "bore"), what, "the wall of a ring lies between them")
            return None
        return Ring(d, bore)
    return _read_prism(r, place, table) if kind == "prism" else _read_plate(r, place, table)


def _read_prism(r: ValueReader, place: KeyPath, table: dict[str, Any]) -> FeatureShape | None:
    n = table.get("sides")
    if isinstance(n, bool) or not isinstance(n, int) or not 3 <= n <= 120:
        if n is None:
            r.missing(place, "sides", "a hexagon has sides = 6")
        else:
            r.fault(
                (*place, "sides"), f"sides = {format_value(n)}: expected a whole number, 3 to 120", "a hexagon has 6"
            )
        return None
    if ("across_flats" in table) == ("across_corners" in table):
        if "across_flats" in table:
            r.fault((*place, "across_corners"), "both across_flats and across_corners are given", "give one of them")
        else:
            r.missing(place, "across_flats", "give across_flats or across_corners")
        return None
    key = "across_flats" if "across_flats" in table else "across_corners"
    size = r.length((*place, key), table[key])
    turn = r.number((*place, "turn"), table["turn"], -36000, 36000) if "turn" in table else 0.0
    if size is None or turn is None:
        return None
    return PrismShape(n, size if key == "across_flats" else size * cos(pi / n), radians(turn))


def _read_plate(r: ValueReader, place: KeyPath, table: dict[str, Any]) -> FeatureShape | None:
    if ("outline" in table) == ("hull" in table):
        cure = "give one: outline = [[x, y], …] or hull = [[x, y, r], …]"
        if "outline" in table:
            r.fault((*place, "hull"), "both outline and hull are given", cure)
        else:
            r.missing(place, "outline", cure)
        return None
    key, count = ("outline", 2) if "outline" in table else ("hull", 3)
    rows = table[key]
    if not isinstance(rows, list) or not 1 <= len(rows) <= MAX_CORNERS:
        r.fault((*place, key), f"{key}: expected a list of 1 to {MAX_CORNERS} entries of {count} numbers")
        return None
    found = [r.numbers((*place, key, k), row, count, r.mm) for k, row in enumerate(rows)]
    points = [row for row in found if row is not None]
    if len(points) < len(rows):
        return None
    if key == "hull":
        circles = tuple((p[0], p[1], p[2]) for p in points)
        fault, cure = hull_fault(circles)
        if fault:
            r.fault((*place, key), f"hull: {fault}", cure)
            return None
        return Plate(hull=circles)
    corners = [(p[0], p[1]) for p in points]
    if len(corners) > 1 and corners[0] == corners[-1]:
        corners.pop()
    fault = outline_fault(corners)
    if fault:
        r.fault((*place, key), f"outline: {fault}", "list its corners once around, without crossing")
        return None
    return Plate(outline=tuple(corners if signed_area(corners) > 0 else corners[::-1]))
