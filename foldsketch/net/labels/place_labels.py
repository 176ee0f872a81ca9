"""Words that are placed one after another, each at the first free of its own spots, on its own panel."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.lettering import text_width
from foldsketch.base.points import Point
from foldsketch.geometry.box_clearance import is_box_free, lines_near_box
from foldsketch.net.labels.panel_space import LABEL_CLEARANCE_MM, PanelSpace, text_height


def place_texts(
    spaces: Sequence[PanelSpace],
    texts: Sequence[str],
    size: float,
    spots: Array,
    angles: Array,
    clear: float = LABEL_CLEARANCE_MM,
) -> list[tuple[Point, float] | None]:
    """Put every text in its space at the first of its own spots that is free; returns where, and the angle.

    spots: (n, k, 2); angles: (n, k) or (n, 1), radians. None for a text that fits at none of its spots.
    """
    h = text_height(1, size) / 2 + clear
    turns = np.broadcast_to(angles, spots.shape[:2])
    found: list[tuple[Point, float] | None] = []
    for space, text, places, bearings in zip(spaces, texts, spots.tolist(), turns.tolist(), strict=True):
        w = text_width(text, size) / 2 + clear
        reach = hypot(w, h)
        x, y = zip(*places, strict=True)
        near = lines_near_box(space.obstacles, min(x) - reach, min(y) - reach, max(x) + reach, max(y) + reach)
        # On a panel narrower than its own distance from the edge a word would be beside the panel.
        ways = (((x, y), t) for (x, y), t in zip(places, bearings, strict=True))
        free = next((way for way in ways if is_box_free(near, *way[0], w, h, way[1]) and space.contains(way[0])), None)
        if free is not None:
            space.occupy(free[0], w - clear, h - clear, free[1])
        found.append(free)
    return found
