"""How a feature's name and size are written on paper, in the units of the part file."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.units import MM_PER_UNIT, format_number
from foldsketch.part.model import Cone, Cylinder, Feature, Plate, PrismShape, Ring


def length_text(mm: float, units: str) -> str:
    """A length in the part's units.

    >>> length_text(25.4, "in"), length_text(14.0, "mm")
    ('1 in', '14 mm')
    """
    return f"{format_number(mm / MM_PER_UNIT[units], 3 if units == 'in' else 2)} {units}"


def _length_without_mm(mm: float, units: str) -> str:
    return length_text(mm, units).removesuffix(" mm")


def size_text(f: Feature, units: str) -> str:
    """The size of a feature, as the trade writes it.

    >>> size_text(Feature("boss", "A", Cylinder(40), 0, 9), "mm")
    'Ø40'
    """
    match f.shape:
        case Cylinder(d):
            return f"Ø{_length_without_mm(d, units)}"
        case Cone(a, b):
            return f"Ø{_length_without_mm(a, units)} to Ø{_length_without_mm(b, units)}"
        case Ring(d, bore):
            return f"Ø{_length_without_mm(d, units)} / Ø{_length_without_mm(bore, units)}"
        case PrismShape(n, across, _):
            name = {4: "square", 6: "hexagon"}.get(n, f"{n} flats")
            return f"{name} {_length_without_mm(across, units)}"
        case Plate(outline, hull):
            if not outline and not hull:
                return ""  # a body that is known by its skin alone
            return f"{_length_without_mm(f.length, units)} thick"


MAX_FEATURES_NAMED = 2
"""Features that a net's title names."""


def net_title(features: Sequence[Feature], units: str) -> tuple[str, str]:
    """What a net is called, and the sizes of its features; of a bore without the length, which may reach beyond.

    >>> net_title([Feature("flange", "A", Cylinder(90), 0, 12)], "mm")
    ('Flange', 'Ø90 × 12')
    """
    named = features[:MAX_FEATURES_NAMED]
    more = " …" if len(features) > len(named) else ""
    sizes = []
    for f in named:
        size = size_text(f, units)
        long = not f.cut and not isinstance(f.shape, Plate)
        sizes.append(f"{size} × {_length_without_mm(f.length, units)}" if long else size)
    title = ", ".join(f.name for f in named)
    return title[:1].upper() + title[1:] + more, ", ".join(dict.fromkeys(filter(None, sizes))) + more


def name_and_size(f: Feature, units: str) -> tuple[str, str]:
    """Name and size of a feature."""
    return (f.name, size_text(f, units))
