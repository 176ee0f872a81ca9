"""Facet: every feature of a part becomes a prism in the model frame, at paper scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, pi

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.findings import Finding
from foldsketch.base.tolerance import DEFAULT, Tolerance
from foldsketch.base.units import plain
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.clearances import resolve
from foldsketch.solid.faceting.frame import Frame, frames, reference_direction, rotated, upright
from foldsketch.solid.faceting.hull_plates import FEWEST_AT_ENDS, slimmed, web_corners
from foldsketch.solid.faceting.polygon import Polygon, circumfactor
from foldsketch.solid.faceting.prism import Prism, loft
from foldsketch.solid.faceting.rolled_walls import crossing, told
from foldsketch.solid.faceting.sides import FacetChoice, Plan, plan_of

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Faceted:
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


def facet(part: Part, scale: float, choice: FacetChoice, tolerance: Tolerance = DEFAULT) -> Faceted:
    """Prisms for every feature, at scale paper mm per part mm. Raises FoldsketchError when no prism is possible."""
    turned, turn = upright(part)
    direction = rotated(reference_direction(turned), choice.turned)
    roll = choice.walls == "rolled"
    crossed = crossing(turned) if roll else {}
    first = [plan_of(f, scale, choice, roll and f.name not in crossed) for f in turned.features]
    plans = resolve(first, turned, scale, direction, tolerance)
    heights = Planes(tolerance.length)
    own = frames(part, turn, scale)
    prisms = tuple(
        _prism(i, f, own[f.axis], scale, plan, direction, heights, choice)
        for i, (f, plan) in enumerate(zip(turned.features, plans, strict=True))
    )
    if choice.fewest > FEWEST_AT_ENDS:

        def slim(web: Prism) -> Prism:
            plan, few = plans[web.index], replace(choice, fewest=FEWEST_AT_ENDS)
            return _prism(web.index, web.feature, web.frame, scale, plan, direction, heights, few)

        prisms = slimmed(prisms, slim)
    findings = [
        Finding(
            "note",
            f"feature '{p.feature.name}'",
            f"its {p.sides} sides stray {plain(p.chord_error, 2)} mm from the round on paper, "
            f"more than the {plain(choice.chord_error, 2)} mm asked for",
            "more sides would be narrower than a hand can fold; print larger, or give sides",
        )
        for p in prisms
        if p.sides and p.chord_error > choice.chord_error * 1.001 and choice.sides is None and p.feature.sides is None
    ]
    if roll:
        findings += told(part.features, frozenset(p.feature.name for p in prisms if p.rolled), crossed, scale)
    return Faceted(prisms, direction, turn, part, tuple(findings))


class Planes:
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


def _prism(
    index: int,
    f: Feature,
    frame: Frame,
    scale: float,
    plan: Plan,
    direction: Array,
    heights: Planes,
    choice: FacetChoice,
) -> Prism:
    z = (f.start * scale, f.end * scale)
    if frame.along_z:
        # Planes are counted from the model's 0, so that features on axes of different origins share them.
        sense = float(np.sign(frame.z[2]))
        level = float(frame.origin[2])
        z = (sense * heights.snap(level + sense * z[0]), sense * heights.snap(level + sense * z[1]))
        frame = replace(frame, origin=np.array([frame.origin[0], frame.origin[1], 0.0]))
    rings, chord = _rings(f, plan, scale, frame.turn(direction), choice)
    factor = circumfactor(plan.n, plan.rule) if plan.n else 1.0
    return loft(index, f, frame, rings, z, plan.n, factor, chord, plan.rolled)


def _rings(
    f: Feature, plan: Plan, scale: float, turn: float, choice: FacetChoice
) -> tuple[tuple[tuple[Array, Array], ...], float]:
    match f.shape:
        case Cylinder(_):
            p = Polygon.of(plan.n, plan.radii[0], plan.rule)
            return ((p.corners(turn),) * 2,), p.chord_error
        case Cone(_, _):
            pair = [Polygon.of(plan.n, r, plan.rule) for r in plan.radii]
            return ((pair[0].corners(turn), pair[1].corners(turn)),), max(p.chord_error for p in pair)
        case Ring(_, _):
            outer, inner = (Polygon.of(plan.n, r, plan.rule) for r in plan.radii)
            return ((outer.corners(turn),) * 2, (inner.corners(turn),) * 2), outer.chord_error
        case PrismShape(n, across, own):
            flat = Polygon(n, across / 2 * scale, across / 2 * scale / cos(pi / n))
            return ((flat.corners(own),) * 2,), 0.0
        case Plate(outline, hull):
            if outline:
                return ((np.array(outline) * scale,) * 2,), 0.0
            return web_corners(f, hull, scale, turn, choice, plan.rolled)
