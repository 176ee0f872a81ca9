"""The quick model: what can be left out of a part when only its axes are to be shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from foldsketch.base.findings import Finding
from foldsketch.part.messages import BORES_FILLED, DETAILS_LEFT_OUT
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring

MAX_REMOVED_BORE_SHARE = 0.25
"""Bores below this share of the widest feature are left out."""

MAX_REMOVED_LENGTH_SHARE = 0.1
"""Chamfers, tapers and grooves shorter than this share of the part's longest extent are left out."""

SAME_PLANE_TOLERANCE_MM = 1e-6
"""Planes nearer than this, mm, are one."""


def remove_details(part: Part) -> tuple[Part, tuple[Finding, ...]]:
    """The part without small bores, chamfers and narrow grooves, and notes that say what was dropped and filled."""
    widest = max((2 * f.radius for f in part.features if not f.cut), default=0.0)
    longest = max(widest, _longest_extent(part))
    kept = _extend_neighbours(part, [f for f in part.features if _is_detail(f, widest, longest)])
    if not any(not f.cut for f in kept):
        kept = list(part.features)
    names = {f.name for f in kept}
    dropped = [f for f in part.features if f.name not in names]
    filled = [
        f
        for f in kept
        if isinstance(f.shape, Ring)
        and not f.cut
        and f.shape.bore < MAX_REMOVED_BORE_SHARE * widest
        and not _is_bore_occupied(f, kept)
    ]
    told = []
    if dropped:
        told.append(DETAILS_LEFT_OUT.at("the quick model", features=tuple(f.name for f in dropped)))
    if filled:
        told.append(BORES_FILLED.at("the quick model", features=tuple(f.name for f in filled)))
    if not told:
        return part, ()
    return part.with_features(tuple(_fill_bore(f) if f in filled else f for f in kept)), tuple(told)


def _extend_neighbours(part: Part, slight: Sequence[Feature]) -> list[Feature]:
    """The features without the slight ones. What stood on a chamfer or taper still stands: a straight neighbour on its
    axis is made longer by it; where there is none the taper stays."""
    kept = {f.name: f for f in part.features if f not in slight}
    left = [f for f in slight if not f.cut]
    found = True
    while found:
        found = False
        for f in left:
            for g in kept.values():
                if g.cut or g.axis != f.axis or isinstance(g.shape, Cone):
                    continue
                if abs(g.end - f.start) < SAME_PLANE_TOLERANCE_MM or abs(f.end - g.start) < SAME_PLANE_TOLERANCE_MM:
                    kept[g.name] = replace(g, start=min(g.start, f.start), end=max(g.end, f.end))
                    left, found = [other for other in left if other is not f], True
                    break
    kept |= {f.name: f for f in left}
    return [kept[f.name] for f in part.features if f.name in kept]


def _is_bore_occupied(ring: Feature, features: Sequence[Feature]) -> bool:
    """Whether something stands in the bore of a ring."""
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
    """The longest that the part measures along one of its axes, from end to end of its features."""
    solid = [(part.axis(f.axis), f) for f in part.features if not f.cut]
    ends = [
        tuple(p + h * d for p, d in zip(a.point, a.direction, strict=True)) for a, f in solid for h in (f.start, f.end)
    ]
    spans = [
        [sum(x * y for x, y in zip(a.direction, end, strict=True)) for end in ends]
        for a in dict.fromkeys(a for a, _ in solid)
    ]
    return max((max(s) - min(s) for s in spans), default=0.0)


def _is_detail(f: Feature, widest: float, longest: float) -> bool:
    match f.shape:
        case Cylinder(d):
            return f.cut and d < MAX_REMOVED_BORE_SHARE * widest
        case Cone(_, _):
            return f.length < MAX_REMOVED_LENGTH_SHARE * longest
        case Ring(_, _):
            return f.cut and f.length < MAX_REMOVED_LENGTH_SHARE * longest
    return False
