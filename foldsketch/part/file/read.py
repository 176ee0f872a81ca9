"""Read a part file: every fault with its line, what was expected and the nearest known word; nothing is guessed."""

from __future__ import annotations

from pathlib import Path

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.units import MM_PER
from foldsketch.part.file.axes import read_axes
from foldsketch.part.file.features import read_features
from foldsketch.part.file.reader import Reader, nearest, show
from foldsketch.part.file.text import Kind, load, parse
from foldsketch.part.material import DENSITY
from foldsketch.part.model import Part

MOST_FEATURES = 200
MOST_AXES = 64
MOST_TOLD = 100
TOP = ("name", "units", "material", "density", "axis", "feature")


def read_part(path: Path | str) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file, with notes. Raises FoldsketchError with every fault found."""
    text, kind = load(Path(path))
    return parse_part(text, kind, Path(path).name)


def parse_part(text: str, kind: Kind, source: str) -> tuple[Part, tuple[Finding, ...]]:
    """The part of a part file's text, with notes. Raises FoldsketchError with every fault found."""
    r = Reader(parse(text, kind, source), source)
    values = r.tree.values
    r.keys((), values, TOP)
    name = r.name(("name",), values["name"]) if "name" in values else None
    if "name" not in values:
        r.missing((), "name", 'write name = "…" at the top')
    units = values.get("units")
    cure = 'write units = "mm" or units = "in" at the top; it is never guessed'
    if units is None:
        r.missing((), "units", cure)
    elif units not in ("mm", "in"):
        r.fault(("units",), f'units = {show(units)}: expected "mm" or "in"', cure)
    else:
        r.mm = MM_PER[units]
    material = ""
    if "material" in values:
        material = r.name(("material",), values["material"]) or ""
    density = None
    if "density" in values:
        density = r.number(("density",), values["density"], 1.0, 30000.0)
    elif material:
        density = DENSITY.get(" ".join(material.lower().split()))
        if density is None:
            cure = "add density = … (kg/m3); " + nearest(material, tuple(DENSITY))
            r.note(
                "note", ("material",), f"no density is known for {show(material)}: mass figures will be missing", cure
            )
    axes, named = read_axes(r, r.tables("axis", MOST_AXES))
    features = read_features(r, r.tables("feature", MOST_FEATURES), named)
    faults = r.faults
    if len(faults) > MOST_TOLD:
        more = f"and {len(faults) - MOST_TOLD} more faults"
        raise FoldsketchError((*faults[:MOST_TOLD], Finding("error", source, more, "mend the first ones first")))
    if faults or name is None or units not in ("mm", "in"):
        raise FoldsketchError(faults)
    return Part(name, axes, features, units, material, density), tuple(r.findings)
