"""Tool access: which tool gets at a feature in a clamping, how far it sticks out and bends, or why none does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

from foldsketch.base.arrays import Point
from foldsketch.base.findings import Finding
from foldsketch.part.model import Cone, Feature, Part
from foldsketch.setup import messages
from foldsketch.setup.access.surfaces import MIN_LINE_MM, Surface, end_face, turned_surfaces
from foldsketch.setup.access.swept_region import (
    SweptRegion,
    chuck_region,
    inside_chuck_region,
    swept_region,
    tool_extent,
    tool_height,
)
from foldsketch.setup.access.tools import overhang_ratio, tool_deflection, tool_size
from foldsketch.setup.access.why_not import ring_around, why_not
from foldsketch.setup.access.workspace import Workspace, find_tool, least_stick_out, most_reached
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.machine import Tools
from foldsketch.setup.model import PartEnd, ToolReach


@dataclass(frozen=True, slots=True)
class Chuck:
    """What turns with the part at the chuck end.

    grip: start and end of the length that the jaws cover, part z; inner, outer: radii about the centreline between
    which jaws and chuck turn; bore: for jaws inside, what they sweep of it, else 0; mm.
    """

    grip: tuple[float, float]
    inner: float
    outer: float
    bore: float = 0.0


@dataclass(frozen=True, slots=True)
class Approach:
    """How tools come to a part.

    at: x and y of the line that it turns about, mm; end: from which they come; tools: limits of them all; cutters:
    those there are; chuck: None where nothing but the part is in the way.
    """

    at: Point
    end: PartEnd
    tools: Tools
    cutters: tuple[Cutter, ...]
    chuck: Chuck | None = None


class AccessResult(NamedTuple):
    """What a tool reaches, and why none reaches all of it (None where one does)."""

    reach: ToolReach
    reason: Finding | None = None


def check_tool_access(part: Part, f: Feature, approach: Approach) -> AccessResult:
    """What a tool reaches of a round feature whose axis is on the centreline.

    A feature is reached when every surface of it is; the figures are those of the tool that bends most.
    """
    w = _workspace(part, f, approach)
    surfaces = [s for s in turned_surfaces(part, f, w.swept, w.end) if s.lines]
    reason = why_not_reached(part, f, approach)
    around = ring_around(surfaces[0], w) if surfaces else None
    clearance = around.clearance if around is not None else None
    if reason is not None:
        open_length = most_reached(surfaces[0], w) if surfaces else 0.0
        return AccessResult(ToolReach(f.name, open_length, 0.0, clearance, 0.0, None), reason)
    worst = max((_reached(f, s, w) for s in surfaces), key=lambda r: r.deflection or 0.0)
    return AccessResult(replace(worst, open_length=surfaces[0].rise, radial_clearance=clearance))


def check_face_access(part: Part, f: Feature, approach: Approach, up: bool = True) -> AccessResult:
    """The same for an end or shoulder of a feature, or the bottom of a bore; lengths across the face.

    up: the face that looks at the tool, or else the one that looks into the chuck.
    """
    w = replace(_workspace(part, f, approach), room=0.0)
    face = end_face(part, f, w.swept, w.end, up)
    if not face.lines:
        return AccessResult(ToolReach(f.name, 0.0, 0.0, None, 0.0, None), messages.SURFACE_COVERED.at())
    reason = _chuck_covers([face], w) or _why_none([face], replace(w, chuck=None)) or _blocked_by_chuck([face], w)
    if reason is not None:
        return AccessResult(ToolReach(f.name, most_reached(face, w), 0.0, None, 0.0, None), reason)
    return AccessResult(_reached(f, face, w))


def is_reached(part: Part, f: Feature, approach: Approach) -> bool:
    """Whether a tool gets at every surface of a round feature: `check_tool_access` without figures and reasons."""
    return _all_reached(
        [s for s in turned_surfaces(part, f, _swept(part, approach), approach.end) if s.lines], part, f, approach
    )


def is_face_reached(part: Part, f: Feature, approach: Approach, up: bool = True) -> bool:
    """The same for an end or shoulder of a feature: `check_face_access` without figures and reasons."""
    face = end_face(part, f, _swept(part, approach), approach.end, up)
    return _all_reached([face] if face.lines else [], part, f, approach, room=0.0)


def _swept(part: Part, approach: Approach) -> SweptRegion:
    return swept_region(part, approach.at, approach.end)


def _all_reached(
    surfaces: Sequence[Surface], part: Part, f: Feature, approach: Approach, room: float | None = None
) -> bool:
    w = _workspace(part, f, approach)
    w = w if room is None else replace(w, room=room)
    if not surfaces or _chuck_covers(surfaces, w) is not None:
        return False
    return all(find_tool(s, w) is not None for s in surfaces)


def why_not_reached(part: Part, f: Feature, approach: Approach) -> Finding | None:
    """Why no tool gets at every point of a feature, None where one does: `check_tool_access` without its figures."""
    w = _workspace(part, f, approach)
    surfaces = [s for s in turned_surfaces(part, f, w.swept, w.end) if s.lines]
    covered = _chuck_covers(surfaces, w)
    return covered or _why_not_bare(part, f, replace(approach, chuck=None)) or _blocked_by_chuck(surfaces, w)


@lru_cache(maxsize=1024)
def _why_not_bare(part: Part, f: Feature, approach: Approach) -> Finding | None:
    """The same with nothing but the part in the way; a plan asks it for every way of holding the part."""
    w = _workspace(part, f, approach)
    surfaces = [s for s in turned_surfaces(part, f, w.swept, w.end) if s.lines]
    if not surfaces:
        return (messages.BORE_CUTS_NOTHING if f.cut else messages.SURFACE_COVERED).at()
    return _why_none(surfaces, w, _widens_inwards(part, f, approach.end))


def _why_none(surfaces: Sequence[Surface], w: Workspace, widening: bool = False) -> Finding | None:
    missed = next((s for s in surfaces if find_tool(s, w) is None), None)
    return None if missed is None else why_not(missed, w, widening)


def _chuck_covers(surfaces: Sequence[Surface], w: Workspace) -> Finding | None:
    from shapely import LineString

    lines = [LineString(line) for s in surfaces for line in s.lines]
    if w.chuck is not None and sum(w.chuck.intersection(line).length for line in lines) > MIN_LINE_MM:
        return messages.CHUCK_COVERS.at()
    return None


def _blocked_by_chuck(surfaces: Sequence[Surface], w: Workspace) -> Finding | None:
    """Surfaces that a tool would get at if the chuck were away."""
    if w.chuck is None or all(find_tool(s, w) is not None for s in surfaces):
        return None
    return messages.CHUCK_IN_THE_WAY.at()


def _workspace(part: Part, f: Feature, approach: Approach) -> Workspace:
    end, chuck = approach.end, None
    # A groove is as wide as it is: its tool is made for it.
    room = 0.0 if f.cut else approach.tools.room
    if (c := approach.chuck) is not None:
        front = c.grip[1] if end == "+z" else -c.grip[0]
        face = min(tool_extent(part, g, end)[0] for g in part.features if not g.cut)
        chuck = inside_chuck_region(front, c.bore, face, c.outer) if c.bore else chuck_region(front, c.inner, c.outer)
    return Workspace(swept_region(part, approach.at, end), end, approach.tools, approach.cutters, chuck, room)


def _reached(f: Feature, surface: Surface, w: Workspace) -> ToolReach:
    """The figures of the tool that gets at a surface."""
    cutter = find_tool(surface, w)
    assert cutter is not None
    out = least_stick_out(surface, w, cutter, w.stick_out(cutter))
    bends = tool_deflection(cutter, out, w.tools.force) if out else None
    ratio = overhang_ratio(cutter, out)
    return ToolReach(f.name, surface.rise, out, None, ratio, bends, cutter.kind, tool_size(cutter))


def _widens_inwards(part: Part, f: Feature, end: PartEnd) -> bool:
    """Whether a conical bore is wider at its far end than where the tool comes in."""
    if not (f.cut and isinstance(f.shape, Cone)):
        return False
    starts_low = tool_height(part, f, f.start, end) < tool_height(part, f, f.end, end)
    return (f.shape.start_diameter > f.shape.end_diameter) == starts_low
