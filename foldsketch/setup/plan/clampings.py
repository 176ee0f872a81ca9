"""Clampings: every way in which the machine's chucks can hold the part, what each turns, and why others fail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from foldsketch.part.mass.mass_properties import MassProperties
from foldsketch.part.model import Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.setup.access.sweep import sweep_of, sweeps, swing, z_extent
from foldsketch.setup.access.tool_access import check_tool_access
from foldsketch.setup.formulas.balance import unbalance
from foldsketch.setup.formulas.centre_holes import centre_holes
from foldsketch.setup.formulas.jaws import frictionless_offset_limit
from foldsketch.setup.machine import Machine, Spindle
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, Clamping, HoldingMethod, PartEnd, Sweep

PART_ENDS: tuple[PartEnd, ...] = ("+z", "-z")


@dataclass(frozen=True, slots=True)
class ClampingOptions:
    """Clampings that can be made; refused: (what, why) of those that cannot; unreached: (feature, why) for every
    feature and end at which a tool does not get at it, in clampings that could be made."""

    clampings: tuple[Clamping, ...]
    refused: tuple[tuple[str, str], ...]
    unreached: tuple[tuple[str, str], ...]


def features_to_turn(part: Part, machine: Machine) -> tuple[Feature, ...]:
    """The features that are to be turned: rounds on axes along z that do not stay as cast.

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
        if f.round and part.axis(f.axis).along_z and not (f.finish == "cast" and f.stock == 0) and f.axis not in drilled
    )


def find_clampings(part: Part, machine: Machine, mass: MassProperties) -> ClampingOptions:
    """All clampings of a part on a machine."""
    wanted = features_to_turn(part, machine)
    made: list[Clamping] = []
    refused: dict[tuple[str, str], None] = {}
    unreached: dict[tuple[str, str], None] = {}
    turning = {f.axis for f in wanted}
    # Where spindles hand the part to each other one may hold it centred and turn nothing.
    passing = {f.axis for f in part.features if part.axis(f.axis).along_z} if machine.kind == "twin" else set()
    for line in (a.name for a in part.axes if a.name in turning | passing):
        # Why a line on which nothing is turned cannot be held is no reason for anything.
        why_not = refused if line in turning else dict[tuple[str, str], None]()
        at = (part.axis(line).point[0], part.axis(line).point[1])
        rings = sweeps(part, at)
        if swing(rings) > machine.swing:
            why = f"the part swings {swing(rings):.1f} mm, the machine takes {machine.swing:g}"
            why_not[f"axis {line} on the centreline", why] = None
            continue
        away = hypot(mass.centroid[0] - at[0], mass.centroid[1] - at[1])
        amount = unbalance(mass.mass, away) if mass.mass is not None else mass.volume * away
        for spindle in machine.spindles:
            for h in part.features:
                for end in PART_ENDS:
                    held = _grip_range(part, h, end, spindle)
                    if isinstance(held, str):
                        why_not[f"{spindle.name} spindle on '{h.name}', working {end}", held] = None
                        continue
                    axis = part.axis(h.axis)
                    offset = hypot(axis.point[0] - at[0], axis.point[1] - at[1])
                    if line not in turning and offset >= LENGTH_TOLERANCE_MM:
                        continue
                    way = _holding_method(part, h, line, offset, spindle, machine)
                    if isinstance(way, tuple):
                        why_not[f"{spindle.name} spindle on '{h.name}' with axis {line} on the centreline", way[0]] = (
                            None
                        )
                        continue
                    turned = []
                    for f in (f for f in wanted if f.axis == line and f is not h):
                        got = check_tool_access(part, f, rings, end, held, machine.tools, h)
                        if got.why:
                            unreached[f.name, f"from {end}, held on '{h.name}': {got.why}"] = None
                        else:
                            turned.append(f.name)
                    made.append(
                        Clamping(
                            spindle.name, end, h.name, h.axis, line, way,
                            0.0 if offset < LENGTH_TOLERANCE_MM else offset, at, held,
                            tuple(turned), amount, h.name if h.cut and h in wanted else "",
                        )
                    )  # fmt: skip
    return ClampingOptions(tuple(made), tuple(refused), tuple(unreached))


def gripped_diameter(f: Feature) -> float:
    """The diameter that jaws close on, mm: across flats for a prism."""
    return f.shape.across_flats if isinstance(f.shape, PrismShape) else 2 * f.radius


def _grip_range(part: Part, h: Feature, end: PartEnd, spindle: Spindle) -> tuple[float, float] | str:
    """Start and end of the gripped length, or why the feature cannot be held from the end that is not worked on."""
    if not part.axis(h.axis).along_z:
        return "its axis crosses the spindle"
    low, high = z_extent(part, h)
    bottom, top = _part_z_extent(part)
    behind = low - bottom if end == "+z" else top - high
    if isinstance(h.shape, Plate) and not h.cut:
        return (low, high)  # clamped to a fixture's face, which has a recess for what stands behind it
    if h.cut:
        return _bore_grip_range(h, end, spindle, low, high, bottom, top)
    if not isinstance(h.shape, Cylinder | Ring | PrismShape):
        return "jaws need a straight round or flats"
    if behind > spindle.depth + LENGTH_TOLERANCE_MM:
        return f"{behind:.1f} mm would have to go behind the jaws, {spindle.depth:g} find room"
    axis = part.axis(h.axis)
    around = [(f, s) for f, s in _sweeps_about(part, (axis.point[0], axis.point[1])) if f is not h]
    radius = h.radius
    for f, s in around:
        before = s.start < low - LENGTH_TOLERANCE_MM if end == "+z" else s.end > high + LENGTH_TOLERANCE_MM
        if before and s.outer > radius + LENGTH_TOLERANCE_MM:
            return f"'{f.name}' stands before the jaws"
    reach, blocker = high - low, ""
    for f, s in around:
        if s.end <= low + LENGTH_TOLERANCE_MM or s.start >= high - LENGTH_TOLERANCE_MM:
            continue
        if s.outer > radius + LENGTH_TOLERANCE_MM and s.inner < radius + spindle.jaw_height:
            room = s.start - low if end == "+z" else high - s.end
            if room < reach:
                reach, blocker = room, f.name
    if reach < spindle.grip - LENGTH_TOLERANCE_MM:
        what = f"'{blocker}' leaves only {max(reach, 0):.1f} mm" if blocker else f"only {reach:.1f} mm long"
        return f"{what}, {spindle.grip:g} are needed to grip"
    return (low, low + spindle.grip) if end == "+z" else (high - spindle.grip, high)


def _bore_grip_range(
    h: Feature, end: PartEnd, spindle: Spindle, low: float, high: float, bottom: float, top: float
) -> tuple[float, float] | str:
    """A bore held from inside: it must open at the very end that goes to the chuck."""
    if not isinstance(h.shape, Cylinder):
        return "only straight bores are held from inside"
    opens = low <= bottom + LENGTH_TOLERANCE_MM if end == "+z" else high >= top - LENGTH_TOLERANCE_MM
    if not opens:
        return "the bore does not open at the end that goes to the chuck"
    low, high = max(low, bottom), min(high, top)
    if high - low < spindle.grip - LENGTH_TOLERANCE_MM:
        return f"only {high - low:.1f} mm long, {spindle.grip:g} are needed to grip"
    return (low, low + spindle.grip) if end == "+z" else (high - spindle.grip, high)


def _part_z_extent(part: Part) -> tuple[float, float]:
    """Lowest and highest z of the material."""
    ends = [z_extent(part, f) for f in part.features if not f.cut]
    return min(e[0] for e in ends), max(e[1] for e in ends)


def _sweeps_about(part: Part, at: tuple[float, float]) -> Sequence[tuple[Feature, Sweep]]:
    return [(f, sweep_of(part, f, at)) for f in part.features if not f.cut]


def _holding_method(
    part: Part, h: Feature, line: str, offset: float, spindle: Spindle, machine: Machine
) -> HoldingMethod | tuple[str]:
    """How the feature is held with another axis on the centreline, or why it cannot be."""
    if isinstance(h.shape, Plate) or (h.cut and offset >= LENGTH_TOLERANCE_MM):
        most = dict(machine.offsets).get("offset fixture")
        if most is None:
            return ("only an offset fixture could hold it so, and the machine file allows none",)
        if offset > most:
            return (f"{offset:.2f} mm off centre is too much (offset fixture to {most:g} mm)",)
        if h.cut and gripped_diameter(h) < spindle.smallest:
            return (f"a bore of {gripped_diameter(h):g} mm is too small to be held from inside",)
        return "offset fixture"
    across = gripped_diameter(h)
    if across < spindle.smallest or across + 2 * offset > spindle.largest:
        return (
            f"{across:g} mm, {offset:.2f} mm off centre, does not go into a chuck for {spindle.smallest:g} to "
            f"{spindle.largest:g} mm",
        )
    if offset < LENGTH_TOLERANCE_MM:
        return "centred"
    reasons = []
    for way, most in machine.offsets:
        if offset > most:
            reasons.append(f"{way} to {most:g} mm")
        elif way == "packed three-jaw" and (
            isinstance(h.shape, PrismShape) or offset >= frictionless_offset_limit(across)
        ):
            reasons.append(f"{way} below {frictionless_offset_limit(across):.2f} mm here")
        elif way == "four-jaw" and offset >= across / 2:
            reasons.append(f"{way} only inside the round")
        elif way == "between centres" and (
            spindle.name != "main" or not all(c.fits for c in centre_holes(part, (line,)))
        ):
            reasons.append(f"{way} only where both centre holes fit")
        else:
            return way
    allowed = "; ".join(reasons) or "no way of holding off centre is given"
    return (f"{offset:.2f} mm off centre is too much ({allowed})",)
