"""What is built by hand: bodies, their strips and squares, the marks on them, and the order. Lengths mm on paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from foldsketch.base.findings import Finding
from foldsketch.base.points import Point

End = Literal["top", "under"]
"""The two ends of a body, seen along the datum axis."""

Kind = Literal["round", "flats", "plate"]
"""What a body stands for: a diameter, a prism with true flats, a plate."""


@dataclass(frozen=True, slots=True)
class Body:
    """A part's feature, or several, as one prism of 8 or 4 sides with its edges parallel to x and y; not yet rounded.

    axis: letter; centre: of its axis; low_corner, high_corner: of the rectangle around it, all in the plane of the
    datum axis; low, high: along it; box: it stands for a plate, so that its axis need not be its middle; index: of the
    last of its features, in the order of the part.
    """

    name: str
    axis: str
    centre: Point
    low_corner: Point
    high_corner: Point
    low: float
    high: float
    sides: int
    kind: Kind
    index: int

    @property
    def box(self) -> bool:
        """Whether it stands for a plate."""
        return self.kind == "plate"

    @property
    def area(self) -> float:
        """Of the rectangle around it, mm2."""
        return (self.high_corner[0] - self.low_corner[0]) * (self.high_corner[1] - self.low_corner[1])


@dataclass(frozen=True, slots=True)
class Contact:
    """Two bodies that touch: rows of the lower and the upper one.

    foot: row of the one whose end lies inside the other's face and needs no square of its own, or None; axis: where the
    two are put together.
    """

    lower: int
    upper: int
    foot: int | None
    axis: str


@dataclass(frozen=True, slots=True)
class Strip:
    """The wall of a body: so many strips of a width and a length to the lap, folded into sides.

    sides: widths of the sides of one strip; lap, flap: beyond the last fold, and beyond the fold along each edge.
    """

    count: int
    length: float
    height: float
    lap: float
    flap: float
    sides: tuple[float, ...]

    @property
    def width(self) -> float:
        """As it is cut, with the flaps along both edges."""
        return self.height + 2 * self.flap


@dataclass(frozen=True, slots=True)
class Spot:
    """A point on a square: letter of its axis, and its distance from the left and the lower edge."""

    axis: str
    left: float
    up: float


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle on a square: the outline of a body that stands there, or a hole that is drawn and not cut.

    distance: of its centre from the body's own axis, not rounded.
    """

    spot: Spot
    diameter: float
    ends: tuple[End, ...]
    hole: bool
    distance: float = 0.0


@dataclass(frozen=True, slots=True)
class HandBody:
    """One body as it is made from paper, rounded.

    width, depth: of its squares; sides: 8 or 4; spot: its own axis, without a letter where that misses the square;
    squares: the ends that have one; marks: the other
    axes on its squares; rings: circles around marks and around the holes' centres.
    """

    name: str
    width: float
    depth: float
    sides: int
    kind: Kind
    strip: Strip
    squares: tuple[End, ...]
    spot: Spot
    marks: tuple[Spot, ...]
    rings: tuple[Ring, ...]

    @property
    def spots(self) -> tuple[Spot, ...]:
        """All axes that are marked on its squares, its own first."""
        return tuple(s for s in (self.spot, *self.marks) if s.axis)

    def from_own(self, axis: str) -> Point:
        """From its own axis to another one that is marked on it, or to the middle of a circle there."""
        spot = next(s for s in (self.spot, *self.marks, *(r.spot for r in self.rings)) if s.axis == axis)
        return (spot.left - self.spot.left, spot.up - self.spot.up)


@dataclass(frozen=True, slots=True)
class Placing:
    """A step of the order: a body on or under another one, both at an axis. other: None for the first body."""

    body: int
    other: int | None
    above: bool
    axis: str


@dataclass(frozen=True, slots=True)
class Offset:
    """How an axis comes out: offset from the first axis by hand and as asked for, and how far its centre is off."""

    axis: str
    by_hand: float
    asked: float
    error: float


@dataclass(frozen=True, slots=True)
class HandPlan:
    """All that the by-hand page says. bodies: in the order of building; origin: the axis that offsets count from."""

    part: str
    axes: tuple[str, ...]
    scale: float
    bodies: tuple[HandBody, ...]
    placings: tuple[Placing, ...]
    origin: str
    offsets: tuple[Offset, ...]
    minutes: float
    findings: tuple[Finding, ...]
