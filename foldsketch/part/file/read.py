"""Read a part file: every fault with its line, what was expected and the nearest known word; nothing is guessed."""

from __future__ import annotations

from pathlib import Path

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.units import MM_PER_UNIT
from foldsketch.part.file.axes import read_axes
from foldsketch.part.file.blank import read_blank
from foldsketch.part.file.features import read_features
from foldsketch.part.file.reader import ValueReader, did_you_mean, format_value
from foldsketch.part.file.text import FileFormat, load_text, parse_text
from foldsketch.part.material import DENSITY_KG_PER_M3, material_key
from foldsketch.part.model import Part

MAX_FEATURES = 200
MAX_AXES = 64
MAX_REPORTED_FAULTS = 100
PART_FILE_KEYS = ("name", "units", "material", "density", "blank", "axis", "feature")


def read_part(path: Path | str) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, with notes. Raises FoldsketchError with every fault found."""
    text, kind = load_text(Path(path))
    return parse_part(text, kind, Path(path).name)


def parse_part(text: str, kind: FileFormat, source: str) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file's text, with notes. Raises FoldsketchError with every fault found."""
    r = ValueReader(parse_text(text, kind, source), source)
    values = r.tree.values
    r.keys((), values, PART_FILE_KEYS)
    name = r.name(("name",), values["name"]) if "name" in values else None
    if "name" not in values:
        r.missing((), "name", 'write name = "…" at the top')
    units = values.get("units")
    cure = 'write units = "mm" or units = "in" at the top; it is never guessed'
    if units is None:
        r.missing((), "units", cure)
    elif units not in ("mm", "in"):
        r.fault(("units",), f'units = {format_value(units)}: expected "mm" or "in"', cure)
    else:
        r.mm = MM_PER_UNIT[units]
    material = ""
    if "material" in values:
        material = r.name(("material",), values["material"]) or ""
    density = None
    if "density" in values:
        density = r.number(("density",), values["density"], 1.0, 30000.0)
    elif material:
        density = DENSITY_KG_PER_M3.get(material_key(material))
        if density is None:
            cure = "add density = … (kg/m3); " + did_you_mean(material, tuple(DENSITY_KG_PER_M3))
            r.note(
                "note",
                ("material",),
                f"no density is known for {format_value(material)}: mass figures will be missing",
                cure,
            )
    axes, named = read_axes(r, r.tables("axis", MAX_AXES))
    features = read_features(r, r.tables("feature", MAX_FEATURES), named)
    blank = read_blank(r, axes, features)
    faults = r.faults
    if len(faults) > MAX_REPORTED_FAULTS:
        more = f"and {len(faults) - MAX_REPORTED_FAULTS} more faults"
        raise FoldsketchError(
            (*faults[:MAX_REPORTED_FAULTS], Finding("error", source, more, "mend the first ones first"))
        )
    if faults or name is None or units not in ("mm", "in"):
        raise FoldsketchError(faults)
    return Part(name, axes, features, units, material, density, blank), tuple(r.findings)
