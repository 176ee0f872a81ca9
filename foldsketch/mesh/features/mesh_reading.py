"""Reading: what was found on a mesh, in numbers, frozen."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from foldsketch.base.findings import Finding
from foldsketch.mesh.segmentation.segment import Segmentation
from foldsketch.part.model import Vec3

SurfaceKind = Literal["cylinder", "cone", "plane", "sphere", "torus"]
FeatureRole = Literal["feature", "fillet", "rounding", "chamfer", "draft", "face"]


@dataclass(frozen=True, slots=True)
class MeasuredFeature:
    """One surface, or several pieces of one, as measured. Lengths mm, in the mesh's own frame.

    diameter: of a cylinder, a sphere, the centre circle of a torus, a cone at start; end_diameter: of a cone at end;
    tube_diameter: of a torus's tube. inner: the material is outside (a bore). point, direction: a point of the axis
    and its unit direction (of a plane: a point and its outward normal); start, end: along direction from point.
    covered_degrees: how much of the full turn the mesh has; sides: facets on a full turn. role: what it is on the
    part; axis: letter of its axis; surfaces: numbers of its surfaces in the segmentation.
    """

    name: str
    kind: SurfaceKind
    inner: bool
    diameter: float
    end_diameter: float
    point: Vec3
    direction: Vec3
    start: float
    end: float
    misfit_max: float
    misfit_rms: float
    covered_degrees: float
    area: float
    sides: float = 0.0
    tube_diameter: float = 0.0
    role: FeatureRole = "feature"
    axis: str = ""
    surfaces: tuple[int, ...] = ()

    @property
    def left_out(self) -> bool:
        """True for what the paper model goes without unless it is asked for."""
        return self.role in ("fillet", "rounding", "chamfer", "draft")

    @property
    def length(self) -> float:
        """Extent along the axis, mm."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class MeasuredAxis:
    """A line that features share. offset: mm from the datum axis, None unless parallel to it."""

    name: str
    point: Vec3
    direction: Vec3
    features: tuple[str, ...]
    offset: float | None = None


@dataclass(frozen=True, slots=True)
class BoltCircle:
    """Equal holes, evenly spaced about an axis. diameter: mm, of the circle through their axes."""

    axis: str
    diameter: float
    hole: float
    count: int
    features: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class MeshReading:
    """All that was found on one body of a mesh. Lengths mm; surfaces keeps the arrays for slicing and comparing."""

    source: str
    name: str
    units: str | None
    triangles: int
    watertight: bool
    volume: float
    area: float
    size: Vec3
    features: tuple[MeasuredFeature, ...]
    axes: tuple[MeasuredAxis, ...]
    bolt_circles: tuple[BoltCircle, ...]
    explained_area: float
    findings: tuple[Finding, ...]
    segmentation: Segmentation
    main_direction: Vec3 = (0.0, 0.0, 1.0)
    keep: bool = False
    left_out: tuple[MeasuredFeature, ...] = field(default=())

    @property
    def has_round_features(self) -> bool:
        """True when there is a round feature to turn."""
        return any(
            f.kind != "plane" and f.role in ("feature", "draft") and f.covered_degrees > 180 for f in self.features
        )

    def feature(self, name: str) -> MeasuredFeature:
        """The feature of that name. Raises KeyError."""
        for f in self.features + self.left_out:
            if f.name == name:
                return f
        raise KeyError(name)
