"""The part: axes in space and the features on them. Lengths mm, angles radians."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import atan2, cos, hypot, pi, sqrt
from typing import Literal

from foldsketch.base.points import Point

Vec3 = tuple[float, float, float]
"""x, y and z: a point in mm, or a direction."""

Units = Literal["mm", "in"]
Finish = Literal["cast", "machined"]


@dataclass(frozen=True, slots=True)
class Axis:
    """A line in space with a letter. point: its origin, mm; direction: unit vector."""

    name: str
    point: Vec3 = (0.0, 0.0, 0.0)
    direction: Vec3 = (0.0, 0.0, 1.0)

    @property
    def frame(self) -> tuple[Vec3, Vec3, Vec3]:
        """Right-handed unit vectors (x, y, z) of the axis; z is its direction.

        Along +z and -z, x is the part's x. For any other direction x is horizontal: the part's z cross direction.
        """
        dx, dy, dz = self.direction
        flat = hypot(dx, dy)
        if flat < 1e-12:
            return ((1.0, 0.0, 0.0), (0.0, 1.0 if dz > 0 else -1.0, 0.0), (0.0, 0.0, 1.0 if dz > 0 else -1.0))
        x = (-dy / flat, dx / flat, 0.0)
        y = (
            self.direction[1] * x[2] - self.direction[2] * x[1],
            self.direction[2] * x[0] - self.direction[0] * x[2],
            self.direction[0] * x[1] - self.direction[1] * x[0],
        )
        return (x, y, self.direction)

    @property
    def along_z(self) -> bool:
        """Whether the axis is parallel to the part's z, in either sense."""
        return hypot(self.direction[0], self.direction[1]) < 1e-12

    def to_part_frame(self, x: float, y: float, z: float) -> Vec3:
        """A point given in the axis's own frame, in the part's frame."""
        ex, ey, ez = self.frame
        p = self.point
        return (
            p[0] + x * ex[0] + y * ey[0] + z * ez[0],
            p[1] + x * ex[1] + y * ey[1] + z * ez[1],
            p[2] + x * ex[2] + y * ey[2] + z * ez[2],
        )

    def height_of(self, p: Vec3) -> float:
        """Position of a point of the part's frame along the axis, mm from its origin."""
        return sum((v - o) * d for v, o, d in zip(p, self.point, self.direction, strict=True))

    def distance_to(self, p: Vec3) -> float:
        """Distance of a point of the part's frame from the axis, mm.

        >>> Axis("A").distance_to((3.0, 4.0, 7.0))
        5.0
        """
        h = self.height_of(p)
        return hypot(*(v - o - h * d for v, o, d in zip(p, self.point, self.direction, strict=True)))

    def is_parallel_to(self, other: Axis) -> bool:
        """Whether two axes are parallel, in either sense."""
        return abs(abs(sum(u * v for u, v in zip(self.direction, other.direction, strict=True))) - 1) < 1e-12


@dataclass(frozen=True, slots=True)
class Cylinder:
    """Spigot, journal, flange, boss, disc; with cut, a bore."""

    diameter: float


@dataclass(frozen=True, slots=True)
class Cone:
    """Taper, draft, countersink. Either diameter may be 0 (a point), not both."""

    start_diameter: float
    end_diameter: float


@dataclass(frozen=True, slots=True)
class Ring:
    """Sleeve; with cut, a groove. 0 < bore < diameter."""

    diameter: float
    bore: float


@dataclass(frozen=True, slots=True)
class PrismShape:
    """Hexagon, square: true flats, not a facetted round.

    across_flats: mm; turn: radians from the axis's +x to the middle of a flat.
    """

    flats: int
    across_flats: float
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Plate:
    """Web, arm, lug, key, flat.

    Either outline, the corners of a simple polygon, anticlockwise, or hull, circles (x, y, radius) of which the plate
    is the convex hull; in the axis's own x and y, mm.
    """

    outline: tuple[Point, ...] = ()
    hull: tuple[tuple[float, float, float], ...] = ()


FeatureShape = Cylinder | Cone | Ring | PrismShape | Plate


@dataclass(frozen=True, slots=True)
class Feature:
    """One shape that adds or cuts material between start and end along its axis.

    start < end: mm from the axis's origin along its direction; sides: of its prism on paper, None for the usual
    number; stock: mm still to be machined off. For set-ups: location, roundness: tolerances, mm, or None; together:
    stays in one set-up with the other features of its axis; turned: by turning only.
    """

    name: str
    axis: str
    shape: FeatureShape
    start: float
    end: float
    cut: bool = False
    sides: int | None = None
    stock: float = 0.0
    finish: Finish | None = None
    note: str = ""
    location: float | None = None
    roundness: float | None = None
    together: bool = True
    turned: bool = False

    @property
    def length(self) -> float:
        """Extent along the axis, mm."""
        return self.end - self.start

    @property
    def is_round(self) -> bool:
        """Whether the feature can be turned: cylinder, cone or ring."""
        return isinstance(self.shape, Cylinder | Cone | Ring)

    @property
    def radius(self) -> float:
        """Largest distance of the feature's material from its own axis, mm."""
        s = self.shape
        match s:
            case Cylinder(d):
                return d / 2
            case Cone(a, b):
                return max(a, b) / 2
            case Ring(d, _):
                return d / 2
            case PrismShape(n, af, _):
                return af / 2 / cos(pi / n)
            case Plate(outline, hull):
                corners = [hypot(x, y) for x, y in outline]
                rounds = [hypot(x, y) + r for x, y, r in hull]
                return max(corners + rounds)


BlankKind = Literal["bar", "sawn", "casting"]


@dataclass(frozen=True, slots=True)
class Blank:
    """The material as it comes, as far as it is said. kind: bar fed through the spindle, sawn piece of bar, or casting;
    diameter: of the bar, mm; length: of a sawn piece, mm; faces: of a casting that have stock, as "flange +z"; cores:
    bores that are cast in, by feature. None: as usual."""

    kind: BlankKind
    diameter: float | None = None
    length: float | None = None
    faces: tuple[str, ...] | None = None
    cores: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """Features on axes; the first axis is the datum. density: kg/m3, None if it is not known; blank: None if the file
    says nothing about it.

    units: those of the part file, for what the user is shown; every length here is mm.
    """

    name: str
    axes: tuple[Axis, ...]
    features: tuple[Feature, ...]
    units: Units = "mm"
    material: str = ""
    density: float | None = None
    blank: Blank | None = None
    _axes_by_name: dict[str, Axis] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        self._axes_by_name.update({a.name: a for a in self.axes})

    @property
    def datum(self) -> Axis:
        """The first axis."""
        return self.axes[0]

    def axis(self, name: str) -> Axis:
        """The axis of that name. Raises KeyError."""
        return self._axes_by_name[name]

    def offset(self, name: str, origin: str | None = None) -> tuple[float, float]:
        """Distance, mm, and angle, radians, from one axis along z to another.

        The angle is anticlockwise from +x, seen from the +z end; origin is the datum unless named.
        """
        a = self.axis(origin) if origin else self.datum
        b = self.axis(name)
        dx, dy = b.point[0] - a.point[0], b.point[1] - a.point[1]
        return sqrt(dx * dx + dy * dy), atan2(dy, dx)

    def extent(self, f: Feature, axis: Axis) -> tuple[float, float]:
        """Lower and upper end of a feature, measured along an axis (exact if that is parallel to its own), mm."""
        own = self.axis(f.axis)
        low, high = sorted(axis.height_of(own.to_part_frame(0.0, 0.0, h)) for h in (f.start, f.end))
        return low, high

    def with_features(self, features: tuple[Feature, ...]) -> Part:
        """The same part with other features."""
        return replace(self, features=features)
