"""Why no tool gets at a surface: what is in the way, and by how much."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from foldsketch.base.findings import Finding, mm
from foldsketch.setup import messages
from foldsketch.setup.access.standing import covered_spans, footprint_hits, gaps_between
from foldsketch.setup.access.surfaces import MIN_LINE_MM, Surface, lines_length
from foldsketch.setup.access.swept_region import FAR_MM
from foldsketch.setup.access.tools import slimmed, tool_size, tool_stances
from foldsketch.setup.access.workspace import KINDS_FOR, UNLIMITED_MM, Workspace, least_stick_out, most_reached, reaches
from foldsketch.setup.cutters import TOOL_NAMES, Cutter
from foldsketch.setup.model import LENGTH_TOLERANCE_MM

if TYPE_CHECKING:
    from shapely import Geometry

NOT_AT_ALL_SHARE = 0.02
"""A surface that a tool gets at only when it is slimmer than this share of itself is closed."""

WIDTH_STEP_SHARE = 2.0**-11
"""How exactly the widest tool that goes in is found, over the width of the slimmest one listed."""


class Around(NamedTuple):
    """What turns around a surface: its name, and the radial clearance between, mm."""

    feature: str
    clearance: float


def ring_around(surface: Surface, w: Workspace) -> Around | None:
    """What turns around a surface that looks out, and how near it comes."""
    from shapely import box

    if surface.side != "out":
        return None
    found = []
    for (r0, z0), (r1, z1) in surface.lines:
        low, high = min(z0, z1) + MIN_LINE_MM, max(z0, z1) - MIN_LINE_MM
        if high <= low:
            continue
        strip = box(max(r0, r1) + MIN_LINE_MM, low, FAR_MM, high)
        for name, swept in w.swept.features:
            beside = swept.intersection(strip)
            if not beside.is_empty:
                clearance = beside.bounds[0] - max(r0, r1)
                found.append(Around(name, 0.0 if clearance <= 2 * MIN_LINE_MM else clearance))
    return min(found, key=lambda a: a.clearance, default=None)


def why_not(surface: Surface, w: Workspace, widening: bool = False) -> Finding:
    """Why no tool of the workspace gets at a surface. widening: a bore whose far end is the wider one."""
    covered = _inside(surface, w)
    if covered is not None:
        return messages.SWEPT_OVER.at(feature=covered)
    around = ring_around(surface, w)
    if around is not None and around.clearance < w.room - LENGTH_TOLERANCE_MM:
        clearance, needed = mm(around.clearance, 1), mm(w.room)
        return messages.NO_CLEARANCE.at(neighbour=around.feature, clearance=clearance, needed=needed)
    tried = w.tools_for(surface)
    if not tried:
        return messages.NO_SUCH_TOOL.at(tools=" or ".join(TOOL_NAMES[k] for k in KINDS_FOR[surface.side]))
    long = [c for c in tried if reaches(surface, w, c, UNLIMITED_MM)]
    if long:
        return _too_long(surface, w, long, around)
    # Of each kind the slimmest: how much slimmer would it have to be?
    slimmest = {c.kind: c for c in sorted(tried, key=tool_size, reverse=True) if c.kind != "drill"}
    widest = [(_widest(surface, w, c) if _reached_by_slimmer(surface, w, c) else 0.0, c) for c in slimmest.values()]
    most, cutter = max(widest, key=lambda v: v[0] / tool_size(v[1]), default=(0.0, tried[0]))
    if most == 0 and around is not None:
        cutter = slimmest.get("axial", cutter)
    blocker = _blocker(surface, w, cutter)
    if most:
        return messages.TOOL_TOO_WIDE.at(
            neighbour=blocker, tool=TOOL_NAMES[cutter.kind], most=mm(most), needed=mm(tool_size(cutter))
        )
    if widening:
        return messages.BORE_OPENS_OTHER_WAY.at(end="-z" if w.end == "+z" else "+z")
    reached, length = most_reached(surface, w), lines_length(surface.lines)
    if reached > MIN_LINE_MM:
        return messages.REACHED_IN_PART.at(blocker=blocker, length=mm(length, 1), reached=mm(reached, 1))
    if surface.side == "in":
        return messages.BORE_CLOSED.at(feature=blocker, end=w.end)
    if around is not None:
        return messages.NEIGHBOUR_IN_FRONT.at(blocker=blocker, neighbour=around.feature)
    return messages.IN_THE_WAY.at(blocker=blocker)


def _too_long(surface: Surface, w: Workspace, tried: list[Cutter], around: Around | None) -> Finding:
    """The tool that lacks least."""
    needs = [(least_stick_out(surface, w, c, UNLIMITED_MM), w.stick_out(c), c) for c in tried]
    needed, allowed, cutter = min(needs, key=lambda v: v[0] - v[1])
    long, limit = mm(needed, 1), mm(allowed)
    if allowed == cutter.reach < cutter.overhang:
        return messages.BLADE_TOO_NARROW.at(needed=long, width=mm(cutter.width), depth=limit)
    if around is None:
        return messages.OVERHANG_TOO_LONG.at(needed=long, allowed=limit)
    return messages.OVERHANG_TOO_LONG_BESIDE.at(neighbour=around.feature, needed=long, allowed=limit)


def _reached_by_slimmer(surface: Surface, w: Workspace, cutter: Cutter) -> bool:
    return reaches(surface, w, slimmed(cutter, NOT_AT_ALL_SHARE), UNLIMITED_MM)


def _widest(surface: Surface, w: Workspace, cutter: Cutter) -> float:
    """Width, mm, up to which a tool of this kind would get at a surface if it were as long as it liked."""
    low, high = NOT_AT_ALL_SHARE, 1.0
    while high - low > WIDTH_STEP_SHARE:
        middle = (low + high) / 2
        if reaches(surface, w, slimmed(cutter, middle), UNLIMITED_MM):
            low = middle
        else:
            high = middle
    return low * tool_size(cutter)


def _inside(surface: Surface, w: Workspace) -> str | None:
    """The feature that sweeps over part of a surface, or None."""
    from shapely import BufferJoinStyle, LineString, affinity

    best, name = MIN_LINE_MM, None
    # Just in front of the surface; a face that something stands on is covered too.
    dx, dz = {"out": (1, 0), "in": (-1, 0), "up": (0, 1), "down": (0, -1)}[surface.side]
    lines = [affinity.translate(LineString(v), 2 * dx * MIN_LINE_MM, 2 * dz * MIN_LINE_MM) for v in surface.lines]
    for feature, swept in w.swept.features:
        inner = swept.buffer(-MIN_LINE_MM, join_style=BufferJoinStyle.mitre)
        length = sum(line.intersection(inner).length for line in lines)
        if length > best:
            best, name = length, feature
    return name


def _blocker(surface: Surface, w: Workspace, cutter: Cutter) -> str:
    """The feature that a tool meets most where it cannot stand."""
    stances = tool_stances(cutter, UNLIMITED_MM)
    missed = []
    for line in surface.lines:
        length = lines_length([line])
        for a, b in gaps_between(covered_spans(line, w.regions, stances), 0.0, length):
            share = (a + b) / 2 / length
            missed.append((b - a, tuple(p + (q - p) * share for p, q in zip(*line, strict=True))))
    if not missed:
        return ""
    x, z = max(missed)[1]

    def met(swept: Geometry) -> float:
        return min(sum(footprint_hits(swept, p, (x, z)) for p in s.pieces) for s in stances)

    return max(w.swept.features, key=lambda f: met(f[1]))[0]
