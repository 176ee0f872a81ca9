"""A part as a part file: TOML that reads back to the same part, written for people to edit."""

from __future__ import annotations

from math import degrees, pi

from foldsketch.base.units import MM_PER
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring, Shape


def part_to_toml(part: Part, comment: str = "") -> str:
    """The text of a part file, in the part's own units. comment: lines for the head of the file."""
    unit = MM_PER[part.units]
    lines = [f"# {row}".rstrip() for row in comment.splitlines()]
    if lines:
        lines.append("")
    lines += [f"name  = {_text(part.name)}", f"units = {_text(part.units)}"]
    if part.material:
        lines.append(f"material = {_text(part.material)}")
    if part.density is not None:
        lines.append(f"density = {_number(part.density)}")
    for a in part.axes:
        lines += ["", *_axis(a, unit)]
    for f in part.features:
        lines += ["", *_feature(f, unit)]
    return "\n".join(lines) + "\n"


def _number(value: float) -> str:
    """The shortest decimal that reads back to the value within a millionth of a millimetre's thousandth."""
    short = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if short in ("-0", "") else short


def _text(value: str) -> str:
    """A TOML string."""
    out = []
    for c in value:
        if c in '"\\':
            out.append("\\" + c)
        elif ord(c) < 32 or ord(c) == 127:
            out.append(f"\\u{ord(c):04x}")
        else:
            out.append(c)
    return '"' + "".join(out) + '"'


def _list(values: tuple[float, ...], unit: float = 1.0) -> str:
    return "[" + ", ".join(_number(v / unit) for v in values) + "]"


def _axis(a: Axis, unit: float) -> list[str]:
    rows = ["[[axis]]", f"name = {_text(a.name)}"]
    if a.direction == (0.0, 0.0, 1.0) and a.point[2] == 0.0:
        return [*rows, f"at = {_list(a.point[:2], unit)}"]
    # Directions keep all their digits: at a metre's length the last of nine decimals is a millionth of a millimetre.
    direction = "[" + ", ".join(repr(v + 0.0) for v in a.direction) + "]"
    return [*rows, f"point = {_list(a.point, unit)}", f"direction = {direction}"]


def _feature(f: Feature, unit: float) -> list[str]:
    rows = ["[[feature]]", f"name = {_text(f.name)}", f"axis = {_text(f.axis)}", *_shape(f.shape, unit)]
    rows += [_size("start", f.start, unit), _size("end", f.end, unit)]
    if f.cut:
        rows.append("cut = true")
    if f.sides is not None:
        rows.append(f"sides = {f.sides}")
    if f.stock:
        rows.append(_size("stock", f.stock, unit))
    if f.finish:
        rows.append(f"finish = {_text(f.finish)}")
    if f.note:
        rows.append(f"note = {_text(f.note)}")
    return rows


def _size(key: str, mm: float, unit: float) -> str:
    return f"{key} = {_number(mm / unit)}"


def _shape(shape: Shape, unit: float) -> list[str]:
    match shape:
        case Cylinder(d):
            return ['shape = "cylinder"', _size("diameter", d, unit)]
        case Cone(a, b):
            return ['shape = "cone"', _size("start_diameter", a, unit), _size("end_diameter", b, unit)]
        case Ring(d, bore):
            return ['shape = "ring"', _size("diameter", d, unit), _size("bore", bore, unit)]
        case PrismShape(n, across, turn):
            folded = turn % (2 * pi / n)
            turned = [f"turn = {degrees(turn)!r}"] if min(folded, 2 * pi / n - folded) > 1e-12 else []
            return ['shape = "prism"', f"sides = {n}", _size("across_flats", across, unit), *turned]
        case Plate(outline, hull):
            points = ", ".join(_list(p, unit) for p in outline or hull)
            return ['shape = "plate"', f"{'outline' if outline else 'hull'} = [{points}]"]
