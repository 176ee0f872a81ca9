"""A sheet: a page of paper with pieces placed on it."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.sheet.layout.paper import printable_part


@dataclass(frozen=True, slots=True)
class Placement:
    """A piece turned anticlockwise by angle (radians) about its own origin, then moved by shift (mm)."""

    piece: str
    angle: float
    shift: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page. size: mm, width by height as printed; origin at the lower left corner."""

    paper: str
    size: tuple[float, float]
    placed: tuple[Placement, ...]

    @property
    def printable_size(self) -> tuple[float, float]:
        """Width and height in mm of the area for nets."""
        return printable_part(*self.size)
