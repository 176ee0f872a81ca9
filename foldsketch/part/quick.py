"""The quick model: what can be left out of a part when only its axes are to be shown."""

from __future__ import annotations

from foldsketch.base.findings import Finding
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring

SMALL_BORE = 0.25
"""Bores below this share of the widest feature are left out."""

SHORT = 0.1
"""Chamfers, tapers and grooves shorter than this share of the part's longest extent are left out."""


def quick(part: Part) -> tuple[Part, tuple[Finding, ...]]:
    """The part without small bores, chamfers and narrow grooves, and a note that says what was dropped."""
    widest = max((2 * f.radius for f in part.features if not f.cut), default=0.0)
    longest = max([widest, *(f.length for f in part.features if not f.cut)])
    dropped = [f for f in part.features if _slight(f, widest, longest)]
    kept = tuple(f for f in part.features if f not in dropped)
    if not dropped or not any(not f.cut for f in kept):
        return part, ()
    names = ", ".join(f"'{f.name}'" for f in dropped)
    note = Finding("note", "the quick model", f"leaves out {names}", "leave --quick out to have them")
    return part.with_features(kept), (note,)


def _slight(f: Feature, widest: float, longest: float) -> bool:
    match f.shape:
        case Cylinder(d):
            return f.cut and d < SMALL_BORE * widest
        case Cone(_, _):
            return f.length < SHORT * longest
        case Ring(_, _):
            return f.cut and f.length < SHORT * longest
    return False
