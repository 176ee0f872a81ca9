"""Islands: what stands in a pocket or a bore comes after the cut that makes it, or the cut would take it away."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.part.model import Axis, Feature, Ring

if TYPE_CHECKING:
    from shapely import Polygon

SLACK_MM = 1e-3
"""An island may be larger than its pocket by this, as a shaft that fills its bore; and shares more of its length."""


def in_file_order(features: Sequence[Feature], axes: Sequence[Axis]) -> list[Feature]:
    """Features so that material comes before the cuts through it, and an island and its bores after its pocket.

    Cuts on axes across z go through all that no such cut holds, and come after it.
    """
    at = {a.name: a for a in axes}
    everything = range(len(features))
    pockets = [k for k in everything if features[k].cut and not isinstance(features[k].shape, Ring)]
    around = {k: [p for p in pockets if p != k and _holds(features[p], features[k], at)] for k in everything}
    across = {k for k in everything if features[k].cut and not at[features[k].axis].along_z}

    @cache
    def depth(k: int) -> int:
        own = max((1 + depth(p) for p in around[k]), default=0)
        if k not in across:
            return own
        return max([own, *(depth(j) for j in everything if j not in across and not across & set(around[j]))])

    return [features[k] for k in sorted(everything, key=lambda k: (depth(k), features[k].cut))]


def _holds(pocket: Feature, f: Feature, at: dict[str, Axis]) -> bool:
    """Whether a feature is inside a pocket for some of its length, so that the pocket would cut it."""
    axis, own = at[pocket.axis], at[f.axis]
    if not axis.is_parallel_to(own):
        return False
    low, high = sorted(axis.height_of(own.to_part_frame(0.0, 0.0, h)) for h in (f.start, f.end))
    if min(high, pocket.end) - max(low, pocket.start) <= SLACK_MM:
        return False
    room, figure = _outline(pocket, axis, axis), _outline(f, own, axis)
    smaller = not f.cut or figure.area < room.area * (1 - SLACK_MM)
    return bool(smaller and room.contains(figure.buffer(-SLACK_MM)))


@lru_cache(256)
def _outline(f: Feature, own: Axis, axis: Axis) -> Polygon:
    """The larger outline of a material feature, the smaller one of a cut, seen along an axis parallel to its own."""
    from shapely import Polygon

    ends = []
    for at_end, h in ((False, f.start), (True, f.end)):
        points = np.array([own.to_part_frame(x, y, h) for x, y in f.end_outline(at_end)])
        ends.append(Polygon((points - np.array(axis.point)) @ np.array(axis.frame[:2]).T))
    return (min if f.cut else max)(ends, key=lambda p: p.area)
