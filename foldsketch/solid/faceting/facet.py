"""Facet: every feature of a part becomes a prism in the model frame, at paper scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import cos, pi

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.findings import Finding, mm
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid import messages
from foldsketch.solid.faceting.clearances import preserve_clearances
from foldsketch.solid.faceting.frame import (
    AxisFrame,
    align_datum_to_z,
    axis_frames,
    reference_direction,
    rotate_about_z,
)
from foldsketch.solid.faceting.hull_plates import MIN_WEB_END_SIDES, coarsen_webs, web_outline
from foldsketch.solid.faceting.polygon import RegularPolygon, circumradius_ratio
from foldsketch.solid.faceting.prism import EndPolygons, Prism, loft
from foldsketch.solid.faceting.rolled_walls import explain_unrolled_walls, find_cross_axis_contacts
from foldsketch.solid.faceting.sides import FacetChoice, FacetPlan, plan_facets


@dataclass(frozen=True, slots=True, eq=False)
class FacetedPart:
    """Prisms in the model frame, with the datum axis along z.

    datum_direction: (3,) across the datum axis, to which sides are turned; rotation_to_part: (3, 3), model frame to the
    part's frame.
    """

    prisms: tuple[Prism, ...]
    datum_direction: Array
    rotation_to_part: Array
    part: Part
    findings: tuple[Finding, ...] = ()

    def __repr__(self) -> str:
        return f"<FacetedPart '{self.part.name}': {len(self.prisms)} prisms>"

    @property
    def prisms_by_name(self) -> dict[str, Prism]:
        """The prism of every feature, by the feature's name."""
        return {p.feature.name: p for p in self.prisms}


def facet(
    part: Part,
    scale: float,
    choice: FacetChoice,
    tolerance: Tolerance = DEFAULT_TOLERANCE,
    least_sides: Mapping[str, int] | None = None,
) -> FacetedPart:
    """A prism for every feature, at scale paper mm per part mm. least_sides: of features by name, where it is more."""
    upright, rotation = align_datum_to_z(part)
    direction = rotate_about_z(reference_direction(upright), choice.rotation)
    roll = choice.walls == "rolled"
    crossed = find_cross_axis_contacts(upright) if roll else {}
    plans = [plan_facets(f, scale, choice, roll and f.name not in crossed) for f in upright.features]
    for f, plan in zip(upright.features, plans, strict=True):
        plan.at_least((least_sides or {}).get(f.name, 0))
    preserve_clearances(plans, upright, scale, direction, tolerance)
    frames = axis_frames(part, rotation, scale)
    maker = _PrismMaker(upright.features, plans, frames, scale, direction, PlaneSnapper(tolerance.length))
    prisms = tuple(maker.prism(i, choice) for i in range(len(plans)))
    if choice.min_sides > MIN_WEB_END_SIDES:
        few = replace(choice, min_sides=MIN_WEB_END_SIDES)
        prisms = coarsen_webs(prisms, lambda web: maker.prism(web.index, few))
    findings = [
        messages.CHORD_ERROR_EXCEEDED.at(
            f"feature '{p.feature.name}'",
            sides=p.sides,
            deviation=mm(p.chord_error),
            asked=mm(choice.chord_error),
        )
        for p in prisms
        if p.sides
        and p.chord_error > choice.chord_error * 1.001
        # A number of sides that somebody chose is no news.
        and choice.max_sides is None
        and choice.sides is None
        and p.feature.sides is None
    ]
    if choice.yields and choice.radius_rule == "outside":
        names = tuple(f.name for f, p in zip(part.features, plans, strict=True) if p.n and p.rule == "equal-area")
        findings += [messages.FLATS_YIELD.at("part", features=names)] if names else []
    if roll:
        rolled = frozenset(p.feature.name for p in prisms if p.rolled)
        findings += explain_unrolled_walls(part.features, rolled, crossed, scale)
    return FacetedPart(prisms, direction, rotation, part, tuple(findings))


class PlaneSnapper:
    """Makes end planes that are the same within a tolerance, mm, the same number."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self.levels: list[float] = []

    def snap(self, value: float) -> float:
        """The level of the first plane that was given near this one."""
        for level in self.levels:
            if abs(level - value) <= self.tolerance:
                return level
        self.levels.append(value)
        return value


@dataclass(frozen=True, slots=True, eq=False)
class _PrismMaker:
    """Makes the prisms of one part. scale: paper mm per part mm; direction: (3,) of the middle of a side."""

    features: tuple[Feature, ...]
    plans: list[FacetPlan]
    frames: dict[str, AxisFrame]
    scale: float
    direction: Array
    levels: PlaneSnapper

    def prism(self, index: int, choice: FacetChoice) -> Prism:
        """The prism of the feature with that number."""
        f, plan = self.features[index], self.plans[index]
        frame = self.frames[f.axis]
        z = (f.start * self.scale, f.end * self.scale)
        if frame.along_z:
            # Heights above the model's own 0, so that axes with different origins share planes.
            sense, origin = float(np.sign(frame.z[2])), float(frame.origin[2])
            z = (sense * self.levels.snap(origin + sense * z[0]), sense * self.levels.snap(origin + sense * z[1]))
            frame = replace(frame, origin=np.array([frame.origin[0], frame.origin[1], 0.0]))
        rings, chord_error = self._end_polygons(f, plan, frame.side_angle(self.direction), choice)
        ratio = circumradius_ratio(plan.n, plan.rule) if plan.n else 1.0
        return loft(index, f, frame, rings, z, plan.n, ratio, chord_error, plan.rolled)

    def _end_polygons(
        self, f: Feature, plan: FacetPlan, angle: float, choice: FacetChoice
    ) -> tuple[tuple[EndPolygons, ...], float]:
        """Both ends of every wall, the outer one first, and the largest chord error, mm."""
        polygons = [plan.polygon(r) for r in plan.radii] if plan.n else []
        match f.shape:
            case Cylinder() | Ring():
                return tuple((p.corners(angle),) * 2 for p in polygons), polygons[0].chord_error
            case Cone():
                low, high = polygons
                return ((low.corners(angle), high.corners(angle)),), max(low.chord_error, high.chord_error)
            case PrismShape(n, across, own):
                inradius = across / 2 * self.scale
                return ((RegularPolygon(n, inradius, inradius / cos(pi / n)).corners(own),) * 2,), 0.0
            case Plate(outline, hull):
                if outline:
                    return ((np.array(outline) * self.scale,) * 2,), 0.0
                corners, chord_error = web_outline(f, hull, self.scale, angle, choice, plan.rolled)
                return ((corners,) * 2,), chord_error
