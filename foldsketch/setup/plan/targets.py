"""Targets: surfaces that a clamping can cut, with their cuts, and where the work is while they are cut."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Literal, NamedTuple

from foldsketch.setup.model import LENGTH_TOLERANCE_MM, PartEnd
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.holding import HeldSurface
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import Point
from foldsketch.setup.work.surface_cuts import SurfaceCut

How = Literal["turned", "driven", "drilled", "interpolated"]


class Target(NamedTuple):
    """A surface that a clamping can cut. surface: feature, face or band; how: with which kind of tool."""

    surface: str | Band
    how: How

    @property
    def name(self) -> str:
        """The feature or face."""
        return self.surface.feature if isinstance(self.surface, Band) else self.surface


class Cut(NamedTuple):
    """A target with the tools and times of its cuts."""

    target: Target
    parts: tuple[SurfaceCut, ...]

    @property
    def minutes(self) -> float:
        """Minutes without tool calls."""
        return sum(p.time.minutes for p in self.parts)


@dataclass(frozen=True, slots=True)
class Place:
    """Work in a chuck, before anything is known of how it is held.

    line: axis on the centreline; at: its x and y, mm; grip: heights between which the work is held, mm; parting: width
    of the blade that parts it from a fed bar, mm, 0 where none is fed.
    """

    spindle: Spindle
    from_end: PartEnd
    held: HeldSurface
    grip: tuple[float, float]
    line: str
    at: Point
    parting: float = 0.0

    @property
    def offset(self) -> float:
        """From the held axis to the centreline, mm."""
        d = hypot(self.held.at[0] - self.at[0], self.held.at[1] - self.at[1])
        return 0.0 if d < LENGTH_TOLERANCE_MM else d

    @property
    def front(self) -> float:
        """Height at which a tool stays clear of the jaws; of a plate, or a bore held from inside, where it is held."""
        clearance = self.spindle.jaw_clearance if self.held.kind in ("outside", "flats", "rectangle") else 0.0
        return self.grip[1] + clearance if self.from_end == "+z" else self.grip[0] - clearance
