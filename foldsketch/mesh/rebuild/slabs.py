"""Layers: the figures of a body between each two heights at which its section changes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot, sqrt

import numpy as np

from foldsketch.base.arrays import Ints
from foldsketch.base.findings import Finding
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.rebuild.classify_outline import classify_loop
from foldsketch.mesh.rebuild.cross_sections import SectionLoop, Slicer
from foldsketch.mesh.rebuild.section_shapes import SectionCircle, SectionContext, SectionShape

TRIAL_HEIGHT_FRACTIONS = (0.5, 0.31, 0.69, 0.15, 0.85, 0.05, 0.95)
"""Heights in a slab, as shares of it, at which a section free of cross features is looked for."""


@dataclass(slots=True)
class ExtrudedShape:
    """A figure between two heights; at both ends its radius where it is a disc that widens."""

    low: float
    high: float
    section: SectionShape
    r_low: float = 0.0
    r_high: float = 0.0


class SlabBuilder:
    """Sections of one reading and what they are held against."""

    def __init__(
        self, reading: MeshReading, features: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool
    ) -> None:
        surfaces = reading.segmentation
        of_surface = np.full(len(surfaces.surfaces) + 1, -1, dtype=np.int64)
        for k, m in enumerate(features):
            of_surface[list(m.surfaces)] = k
        self.owner: Ints = of_surface[surfaces.owner]
        self.features, self.frame, self.keep = features, frame, keep
        self.reading = reading
        self.slicer = Slicer(surfaces.body, self.owner, frame.rotation, frame.origin - surfaces.body.origin_shift)
        self.slack = max(surfaces.tolerance, 1e-6)
        self.decimals = frame.decimals
        self.omitted = frozenset(k for k, m in enumerate(features) if m.left_out and m.role != "draft" and not keep)
        self.cross_features = frozenset(
            k for k, m in enumerate(features) if m.kind in ("cylinder", "cone") and not frame.is_along_z(m)
        ) | frozenset(k for k, m in enumerate(features) if m.kind == "plane" and self._caps_cross_feature(m))
        self.findings: list[Finding] = []

    def _caps_cross_feature(self, plane: MeasuredFeature) -> bool:
        """Whether a face is the end of a round on a cross axis, and no wall of the rest."""
        n = np.array(plane.direction)
        for m in self.features:
            if m.kind != "cylinder" or self.frame.is_along_z(m) or m.covered_degrees < 200:
                continue
            if abs(float(n @ np.array(m.direction))) < 0.9999:
                continue
            off = np.array(plane.point) - np.array(m.point)
            z = float(off @ np.array(m.direction))
            near = min(abs(z - m.start), abs(z - m.end)) < 0.05 * m.diameter
            limit = np.pi / 4 * m.diameter**2 * 1.05
            if near and plane.area < limit:
                return True
        return False

    def section_heights(self) -> list[float]:
        """Heights at which the section may change: faces across the main direction, ends of rounds."""
        z = self.slicer.z
        marks = [float(z.min()), float(z.max())]
        soft = [self._height_range(k) for k in self.omitted if self.features[k].kind in ("torus", "cone", "sphere")]
        for k, m in enumerate(self.features):
            if m.kind == "plane":
                if abs(float(np.array(m.direction) @ self.frame.rotation[2])) > 1 - 1e-6:
                    marks.append(self.frame.part_z(m.point))
            elif k not in self.omitted and k not in self.cross_features and m.covered_degrees > 60:
                for end in self._height_range(k):
                    if not any(a - 4 * self.slack <= end <= b + 4 * self.slack for a, b in soft):
                        marks.append(end)
        marks.sort()
        least = max(20 * self.slack, 1e-4 * self.slicer.scale)
        out = [marks[0]]
        for mark in marks[1:]:
            if mark - out[-1] > least:
                out.append(mark)
        out[-1] = marks[-1] if marks[-1] - out[-1] < least else out[-1]
        return [round(x, self.decimals) for x in out]

    def _height_range(self, k: int) -> tuple[float, float]:
        z = self.slicer.z[np.unique(self.slicer.triangles[self.owner == k])]
        return (float(z.min()), float(z.max())) if len(z) else (0.0, 0.0)

    def slabs(self) -> list[tuple[float, float]]:
        """Pairs of heights between which the section keeps its kind; where it curves, thin ones."""
        out: list[tuple[float, float]] = []
        levels = self.section_heights()
        for low, high in pairwise(levels):
            loops = self.slicer.loops((low + high) / 2)
            curved = any(self._is_curved(run.owner) for loop in loops for run in loop.runs) and self._section_varies(
                low, high
            )
            if curved:
                self.findings.append(
                    Finding(
                        "note",
                        self.reading.name,
                        f"from {low:g} to {high:g} along the datum axis its curved surface is drawn in straight steps",
                    )
                )
            n = min(12, max(4, ceil((high - low) / (0.04 * self.slicer.scale)))) if curved else 1
            steps = [round(low + (high - low) * i / n, self.decimals) for i in range(n + 1)]
            out += list(pairwise(steps))
        return out

    def _section_varies(self, low: float, high: float) -> bool:
        """Whether the section changes between two heights: a wall may be curved and still straight upwards."""
        areas = [sum(loop.area for loop in self.slicer.loops(low + s * (high - low))) for s in (0.1, 0.5, 0.9)]
        return max(areas) - min(areas) > 0.004 * max(map(abs, areas))

    def _is_curved(self, owner: int) -> bool:
        if owner < 0:
            return True
        m = self.features[owner]
        return m.kind in ("sphere", "torus") and owner not in self.omitted

    def layers(self, low: float, high: float) -> list[ExtrudedShape]:
        """Figures of the slab between two heights, from the section that shows least of cross features."""
        best: tuple[float, float, list[SectionLoop]] | None = None
        for share in TRIAL_HEIGHT_FRACTIONS:
            height = low + share * (high - low)
            loops = self.slicer.loops(height)
            bad = self._unwanted_fraction(loops)
            if best is None or bad < best[0] - 1e-9:
                best = (bad, height, loops)
            if bad == 0.0 and loops:
                break
        if best is None or not best[2]:
            return []
        _, height, loops = best
        rings = self._circles_at(height, loops)
        known = SectionContext(rings.get, self.omitted, self.cross_features, self.slack)
        out: list[ExtrudedShape] = []
        for loop in sorted(loops, key=lambda loop: -abs(loop.area)):
            if self._is_cross_loop(loop):
                continue
            turned = self._disc_from_loop(loop)
            out += [ExtrudedShape(low, high, f) for f in ([turned] if turned else classify_loop(loop, known))]
        self._set_end_radii(out, height)
        return out

    def _unwanted_fraction(self, loops: list[SectionLoop]) -> float:
        total = bad = 0.0
        for loop in loops:
            for run in loop.runs:
                length = float(np.hypot(*np.diff(run.points, axis=0).T).sum())
                total += length
                if run.owner in self.cross_features or (
                    run.owner in self.omitted and self.features[run.owner].kind != "cylinder"
                ):
                    bad += length
        return bad / total if total else 1.0

    def _is_cross_loop(self, loop: SectionLoop) -> bool:
        """A border that only cross features make: their own solid or hole is made on their own axes."""
        return all(r.owner in self.cross_features for r in loop.runs)

    def _circles_at(self, height: float, loops: list[SectionLoop]) -> dict[int, SectionCircle]:
        out: dict[int, SectionCircle] = {}
        for loop in loops:
            for run in loop.runs:
                if run.owner not in out and run.owner >= 0:
                    ring = self._circle_of(run.owner, height)
                    if ring is not None:
                        out[run.owner] = ring
        return out

    def _disc_from_loop(self, loop: SectionLoop) -> SectionShape | None:
        """A disc where a border of curved surface is a circle in this section, as on a torus or a turned free form.

        A section of a mesh runs along chords, so it may stray from its circle by a chord error.
        """
        owners = {run.owner for run in loop.runs}
        if len(loop.points) < 9 or not all(
            self._is_curved(k) and (k < 0 or self.features[k].kind == "torus") for k in owners
        ):
            return None
        centre, r, misfit = fit_circle(loop.points)
        if misfit > 0.012 * r:
            return None
        return SectionShape("disc", loop.hole, -1, ((float(centre[0]), float(centre[1]), r),))

    def _circle_of(self, k: int, height: float) -> SectionCircle | None:
        m = self.features[k]
        if k in self.cross_features or m.kind not in ("cylinder", "cone", "sphere"):
            return None
        x, y = self.frame.part_xy(m.point)
        if m.kind == "cylinder":
            return SectionCircle(k, x, y, m.diameter / 2, m.inner)
        if m.kind == "cone":
            r = self._cone_radius(m, height)
            return SectionCircle(k, x, y, r, m.inner) if r > 0 else None
        off = height - self.frame.part_z(m.point)
        r2 = m.diameter**2 / 4 - off * off
        return SectionCircle(k, x, y, sqrt(r2), m.inner) if r2 > 0 else None

    def _cone_radius(self, m: MeasuredFeature, height: float) -> float:
        sign = float(np.array(m.direction) @ self.frame.rotation[2])
        s = (height - self.frame.part_z(m.point)) * (1.0 if sign > 0 else -1.0)
        share = (s - m.start) / max(m.end - m.start, 1e-12)
        return (m.diameter + share * (m.end_diameter - m.diameter)) / 2

    def _set_end_radii(self, layers: list[ExtrudedShape], height: float) -> None:
        """Radii at both ends of discs that widen."""
        for layer in layers:
            f = layer.section
            if f.kind != "disc":
                continue
            r = f.circles[0][2]
            layer.r_low = layer.r_high = r
            m = self.features[f.feature_index] if f.feature_index >= 0 else None
            if m is not None and m.kind == "cylinder":
                continue
            if m is not None and m.kind == "cone":
                if m.role == "draft" and not self.keep:
                    layer.r_low = layer.r_high = (m.diameter + m.end_diameter) / 4
                    continue
                layer.r_low, layer.r_high = (max(0.0, self._cone_radius(m, z)) for z in (layer.low, layer.high))
                continue
            for end, at in (("r_low", layer.low), ("r_high", layer.high)):
                near = at + (0.03 if end == "r_low" else -0.03) * (layer.high - layer.low)
                found = self._radius_at(near, f)
                if found is not None:
                    setattr(layer, end, max(0.0, r + (found - r) * (at - height) / (near - height)))

    def _radius_at(self, height: float, f: SectionShape) -> float | None:
        """Radius of the disc's own round at another height."""
        if f.feature_index >= 0:
            ring = self._circle_of(f.feature_index, height)
            return ring.r if ring is not None else None
        x, y, r = f.circles[0]
        turned = [self._disc_from_loop(loop) for loop in self.slicer.loops(height) if loop.hole == f.cut]
        close = [t.circles[0] for t in turned if t is not None]
        close = [c for c in close if hypot(c[0] - x, c[1] - y) < 0.05 * r]
        return min((c[2] for c in close), key=lambda c: abs(c - r)) if close else None
