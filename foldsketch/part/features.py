"""Read the features of a part file: shape, sizes, extent along the axis, and what is optional."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, radians
from typing import Any

from foldsketch.part.model import Cone, Cylinder, Feature, Plate, PrismShape, Ring, Shape
from foldsketch.part.reader import Reader, nearest, show
from foldsketch.part.text import Place

COMMON = ("name", "axis", "shape", "start", "end", "length", "cut", "sides", "stock", "finish", "note")
SIZES: dict[str, tuple[str, ...]] = {
    "cylinder": ("diameter",),
    "cone": ("start_diameter", "end_diameter"),
    "ring": ("diameter", "bore"),
    "prism": ("across_flats", "across_corners", "turn"),
    "plate": ("outline", "hull"),
}
MOST_CORNERS = 500


def read_features(r: Reader, tables: list[tuple[Place, dict[str, Any]]], axes: tuple[str, ...]) -> tuple[Feature, ...]:
    """The features that could be read; faults go to the reader."""
    made: dict[str, Feature] = {}
    for place, table in tables:
        feature = _feature(r, place, table, axes)
        name = table.get("name")
        if feature is None:
            continue
        if feature.name in made:
            r.fault((*place, "name"), f"a second feature named '{name}'", "give each feature its own name")
            continue
        made[feature.name] = feature
    if made and all(f.cut for f in made.values()) and len(made) == len(tables):
        r.fault(("feature",), "every feature is a cut: there is no material", "add the material they cut")
    return tuple(made.values())


def _feature(r: Reader, place: Place, table: dict[str, Any], axes: tuple[str, ...]) -> Feature | None:
    before = len(r.findings)
    name = r.name((*place, "name"), table.get("name"))
    axis = table.get("axis")
    if not isinstance(axis, str) or axis not in axes:
        what = "axis is missing" if axis is None else f"axis = {show(axis)}: no such axis"
        r.fault((*place, "axis"), what, nearest(axis, list(axes)) if axes else "")
    kind = table.get("shape")
    if not isinstance(kind, str) or kind not in SIZES:
        what = "shape is missing" if kind is None else f"shape = {show(kind)}: unknown shape"
        r.fault((*place, "shape"), what, nearest(kind, list(SIZES)))
        return None
    r.keys(place, table, COMMON + SIZES[kind])
    shape = _shape(r, place, table, kind)
    extent = _extent(r, place, table)
    cut = _flag(r, place, table, "cut")
    sides = None
    if "sides" in table and kind != "prism":
        value = table["sides"]
        if isinstance(value, bool) or not isinstance(value, int):
            r.fault((*place, "sides"), f"sides = {show(value)}: expected a whole number")
        elif not 3 <= value <= 120:
            r.fault((*place, "sides"), f"sides = {show(value)}: expected 3 to 120", "a hand folds 6 to 24 with ease")
        else:
            sides = value
    stock = r.length((*place, "stock"), table["stock"], zero=True) if "stock" in table else 0.0
    finish = table.get("finish")
    if finish not in (None, "cast", "machined"):
        r.fault((*place, "finish"), f'finish = {show(finish)}: expected "cast" or "machined"')
    note = table.get("note", "")
    if not isinstance(note, str) or len(note) > 500:
        r.fault((*place, "note"), f"note = {show(note)}: expected a text of at most 500 characters")
    if len(r.findings) > before and any(f.level == "error" for f in r.findings[before:]):
        return None
    assert name and isinstance(axis, str) and shape and extent and stock is not None
    return Feature(name, axis, shape, *extent, cut, sides, stock, finish, note)


def _flag(r: Reader, place: Place, table: dict[str, Any], key: str) -> bool:
    value = table.get(key, False)
    if not isinstance(value, bool):
        r.fault((*place, key), f"{key} = {show(value)}: expected true or false without quotes")
        return False
    return value


def _extent(r: Reader, place: Place, table: dict[str, Any]) -> tuple[float, float] | None:
    if "start" not in table:
        r.fault(place, "start is missing", "give start and end (or length) along the axis")
        return None
    start = r.number((*place, "start"), table["start"], factor=r.mm)
    if ("end" in table) == ("length" in table):
        what = "both end and length are given" if "end" in table else "end is missing"
        r.fault((*place, "end") if "end" in table else place, what, "give one of end and length")
        return None
    if "end" in table:
        end = r.number((*place, "end"), table["end"], factor=r.mm)
    else:
        length = r.length((*place, "length"), table["length"])
        end = None if length is None or start is None else start + length
    if start is None or end is None:
        return None
    if end - start < 1e-3:
        r.fault((*place, "end"), f"end is not above start ({start:g} to {end:g} mm)", "start is the lower of the two")
        return None
    return start, end


def _size(r: Reader, place: Place, table: dict[str, Any], key: str, zero: bool = False) -> float | None:
    if key not in table:
        r.fault(place, f"{key} is missing", f"a {table['shape']} needs {' and '.join(SIZES[table['shape']])}")
        return None
    return r.length((*place, key), table[key], zero)


def _shape(r: Reader, place: Place, table: dict[str, Any], kind: str) -> Shape | None:
    if kind == "cylinder":
        d = _size(r, place, table, "diameter")
        return None if d is None else Cylinder(d)
    if kind == "cone":
        a, b = (_size(r, place, table, k, zero=True) for k in SIZES["cone"])
        if a is None or b is None:
            return None
        if a == b == 0:
            r.fault(place, "both diameters of the cone are 0", "give at least one")
            return None
        return Cone(a, b)
    if kind == "ring":
        d, bore = (_size(r, place, table, k) for k in SIZES["ring"])
        if d is None or bore is None:
            return None
        if bore >= d:
            r.fault((*place, "bore"), f"bore = {table['bore']!r}: not smaller than the diameter {table['diameter']!r}")
            return None
        return Ring(d, bore)
    return _prism(r, place, table) if kind == "prism" else _plate(r, place, table)


def _prism(r: Reader, place: Place, table: dict[str, Any]) -> Shape | None:
    n = table.get("sides")
    if isinstance(n, bool) or not isinstance(n, int) or not 3 <= n <= 120:
        r.fault((*place, "sides"), f"sides = {show(n)}: expected a whole number, 3 to 120", "a hexagon has 6")
        return None
    if ("across_flats" in table) == ("across_corners" in table):
        r.fault(place, "give one of across_flats and across_corners")
        return None
    key = "across_flats" if "across_flats" in table else "across_corners"
    size = r.length((*place, key), table[key])
    turn = r.number((*place, "turn"), table["turn"], -36000, 36000) if "turn" in table else 0.0
    if size is None or turn is None:
        return None
    return PrismShape(n, size if key == "across_flats" else size * cos(pi / n), radians(turn))


def _plate(r: Reader, place: Place, table: dict[str, Any]) -> Shape | None:
    if ("outline" in table) == ("hull" in table):
        r.fault(place, "give one of outline and hull", "outline = [[x, y], …] or hull = [[x, y, r], …]")
        return None
    key, count = ("outline", 2) if "outline" in table else ("hull", 3)
    rows = table[key]
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_CORNERS:
        r.fault((*place, key), f"{key}: expected a list of 1 to {MOST_CORNERS} entries of {count} numbers")
        return None
    found = [r.numbers((*place, key), row, count, r.mm) for row in rows]
    if any(row is None for row in found):
        return None
    points = [row for row in found if row is not None]
    if key == "hull":
        if any(p[2] < 0 for p in points):
            r.fault((*place, key), "hull: a radius is below 0", "use 0 for a sharp corner")
            return None
        circles = tuple((p[0], p[1], p[2]) for p in points)
        if _thin(circles):
            r.fault((*place, key), "hull: it encloses no area", "give radii, or three corners that make a triangle")
            return None
        return Plate(hull=circles)
    corners = [(p[0], p[1]) for p in points]
    if len(corners) > 1 and corners[0] == corners[-1]:
        corners.pop()
    fault = _outline_fault(corners)
    if fault:
        r.fault((*place, key), f"outline: {fault}", "list its corners once around, without crossing")
        return None
    return Plate(outline=tuple(corners if _area(corners) > 0 else corners[::-1]))


def _thin(circles: tuple[tuple[float, float, float], ...]) -> bool:
    if any(c[2] > 0 for c in circles):
        return False
    (x, y, _), *others = circles
    spread = [(cx - x, cy - y) for cx, cy, _ in others]
    return all(abs(a[0] * b[1] - a[1] * b[0]) < 1e-6 for a in spread for b in spread)


def _area(corners: list[tuple[float, float]]) -> float:
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)) / 2


def _outline_fault(corners: list[tuple[float, float]]) -> str:
    """Why corners make no simple polygon, or nothing."""
    n = len(corners)
    if n < 3:
        return "fewer than three corners"
    if abs(_area(corners)) < 1e-6:
        return "it encloses no area"
    edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
    for i, (p, q) in enumerate(edges):
        if hypot(q[0] - p[0], q[1] - p[1]) < 1e-3:
            return f"corners {i + 1} and {(i + 1) % n + 1} are the same"
    for i in range(n):
        a, b, c = corners[i - 1], corners[i], corners[(i + 1) % n]
        bend = atan2(
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]),
            (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]),
        )
        if abs(bend) > pi - 1e-9:
            return f"it turns back on itself at corner {i + 1}"
    for i in range(n):
        for j in range(i + 2, n):
            if (i, j) != (0, n - 1) and _cross(*edges[i], *edges[j]):
                return f"its sides {i + 1} and {j + 1} cross or touch"
    return ""


Point = tuple[float, float]


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    def between(p: Point, q: Point, r: Point) -> bool:
        return min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])

    s1, s2, s3, s4 = side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
    if (s1 > 0) != (s2 > 0) and (s3 > 0) != (s4 > 0) and 0 not in (s1, s2, s3, s4):
        return True
    on = ((s1, a, b, c), (s2, a, b, d), (s3, c, d, a), (s4, c, d, b))
    return any(abs(s) < 1e-9 and between(p, q, r) for s, p, q, r in on)
