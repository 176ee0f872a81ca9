"""Read the axes of a part file: by x and y, by offset and angle from another axis, or as any line in space."""

from __future__ import annotations

from math import cos, hypot, radians, sin
from typing import NamedTuple

from foldsketch.base.lettering import look_alike
from foldsketch.part.file import messages
from foldsketch.part.file.line_numbers import KeyPath
from foldsketch.part.file.same_axes import straighten_direction
from foldsketch.part.file.value_reader import ValueReader
from foldsketch.part.file.value_tree import Table
from foldsketch.part.file.wording import character_names, did_you_mean, format_value, normalize_name
from foldsketch.part.model import Axis, Vec3

AXIS_KEYS = ("name", "at", "offset", "angle", "from", "point", "direction")

PARTNER_KEYS: dict[str, tuple[str, ...]] = {"at": (), "offset": ("angle", "from"), "point": ("direction",)}
"""For every key that gives the place of an axis, the keys that may be beside it."""


class PolarAxis(NamedTuple):
    """An axis at an offset, mm, and an angle, radians, from the axis named origin. place: of its table."""

    place: KeyPath
    offset: float
    angle: float
    origin: str


def read_axes(r: ValueReader, tables: list[tuple[KeyPath, Table]]) -> tuple[tuple[Axis, ...], tuple[str, ...]]:
    """The axes that could be read, and the names of all that were written. Errors go to the reader."""
    named = _tables_by_name(r, tables)
    first = next(iter(named), None)
    made: dict[str, Axis] = {}
    polar: dict[str, PolarAxis] = {}
    for name, (place, table) in named.items():
        form = r.one_key_of(
            place, table, tuple(PARTNER_KEYS), "give at = [x, y], or offset and angle, or point and direction"
        )
        if form is None:
            continue
        for key in ("angle", "from", "direction"):
            if key in table and key not in PARTNER_KEYS[form]:
                r.add_finding(
                    (*place, key), messages.KEYS_TOGETHER.at(keys=f"{form} and {key}", advice="take one of them out")
                )
        if form == "offset":
            read = _read_polar(r, place, table, "" if name == first else first or "", tuple(named))
            if read is not None:
                polar[name] = read
            continue
        others = tuple(a.direction for a in made.values())
        axis = _read_upright(r, name, place, table) if form == "at" else _read_line(r, name, place, table, others)
        if axis is not None:
            made[name] = axis
    _place_polar_axes(r, made, polar)
    return tuple(made[n] for n in named if n in made), tuple(named)


def _tables_by_name(r: ValueReader, tables: list[tuple[KeyPath, Table]]) -> dict[str, tuple[KeyPath, Table]]:
    """The tables of axes with a name of their own, by that name."""
    named: dict[str, tuple[KeyPath, Table]] = {}
    for place, table in tables:
        r.check_keys(place, table, AXIS_KEYS)
        name = r.name((*place, "name"), table.get("name"))
        if name in named:
            r.add_finding((*place, "name"), messages.NAME_TWICE.at(kind="axis", name=name))
        elif name is not None:
            twin = next((other for other in named if look_alike(name, other)), None)
            if twin is not None:
                differ = character_names(twin, name)
                r.add_finding((*place, "name"), messages.NAMES_LOOK_ALIKE.at(name=name, other=twin, characters=differ))
            named[name] = (place, table)
    return named


def _read_upright(r: ValueReader, name: str, place: KeyPath, table: Table) -> Axis | None:
    at = r.numbers((*place, "at"), table["at"], 2, "mm")
    return Axis(name, (at[0], at[1], 0.0)) if at else None


def _read_line(r: ValueReader, name: str, place: KeyPath, table: Table, others: tuple[Vec3, ...]) -> Axis | None:
    """An axis by a point and a direction. others: directions of the axes before it."""
    point = r.numbers((*place, "point"), table["point"], 3, "mm")
    if "direction" not in table:
        r.report_missing(place, "direction", "give direction = [x, y, z] beside point")
        return None
    direction = r.numbers((*place, "direction"), table["direction"], 3)
    if point is None or direction is None:
        return None
    size = hypot(*direction)
    if size < 1e-9:
        r.add_finding((*place, "direction"), messages.DIRECTION_ZERO.at(given=format_value(table["direction"])))
        return None
    x, y, z = (v / size for v in direction)
    return Axis(name, (point[0], point[1], point[2]), straighten_direction((x, y, z), others))


def _read_polar(r: ValueReader, place: KeyPath, table: Table, default: str, names: tuple[str, ...]) -> PolarAxis | None:
    """Offset, angle and origin of an axis. default: the origin if none is given, nothing for the first axis."""
    offset = r.number((*place, "offset"), table["offset"], 0.0, 1e5, unit="mm")
    angle = None
    if "angle" in table:
        angle = r.number((*place, "angle"), table["angle"], -36000, 36000)
    else:
        r.report_missing(place, "angle", "give angle = degrees anticlockwise from +x beside offset")
    origin = table.get("from", default)
    origin = normalize_name(origin) if isinstance(origin, str) else origin
    if origin == "" and "from" not in table:
        r.add_finding((*place, "offset"), messages.FIRST_AXIS_OFFSET.at())
    elif not isinstance(origin, str) or origin not in names:
        unknown = messages.AXIS_UNKNOWN.at(key="from", given=format_value(origin), advice=did_you_mean(origin, names))
        r.add_finding((*place, "from"), unknown)
    elif offset is not None and angle is not None:
        return PolarAxis(place, offset, radians(angle), origin)
    return None


def _place_polar_axes(r: ValueReader, made: dict[str, Axis], polar: dict[str, PolarAxis]) -> None:
    """Add the axes given by offset and angle, each after the axis that it is measured from."""
    waiting = dict(polar)
    while ready := [name for name, p in waiting.items() if p.origin in made]:
        for name in ready:
            p = waiting.pop(name)
            base = made[p.origin]
            if base.along_z:
                x, y = (_round_sine(v) * p.offset for v in (cos(p.angle), sin(p.angle)))
                made[name] = Axis(name, (base.point[0] + x, base.point[1] + y, 0.0))
            else:
                r.add_finding((*p.place, "from"), messages.AXIS_NOT_ALONG_Z.at(axis=p.origin))
    _report_circular_references(r, waiting)


def _report_circular_references(r: ValueReader, waiting: dict[str, PolarAxis]) -> None:
    """Report axes that are measured from themselves in a circle, and not those that are measured from a faulty one."""
    for name, p in waiting.items():
        seen, origin = [name], p.origin
        while origin in waiting and origin not in seen:
            seen.append(origin)
            origin = waiting[origin].origin
        if origin == name:
            way = " from ".join(f"'{n}'" for n in (*seen, name))
            r.add_finding((*p.place, "from"), messages.AXES_CIRCULAR.at(way=way))


def _round_sine(value: float) -> float:
    """A sine or cosine, exact for right angles."""
    return round(value) + 0.0 if abs(value - round(value)) < 1e-15 else value
