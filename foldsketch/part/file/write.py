"""Write a part as a part file: TOML that reads back to the same part, for people to edit."""

from __future__ import annotations

import json
from math import degrees, pi

from foldsketch.base.units import MM_PER_UNIT, format_number
from foldsketch.part.model import Axis, Blank, Cone, Cylinder, Feature, FeatureShape, Part, Plate, PrismShape, Ring


def part_to_toml(part: Part, comment: str = "") -> str:
    """The text of a part file that `read_part` reads back.

    Parameters
    ----------
    part : Part
        Its lengths are written in ``part.units``.
    comment : str, optional
        Lines for the head of the file.

    Returns
    -------
    str
        TOML.

    Examples
    --------
    >>> from foldsketch.part.model import Axis, Cylinder, Feature
    >>> pin = Part("Pin", (Axis("A"),), (Feature("pin", "A", Cylinder(6.0), 0.0, 20.0),))
    >>> part_to_toml(pin).splitlines()[:2]
    ['name  = "Pin"', 'units = "mm"']
    """
    unit = MM_PER_UNIT[part.units]
    lines = [f"# {row}".rstrip() for row in comment.splitlines()]
    if lines:
        lines.append("")
    lines += [f"name  = {_toml_string(part.name)}", f"units = {_toml_string(part.units)}"]
    if part.material:
        lines.append(f"material = {_toml_string(part.material)}")
    if part.density is not None:
        lines.append(f"density = {_toml_number(part.density)}")
    if part.blank is not None:
        lines += ["", *_blank_rows(part.blank, unit)]
    for a in part.axes:
        lines += ["", *_axis_rows(a, unit)]
    for f in part.features:
        lines += ["", *_feature_rows(f, unit)]
    return "\n".join(lines) + "\n"


def _toml_number(value: float) -> str:
    return format_number(value, 9)


def _toml_string(value: str) -> str:
    """A string as JSON has it; TOML accepts the same but for the character DEL."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _toml_list(values: tuple[float, ...], unit: float = 1.0) -> str:
    return "[" + ", ".join(_toml_number(v / unit) for v in values) + "]"


def _blank_rows(blank: Blank, unit: float) -> list[str]:
    rows = ["[blank]", f"kind = {_toml_string(blank.kind)}"]
    sizes = (("diameter", blank.diameter), ("length", blank.length))
    rows += [_size_row(key, mm, unit) for key, mm in sizes if mm is not None]
    for key, names in (("faces", blank.faces), ("cores", blank.cores)):
        if names is not None:
            rows.append(f"{key} = [{', '.join(_toml_string(n) for n in names)}]")
    return rows


def _axis_rows(a: Axis, unit: float) -> list[str]:
    rows = ["[[axis]]", f"name = {_toml_string(a.name)}"]
    if a.direction == (0.0, 0.0, 1.0) and a.point[2] == 0.0:
        return [*rows, f"at = {_toml_list(a.point[:2], unit)}"]
    # Directions keep all their digits: rounded to nine decimals they would be 1e-6 mm off at the end of a metre.
    direction = "[" + ", ".join(repr(v + 0.0) for v in a.direction) + "]"
    return [*rows, f"point = {_toml_list(a.point, unit)}", f"direction = {direction}"]


def _feature_rows(f: Feature, unit: float) -> list[str]:
    rows = [
        "[[feature]]",
        f"name = {_toml_string(f.name)}",
        f"axis = {_toml_string(f.axis)}",
        *_shape_rows(f.shape, unit),
    ]
    rows += [_size_row("start", f.start, unit), _size_row("end", f.end, unit)]
    if f.cut:
        rows.append("cut = true")
    if f.sides is not None:
        rows.append(f"sides = {f.sides}")
    if f.stock:
        rows.append(_size_row("stock", f.stock, unit))
    if f.finish:
        rows.append(f"finish = {_toml_string(f.finish)}")
    if f.note:
        rows.append(f"note = {_toml_string(f.note)}")
    if f.location is not None:
        rows.append(_size_row("location", f.location, unit))
    if f.roundness is not None:
        rows.append(_size_row("round", f.roundness, unit))
    if not f.together:
        rows.append("together = false")
    if f.turned:
        rows.append("turned = true")
    return rows


def _size_row(key: str, mm: float, unit: float) -> str:
    return f"{key} = {_toml_number(mm / unit)}"


def _shape_rows(shape: FeatureShape, unit: float) -> list[str]:
    match shape:
        case Cylinder(d):
            return ['shape = "cylinder"', _size_row("diameter", d, unit)]
        case Cone(a, b):
            return ['shape = "cone"', _size_row("start_diameter", a, unit), _size_row("end_diameter", b, unit)]
        case Ring(d, bore):
            return ['shape = "ring"', _size_row("diameter", d, unit), _size_row("bore", bore, unit)]
        case PrismShape(n, across, turn):
            folded = turn % (2 * pi / n)
            turned = [f"turn = {degrees(turn)!r}"] if min(folded, 2 * pi / n - folded) > 1e-12 else []
            return ['shape = "prism"', f"sides = {n}", _size_row("across_flats", across, unit), *turned]
        case Plate(outline, hull):
            points = ", ".join(_toml_list(p, unit) for p in outline or hull)
            return ['shape = "plate"', f"{'outline' if outline else 'hull'} = [{points}]"]
