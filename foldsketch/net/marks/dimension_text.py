"""How a feature's name and size are written on paper, in the units of the part file."""

from __future__ import annotations

from foldsketch.base.units import MM_PER, plain
from foldsketch.part.model import Cone, Cylinder, Feature, Plate, PrismShape, Ring


def length_text(mm: float, units: str) -> str:
    """A length in the part's units.

    >>> length_text(25.4, "in"), length_text(14.0, "mm")
    ('1 in', '14 mm')
    """
    return f"{plain(mm / MM_PER[units], 3 if units == 'in' else 2)} {units}"


def _number(mm: float, units: str) -> str:
    return length_text(mm, units).removesuffix(" mm")


def size_text(f: Feature, units: str) -> str:
    """The size of a feature, as the trade writes it.

    >>> size_text(Feature("boss", "A", Cylinder(40), 0, 9), "mm")
    'Ø40'
    """
    match f.shape:
        case Cylinder(d):
            return f"Ø{_number(d, units)}"
        case Cone(a, b):
            return f"Ø{_number(a, units)} to Ø{_number(b, units)}"
        case Ring(d, bore):
            return f"Ø{_number(d, units)} / Ø{_number(bore, units)}"
        case PrismShape(n, across, _):
            name = {4: "square", 6: "hexagon"}.get(n, f"{n} flats")
            return f"{name} {_number(across, units)}"
        case Plate(outline, hull):
            if not outline and not hull:
                return ""  # a body that is known by its skin alone
            return f"{_number(f.length, units)} thick"


def title(f: Feature, units: str) -> tuple[str, str]:
    """Name and size of a feature."""
    return (f.name, size_text(f, units))
