"""Shapes with stock on them, or with less, all around."""

from __future__ import annotations

from collections.abc import Iterable

from foldsketch.part.model import Cone, Cylinder, FeatureShape, Plate, PrismShape, Ring


def grown(shape: FeatureShape, stock: float) -> FeatureShape:
    """A shape with stock a side all around, mm; less of it where stock is negative. Of a ring the bore shrinks."""
    if not stock:
        return shape
    d = 2 * stock
    match shape:
        case Cylinder(diameter):
            return Cylinder(diameter + d)
        case Cone(start, end):
            return Cone(start + d, end + d)
        case Ring(diameter, bore):
            return Ring(diameter + d, bore - d) if bore > d else Cylinder(diameter + d)
        case PrismShape(flats, across, turn):
            return PrismShape(flats, across + d, turn)
        case Plate(outline, hull):
            if hull:
                return Plate(hull=tuple((x, y, r + stock) for x, y, r in hull))
            return Plate(outline=_offset_outline(outline, stock))


def _offset_outline(outline: Iterable[tuple[float, float]], stock: float) -> tuple[tuple[float, float], ...]:
    """A polygon grown by a distance, its corners kept."""
    from shapely import Polygon

    moved = Polygon(list(outline)).buffer(stock, join_style="mitre", mitre_limit=5.0)
    ring = list(moved.exterior.coords)[:-1]
    return tuple((float(x), float(y)) for x, y in (ring if moved.exterior.is_ccw else ring[::-1]))


def is_nothing(shape: FeatureShape) -> bool:
    """Whether nothing is left of a cored bore."""
    match shape:
        case Cylinder(diameter):
            return diameter <= 0
        case Cone(start, end):
            return min(start, end) < 0
        case _:
            return False
