"""Tool access: what a tool reaches when the part turns: open length, clearance beside neighbours, overhang."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from foldsketch.base.findings import Finding, mm
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.formulas.bar_deflection import deflection
from foldsketch.setup.machine import Tools
from foldsketch.setup.messages import (
    BORE_CLOSED,
    BORE_CUTS_NOTHING,
    BORE_OPENS_OTHER_WAY,
    CHUCK_COVERS,
    NEIGHBOUR_IN_FRONT,
    NO_CLEARANCE,
    OVERHANG_TOO_LONG,
    OVERHANG_TOO_LONG_BESIDE,
)
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd, Sweep, ToolReach

UNBOUNDED_Z_MM = 1e9

BORING_BAR_SHARE = 0.7
"""Diameter of a boring bar over the bore's [common practice]."""


class AccessResult(NamedTuple):
    """What a tool reaches, and why it does not reach the whole feature (None where it does)."""

    reach: ToolReach
    reason: Finding | None = None


def check_tool_access(
    part: Part,
    f: Feature,
    rings: Sequence[Sweep],
    from_end: PartEnd,
    grip: tuple[float, float],
    tools: Tools,
    held: Feature | None = None,
) -> AccessResult:
    """What a tool coming from an end of the part reaches of a feature whose axis is on the centreline.

    rings: sweeps of the material about that centreline; grip: start and end of the length that jaws cover; held: the
    feature that they cover: jaws inside a bore leave the part's outside free.
    """
    low, high = z_extent(part, f)
    if f.cut and not isinstance(f.shape, Ring):
        return _check_bore_access(part, f, rings, from_end, tools)
    radius = inside = f.radius
    if f.cut and isinstance(f.shape, Ring):
        radius, inside = f.shape.bore / 2, f.shape.diameter / 2
    own = {g.name for g in part.features if g.axis == f.axis and not g.cut and g.radius <= inside + LENGTH_TOLERANCE_MM}
    near = [s for s in rings if s.feature not in own and s.outer > radius + LENGTH_TOLERANCE_MM]
    beside = [s for s in near if s.start < high - LENGTH_TOLERANCE_MM and s.end > low + LENGTH_TOLERANCE_MM]
    tight = [s for s in near if s.inner < radius + tools.room]
    # Heights at which jaws cover the feature, or a neighbour is in the way of the tool.
    chuck = (-UNBOUNDED_Z_MM, grip[1]) if from_end == "+z" else (grip[0], UNBOUNDED_Z_MM)
    barred = [] if held is not None and held.cut else [chuck]
    open_length = _unobstructed_length(low, high, [*barred, *((s.start, s.end) for s in tight)])
    around = [s for s in beside if s not in tight]
    if open_length < high - low - LENGTH_TOLERANCE_MM:
        blocker = next((s for s in beside if s in tight), None)
        covered = _unobstructed_length(low, high, barred) < high - low - LENGTH_TOLERANCE_MM
        reason = CHUCK_COVERS.at()
        if blocker is not None and not covered:
            clearance = mm(max(blocker.inner - radius, 0.0), 1)
            reason = NO_CLEARANCE.at(neighbour=blocker.feature, clearance=clearance, needed=mm(tools.room))
        return AccessResult(_tool_reach(f, open_length, 0.0, None, tools), reason)
    if not around:
        return AccessResult(_tool_reach(f, open_length, 0.0, None, tools))
    # Something turns around it: the tool comes along the centreline, past all that is in front of it.
    if from_end == "+z":
        blockers = [s for s in tight if s.end > high + LENGTH_TOLERANCE_MM]
        overhang = max(high, *(s.end for s in around)) - low
    else:
        blockers = [s for s in tight if s.start < low - LENGTH_TOLERANCE_MM]
        overhang = high - min(low, *(s.start for s in around))
    reach = _tool_reach(f, open_length, overhang, min(s.inner for s in around) - radius, tools)
    neighbour = around[0].feature
    if blockers:
        return AccessResult(reach, NEIGHBOUR_IN_FRONT.at(blocker=blockers[0].feature, neighbour=neighbour))
    if overhang > tools.overhang:
        needed, allowed = mm(overhang, 1), mm(tools.overhang)
        return AccessResult(reach, OVERHANG_TOO_LONG_BESIDE.at(neighbour=neighbour, needed=needed, allowed=allowed))
    return AccessResult(reach)


def _check_bore_access(part: Part, f: Feature, rings: Sequence[Sweep], from_end: PartEnd, tools: Tools) -> AccessResult:
    """A bore is reached along the centreline when nothing closes it toward the machined end."""
    solid = [s for s in rings if s.outer > LENGTH_TOLERANCE_MM]
    low, high = z_extent(part, f)
    radius = f.radius
    # Beyond the material that it cuts a bore runs in air.
    through = [s for s in solid if s.inner < radius - LENGTH_TOLERANCE_MM]
    low = max(low, min((s.start for s in through), default=high))
    high = min(high, max((s.end for s in through), default=low))
    ahead = [s.end if from_end == "+z" else -s.start for s in solid if s.inner < radius + tools.room]
    if high <= low or not ahead:
        return AccessResult(_tool_reach(f, 0.0, 0.0, None, tools), BORE_CUTS_NOTHING.at())
    if isinstance(f.shape, Cone):
        widens = f.shape.start_diameter < f.shape.end_diameter
        opens = "+z" if widens == (part.axis(f.axis).direction[2] > 0) else "-z"
        if opens != from_end:
            return AccessResult(_tool_reach(f, 0.0, 0.0, None, tools), BORE_OPENS_OTHER_WAY.at(end=opens))
    cuts = [
        z_extent(part, g)
        for g in part.features
        if g.cut and g.axis == f.axis and g.radius >= radius - LENGTH_TOLERANCE_MM
    ]

    def closes(s: Sweep) -> bool:
        beyond = (max(s.start, high), s.end) if from_end == "+z" else (s.start, min(s.end, low))
        return _unobstructed_length(*beyond, cuts) > LENGTH_TOLERANCE_MM

    overhang = max(ahead) - (low if from_end == "+z" else -high)
    closed = next((s for s in through if closes(s)), None)
    if closed is not None:
        reason = BORE_CLOSED.at(feature=closed.feature, end=from_end)
        return AccessResult(_tool_reach(f, 0.0, overhang, None, tools), reason)
    reach = _tool_reach(f, high - low, overhang, None, tools)
    if overhang > tools.overhang:
        return AccessResult(reach, OVERHANG_TOO_LONG.at(needed=mm(overhang, 1), allowed=mm(tools.overhang)))
    return AccessResult(reach)


def _tool_reach(f: Feature, open_length: float, overhang: float, clearance: float | None, tools: Tools) -> ToolReach:
    """The figures; the bar is the driven tool's shank, or thinner where the clearance or the bore is small."""
    bar = tools.driven_diameter
    if clearance is not None:
        bar = min(bar, max(clearance, 0.1))
    elif f.cut and isinstance(f.shape, Cylinder | Cone):
        bar = min(bar, BORING_BAR_SHARE * 2 * f.radius)
    bends = deflection(tools.force, overhang, bar) if overhang > 0 else None
    return ToolReach(f.name, open_length, overhang, clearance, overhang / bar, bends)


def _unobstructed_length(low: float, high: float, barred: Sequence[tuple[float, float]]) -> float:
    """Length of a stretch that is in none of the barred ones."""
    left, at = 0.0, low
    for a, b in sorted(barred):
        if b <= at or a >= high:
            continue
        left += max(0.0, min(a, high) - at)
        at = max(at, b)
    return left + max(0.0, high - at)
