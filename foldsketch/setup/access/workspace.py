"""What a tool finds in front of it in one clamping, and which of the tools gets at a surface there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from foldsketch.setup.access.standing import Regions, covered_spans, gaps_between
from foldsketch.setup.access.surfaces import MIN_LINE_MM, Side, Surface, lines_length
from foldsketch.setup.access.swept_region import FAR_MM, SweptRegion
from foldsketch.setup.access.tools import stiffness, tool_stances
from foldsketch.setup.cutters import Cutter, CutterKind
from foldsketch.setup.machine import Tools
from foldsketch.setup.model import PartEnd

if TYPE_CHECKING:
    from shapely import Geometry

KINDS_FOR: dict[Side, tuple[CutterKind, ...]] = {
    "out": ("outside", "axial", "blade"),
    "in": ("bar", "drill"),
    "up": ("outside", "axial", "blade", "bar"),
    "down": ("outside", "blade"),
}
"""Tools that are tried for a surface, by where it looks: the plainest first."""

UNLIMITED_MM = FAR_MM / 4
"""A stick-out that is never too short."""

STICK_OUT_STEP_MM = 1e-3
"""How exactly the least stick-out is found; it is given to 0.01 mm."""

HOLE_MATCH_MM = 1e-3
"""How near a drill's diameter must come to the hole's."""


@dataclass(frozen=True, slots=True, eq=False)
class Workspace:
    """The space in which tools move.

    swept: by the part; end: that is machined, turned to +z; chuck: in front of which the tool stays, or None; room:
    radial gap, mm, that is asked for beside a surface that something turns around.
    """

    swept: SweptRegion
    end: PartEnd
    tools: Tools
    cutters: tuple[Cutter, ...]
    chuck: Geometry | None = None
    room: float = 0.0

    @property
    def regions(self) -> Regions:
        """All that is in the way."""
        return (self.swept.material,) if self.chuck is None else (self.swept.material, self.chuck)

    def stick_out(self, cutter: Cutter) -> float:
        """How far a tool may stick out, mm: its own limit and the machine's."""
        return min(cutter.reach, self.tools.overhang)

    def tools_for(self, surface: Surface) -> list[Cutter]:
        """Tools to try on a surface, kind by kind, the stiffest of a kind first."""
        kinds = KINDS_FOR[surface.side]
        found = [c for c in self.cutters if c.kind in kinds and c.kind != "drill"]
        drill = self._drill_for(surface) if "drill" in kinds else None
        found += [drill] if drill is not None else []
        return sorted(found, key=lambda c: (kinds.index(c.kind), -stiffness(c), -c.overhang))

    def _drill_for(self, surface: Surface) -> Cutter | None:
        radii = {round(r, 6) for line in surface.lines for r, _ in line}
        return drill_for(2 * radii.pop(), self.cutters, self.tools.drill) if len(radii) == 1 else None


def drill_for(diameter: float, cutters: Iterable[Cutter], most: float) -> Cutter | None:
    """The drill for a hole, or None. most: mm up to which holes are drilled.

    Up to there a drill of the hole's own size is to be had, as long for its diameter as the nearest one that is listed.
    """
    drills = sorted((c for c in cutters if c.kind == "drill"), key=lambda c: abs(c.diameter - diameter))
    if not drills or not diameter > 0:
        return None
    if abs(drills[0].diameter - diameter) <= HOLE_MATCH_MM:
        return drills[0]
    if diameter > most:
        return None
    share = diameter / drills[0].diameter
    return drills[0]._replace(width=diameter, shank=diameter, diameter=diameter, overhang=share * drills[0].overhang)


def open_lines(surface: Surface, w: Workspace, cutter: Cutter, stick_out: float) -> tuple[float, float]:
    """What a tool that sticks out so far gets at, and what it does not: mm along the surface's lines."""
    stances = tool_stances(cutter, stick_out, w.room)
    missed = 0.0
    for line in surface.lines:
        length = lines_length([line])
        spans = covered_spans(line, w.regions, stances)
        missed += sum(b - a for a, b in gaps_between(spans, 0.0, length))
    return lines_length(surface.lines) - missed, missed


def reaches(surface: Surface, w: Workspace, cutter: Cutter, stick_out: float) -> bool:
    """Whether a tool that sticks out so far gets at every point of a surface."""
    return open_lines(surface, w, cutter, stick_out)[1] <= MIN_LINE_MM


def most_reached(surface: Surface, w: Workspace) -> float:
    """The most that any one tool gets at, mm along the surface's lines."""
    return max((open_lines(surface, w, c, w.stick_out(c))[0] for c in w.tools_for(surface)), default=0.0)


def find_tool(surface: Surface, w: Workspace) -> Cutter | None:
    """The first tool that gets at every point of a surface, or None."""
    return next((c for c in w.tools_for(surface) if reaches(surface, w, c, w.stick_out(c))), None)


def least_stick_out(surface: Surface, w: Workspace, cutter: Cutter, most: float) -> float:
    """How far a tool must stick out, mm, to get at a surface; most: a stick-out at which it does."""
    low, high = 0.0, most
    if reaches(surface, w, cutter, low):
        return low
    while high - low > STICK_OUT_STEP_MM:
        middle = (low + high) / 2
        if reaches(surface, w, cutter, middle):
            high = middle
        else:
            low = middle
    return round(high, 2)
