"""Removal of details for a quick model: small bores, chamfers and narrow grooves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from foldsketch.base.findings import Finding
from foldsketch.part.messages import BORES_FILLED, DETAILS_LEFT_OUT
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring

MAX_REMOVED_BORE_SHARE = 0.25
"""Bores below this share of the widest feature are left out or filled."""

MAX_REMOVED_LENGTH_SHARE = 0.1
"""Chamfers, tapers and grooves shorter than this share of the part's longest extent are left out."""

SAME_PLANE_TOLERANCE_MM = 1e-6
"""Planes nearer to each other than this, mm, are one."""


def remove_details(part: Part) -> tuple[Part, tuple[Finding, ...]]:
    """The part without small bores, chamfers and narrow grooves, and notes of what was left out and filled."""
    widest = max((2 * f.radius for f in part.features if not f.cut), default=0.0)
    longest = max(widest, _longest_extent(part))
    kept = _extend_neighbours(part, [f for f in part.features if _is_detail(f, widest, longest)])
    if all(f.cut for f in kept):
        kept = list(part.features)
    names = {f.name for f in kept}
    dropped = [f for f in part.features if f.name not in names]
    filled = [f for f in kept if not f.cut and _has_small_bore(f, widest) and not _is_bore_occupied(f, kept)]
    if not dropped and not filled:
        return part, ()
    notes = [
        message.at("the quick model", features=tuple(f.name for f in found))
        for message, found in ((DETAILS_LEFT_OUT, dropped), (BORES_FILLED, filled))
        if found
    ]
    return part.with_features(tuple(_fill_bore(f) if f in filled else f for f in kept)), tuple(notes)


def touch_end_to_end(f: Feature, g: Feature) -> bool:
    """Whether one feature begins where another one on the same axis ends."""
    return abs(g.end - f.start) < SAME_PLANE_TOLERANCE_MM or abs(f.end - g.start) < SAME_PLANE_TOLERANCE_MM


def join_extents(f: Feature, other: Feature) -> Feature:
    """A feature made longer by another one's extent on the same axis."""
    return replace(f, start=min(f.start, other.start), end=max(f.end, other.end))


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


def _has_small_bore(f: Feature, widest: float) -> bool:
    return isinstance(f.shape, Ring) and f.shape.bore < MAX_REMOVED_BORE_SHARE * widest


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


def _longest_extent(part: Part) -> float:
    """The longest of the part's extents along its axes, from end to end of its features, mm."""
    solid = [f for f in part.features if not f.cut]
    longest = 0.0
    for axis in {part.axis(f.axis) for f in solid}:
        extents = [part.extent(f, axis) for f in solid]
        longest = max(longest, max(high for _, high in extents) - min(low for low, _ in extents))
    return longest


def _is_detail(f: Feature, widest: float, longest: float) -> bool:
    """Whether a feature is left out of a quick model. widest, longest: of the part, mm."""
    match f.shape:
        case Cylinder(d):
            return f.cut and d < MAX_REMOVED_BORE_SHARE * widest
        case Cone(_, _):
            return f.length < MAX_REMOVED_LENGTH_SHARE * longest
        case Ring(_, _):
            return f.cut and f.length < MAX_REMOVED_LENGTH_SHARE * longest
    return False
