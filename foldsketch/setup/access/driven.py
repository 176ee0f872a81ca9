"""Driven tools: a cutter that goes around a diameter off the centreline, or inside a bore, and a drill in a hole.

The part stands still and the tool goes around the feature's own axis, so what is in its way is what the part would
sweep about that axis. Stick-outs leave the holder clear of all that it passes over.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from foldsketch.base.findings import Finding, mm
from foldsketch.part.model import Cylinder, Feature, Part
from foldsketch.setup import messages
from foldsketch.setup.access.surfaces import turned_surfaces
from foldsketch.setup.access.swept_region import FAR_MM, SweptRegion, swept_region
from foldsketch.setup.access.tools import HOLDER_MM, tool_deflection
from foldsketch.setup.access.workspace import drill_for
from foldsketch.setup.cutters import TOOL_NAMES, Cutter
from foldsketch.setup.machine import Tools
from foldsketch.setup.model import PartEnd

MIN_NEIGHBOUR_GAP_MM = 0.5
"""Least clearance of a cutter beside a neighbour, or in a bore [C]."""

MAX_CUTTER_STICK_OUT = 5.0
"""Most stick-out of a driven cutter over its diameter [C]."""

HOLDER_CLEARANCE_MM = 2.0
"""Between a holder and what it passes over [C]."""

DRILL_POINT_SHARE = 0.3
"""Length of a drill's point over its diameter: 118 degrees [D: tan 31 degrees / 2]."""

PECK_FACTORS = ((3.0, 1.0), (5.0, 1.3), (inf, 1.6))
"""Depth over diameter up to which a hole takes so many times the time of one that needs no pecks [M]."""

MILLING_FORCE_N = 60.0
"""Side force of a small finishing cut, for the deflection [M]."""

TOUCH_MM = 1e-3
"""Nearer is touching."""


@dataclass(frozen=True, slots=True)
class DrivenReach:
    """What a driven tool gets at.

    gap: mm to the nearest neighbour, inf without one, the diameter for a bore; cutter, stick_out: mm, and ratio: over
    its diameter, of the tool that gets there, or that comes nearest; deflection: mm at its tip, of a cutter under a
    finishing cut; peck: time of a hole over that of one without pecks; reason: why none gets there, or None.
    """

    feature: str
    gap: float
    cutter: Cutter | None = None
    stick_out: float = 0.0
    ratio: float = 0.0
    deflection: float | None = None
    peck: float = 1.0
    reason: Finding | None = None


def check_milling_access(
    part: Part,
    f: Feature,
    end: PartEnd,
    tools: Tools,
    cutters: tuple[Cutter, ...],
    work: Part | None = None,
    front: float | None = None,
) -> DrivenReach:
    """What a driven cutter gets at of a cylinder or a bore whose axis is along z.

    work: the part as it is at that moment, whose heights the holder has to clear, None for finished; front: z of the
    jaws' front in the part, which the tool stays clear of. The gap is to the neighbour as finished.
    """
    swept, span, reason = _open_span(part, f, end, front)
    radius = f.radius
    if reason is not None:
        return DrivenReach(f.name, 0.0, reason=reason)
    gap, neighbour = (2 * radius, f.name) if f.cut else _gap_around(swept, radius, span[0])
    most = gap - MIN_NEIGHBOUR_GAP_MM
    listed = sorted((c for c in cutters if c.kind == "cutter"), key=lambda c: -c.diameter)
    fitting = [c for c in listed if c.diameter <= min(most, tools.driven_diameter) + TOUCH_MM]
    if not fitting:
        if not listed:
            return DrivenReach(f.name, gap, reason=messages.NO_SUCH_TOOL.at(tools=TOOL_NAMES["cutter"]))
        if gap == 0:
            return DrivenReach(f.name, gap, reason=messages.IN_THE_WAY.at(blocker=neighbour))
        allowed, least = mm(max(0.0, min(most, tools.driven_diameter))), mm(listed[-1].diameter)
        too_wide = messages.CUTTER_GAP.at(neighbour=neighbour, gap=mm(gap), most=allowed, needed=least)
        return DrivenReach(f.name, gap, reason=too_wide)
    tried = []
    for c in fitting:
        around = radius + (-c.diameter if f.cut else c.diameter) / 2
        out = _top_under_holder(work or part, part, f, end, around) - span[0] + HOLDER_CLEARANCE_MM
        tried.append((c, out, min(c.overhang, MAX_CUTTER_STICK_OUT * c.diameter, tools.overhang)))
    return _chosen(f, gap, tried, MILLING_FORCE_N)


def check_drill_access(
    part: Part,
    f: Feature,
    end: PartEnd,
    tools: Tools,
    cutters: tuple[Cutter, ...],
    work: Part | None = None,
    front: float | None = None,
) -> DrivenReach:
    """What a drill gets at of a hole whose axis is along z; its point comes out of the hole.

    work, front: see `check_milling_access`.
    """
    _, span, reason = _open_span(part, f, end, front)
    drill = drill_for(2 * f.radius, cutters, tools.drill)
    if reason is None and drill is None:
        reason = messages.NO_DRILL.at(needed=mm(2 * f.radius))
    if reason is not None or drill is None:
        return DrivenReach(f.name, 2 * f.radius, reason=reason)
    point = DRILL_POINT_SHARE * drill.diameter
    out = _top_under_holder(work or part, part, f, end, 0.0) - span[0] + point + HOLDER_CLEARANCE_MM
    made = _chosen(f, 2 * f.radius, [(drill, out, min(drill.overhang, tools.overhang))], None)
    depth = (span[1] - span[0]) / drill.diameter
    return replace(made, peck=next(factor for most, factor in PECK_FACTORS if depth <= most))


def _chosen(f: Feature, gap: float, tried: list[tuple[Cutter, float, float]], force: float | None) -> DrivenReach:
    """The largest tool that is long enough, or why none is. tried: tool, stick-out that it needs, and its limit."""
    cutter, out, limit = next((t for t in tried if t[1] <= t[2] + TOUCH_MM), min(tried, key=lambda t: t[1] - t[2]))
    reason = None
    if out > limit + TOUCH_MM:
        reason = messages.OVERHANG_TOO_LONG.at(needed=mm(out, 1), allowed=mm(limit))
    bends = None if force is None else tool_deflection(cutter, out, force)
    return DrivenReach(f.name, gap, cutter, out, out / cutter.diameter, bends, reason=reason)


def _open_span(
    part: Part, f: Feature, end: PartEnd, front: float | None
) -> tuple[SweptRegion, tuple[float, float], Finding | None]:
    """What is around a feature's own axis, from where to where its surface stands free, and why it cannot be got at."""
    axis = part.axis(f.axis)
    swept = swept_region(part, (axis.point[0], axis.point[1]), end)
    if not axis.along_z or not isinstance(f.shape, Cylinder):
        return swept, (0.0, 0.0), messages.NOT_MILLED.at()
    heights = [z for line in turned_surfaces(part, f, swept, end)[0].lines for _, z in line]
    if not heights:
        return swept, (0.0, 0.0), (messages.BORE_CUTS_NOTHING if f.cut else messages.SURFACE_COVERED).at()
    span = (round(min(heights), 4), round(max(heights), 4))
    if front is not None and span[0] < (front if end == "+z" else -front) - TOUCH_MM:
        return swept, span, messages.CHUCK_COVERS.at()
    closing = _first_met(swept, (0.0, span[0] + TOUCH_MM, f.radius - TOUCH_MM, FAR_MM)) if f.cut else None
    return swept, span, None if closing is None else messages.BORE_CLOSED.at(feature=closing[1], end=end)


def _gap_around(swept: SweptRegion, radius: float, low: float) -> tuple[float, str]:
    """How near the nearest neighbour comes that stands higher than the foot of a feature, mm, and its name."""
    found = _first_met(swept, (radius + TOUCH_MM, low + TOUCH_MM, FAR_MM, FAR_MM))
    if found is None:
        return inf, ""
    gap = round(found[0] - radius, 4)
    return (gap if gap > 2 * TOUCH_MM else 0.0), found[1]


def _first_met(swept: SweptRegion, bounds: tuple[float, float, float, float]) -> tuple[float, str] | None:
    """Of what lies between two radii and two heights the one that is nearest to the axis: its radius and its name."""
    from shapely import box

    window = box(*bounds)
    met = [(g.intersection(window), name) for name, g in swept.features]
    return min(((g.bounds[0], name) for g, name in met if g.area > 0), default=None)


def _top_under_holder(work: Part, part: Part, f: Feature, end: PartEnd, around: float) -> float:
    """Height of the highest point that a holder passes over whose middle goes around a feature's axis, mm."""
    from shapely import box

    axis = part.axis(f.axis)
    swept = swept_region(work, (axis.point[0], axis.point[1]), end)
    under = swept.material.intersection(box(max(0.0, around - HOLDER_MM / 2), -FAR_MM, around + HOLDER_MM / 2, FAR_MM))
    return float(under.bounds[3])
