"""The part: axes in space and the features on them. Lengths mm, angles radians."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import atan2, cos, hypot, pi, sin, sqrt
from typing import Literal

from foldsketch.base.points import Point

Vec3 = tuple[float, float, float]
"""x, y and z: a point in mm, or a direction."""

Units = Literal["mm", "in"]
Finish = Literal["cast", "machined"]


@dataclass(frozen=True, slots=True)
class Axis:
    """A line in space with a letter.

    Attributes
    ----------
    name : str
        The letter, or a short name.
    point : (float, float, float)
        The axis's own origin, mm.
    direction : (float, float, float)
        Unit vector.

    Examples
    --------
    >>> Axis("B", (20.0, 0.0, 0.0)).along_z
    True
    """

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
    """Spigot, journal, flange, boss, disc; with ``cut``, a bore.

    Attributes
    ----------
    diameter : float
        mm.

    Examples
    --------
    >>> Cylinder(40.0).diameter
    40.0
    """

    diameter: float


@dataclass(frozen=True, slots=True)
class Cone:
    """Taper, draft, countersink.

    Attributes
    ----------
    start_diameter, end_diameter : float
        mm; either may be 0 (a point), not both.

    Examples
    --------
    >>> Cone(40.0, 28.0).end_diameter
    28.0
    """

    start_diameter: float
    end_diameter: float


@dataclass(frozen=True, slots=True)
class Ring:
    """Sleeve; with ``cut``, a groove.

    Attributes
    ----------
    diameter, bore : float
        mm, 0 < bore < diameter.

    Examples
    --------
    >>> Ring(60.0, 20.0).bore
    20.0
    """

    diameter: float
    bore: float


@dataclass(frozen=True, slots=True)
class PrismShape:
    """A prism with true flats: square, hexagon.

    Attributes
    ----------
    flats : int
        3 or more.
    across_flats : float
        mm; of an odd number, twice the distance from the axis to a flat.
    turn : float
        Radians; 0 puts the middle of a flat on the axis's x.

    Examples
    --------
    >>> PrismShape(6, 46.0).flats
    6
    """

    flats: int
    across_flats: float
    turn: float = 0.0


@dataclass(frozen=True, slots=True)
class Plate:
    """Web, arm, lug, key, flat: exactly one of outline and hull is given, in the axis's own x and y.

    Attributes
    ----------
    outline : tuple of (float, float)
        Corners of a simple polygon, anticlockwise, mm.
    hull : tuple of (float, float, float)
        Circles, x, y and radius in mm, whose convex hull the plate is.

    Examples
    --------
    >>> len(Plate(hull=((0, 0, 20), (60, 0, 14))).hull)
    2
    """

    outline: tuple[Point, ...] = ()
    hull: tuple[tuple[float, float, float], ...] = ()


FeatureShape = Cylinder | Cone | Ring | PrismShape | Plate


@dataclass(frozen=True, slots=True)
class Feature:
    """One cylinder, cone, ring, prism or plate that adds or cuts material along its axis.

    Attributes
    ----------
    name : str
        Unique in the part.
    axis : str
        Name of its axis.
    shape : Cylinder, Cone, Ring, PrismShape or Plate
        Its section.
    start, end : float
        mm from the axis's origin along its direction, start < end.
    cut : bool
        Cuts material of the features before it.
    sides : int or None
        Flat sides on paper, or None for the choice of the model.
    stock : float
        Casting allowance per side, mm.
    finish : {"cast", "machined"} or None
        As the part file says.
    note : str
        Anything else.
    location, roundness : float or None
        Tolerances for set-ups, mm.
    together : bool
        Stays in one set-up with the other features of its axis.
    turned : bool
        By turning only, not milled with driven tools.

    Examples
    --------
    >>> Feature("boss", "B", Cylinder(40.0), 12.0, 30.0).length
    18.0
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

    def end_outline(self, at_end: bool) -> tuple[Point, ...]:
        """Corners of the feature's outline at its start or end, in the axis's own x and y, mm; a circle as 48."""
        s = self.shape
        match s:
            case Plate((), hull):
                from shapely import MultiPoint

                return tuple(MultiPoint([p for x, y, r in hull for p in _circle(r, x, y)]).convex_hull.exterior.coords)
            case Plate(outline, _):
                return outline
            case PrismShape(n, across, turn):
                r = across / 2 / cos(pi / n)
                return tuple((r * cos(a), r * sin(a)) for a in (turn + (2 * k - 1) * pi / n for k in range(n)))
            case Cone(a, b):
                return _circle((b if at_end else a) / 2)
            case Cylinder() | Ring():
                return _circle(s.diameter / 2)

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
    """The material as it comes, as far as it is said.

    kind: bar fed through the spindle, sawn piece of bar, or casting; diameter: of the bar, mm; length: of a sawn piece,
    mm; faces: of a casting that have stock, as "flange +z"; cores: bores that are cast in, by feature. None: as usual.
    """

    kind: BlankKind
    diameter: float | None = None
    length: float | None = None
    faces: tuple[str, ...] | None = None
    cores: tuple[str, ...] | None = None


def _circle(radius: float, x: float = 0.0, y: float = 0.0) -> tuple[Point, ...]:
    return tuple((x + radius * cos(a), y + radius * sin(a)) for a in (2 * pi * k / 48 for k in range(48)))


@dataclass(frozen=True, slots=True)
class Part:
    """Features on axes; in a notebook it shows its plan and side view.

    Attributes
    ----------
    name : str
        What the part is called.
    axes : tuple of Axis
        The first one is the datum.
    features : tuple of Feature
        Material first, cuts below what they cut.
    units : {"mm", "in"}
        For texts only: every length here is mm.
    material : str
        As the part file says.
    density : float or None
        kg/m3; without it no mass and no balance.
    blank : Blank or None
        None if the file says nothing about it.

    Examples
    --------
    >>> part = Part(
    ...     "Eccentric",
    ...     (Axis("A"), Axis("B", (6.0, 0.0, 0.0))),
    ...     (
    ...         Feature("journal", "A", Cylinder(40.0), 0.0, 30.0),
    ...         Feature("eccentric", "B", Cylinder(30.0), 30.0, 50.0),
    ...     ),
    ... )
    >>> part, part.offset("B")
    (<Part 'Eccentric': 2 features on axes A, B>, (6.0, 0.0))
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

    def __repr__(self) -> str:
        axes = ", ".join(a.name for a in self.axes)
        return f"<Part '{self.name}': {len(self.features)} features on axes {axes}>"

    def _repr_svg_(self) -> str:
        """Plan and side view, for notebooks."""
        from foldsketch.part.picture import Outline, two_views_svg

        outlines = []
        for f in self.features:
            to_part = self.axis(f.axis).to_part_frame
            start, end = ([to_part(x, y, z) for x, y in f.end_outline(z == f.end)] for z in (f.start, f.end))
            outlines.append(Outline((start, end), f.cut))
        return two_views_svg(outlines, ((a.name, a.point) for a in self.axes))

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
