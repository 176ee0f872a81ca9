"""Slabs: the plane figures of a body between each two heights at which its section changes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot

import numpy as np

from foldsketch.base.arrays import Ints
from foldsketch.base.findings import Finding, mm
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.mesh.rebuild.classify_outline import classify_loop
from foldsketch.mesh.rebuild.cross_sections import SectionLoop, Slicer
from foldsketch.mesh.rebuild.feature_sections import caps_cross_feature, circle_at, cone_radius, disc_of_loop
from foldsketch.mesh.rebuild.messages import CURVED_IN_STEPS
from foldsketch.mesh.rebuild.section_shapes import SectionCircle, SectionContext, SectionShape

TRIAL_HEIGHT_FRACTIONS = (0.5, 0.31, 0.69, 0.15, 0.85, 0.05, 0.95)
"""Heights in a slab, as shares of it, at which a section without cross features is looked for."""

MIN_CURVED_STEPS, MAX_CURVED_STEPS = 4, 12
"""Straight steps in which a curved stretch is made."""

MAX_STEP_RATIO = 0.04
"""Height of such a step over the size of the body, as far as MAX_CURVED_STEPS allows."""

MIN_CURVED_SHARE = 0.05
"""Share of a border on curved surface from which on it is made in steps."""

MAX_CONSTANT_AREA_CHANGE = 0.004
"""Share by which the area of a section may change where it counts as constant."""

END_PROBE_FRACTION = 0.03
"""Share of a slab from its end at which the radius of a disc is measured, to find that at the end."""


@dataclass(slots=True)
class ExtrudedShape:
    """A plane figure between two heights, mm; for a disc its radius at both, mm."""

    low: float
    high: float
    section: SectionShape
    r_low: float = 0.0
    r_high: float = 0.0


class SlabBuilder:
    """Sections of one reading.

    omitted: numbers of the features that the model goes without; cross_features: of those on cross axes and of the
    faces at their ends; findings: of what was found on the way.
    """

    def __init__(
        self, reading: MeshReading, features: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool
    ) -> None:
        segmentation, body = reading.segmentation, reading.segmentation.body
        of_surface = np.full(len(segmentation.surfaces) + 1, -1, dtype=np.int64)
        for k, m in enumerate(features):
            of_surface[list(m.surfaces)] = k
        self.owner: Ints = of_surface[segmentation.owner]
        self.name = reading.name
        self.features, self.frame, self.keep = features, frame, keep
        self.slicer = Slicer(body, self.owner, frame.rotation, frame.origin - body.origin_shift)
        self.slack = max(segmentation.tolerance, 1e-6)
        self.omitted = frozenset(k for k, m in enumerate(features) if m.left_out and m.role != "draft" and not keep)
        self.cross_features = frozenset(
            k
            for k, m in enumerate(features)
            if (m.kind in ("cylinder", "cone") and not frame.is_along_z(m))
            or (m.kind == "plane" and caps_cross_feature(m, features, frame))
        )
        self.findings: list[Finding] = []

    def section_heights(self) -> list[float]:
        """Heights at which the section may change: faces across the main direction, ends of rounds."""
        soft = [self._height_range(k) for k in self.omitted if self.features[k].kind in ("torus", "cone", "sphere")]
        marks = [float(self.slicer.z.min()), float(self.slicer.z.max())]
        for k, m in enumerate(self.features):
            if m.kind == "plane":
                marks += [self.frame.part_z(m.point)] if self.frame.is_along_z(m) else []
            elif k not in self.omitted | self.cross_features and m.covered_degrees > 60:
                marks += [
                    end
                    for end in self._height_range(k)
                    if not any(a - 4 * self.slack <= end <= b + 4 * self.slack for a, b in soft)
                ]
        marks.sort()
        least = max(20 * self.slack, 1e-4 * self.slicer.scale)
        out = [marks[0]]
        for mark in marks[1:]:
            if mark - out[-1] > least:
                out.append(mark)
        if marks[-1] - out[-1] < least:
            out[-1] = marks[-1]
        return [round(x, self.frame.decimals) for x in out]

    def _height_range(self, k: int) -> tuple[float, float]:
        """Lowest and highest z of a feature."""
        z = self.slicer.z[np.unique(self.slicer.triangles[self.owner == k])]
        return (float(z.min()), float(z.max())) if len(z) else (0.0, 0.0)

    def slabs(self) -> list[tuple[float, float]]:
        """Pairs of heights between which the section keeps its kind; where it curves, thin ones."""
        out: list[tuple[float, float]] = []
        for low, high in pairwise(self.section_heights()):
            loops = self.slicer.loops((low + high) / 2)
            n = 1
            if any(map(self._has_curves, loops)) and self._section_varies(low, high):
                self.findings.append(CURVED_IN_STEPS.at(self.name, low=mm(low, 4), high=mm(high, 4)))
                n = ceil((high - low) / (MAX_STEP_RATIO * self.slicer.scale))
                n = min(MAX_CURVED_STEPS, max(MIN_CURVED_STEPS, n))
            # Closer at both ends, where a ball or a tube turns over: equal angles on its arc.
            shares = (1 - np.cos(np.pi * np.arange(n + 1) / n)) / 2 if n > 1 else np.array([0.0, 1.0])
            out += pairwise([round(low + (high - low) * float(s), self.frame.decimals) for s in shares])
        return out

    def _section_varies(self, low: float, high: float) -> bool:
        """Whether the section changes between two heights: a wall may be curved and still go straight up."""
        areas = [sum(loop.area for loop in self.slicer.loops(low + s * (high - low))) for s in (0.1, 0.5, 0.9)]
        return max(areas) - min(areas) > MAX_CONSTANT_AREA_CHANGE * max(map(abs, areas))

    def _has_curves(self, loop: SectionLoop) -> bool:
        """Whether more of a border is on curved surface than a few triangles that nothing claimed."""
        curved = sum(r.length for r in loop.runs if self._is_curved(r.owner))
        return curved > MIN_CURVED_SHARE * sum(r.length for r in loop.runs)

    def _is_curved(self, owner: int) -> bool:
        if owner < 0:
            return True
        return self.features[owner].kind in ("sphere", "torus") and owner not in self.omitted

    def shapes_between(self, low: float, high: float) -> list[ExtrudedShape]:
        """Figures of the slab between two heights, from the section that shows least of cross features."""
        height, loops = self._clearest_section(low, high)
        circles: dict[int, SectionCircle | None] = {}
        for owner in {run.owner for loop in loops for run in loop.runs}:
            circles[owner] = self._circle_of(owner, height)
        context = SectionContext(circles.get, self.omitted, self.cross_features, self.slack)
        out: list[ExtrudedShape] = []
        for loop in sorted(loops, key=lambda loop: -abs(loop.area)):
            if all(run.owner in self.cross_features for run in loop.runs):
                continue  # their own solid or hole is made on their own axes
            disc = self._curved_disc(loop)
            out += [ExtrudedShape(low, high, f) for f in ([disc] if disc else classify_loop(loop, context))]
        for shape in out:
            if shape.section.kind == "disc":
                self._set_end_radii(shape, height)
        return out

    def _clearest_section(self, low: float, high: float) -> tuple[float, list[SectionLoop]]:
        """Height and loops of the section, of a few, that has least of cross features and fillets."""
        best: tuple[float, float, list[SectionLoop]] = (2.0, low, [])
        for share in TRIAL_HEIGHT_FRACTIONS:
            height = low + share * (high - low)
            loops = self.slicer.loops(height)
            unwanted = self._unwanted_fraction(loops)
            if unwanted < best[0] - 1e-9:
                best = (unwanted, height, loops)
            if unwanted == 0.0:
                break
        return best[1:]

    def _unwanted_fraction(self, loops: list[SectionLoop]) -> float:
        """Share of the length of a section that is on cross features and on what is left out; 1 for no section."""
        total = unwanted = 0.0
        for run in (run for loop in loops for run in loop.runs):
            length = run.length
            total += length
            left_out = run.owner in self.omitted and self.features[run.owner].kind != "cylinder"
            if left_out or run.owner in self.cross_features:
                unwanted += length
        return unwanted / total if total else 1.0

    def _circle_of(self, owner: int, height: float) -> SectionCircle | None:
        if owner < 0 or owner in self.cross_features:
            return None
        return circle_at(self.features[owner], owner, height, self.frame)

    def _curved_disc(self, loop: SectionLoop) -> SectionShape | None:
        """The disc where a border of curved surface is a circle, as on a torus or a turned free form."""
        owners = {run.owner for run in loop.runs}
        if all(k < 0 or (self._is_curved(k) and self.features[k].kind == "torus") for k in owners):
            return disc_of_loop(loop)
        return None

    def _set_end_radii(self, shape: ExtrudedShape, height: float) -> None:
        """Radii at both ends of a disc; height: at which it was found."""
        f = shape.section
        m = self.features[f.feature_index] if f.feature_index >= 0 else None
        r = f.circles[0][2]
        shape.r_low = shape.r_high = r
        if m is not None and m.kind == "cone" and m.role == "draft" and not self.keep:
            shape.r_low = shape.r_high = (m.diameter + m.end_diameter) / 4
        elif m is not None and m.kind == "cone":
            shape.r_low, shape.r_high = (max(0.0, cone_radius(m, z, self.frame)) for z in (shape.low, shape.high))
        elif m is None or m.kind != "cylinder":
            shape.r_low, shape.r_high = (
                self._radius_towards(end, shape, height, step * END_PROBE_FRACTION * (shape.high - shape.low))
                for end, step in ((shape.low, 1), (shape.high, -1))
            )

    def _radius_towards(self, end: float, shape: ExtrudedShape, height: float, step: float) -> float:
        """Radius of a disc at an end of its slab, from that at a height and that a step inside of the end."""
        r = shape.section.circles[0][2]
        near = self._radius_at(end + step, shape.section)
        return r if near is None else max(0.0, r + (near - r) * (end - height) / (end + step - height))

    def _radius_at(self, height: float, f: SectionShape) -> float | None:
        """Radius of a disc's own round at another height."""
        if f.feature_index >= 0:
            circle = self._circle_of(f.feature_index, height)
            return circle.r if circle is not None else None
        x, y, r = f.circles[0]
        discs = [self._curved_disc(loop) for loop in self.slicer.loops(height) if loop.hole == f.cut]
        close = [d.circles[0] for d in discs if d is not None]
        radii = [c[2] for c in close if hypot(c[0] - x, c[1] - y) < 0.05 * r]
        return min(radii, key=lambda other: abs(other - r)) if radii else None
