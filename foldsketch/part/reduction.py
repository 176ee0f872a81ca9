"""Reduction: which features of a part are built, and which are only drawn on the faces of its model."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from foldsketch.part.bore_openings import has_material_put_in, opens_in_material
from foldsketch.part.details import MAX_SMALL_HOLE_SHARE, MIN_PATTERN, SAME_PLANE_TOLERANCE_MM, axis_lines, find_details
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring

ReductionLevel = Literal["all", "no details", "no shown bores"]
"""What is built: everything; all but small holes, chamfers and narrow grooves; nor bores whose axis is shown without
them. Each level draws what the one before it draws."""


@dataclass(frozen=True, slots=True)
class ReducedPart:
    """A part as it is built, and the features that are drawn on it: cuts and tapers, with the ends that they have.

    names: of all features, in file order.
    """

    built: Part
    drawn: tuple[Feature, ...]
    names: tuple[str, ...]


def split_part(part: Part, level: ReductionLevel) -> ReducedPart:
    """The part that is built at a level, and what is drawn instead.

    Every axis away from the datum that carries more than small holes keeps a feature, and so does one small hole that
    is the only thing off the datum. Where a taper stood its neighbour is longer, so that what stands on it still does.
    """
    order = tuple(f.name for f in part.features)
    whole = ReducedPart(part, (), order)
    if level == "all" or all(f.cut for f in part.features):
        return whole
    kept = _without_details(part)
    if level == "no shown bores":
        shown = _shown_bores(part, kept)
        kept = [f for f in kept if f.name not in shown]
    if all(f.cut for f in kept):
        return whole
    filled = {f.name for f in kept if _is_filled(f, kept, level)}
    names = {f.name for f in kept}
    drawn = [_bore_of(f) if f.name in filled else f for f in part.features if f.name in filled or f.name not in names]
    if not drawn:
        return whole
    built = part.with_features(tuple(_fill_bore(f) if f.name in filled else f for f in kept))
    return ReducedPart(built, tuple(drawn), order)


def touch_end_to_end(f: Feature, g: Feature) -> bool:
    """Whether one feature begins where another one on the same axis ends."""
    return abs(g.end - f.start) < SAME_PLANE_TOLERANCE_MM or abs(f.end - g.start) < SAME_PLANE_TOLERANCE_MM


def join_extents(f: Feature, other: Feature) -> Feature:
    """A feature made longer by another one's extent on the same axis."""
    return replace(f, start=min(f.start, other.start), end=max(f.end, other.end))


def _without_details(part: Part) -> list[Feature]:
    """The features without details, neighbours made longer by the tapers that stood on them."""
    lines = axis_lines(part)
    details = find_details(part, lines)
    kept = _extend_neighbours(part, details)
    return _restore_axes(part, kept, lines)


def _can_be_drawn(part: Part, cut: Feature) -> bool:
    """Whether a circle shows a bore: it opens inside a face, and nothing was put into it."""
    return opens_in_material(part, cut) and not has_material_put_in(part, cut)


def _extend_neighbours(part: Part, details: Sequence[Feature]) -> list[Feature]:
    """The features without the details.

    A straight neighbour takes up the length of a chamfer or taper, so that what is on top of it still touches; a
    chamfer or taper without such a neighbour stays.
    """
    kept = {f.name: f for f in part.features if f not in details}
    left = [f for f in details if isinstance(f.shape, Cone) and not f.cut]
    changed = True
    while changed:
        changed = False
        for f in left:
            beside = _straight_neighbours(f, kept.values())
            if beside:
                kept[beside[0].name] = join_extents(beside[0], f)
                # Two equal ones with a groove between them are one.
                for other in (g for g in beside[1:] if g.shape == beside[0].shape):
                    kept[beside[0].name] = join_extents(kept[beside[0].name], kept.pop(other.name))
                left, changed = [other for other in left if other is not f], True
    kept |= {f.name: f for f in left}
    return [kept[f.name] for f in part.features if f.name in kept]


def _straight_neighbours(f: Feature, features: Iterable[Feature]) -> list[Feature]:
    """The features on the same axis that add material, are no cones and touch f end to end."""
    others = (g for g in features if not g.cut and g.axis == f.axis and not isinstance(g.shape, Cone))
    return [g for g in others if touch_end_to_end(f, g)]


def _restore_axes(part: Part, kept: list[Feature], lines: dict[str, str]) -> list[Feature]:
    """The kept features, and those that carry the point of the part: no axis may vanish that turns.

    An axis with nothing but small holes may, unless no other feature would be off the datum.
    """
    datum = lines[part.datum.name]
    shown = {lines[f.axis] for f in kept}
    lost: dict[str, list[Feature]] = {}
    for f in part.features:
        if lines[f.axis] not in shown | {datum}:
            lost.setdefault(lines[f.axis], []).append(f)
    holes = {line: own for line, own in lost.items() if all(isinstance(f.shape, Cylinder) for f in own)}
    back = {f.name for line, own in lost.items() if line not in holes for f in own}
    if not back and shown <= {datum} and holes:
        widest = max(f.radius for own in holes.values() for f in own)
        main = [own for own in holes.values() if max(f.radius for f in own) == widest]
        back = {f.name for own in main for f in own} if len(main) < MIN_PATTERN else set()
    grown = {f.name: f for f in kept}
    return [grown.get(f.name, f) for f in part.features if f.name in grown or f.name in back]


def _shown_bores(part: Part, kept: Sequence[Feature]) -> set[str]:
    """Names of the bores whose axis another built feature shows."""
    lines = axis_lines(part)
    solid = {lines[f.axis] for f in kept if not f.cut}
    bores = [f for f in kept if f.cut and isinstance(f.shape, Cylinder | Cone) and _can_be_drawn(part, f)]
    names = {f.name for f in bores}
    found: set[str] = set()
    for line in {lines[f.axis] for f in bores}:
        own = sorted((f for f in bores if lines[f.axis] == line), key=lambda f: -f.radius * f.radius * f.length)
        others = any(f.cut and lines[f.axis] == line and f.name not in names for f in kept)
        found |= {f.name for f in own[0 if line in solid or others else 1 :]}
    return found


def _is_filled(f: Feature, kept: Sequence[Feature], level: ReductionLevel) -> bool:
    """Whether the bore of a ring is drawn: a small one, or at the last level any."""
    if f.cut or not isinstance(f.shape, Ring) or _is_bore_occupied(f, kept):
        return False
    return level == "no shown bores" or f.shape.bore < MAX_SMALL_HOLE_SHARE * f.shape.diameter


def _is_bore_occupied(ring: Feature, features: Sequence[Feature]) -> bool:
    """Whether a feature on the axis of a ring shares its length and so may be in its bore."""
    return any(
        f is not ring
        and not f.cut
        and f.axis == ring.axis
        and f.start < ring.end - SAME_PLANE_TOLERANCE_MM
        and ring.start < f.end - SAME_PLANE_TOLERANCE_MM
        for f in features
    )


def _fill_bore(f: Feature) -> Feature:
    """A ring without its bore."""
    assert isinstance(f.shape, Ring)
    return replace(f, shape=Cylinder(f.shape.diameter))


def _bore_of(f: Feature) -> Feature:
    """The bore of a ring, under the ring's name."""
    assert isinstance(f.shape, Ring)
    return replace(f, shape=Cylinder(f.shape.bore), cut=True)
