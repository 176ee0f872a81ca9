"""Surfaces: the round features and the faces (ends and shoulders) of a part that set-ups machine."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.part.mass.moments import section_moments
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Feature, Part, Ring
from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.model import PartEnd

BESIDE_FACE_MM = 1e-6
"""A face is looked at this far inside and outside of its end."""

MIN_FACE_AREA_MM2 = 1e-3
"""What is left of an end that other features cover; less is no face."""


@dataclass(frozen=True, slots=True)
class Round:
    """A round feature along z as it is to be, mm.

    low, high: heights in the part's frame; radius: largest of its outside, of a bore its inside; bore: radius inside a
    ring, 0 for none; cut: it takes material away.
    """

    feature: str
    axis: str
    low: float
    high: float
    radius: float
    bore: float
    cut: bool


@dataclass(frozen=True, slots=True)
class Face:
    """An end or shoulder of a feature along z. name: such as "flange +z".

    height: in the part's frame, mm; radius: of the feature about its own axis; area: left bare by what stands on it,
    mm2; carries: features that stand on it, none at a free end.
    """

    name: str
    feature: str
    axis: str
    end: PartEnd
    height: float
    radius: float
    area: float
    carries: tuple[str, ...]

    @property
    def free(self) -> bool:
        """Whether nothing stands on it."""
        return not self.carries


def features_along_z(part: Part) -> tuple[Feature, ...]:
    """The features whose axes are parallel to the part's z."""
    return tuple(f for f in part.features if part.axis(f.axis).along_z)


def rounds_of(part: Part) -> tuple[Round, ...]:
    """The round features along z, in the part's order."""
    found = []
    for f in features_along_z(part):
        if f.is_round:
            bore = f.shape.bore / 2 if isinstance(f.shape, Ring) else 0.0
            found.append(Round(f.name, f.axis, *z_extent(part, f), f.radius, bore, f.cut))
    return tuple(found)


def faces_of(part: Part) -> tuple[Face, ...]:
    """The ends and shoulders of the features along z that are not wholly covered by others."""
    solid = [f for f in features_along_z(part) if not f.cut]
    found = []
    for f in solid:
        for end, height in zip(("-z", "+z"), z_extent(part, f), strict=True):
            face = _face(part, solid, f, "+z" if end == "+z" else "-z", height)
            if face is not None:
                found.append(face)
    return tuple(found)


def _face(part: Part, solid: list[Feature], f: Feature, end: PartEnd, height: float) -> Face | None:
    """One end of a feature, or None where others cover it or it is a point."""
    sense = 1.0 if end == "+z" else -1.0
    own = section_at_height(part, f, height - sense * BESIDE_FACE_MM)
    if own is None:
        return None
    outside = height + sense * BESIDE_FACE_MM
    others = [(g, r) for g in solid if g is not f and (r := section_at_height(part, g, outside)) is not None]
    area = _uncovered(own, [r for _, r in others])
    if area < MIN_FACE_AREA_MM2:
        return None
    whole = _uncovered(own, [])
    carries = tuple(g.name for g, r in others if _uncovered(own, [r]) < whole - MIN_FACE_AREA_MM2)
    radius = own.distance_range(*part.axis(f.axis).point[:2])[1]
    return Face(f"{f.name} {end}", f.name, f.axis, end, height, radius, area, carries)


def _uncovered(own: Region, others: list[Region]) -> float:
    """Area of a region without others, mm2."""
    return section_moments([(own, False), *((r, True) for r in others)])[0]
