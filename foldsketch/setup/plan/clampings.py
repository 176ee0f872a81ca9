"""Clampings: every way in which the machine's chucks can hold the part, what each turns, and why others fail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from math import hypot, inf

from foldsketch.base.arrays import Point
from foldsketch.base.findings import Finding, mm
from foldsketch.part.mass.mass_properties import MassProperties
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.setup import messages
from foldsketch.setup.access.sweep import sweep_of, sweeps, swing, z_extent
from foldsketch.setup.access.tool_access import Approach, Chuck, why_not_reached
from foldsketch.setup.formulas.balance import unbalance
from foldsketch.setup.formulas.centre_holes import centre_holes
from foldsketch.setup.formulas.jaws import frictionless_offset_limit
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, Clamping, HoldingMethod, PartEnd, Sweep
from foldsketch.setup.spindle import Spindle

PART_ENDS: tuple[PartEnd, ...] = ("+z", "-z")


@dataclass(frozen=True, slots=True)
class ClampingOptions:
    """Clampings that can be made; rejected: those that cannot, and why; unreachable: (feature, why) for every feature
    and end at which a tool does not reach it, in clampings that could be made. The last two in the order found."""

    clampings: list[Clamping] = field(default_factory=list)
    rejected: dict[Finding, None] = field(default_factory=dict)
    unreachable: dict[tuple[str, Finding], None] = field(default_factory=dict)


def features_to_turn(part: Part, machine: Machine) -> tuple[Feature, ...]:
    """The features that are to be turned: round ones on axes along z that do not stay as cast.

    An axis that carries nothing but holes up to the drill size is left to a driven drill.
    """
    drilled = {
        a.name
        for a in part.axes
        if all(
            f.cut and isinstance(f.shape, Cylinder) and f.shape.diameter <= machine.tools.drill and f.finish is None
            for f in part.features
            if f.axis == a.name
        )
    }
    return tuple(
        f
        for f in part.features
        if f.is_round
        and part.axis(f.axis).along_z
        and not (f.finish == "cast" and f.stock == 0)
        and f.axis not in drilled
    )


def find_clampings(part: Part, machine: Machine, mass: MassProperties) -> ClampingOptions:
    """All clampings of a part on a machine."""
    wanted = features_to_turn(part, machine)
    found = ClampingOptions()
    turning = {f.axis for f in wanted}
    # Where spindles hand the part to each other one may hold it centred and turn nothing.
    passing = {f.axis for f in part.features if part.axis(f.axis).along_z} if machine.kind == "twin" else set()
    for line in (a.name for a in part.axes if a.name in turning | passing):
        # Why a line on which nothing is turned cannot be held is no reason for anything.
        rejected = found.rejected if line in turning else {}
        at = (part.axis(line).point[0], part.axis(line).point[1])
        rings = sweeps(part, at)
        if swing(rings) > machine.swing:
            lengths = {"swing": mm(swing(rings), 1), "most": mm(machine.swing)}
            rejected[messages.SWING_TOO_LARGE.at(f"axis {line} on the spindle", **lengths)] = None
            continue
        away = hypot(mass.centroid[0] - at[0], mass.centroid[1] - at[1])
        amount = unbalance(mass.mass, away) if mass.mass is not None else mass.volume * away
        for spindle, h, end in product(machine.spindles, part.features, PART_ENDS):
            grip = _grip_range(part, h, end, spindle)
            if isinstance(grip, Finding):
                rejected[grip] = None
                continue
            axis = part.axis(h.axis)
            offset = hypot(axis.point[0] - at[0], axis.point[1] - at[1])
            offset = 0.0 if offset < LENGTH_TOLERANCE_MM else offset
            if line not in turning and offset:
                continue
            method = _holding_method(part, h, line, offset, spindle, machine)
            if isinstance(method, Finding):
                rejected[method] = None
                continue
            turned = []
            approach = tool_approach(part, h, end, grip, at, machine, spindle)
            for f in (f for f in wanted if f.axis == line and f is not h):
                reason = why_not_reached(part, f, approach)
                if reason is None:
                    turned.append(f.name)
                else:
                    where = f"from {end}, held on '{h.name}'"
                    found.unreachable[f.name, replace(reason, where=where)] = None
            bore = h.name if h.cut and h in wanted else ""
            hold = (spindle.name, end, h.name, h.axis, line, method, offset, at, grip)
            found.clampings.append(Clamping(*hold, tuple(turned), amount, bore))
    return found


def tool_approach(
    part: Part, h: Feature, end: PartEnd, grip: tuple[float, float], at: Point, machine: Machine, spindle: Spindle
) -> Approach:
    """How tools come to a part that is held on a feature: with chuck and jaws in the way. at: the centreline, mm."""
    ring, section = sweep_of(part, h, at), section_at_height(part, h, sum(z_extent(part, h)) / 2)
    # Jaws come as near to the centreline as the surface that they hold, or to its other side.
    near = section.distance_to_edge(*at) if section is not None else 0.0
    inner = near if ring.inner == 0 else max(0.0, near - spindle.jaw_height)
    outer = max(ring.outer + spindle.jaw_height, spindle.largest / 2)
    return Approach(at, end, machine.tools, machine.cutters, Chuck(grip, inner, outer, ring.outer if h.cut else 0.0))


def gripped_diameter(f: Feature) -> float:
    """The diameter that jaws close on, mm: across flats for a prism."""
    return f.shape.across_flats if isinstance(f.shape, PrismShape) else 2 * f.radius


def _grip_range(part: Part, h: Feature, end: PartEnd, spindle: Spindle) -> tuple[float, float] | Finding:
    """Start and end of the gripped length, or why the feature cannot be held by the end that is not machined."""
    where = f"{spindle.name} spindle on '{h.name}', machined from {end}"
    if not part.axis(h.axis).along_z:
        return messages.HELD_AXIS_CROSSES.at(where)
    low, high = z_extent(part, h)
    if isinstance(h.shape, Plate) and not h.cut:
        return (low, high)  # clamped to a fixture's face, which has a recess for what is behind it
    ends = [z_extent(part, f) for f in part.features if not f.cut]
    bottom, top = min(e[0] for e in ends), max(e[1] for e in ends)
    if h.cut:
        if not isinstance(h.shape, Cylinder):
            return messages.BORE_NOT_STRAIGHT.at(where)
        if low > bottom + LENGTH_TOLERANCE_MM if end == "+z" else high < top - LENGTH_TOLERANCE_MM:
            return messages.BORE_CLOSED_AT_CHUCK.at(where)
        low, high = max(low, bottom), min(high, top)
        length, blocker = high - low, ""
    else:
        if not isinstance(h.shape, Cylinder | Ring | PrismShape):
            return messages.NO_GRIP_SURFACE.at(where)
        behind = low - bottom if end == "+z" else top - high
        if behind > spindle.depth + LENGTH_TOLERANCE_MM:
            return messages.TOO_LONG_FOR_CHUCK.at(where, length=mm(behind, 1), depth=mm(spindle.depth))
        at = (part.axis(h.axis).point[0], part.axis(h.axis).point[1])
        rings = [sweep_of(part, f, at) for f in part.features if not f.cut and f is not h]
        wider = [s for s in rings if s.outer > h.radius + LENGTH_TOLERANCE_MM]
        for s in wider:
            if s.start < low - LENGTH_TOLERANCE_MM if end == "+z" else s.end > high + LENGTH_TOLERANCE_MM:
                return messages.BLOCKS_JAWS.at(where, feature=s.feature)
        length, blocker = _free_length(low, high, [s for s in wider if s.inner < h.radius + spindle.jaw_height], end)
    if length < spindle.grip - LENGTH_TOLERANCE_MM:
        lengths = {"length": mm(max(length, 0.0), 1), "needed": mm(spindle.grip)}
        if blocker:
            return messages.GRIP_BLOCKED.at(where, feature=blocker, **lengths)
        return messages.GRIP_TOO_SHORT.at(where, **lengths)
    return (low, low + spindle.grip) if end == "+z" else (high - spindle.grip, high)


def _free_length(low: float, high: float, rings: Sequence[Sweep], end: PartEnd) -> tuple[float, str]:
    """Length of a feature beside which jaws have room, and the neighbour that ends it, or ""."""
    beside = [s for s in rings if s.end > low + LENGTH_TOLERANCE_MM and s.start < high - LENGTH_TOLERANCE_MM]
    free = [(s.start - low if end == "+z" else high - s.end, s.feature) for s in beside]
    return min([(high - low, ""), *free], key=lambda f: f[0])


def _holding_method(
    part: Part, h: Feature, line: str, offset: float, spindle: Spindle, machine: Machine
) -> HoldingMethod | Finding:
    """How the feature is held with another axis on the centreline, or why it cannot be."""
    where = f"{spindle.name} spindle on '{h.name}' with axis {line} on it"
    diameter = gripped_diameter(h)
    limits = tuple(m for m in machine.max_offsets if m[0] != "face plate")
    if isinstance(h.shape, Plate) or (h.cut and offset):
        limits = tuple(m for m in limits if m[0] == "offset fixture")
        if h.cut and diameter < spindle.smallest:
            return messages.BORE_TOO_SMALL.at(where, diameter=mm(diameter))
    else:
        if diameter < spindle.smallest or diameter + 2 * offset > spindle.largest:
            lengths = {"diameter": mm(diameter), "offset": mm(offset)}
            chuck = {"smallest": mm(spindle.smallest), "largest": mm(spindle.largest)}
            return messages.OUTSIDE_CHUCK_RANGE.at(where, **lengths, **chuck)
        if not offset:
            return "centred"
    reach = [(0.0, "")]
    for method, most in limits:
        below = _shape_limit(part, h, line, method, spindle)
        if offset <= most and offset < below:
            return method
        reach.append((min(most, below), method))
    most, name = max(reach)
    if not most:
        return messages.NO_OFFSET_HOLDING.at(where)
    return messages.OFFSET_TOO_LARGE.at(where, offset=mm(offset), method=name, most=mm(most))


def _shape_limit(part: Part, h: Feature, line: str, method: HoldingMethod, spindle: Spindle) -> float:
    """Offset, mm, that a method must stay below for this feature, whatever the machine file allows."""
    diameter = gripped_diameter(h)
    if method == "packed three-jaw":
        return 0.0 if isinstance(h.shape, PrismShape) else frictionless_offset_limit(diameter)
    if method == "four-jaw":
        return diameter / 2
    if method == "between centres" and (spindle.name != "main" or not all(c.fits for c in centre_holes(part, (line,)))):
        return 0.0
    return inf
