"""Facet: every feature of a part becomes a prism in the model frame, at paper scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, pi

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.findings import Finding
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.base.units import format_number
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.clearances import preserve_clearances
from foldsketch.solid.faceting.frame import (
    AxisFrame,
    align_datum_to_z,
    axis_frames,
    reference_direction,
    rotate_about_z,
)
from foldsketch.solid.faceting.hull_plates import MIN_WEB_END_SIDES, coarsen_webs, web_corners
from foldsketch.solid.faceting.polygon import RegularPolygon, circumradius_ratio
from foldsketch.solid.faceting.prism import Prism, loft
from foldsketch.solid.faceting.rolled_walls import explain_unrolled_walls, find_cross_axis_contacts
from foldsketch.solid.faceting.sides import FacetChoice, FacetPlan, plan_facets

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class FacetedPart:
    """Prisms in the model frame (datum along z). turn: (3, 3), model frame to the part's frame."""

    prisms: tuple[Prism, ...]
    datum_direction: Array
    turn: Array
    part: Part
    findings: tuple[Finding, ...] = ()

    @property
    def prisms_by_name(self) -> dict[str, Prism]:
        """The prism of every feature, by the feature's name."""
        return {p.feature.name: p for p in self.prisms}


def facet(part: Part, scale: float, choice: FacetChoice, tolerance: Tolerance = DEFAULT_TOLERANCE) -> FacetedPart:
    """Prisms for every feature, at scale paper mm per part mm. Raises FoldsketchError when no prism is possible."""
    turned, turn = align_datum_to_z(part)
    direction = rotate_about_z(reference_direction(turned), choice.turned)
    roll = choice.walls == "rolled"
    crossed = find_cross_axis_contacts(turned) if roll else {}
    first = [plan_facets(f, scale, choice, roll and f.name not in crossed) for f in turned.features]
    plans = preserve_clearances(first, turned, scale, direction, tolerance)
    heights = PlaneSnapper(tolerance.length)
    own = axis_frames(part, turn, scale)
    prisms = tuple(
        _facet_feature(i, f, own[f.axis], scale, plan, direction, heights, choice)
        for i, (f, plan) in enumerate(zip(turned.features, plans, strict=True))
    )
    if choice.fewest > MIN_WEB_END_SIDES:

        def slim(web: Prism) -> Prism:
            plan, few = plans[web.index], replace(choice, fewest=MIN_WEB_END_SIDES)
            return _facet_feature(web.index, web.feature, web.frame, scale, plan, direction, heights, few)

        prisms = coarsen_webs(prisms, slim)
    findings = [
        Finding(
            "note",
            f"feature '{p.feature.name}'",
            f"its {p.sides} sides stray {format_number(p.chord_error, 2)} mm from the round on paper, "
            f"more than the {format_number(choice.chord_error, 2)} mm asked for",
            "more sides would be narrower than a hand can fold; print larger, or give sides",
        )
        for p in prisms
        if p.sides and p.chord_error > choice.chord_error * 1.001 and choice.sides is None and p.feature.sides is None
    ]
    if roll:
        findings += explain_unrolled_walls(
            part.features, frozenset(p.feature.name for p in prisms if p.rolled), crossed, scale
        )
    return FacetedPart(prisms, direction, turn, part, tuple(findings))


class PlaneSnapper:
    """End planes that are the same within the tolerance become the same number."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self.known: list[float] = []

    def snap(self, value: float) -> float:
        """The number of the plane at a height: the one that is known already, if one is near."""
        for k in self.known:
            if abs(k - value) <= self.tolerance:
                return k
        self.known.append(value)
        return value


def _facet_feature(
    index: int,
    f: Feature,
    frame: AxisFrame,
    scale: float,
    plan: FacetPlan,
    direction: Array,
    heights: PlaneSnapper,
    choice: FacetChoice,
) -> Prism:
    z = (f.start * scale, f.end * scale)
    if frame.along_z:
        # Planes are counted from the model's 0, so that features on axes of different origins share them.
        sense = float(np.sign(frame.z[2]))
        level = float(frame.origin[2])
        z = (sense * heights.snap(level + sense * z[0]), sense * heights.snap(level + sense * z[1]))
        frame = replace(frame, origin=np.array([frame.origin[0], frame.origin[1], 0.0]))
    rings, chord = _end_polygons(f, plan, scale, frame.turn(direction), choice)
    factor = circumradius_ratio(plan.n, plan.rule) if plan.n else 1.0
    return loft(index, f, frame, rings, z, plan.n, factor, chord, plan.rolled)


def _end_polygons(
    f: Feature, plan: FacetPlan, scale: float, turn: float, choice: FacetChoice
) -> tuple[tuple[tuple[Array, Array], ...], float]:
    match f.shape:
        case Cylinder(_):
            p = RegularPolygon.of(plan.n, plan.radii[0], plan.rule)
            return ((p.corners(turn),) * 2,), p.chord_error
        case Cone(_, _):
            pair = [RegularPolygon.of(plan.n, r, plan.rule) for r in plan.radii]
            return ((pair[0].corners(turn), pair[1].corners(turn)),), max(p.chord_error for p in pair)
        case Ring(_, _):
            outer, inner = (RegularPolygon.of(plan.n, r, plan.rule) for r in plan.radii)
            return ((outer.corners(turn),) * 2, (inner.corners(turn),) * 2), outer.chord_error
        case PrismShape(n, across, own):
            flat = RegularPolygon(n, across / 2 * scale, across / 2 * scale / cos(pi / n))
            return ((flat.corners(own),) * 2,), 0.0
        case Plate(outline, hull):
            if outline:
                return ((np.array(outline) * scale,) * 2,), 0.0
            return web_corners(f, hull, scale, turn, choice, plan.rolled)
