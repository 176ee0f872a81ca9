"""Webs of a quick model: four sides at their ends where what stands on them leaves the corners free."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from foldsketch.solid.prism import Prism

ROOM = 0.5
"""Share of the room between a web's outline and what stands on it or goes through it that stays at least."""


def slimmed(prisms: Sequence[Prism], bar: Callable[[Prism], Prism | None]) -> tuple[Prism, ...]:
    """The prisms, webs among them as bars where nothing comes too near to their outlines. bar: a web with four sides at
    its ends, or None for what is no web or strays too far with four."""
    found = list(prisms)
    for k, web in enumerate(prisms):
        slim = bar(web)
        if slim is not None and all(_clear(web, slim, p) for p in found if p.index != web.index):
            found[k] = slim
    return tuple(found)


def _clear(web: Prism, slim: Prism, other: Prism) -> bool:
    """Whether another prism is away from a web both ways, or lies on it with enough room both ways."""
    low, high = np.minimum(web.low, slim.low), np.maximum(web.high, slim.high)
    if (other.low > high + 1e-6).any() or (other.high < low - 1e-6).any():
        return True
    if not (web.frame.along_z and other.frame.along_z):
        return False
    thick, bar, own = (_outline(p) for p in (web, slim, other))
    if not (thick.contains(own) and bar.contains(own)):
        return bool(thick.distance(own) > 0 and bar.distance(own) > 0)
    return bool(bar.exterior.distance(own) >= ROOM * thick.exterior.distance(own) > 0)


def _outline(prism: Prism) -> Any:
    """What a prism that stands along z covers, seen from above."""
    from shapely import MultiPoint

    return MultiPoint(prism.corners[:, :2]).convex_hull
