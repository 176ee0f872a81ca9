"""Read the axes of a part file: cartesian, polar from another axis, or any line in space."""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from typing import Any

from foldsketch.part.file.lines import KeyPath
from foldsketch.part.file.reader import ValueReader, did_you_mean, format_value, normalize_name
from foldsketch.part.model import Axis, Vec3

AXIS_KEYS = ("name", "at", "offset", "angle", "from", "point", "direction")


def read_axes(r: ValueReader, tables: list[tuple[KeyPath, dict[str, Any]]]) -> tuple[tuple[Axis, ...], tuple[str, ...]]:
    """The axes that could be read, and the names of all that were written; faults go to the reader."""
    names: dict[str, int] = {}
    for k, (place, table) in enumerate(tables):
        r.keys(place, table, AXIS_KEYS)
        name = r.name((*place, "name"), table.get("name"))
        if name is None:
            continue
        if name in names:
            r.fault((*place, "name"), f"a second axis named '{name}'", "give each axis its own letter")
            continue
        names[name] = k
    made: dict[str, Axis] = {}
    waiting: list[tuple[str, KeyPath, dict[str, Any]]] = []
    first = next(iter(names), None)
    for name, k in names.items():
        place, table = tables[k]
        forms = [f for f in ("at", "offset", "point") if f in table]
        if len(forms) != 1:
            what = f"gives its place in {len(forms)} ways: {' and '.join(forms)}" if forms else "has no place"
            r.fault(place, f"the axis {what}", "give at = [x, y], or offset and angle, or point and direction")
        elif forms == ["at"]:
            _reject_keys(r, place, table, ("angle", "from", "direction"))
            xy = r.numbers((*place, "at"), table["at"], 2, r.mm)
            if xy:
                made[name] = Axis(name, (xy[0], xy[1], 0.0))
        elif forms == ["point"]:
            _reject_keys(r, place, table, ("angle", "from"))
            axis = _read_line(r, name, place, table)
            if axis:
                made[name] = axis
        else:
            _reject_keys(r, place, table, ("direction",))
            waiting.append((name, place, table))
    _place_polar_axes(r, made, waiting, first, names)
    return tuple(made[n] for n in names if n in made), tuple(names)


def _reject_keys(r: ValueReader, place: KeyPath, table: dict[str, Any], others: tuple[str, ...]) -> None:
    for key in others:
        if key in table:
            r.fault((*place, key), f"'{key}' does not go with the other keys of this axis", "take it out")


def _read_line(r: ValueReader, name: str, place: KeyPath, table: dict[str, Any]) -> Axis | None:
    point = r.numbers((*place, "point"), table["point"], 3, r.mm)
    if "direction" not in table:
        r.missing(place, "direction", "give direction = [x, y, z] beside point")
        return None
    d = r.numbers((*place, "direction"), table["direction"], 3)
    if point is None or d is None:
        return None
    size = sqrt(sum(v * v for v in d))
    if size < 1e-9:
        shown = format_value(table["direction"])
        r.fault((*place, "direction"), f"direction = {shown}: expected a direction", "give [1, 0, 0] for along x")
        return None
    unit: Vec3 = (d[0] / size, d[1] / size, d[2] / size)
    return Axis(name, (point[0], point[1], point[2]), unit)


def _place_polar_axes(
    r: ValueReader,
    made: dict[str, Axis],
    waiting: list[tuple[str, KeyPath, dict[str, Any]]],
    first: str | None,
    names: dict[str, int],
) -> None:
    """Axes given by offset and angle, after the axes that they are measured from."""
    ready = []
    for name, place, table in waiting:
        offset = r.number((*place, "offset"), table["offset"], 0.0, 1e5, factor=r.mm)
        angle = r.number((*place, "angle"), table["angle"], -36000, 36000) if "angle" in table else None
        if "angle" not in table:
            r.missing(place, "angle", "give angle = degrees anticlockwise from +x beside offset")
        origin = table.get("from", first)
        origin = normalize_name(origin) if isinstance(origin, str) else origin
        if "from" not in table and name == first:
            r.fault((*place, "offset"), "the first axis has nothing to be offset from", "give at = [0, 0]")
        elif not isinstance(origin, str) or origin not in names:
            r.fault((*place, "from"), f"from = {format_value(origin)}: no such axis", did_you_mean(origin, list(names)))
        elif offset is not None and angle is not None:
            ready.append((name, place, offset, radians(angle), origin))
    while ready:
        left = []
        for name, place, offset, angle, origin in ready:
            base = made.get(origin)
            if base is None:
                left.append((name, place, offset, angle, origin))
                continue
            if not base.along_z:
                r.fault((*place, "from"), f"axis '{origin}' is not parallel to z", "give at = [x, y] instead")
                continue
            x, y = (
                base.point[0] + offset * _snap_to_integer(cos(angle)),
                base.point[1] + offset * _snap_to_integer(sin(angle)),
            )
            made[name] = Axis(name, (x, y, 0.0))
        if len(left) == len(ready):
            _report_circular_references(r, {name: (place, origin) for name, place, _, _, origin in left})
            return
        ready = left


def _report_circular_references(r: ValueReader, left: dict[str, tuple[KeyPath, str]]) -> None:
    """Axes that are measured from themselves in a circle; those that only hang on a faulty axis are left unsaid."""
    for name, (place, _) in left.items():
        seen = [name]
        while (origin := left.get(seen[-1], (None, ""))[1]) not in ("", *seen):
            seen.append(origin)
        if origin == name:
            way = " from ".join(f"'{n}'" for n in (*seen, name))
            r.fault((*place, "from"), f"the axis is measured in a circle: {way}", "give one of them at = [x, y]")


def _snap_to_integer(value: float) -> float:
    """Sines of whole right angles are whole."""
    return round(value) + 0.0 if abs(value - round(value)) < 1e-15 else value
