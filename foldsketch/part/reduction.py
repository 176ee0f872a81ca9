"""Reduction: which features of a part are built, and which are only drawn on the faces of its model."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from foldsketch.part.bore_openings import has_material_put_in, opens_in_material, shared_length
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, Ring

ReductionLevel = Literal["all", "no details", "no shown bores"]
"""What is built: everything; all but small holes, chamfers and narrow grooves; nor bores whose axis is shown without
them. Each level draws what the one before it draws."""

MAX_SMALL_HOLE_SHARE = 0.25
"""A hole is small below this share of the widest feature; in a spigot on its own axis, below this share of that."""

MAX_DETAIL_LENGTH_SHARE = 0.1
"""Chamfers, tapers and grooves shorter than this share of the part's longest extent are details."""

MAX_KEYWAY_SHARE = 0.1
"""A keyway or slot is a detail if it takes less than this share of the section of each round that it cuts."""

MIN_PATTERN_HOLES = 3
"""So many equal holes are drilled to fasten the part, not to carry anything that turns."""

SAME_PLANE_TOLERANCE_MM = 1e-6
"""Planes nearer to each other than this, mm, are one; so are axes."""


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


def axis_lines(part: Part) -> dict[str, str]:
    """For every axis the first one on the same line."""
    found: dict[str, str] = {}
    for a in part.axes:
        same = (b for b in part.axes if a.is_parallel_to(b) and b.distance_to(a.point) < SAME_PLANE_TOLERANCE_MM)
        found[a.name] = next(same, a).name
    return found


def _without_details(part: Part) -> list[Feature]:
    """The features without details, neighbours made longer by the tapers that stood on them."""
    lines = axis_lines(part)
    widest = max(2 * f.radius for f in part.features if not f.cut)
    longest = max(widest, _longest_extent(part))
    details = [f for f in part.features if _is_detail(part, f, lines, widest, longest)]
    kept = _extend_neighbours(part, details)
    return _restore_axes(part, kept, lines)


def _is_detail(part: Part, f: Feature, lines: dict[str, str], widest: float, longest: float) -> bool:
    """Whether a feature is a small hole, a chamfer, a narrow groove or a keyway. widest, longest: of the part, mm."""
    match f.shape:
        case Cylinder(d):
            around = [
                2 * g.radius for g in part.features if not g.cut and g.is_round and lines[g.axis] == lines[f.axis]
            ]
            if not f.cut or d >= MAX_SMALL_HOLE_SHARE * max(around, default=widest):
                return False
            return opens_in_material(part, f, may_notch=True) and not has_material_put_in(part, f)
        case Cone(_, _):
            return f.length < MAX_DETAIL_LENGTH_SHARE * longest
        case Ring(_, _):
            return f.cut and f.length < MAX_DETAIL_LENGTH_SHARE * longest
        case Plate(outline=outline) if f.cut and outline:
            return _is_keyway(part, f, lines)
    return False


def _is_keyway(part: Part, cut: Feature, lines: dict[str, str]) -> bool:
    """Whether a cut takes only a small share of rounds on its own axis, and nothing later stands in it."""
    from shapely import Point, Polygon

    assert isinstance(cut.shape, Plate)
    slot, k = Polygon(cut.shape.outline), part.features.index(cut)
    met = [g for g in part.features if not g.cut and shared_length(part, g, cut) > SAME_PLANE_TOLERANCE_MM]
    return all(
        part.features.index(g) < k
        and g.is_round
        and lines[g.axis] == lines[cut.axis]
        and 0 < slot.intersection(disc := Point(0, 0).buffer(g.radius)).area < MAX_KEYWAY_SHARE * disc.area
        for g in met
    ) and bool(met)


def _can_be_drawn(part: Part, cut: Feature) -> bool:
    """Whether a circle shows a bore: it opens inside a face, and nothing was put into it."""
    return opens_in_material(part, cut) and not has_material_put_in(part, cut)


def _extend_neighbours(part: Part, details: Sequence[Feature]) -> list[Feature]:
    """The features without the details.

    A straight neighbour takes up the length of a chamfer or taper, so that what is on top of it still touches; a
    chamfer or taper without such a neighbour stays.
    """
    kept = {f.name: f for f in part.features if f not in details}
    left = [f for f in details if not f.cut]
    changed = True
    while changed:
        changed = False
        for f in left:
            neighbour = _straight_neighbour(f, kept.values())
            if neighbour is not None:
                kept[neighbour.name] = join_extents(neighbour, f)
                left, changed = [other for other in left if other is not f], True
    kept |= {f.name: f for f in left}
    return [kept[f.name] for f in part.features if f.name in kept]


def _straight_neighbour(f: Feature, features: Iterable[Feature]) -> Feature | None:
    """The first feature on the same axis that adds material, is no cone and touches f end to end."""
    others = (g for g in features if not g.cut and g.axis == f.axis and not isinstance(g.shape, Cone))
    return next((g for g in others if touch_end_to_end(f, g)), None)


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
        back = {f.name for own in main for f in own} if len(main) < MIN_PATTERN_HOLES else set()
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


def _longest_extent(part: Part) -> float:
    """The longest of the part's extents along its axes, from end to end of its features, mm."""
    solid = [f for f in part.features if not f.cut]
    longest = 0.0
    for axis in {part.axis(f.axis) for f in solid}:
        extents = [part.extent(f, axis) for f in solid]
        longest = max(longest, max(high for _, high in extents) - min(low for low, _ in extents))
    return longest
