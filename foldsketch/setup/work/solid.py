"""The solid of the work: the blank, less what is done, as a part whose features are what is there at that moment."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from foldsketch.part.model import Cone, Cylinder, Feature, Part
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.model import LENGTH_TOLERANCE_MM
from foldsketch.setup.work.blank import WorkBlank
from foldsketch.setup.work.grown_shapes import grown, is_nothing

BAR_NAME, RAW_SUFFIX = "bar", " (raw)"
"""Names, to be shown, of what is left of a bar, and of the raw part of a feature where the rest of it is finished."""


class Band(NamedTuple):
    """A length of a feature's diameter that is machined: between two heights in the part's frame, mm."""

    feature: str
    low: float
    high: float


Done = frozenset[str | Band]
"""What is machined: names of features (their diameter, or their cut) and of faces, and bands of diameters."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A length of one feature, or of the bar, as it is.

    of: the part's feature, "" for the bar; low, high: mm; raw: not yet machined.
    """

    of: str
    feature: Feature
    low: float
    high: float
    raw: bool


class WorkSolid(NamedTuple):
    """The work at a moment. part: its solid; pieces: what its material consists of."""

    part: Part
    pieces: tuple[Piece, ...]


def work_solid(part: Part, blank: WorkBlank, done: Done) -> WorkSolid:
    """The work with some surfaces done. done: names that are no surfaces of the part change nothing."""
    return _Builder(part, blank, done).solid()


class _Builder:
    """Builds the solid of one state."""

    def __init__(self, part: Part, blank: WorkBlank, done: Done) -> None:
        self.part, self.blank, self.done = part, blank, done
        self.upright = {f.name for f in part.features if part.axis(f.axis).along_z}
        self.extents = {f.name: z_extent(part, f) for f in part.features}
        self.bands: dict[str, list[tuple[float, float]]] = {}
        for d in done:
            if isinstance(d, Band):
                self.bands.setdefault(d.feature, []).append((d.low, d.high))
        self.stretches = self._bar_stretches() if blank.bar else []

    def solid(self) -> WorkSolid:
        features: list[Feature] = []
        pieces: list[Piece] = []
        if self.blank.bar:
            pieces += self._bar()
            features += [p.feature for p in pieces]
        for f in self.part.features:
            if f.cut:
                cut = self._cut(f)
                features += [cut] if cut is not None else []
                continue
            made = self._material(f)
            pieces += made
            features += [p.feature for p in made]
        return WorkSolid(self.part.with_features(tuple(features)), tuple(pieces))

    # What is there at which height -----------------------------------------------------------------------------------

    def face_stock(self, f: Feature, end: str) -> float:
        """Stock that is left on an end of a feature, mm."""
        name = f"{f.name} {end}"
        return 0.0 if name in self.done else self.blank.faces.get(name, 0.0)

    def extent(self, f: Feature) -> tuple[float, float]:
        """Heights of a feature with the stock on its ends."""
        low, high = self.extents[f.name]
        return low - self.face_stock(f, "-z"), high + self.face_stock(f, "+z")

    def finished(self, f: Feature, low: float, high: float) -> bool:
        """Whether the diameter of a feature is machined between two heights."""
        middle = (low + high) / 2
        return f.name in self.done or any(a < middle < b for a, b in self.bands.get(f.name, ()))

    def _levels(self, f: Feature) -> list[float]:
        """Heights between which a feature is either finished or raw."""
        low, high = self.extent(f)
        edges = [v for band in self.bands.get(f.name, ()) for v in band if low < v < high]
        if isinstance(f.shape, Cone):
            edges += self.extents[f.name]  # the stock on its ends does not taper
        return sorted({low, high, *edges})

    def _bar_stretches(self) -> list[tuple[float, float, bool]]:
        """Stretches of a bar, and whether the bar is turned away there: something at that height is finished."""
        material = [f for f in self.part.features if not f.cut and f.name in self.upright]
        own = {v for f in material for v in self._levels(f)}
        raw = {v for f in material for v in self._raw_extent(f)}
        levels = sorted(v for v in own | raw if min(own) <= v <= max(own))
        found: list[tuple[float, float, bool]] = []
        for low, high in pairwise(levels):
            here = [f for f in material if self._raw_extent(f)[0] < (low + high) / 2 < self._raw_extent(f)[1]]
            found.append((low, high, any(self.finished(f, low, high) for f in here)))
        return found

    def _raw_extent(self, f: Feature) -> tuple[float, float]:
        """Heights of a feature with all the stock that its ends ever had: what is turned there stays turned."""
        low, high = self.extents[f.name]
        return low - self.blank.faces.get(f"{f.name} -z", 0.0), high + self.blank.faces.get(f"{f.name} +z", 0.0)

    # Its features ----------------------------------------------------------------------------------------------------

    def _bar(self) -> list[Piece]:
        """What is left of a bar, equal neighbours joined."""
        runs: list[list[float]] = []
        for low, high, turned in self.stretches:
            if turned:
                continue
            if runs and runs[-1][1] == low:
                runs[-1][1] = high
            else:
                runs.append([low, high])
        shape = Cylinder(self.blank.diameter)
        made = []
        for low, high in runs:
            bar = self._at_heights(Feature(BAR_NAME, self.blank.axis, shape, 0.0, 1.0), low, high)
            made.append(Piece("", bar, low, high, True))
        return made

    def _material(self, f: Feature) -> list[Piece]:
        """A feature as it is: one piece, or raw and finished ones; of a bar only where the bar is turned away."""
        if f.name not in self.upright:
            return [Piece(f.name, f, *self.extents[f.name], False)]
        levels = self._levels(f)
        bar = [(low, high) for low, high, turned in self.stretches if not turned]
        levels = sorted({*levels, *(v for s in self.stretches for v in s[:2] if levels[0] < v < levels[-1])})
        made: list[Piece] = []
        for low, high in pairwise(levels):
            if any(a < (low + high) / 2 < b for a, b in bar):
                continue
            raw = not self.finished(f, low, high)
            joins = made and made[-1].high == low and made[-1].raw == raw and not isinstance(f.shape, Cone)
            if joins:
                low = made.pop().low
            made.append(Piece(f.name, self._as_it_is(f, low, high, raw), low, high, raw))
        if len(made) > 1 and any(not p.raw for p in made):
            made = [replace(p, feature=self._named(p)) for p in made]
        return made

    def _named(self, piece: Piece) -> Feature:
        return replace(piece.feature, name=piece.of + RAW_SUFFIX) if piece.raw else piece.feature

    def _as_it_is(self, f: Feature, low: float, high: float, raw: bool) -> Feature:
        """A feature between two heights, with its stock where it is raw."""
        stock = self.blank.rounds.get(f.name, 0.0) if raw else 0.0
        shape = f.shape
        if isinstance(shape, Cone):
            shape = self._clipped_cone(f, shape, low, high)
        return self._at_heights(replace(f, shape=grown(shape, stock)), low, high)

    def _clipped_cone(self, f: Feature, shape: Cone, low: float, high: float) -> Cone:
        """The taper between two heights; beyond its ends its diameter stays."""
        a, b = self.extents[f.name]
        up = self.part.axis(f.axis).direction[2] > 0
        ends = (shape.start_diameter, shape.end_diameter) if up else (shape.end_diameter, shape.start_diameter)
        at = [ends[0] + (ends[1] - ends[0]) * min(1.0, max(0.0, (z - a) / (b - a))) for z in (low, high)]
        return Cone(*at) if up else Cone(*at[::-1])

    def _at_heights(self, f: Feature, low: float, high: float) -> Feature:
        """A feature along z moved to two heights of the part's frame."""
        axis = self.part.axis(f.axis)
        sense = 1.0 if axis.direction[2] > 0 else -1.0
        start, end = sorted((sense * (low - axis.point[2]), sense * (high - axis.point[2])))
        return replace(f, start=start, end=end)

    def _cut(self, f: Feature) -> Feature | None:
        """A cut as it is: made, cored or cast to size, or None while its place is solid."""
        if f.name in self.done:
            return self._through_stock(f)
        cast = f.finish == "cast" and not f.stock
        if f.name not in self.blank.cores and not (cast and not self.blank.bar):
            return None
        shape = grown(f.shape, -self.blank.rounds.get(f.name, 0.0))
        return None if is_nothing(shape) else self._through_stock(replace(f, shape=shape))

    def _through_stock(self, f: Feature) -> Feature:
        """A cut along z that also goes through the stock on the faces where it opens."""
        if f.name not in self.upright or isinstance(f.shape, Cone):
            return f
        low, high = self.extents[f.name]
        below, above = low, high
        for m in self.part.features:
            if m.cut or m.name not in self.upright or not self._side_by_side(f, m):
                continue
            a, b = self.extents[m.name]
            tolerance = LENGTH_TOLERANCE_MM
            if low <= a + tolerance and high > a:
                below = min(below, self.extent(m)[0] - (a - low))
            if high >= b - tolerance and low < b:
                above = max(above, self.extent(m)[1] + (high - b))
        return f if (below, above) == (low, high) else self._at_heights(f, below, above)

    def _side_by_side(self, f: Feature, m: Feature) -> bool:
        """Whether two features along z meet when seen along it, by the rounds around them."""
        a, b = self.part.axis(f.axis).point, self.part.axis(m.axis).point
        return hypot(a[0] - b[0], a[1] - b[1]) < f.radius + m.radius + self.blank.rounds.get(m.name, 0.0)
