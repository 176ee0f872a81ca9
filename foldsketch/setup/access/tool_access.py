"""Reach: what a tool gets at when the part turns: open length, radial room beside neighbours, overhang."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.formulas.bar_deflection import deflection
from foldsketch.setup.machine import Tools
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd, Sweep, ToolReach

UNBOUNDED_Z_MM = 1e9


@dataclass(frozen=True, slots=True)
class AccessResult:
    """A reach, or why there is none."""

    reach: ToolReach
    why: str


def check_tool_access(
    part: Part,
    f: Feature,
    rings: Sequence[Sweep],
    from_end: PartEnd,
    grip: tuple[float, float],
    tools: Tools,
    held: Feature | None = None,
) -> AccessResult:
    """What a tool coming from an end of the part gets at of a feature whose axis is on the centreline.

    rings: sweeps of the material about that centreline; grip: start and end of the length that jaws cover; held: the
    feature that they cover: jaws inside a bore leave the part's outside free.
    """
    low, high = z_extent(part, f)
    shape = f.shape
    if f.cut and not isinstance(shape, Ring):
        return _check_bore_access(part, f, rings, from_end, tools)
    groove = f.cut and isinstance(shape, Ring)
    radius = shape.bore / 2 if groove and isinstance(shape, Ring) else f.radius
    inside = shape.diameter / 2 if groove and isinstance(shape, Ring) else radius
    own = {g.name for g in part.features if g.axis == f.axis and not g.cut and g.radius <= inside + LENGTH_TOLERANCE_MM}
    near = [s for s in rings if s.feature not in own and s.outer > radius + LENGTH_TOLERANCE_MM]
    # Heights at which a neighbour stands in the way of the tool, or jaws cover the feature.
    chuck = (-UNBOUNDED_Z_MM, grip[1]) if from_end == "+z" else (grip[0], UNBOUNDED_Z_MM)
    barred = [] if held is not None and held.cut else [chuck]
    barred += [(s.start, s.end) for s in near if s.inner < radius + tools.room]
    open_length = _unobstructed_length(low, high, barred)
    around = [
        s
        for s in near
        if s.inner >= radius + tools.room and s.start < high - LENGTH_TOLERANCE_MM and s.end > low + LENGTH_TOLERANCE_MM
    ]
    if open_length < high - low - LENGTH_TOLERANCE_MM:
        return AccessResult(
            _tool_reach(f, open_length, 0.0, None, tools), _obstruction_text(near, chuck, low, high, radius, tools)
        )
    if not around:
        return AccessResult(_tool_reach(f, open_length, 0.0, None, tools), "")
    # Something turns around it: the tool comes along the centreline, past all that stands before it.
    ahead = [
        s
        for s in near
        if (s.end > high + LENGTH_TOLERANCE_MM if from_end == "+z" else s.start < low - LENGTH_TOLERANCE_MM)
    ]
    blocker = next((s for s in ahead if s.inner < radius + tools.room), None)
    room = min(s.inner for s in around) - radius
    top = (
        max([s.end for s in around] + [high]) - low
        if from_end == "+z"
        else high - min([s.start for s in around] + [low])
    )
    reach = _tool_reach(f, open_length, top, room, tools)
    if blocker is not None:
        return AccessResult(reach, f"'{blocker.feature}' stands before it and '{around[0].feature}' turns around it")
    if top > tools.overhang:
        return AccessResult(
            reach,
            f"a tool would need {top:.1f} mm overhang beside '{around[0].feature}', {tools.overhang:g} are allowed",
        )
    return AccessResult(reach, "")


def _check_bore_access(part: Part, f: Feature, rings: Sequence[Sweep], from_end: PartEnd, tools: Tools) -> AccessResult:
    """A bore is reached along the centreline when nothing closes it toward the worked end."""
    solid = [s for s in rings if s.outer > LENGTH_TOLERANCE_MM]
    low, high = z_extent(part, f)
    radius = f.radius
    # Beyond the material that it cuts a bore runs in air.
    through = [s for s in solid if s.inner < radius - LENGTH_TOLERANCE_MM]
    low = max(low, min((s.start for s in through), default=high))
    high = min(high, max((s.end for s in through), default=low))
    ahead = [s.end if from_end == "+z" else -s.start for s in solid if s.inner < radius + tools.room]
    if high <= low or not ahead:
        return AccessResult(_tool_reach(f, 0.0, 0.0, None, tools), "it cuts nothing")
    if isinstance(f.shape, Cone):
        narrow = f.shape.start_diameter < f.shape.end_diameter
        up = part.axis(f.axis).direction[2] > 0
        opens = "+z" if narrow == up else "-z"
        if opens != from_end:
            return AccessResult(_tool_reach(f, 0.0, 0.0, None, tools), f"it opens to {opens}")
    cuts = [
        z_extent(part, g)
        for g in part.features
        if g.cut and g.axis == f.axis and g.radius >= radius - LENGTH_TOLERANCE_MM
    ]

    def closes(s: Sweep) -> bool:
        beyond = (max(s.start, high), s.end) if from_end == "+z" else (s.start, min(s.end, low))
        return (
            s.inner < radius - LENGTH_TOLERANCE_MM and _unobstructed_length(*beyond, cuts) > LENGTH_TOLERANCE_MM
            if beyond[1] > beyond[0] + LENGTH_TOLERANCE_MM
            else False
        )

    closed = next((s for s in solid if closes(s)), None)
    overhang = max(ahead) - (low if from_end == "+z" else -high)
    if closed is not None:
        return AccessResult(
            _tool_reach(f, 0.0, overhang, None, tools), f"'{closed.feature}' closes it toward {from_end}"
        )
    reach = _tool_reach(f, high - low, overhang, None, tools)
    if overhang > tools.overhang:
        return AccessResult(reach, f"a tool would need {overhang:.1f} mm overhang, {tools.overhang:g} are allowed")
    return AccessResult(reach, "")


def _tool_reach(f: Feature, open_length: float, overhang: float, room: float | None, tools: Tools) -> ToolReach:
    """The figures; the bar is the driven tool's shank, or thinner where room or bore ask for it."""
    bar = tools.driven_diameter
    if room is not None:
        bar = min(bar, max(room, 0.1))
    elif f.cut and isinstance(f.shape, Cylinder | Cone):
        bar = min(bar, 0.7 * 2 * f.radius)  # a boring bar of 0.7 of the bore [common practice]
    bends = deflection(tools.force, overhang, bar) if overhang > 0 else None
    return ToolReach(f.name, open_length, overhang, room, overhang / bar, bends)


def _unobstructed_length(low: float, high: float, barred: Sequence[tuple[float, float]]) -> float:
    """Length of a stretch that is in none of the barred ones."""
    left, at = 0.0, low
    for a, b in sorted(barred):
        if b <= at or a >= high:
            continue
        left += max(0.0, min(a, high) - at)
        at = max(at, b)
    return left + max(0.0, high - at)


def _obstruction_text(
    near: Sequence[Sweep], chuck: tuple[float, float], low: float, high: float, radius: float, tools: Tools
) -> str:
    if chuck[0] < high - LENGTH_TOLERANCE_MM and chuck[1] > low + LENGTH_TOLERANCE_MM:
        return "the chuck covers it"
    for s in near:
        if s.start < high - LENGTH_TOLERANCE_MM and s.end > low + LENGTH_TOLERANCE_MM and s.inner < radius + tools.room:
            room = s.inner - radius
            return f"only {max(room, 0):.1f} mm are free beside '{s.feature}', a tool needs {tools.room:g}"
    return "it is covered"
