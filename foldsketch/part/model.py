"""The part: axes in space and the features on them. Frozen; lengths mm, angles radians."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import atan2, hypot, sqrt
from typing import Literal

Vec3 = tuple[float, float, float]
Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Axis:
    """A line in space with a letter. point: mm, the axis's own origin; direction: unit vector."""

    name: str
    point: Vec3 = (0.0, 0.0, 0.0)
    direction: Vec3 = (0.0, 0.0, 1.0)

    @property
    def frame(self) -> tuple[Vec3, Vec3, Vec3]:
        """Right-handed unit vectors (x, y, z) of the axis; z is its direction.

        An axis along +z keeps the part's x and y; for any other direction x is horizontal: part z cross direction,
        and for -z it is the part's x.
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
        """True when the axis is parallel to the part's z, in either sense."""
        return hypot(self.direction[0], self.direction[1]) < 1e-12

    def to_space(self, x: float, y: float, z: float) -> Vec3:
        """A point given in the axis's own frame, in the part's frame."""
        ex, ey, ez = self.frame
        p = self.point
        return (
            p[0] + x * ex[0] + y * ey[0] + z * ez[0],
            p[1] + x * ex[1] + y * ey[1] + z * ez[1],
            p[2] + x * ex[2] + y * ey[2] + z * ez[2],
        )


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
    """True flats. across_corners: mm; turn: radians, from the axis's x to the first corner's mid-flat
    (turn 0 puts the middle of a flat on +x)."""

    flats: int
    across_flats: float
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Plate:
    """Web, arm, lug, key, flat. Exactly one of outline (simple polygon, anticlockwise) and hull (circles x, y, r
    whose convex hull it is) is given; both in the axis's own x and y, mm."""

    outline: tuple[Point2, ...] = ()
    hull: tuple[tuple[float, float, float], ...] = ()


FeatureShape = Cylinder | Cone | Ring | PrismShape | Plate


@dataclass(frozen=True, slots=True)
class Feature:
    """One cylinder, cone, ring, prism or plate, adding or cutting material between start and end along its axis.

    start < end, both mm from the axis's origin along its direction. For set-ups: location, roundness: tolerances, mm,
    or None; together: stays in one clamping with the other features of its axis; turned: by turning only.
    """

    name: str
    axis: str
    shape: FeatureShape
    start: float
    end: float
    cut: bool = False
    sides: int | None = None
    stock: float = 0.0
    finish: Literal["cast", "machined"] | None = None
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
    def round(self) -> bool:
        """True for a feature that is turned: cylinder, cone or ring."""
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
                from math import cos, pi

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
    """Features on axes; the first axis is the datum. density: kg/m3 or None when no mass is asked for; blank: None
    where the file says nothing of it.

    units is only what the part file was written in, for words shown to the user; every length here is mm.
    """

    name: str
    axes: tuple[Axis, ...]
    features: tuple[Feature, ...]
    units: Literal["mm", "in"] = "mm"
    material: str = ""
    density: float | None = None
    blank: Blank | None = None
    _by_name: dict[str, Axis] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        self._by_name.update({a.name: a for a in self.axes})

    @property
    def datum(self) -> Axis:
        """The first axis."""
        return self.axes[0]

    def axis(self, name: str) -> Axis:
        """The axis of that name. Raises KeyError."""
        return self._by_name[name]

    def offset(self, name: str, origin: str | None = None) -> tuple[float, float]:
        """Distance (mm) and angle (radians, anticlockwise from +x seen from the +z end) from one parallel axis to
        another; origin is the datum unless named."""
        a = self.axis(origin) if origin else self.datum
        b = self.axis(name)
        dx, dy = b.point[0] - a.point[0], b.point[1] - a.point[1]
        return sqrt(dx * dx + dy * dy), atan2(dy, dx)

    def with_features(self, features: tuple[Feature, ...]) -> Part:
        """The same part with other features."""
        return replace(self, features=features)
