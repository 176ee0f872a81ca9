"""The solid of the work: the blank, less what is done, as a part whose features are what is there at that moment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from foldsketch.part.model import Cone, Cylinder, Feature, FeatureShape, Part
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.work.blank import WorkBlank
from foldsketch.setup.work.cut_ends import Heights, Piece, cut_end
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
        materials = {f.name: self._material(f) for f in self.part.features if not f.cut}
        pieces += [p for made in materials.values() for p in made]
        cut_before = False
        for f in self.part.features:
            if not f.cut:
                # Material that follows a cut in the part file fills it, in the bar as well.
                made = self._material(f, in_bar=True) if cut_before and self.blank.bar else materials[f.name]
                features += [p.feature for p in made]
            elif (cut := self._cut(f, pieces)) is not None:
                features.append(cut)
                cut_before = True
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

    def _material(self, f: Feature, *, in_bar: bool = False) -> list[Piece]:
        """A feature as it is, in raw and finished pieces; what still lies in the bar is the bar's, if not asked for."""
        if f.name not in self.upright:
            return [Piece(f.name, f, *self.extents[f.name], False)]
        levels = self._levels(f)
        bar = [(low, high) for low, high, turned in self.stretches if not turned and not in_bar]
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

    def _cut(self, f: Feature, pieces: Sequence[Piece]) -> Feature | None:
        """A cut as it is: made, cored or cast to size, or None while its place is solid."""
        if f.name in self.done:
            return self._through_stock(f, f.shape, pieces)
        cast = f.finish == "cast" and not f.stock
        if f.name not in self.blank.cores and not (cast and not self.blank.bar):
            return None
        shape = grown(f.shape, -self.blank.rounds.get(f.name, 0.0))
        return None if is_nothing(shape) else self._through_stock(f, shape, pieces)

    def _through_stock(self, f: Feature, shape: FeatureShape, pieces: Sequence[Piece]) -> Feature:
        """A cut along z that also goes through the stock on the faces where it opens, as far as nothing is behind."""
        cut = replace(f, shape=shape)
        if f.name not in self.upright or isinstance(shape, Cone):
            return cut
        extents, with_stock = self.extents, {m.name: self.extent(m) for m in self.part.features if not m.cut}
        low, high = (
            cut_end(self.part, self.blank, f, Heights(extents, with_stock), pieces, up) for up in (False, True)
        )
        return cut if (low, high) == extents[f.name] else self._at_heights(cut, low, high)
