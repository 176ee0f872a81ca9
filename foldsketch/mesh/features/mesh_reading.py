"""Mesh reading: what was found on a mesh, in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from foldsketch.base.findings import Finding
from foldsketch.mesh.geometry.analytic_surface import SurfaceKind
from foldsketch.mesh.segmentation.model import Segmentation
from foldsketch.part.model import Vec3

HALF_TURN_DEG = 180.0
"""A round that covers no more of the turn gives nothing to turn."""

FeatureRole = Literal["feature", "fillet", "rounding", "chamfer", "draft", "face"]


@dataclass(frozen=True, slots=True)
class MeasuredFeature:
    """One surface, or several pieces of one, as measured. Lengths mm, in the mesh's own frame.

    diameter: of a cylinder, a sphere, the centre circle of a torus, a cone at start; end_diameter: of a cone at end;
    tube_diameter: of a torus's tube. inner: the material is outside (a bore). point, direction: a point of the axis
    and its unit direction (of a plane: a point and its outward normal); start, end: along direction from point.
    covered_degrees: how much of the full turn the mesh has; sides: facets on a full turn. role: what it is on the
    part; axis: letter of its axis; surfaces: numbers of its surfaces in the segmentation; exact: as a CAD file has it,
    not fitted to triangles; tolerance: +/- of the diameter, from the misfit and the count of points.
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
    exact: bool = False
    tolerance: float = 0.0

    @property
    def left_out(self) -> bool:
        """True for what the paper model goes without unless it is asked for."""
        return self.role in ("fillet", "rounding", "chamfer", "draft")

    @property
    def is_round(self) -> bool:
        """True for a round feature, and not for a face, a fillet or the like."""
        return self.kind != "plane" and self.role in ("feature", "draft")

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
    """All that was found on one body of a mesh. Lengths mm, in the mesh's own frame.

    source: name of the file; kind: of file; units: of its numbers, None where they were taken as mm; size: of the box;
    volume: mm3, of a mesh inside its triangles, of a CAD file between its surfaces; explained_area: share of the
    surface that is recognised; segmentation: the arrays, for cutting and comparing; main_direction: of the datum axis;
    keep: fillets, chamfers and draft stay; left_out: fillets and roundings that the model goes without.
    """

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
    left_out: tuple[MeasuredFeature, ...] = ()
    kind: Literal["mesh", "step", "iges"] = "mesh"

    def __repr__(self) -> str:
        rounds = sum(m.is_round for m in self.features)
        return f"<MeshReading {self.name!r}: {rounds} round features on {len(self.axes)} axes>"

    @property
    def has_round_features(self) -> bool:
        """True when there is a round feature to turn."""
        return any(m.is_round and m.covered_degrees > HALF_TURN_DEG for m in self.features)
