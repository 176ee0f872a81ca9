"""Read a part file; every error is reported with its line and what was expected. Nothing is guessed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.units import MM_PER_UNIT
from foldsketch.part.file.axes import read_axes
from foldsketch.part.file.blank import read_blank
from foldsketch.part.file.features import read_features
from foldsketch.part.file.messages import AXIS_WRITTEN_TWICE, DENSITY_UNKNOWN, MORE_ERRORS
from foldsketch.part.file.same_axes import find_same_axes, move_to_axis
from foldsketch.part.file.value_reader import ValueReader
from foldsketch.part.file.value_tree import FileFormat, load_text, parse_text
from foldsketch.part.file.wording import did_you_mean, format_value
from foldsketch.part.material import DENSITY_KG_PER_M3, material_key
from foldsketch.part.model import Axis, Feature, Part, Units

UNITS: tuple[Units, ...] = ("mm", "in")
MAX_FEATURES = 200
MAX_AXES = 64
MAX_REPORTED_FAULTS = 100
PART_FILE_KEYS = ("name", "units", "material", "density", "blank", "axis", "feature")


def read_part(path: Path | str) -> tuple[Part, tuple[Finding, ...]]:
    """Read a part file.

    Parameters
    ----------
    path : str or Path
        TOML or JSON.

    Returns
    -------
    part : Part
        Lengths in mm, whatever the file's unit.
    findings : tuple of Finding
        Notes about the file.

    Raises
    ------
    FoldsketchError
        With every error found, each with its line.

    Examples
    --------
    >>> read_part("samples/eccentric-shaft.toml")
    (<Part 'Eccentric shaft': 3 features on axes A, B>, ())
    """
    text, file_format = load_text(Path(path))
    return parse_part(text, file_format, Path(path).name)


def parse_part(text: str, file_format: FileFormat, source: str) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file's text, with notes. Raises FoldsketchError with every error found.

    source: name of the file, for the errors.
    """
    r = ValueReader(parse_text(text, file_format, source), source)
    values = r.tree.values
    r.check_keys((), values, PART_FILE_KEYS)
    name = r.name(("name",), values.get("name"))
    units = _read_units(r, values)
    material = (r.name(("material",), values["material"]) or "") if "material" in values else ""
    density = _read_density(r, values, material)
    axes, axis_names = read_axes(r, r.tables("axis", MAX_AXES))
    features = read_features(r, r.tables("feature", MAX_FEATURES), axis_names)
    blank = read_blank(r, axes, features)
    errors = r.errors
    if len(errors) > MAX_REPORTED_FAULTS:
        more = MORE_ERRORS.at(source, count=len(errors) - MAX_REPORTED_FAULTS)
        raise FoldsketchError((*errors[:MAX_REPORTED_FAULTS], more))
    if errors or name is None or units is None:
        raise FoldsketchError(errors)
    axes, features = _merge_same_axes(r, axes, features)
    return Part(name, axes, features, units, material, density, blank), tuple(r.findings)


def _merge_same_axes(
    r: ValueReader, axes: tuple[Axis, ...], features: tuple[Feature, ...]
) -> tuple[tuple[Axis, ...], tuple[Feature, ...]]:
    """Axes without those that were written twice, and the features of these on the axes that are left."""
    same = find_same_axes(axes)
    by_name = {a.name: a for a in axes}
    for k, a in enumerate(axes):
        if a.name in same:
            r.add_finding(("axis", k), AXIS_WRITTEN_TWICE.at(other=same[a.name].name))
    moved = (move_to_axis(f, by_name[f.axis], same[f.axis]) if f.axis in same else f for f in features)
    return tuple(a for a in axes if a.name not in same), tuple(moved)


def _read_units(r: ValueReader, values: dict[str, Any]) -> Units | None:
    """The units of the file, which the reader uses for all lengths from now on."""
    advice = 'write units = "mm" or units = "in" at the top; they are never guessed'
    if values.get("units") is None:
        r.report_missing((), "units", advice)
        return None
    units = r.choice(("units",), values["units"], UNITS, advice)
    r.mm_per_unit = MM_PER_UNIT[units] if units else 1.0
    return units


def _read_density(r: ValueReader, values: dict[str, Any], material: str) -> float | None:
    """The density given, or that of the material, kg/m3."""
    if "density" in values:
        return r.number(("density",), values["density"], 1.0, 30000.0)
    density = DENSITY_KG_PER_M3.get(material_key(material))
    if material and density is None:
        advice = did_you_mean(material, tuple(DENSITY_KG_PER_M3))
        r.add_finding(("material",), DENSITY_UNKNOWN.at(given=format_value(material), advice=advice))
    return density
