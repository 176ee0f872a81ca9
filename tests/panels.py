"""Panels of many shapes, and boxes of words on them, by shapely."""

import math

import numpy as np
import shapely
from shapely import affinity

from foldsketch.net.model import Panel


def panel(outline, *holes):
    """Outlines anticlockwise, holes clockwise."""
    loops = [shapely.LinearRing(loop) for loop in (outline, *holes)]
    loops = [np.array((r if r.is_ccw == (k == 0) else r.reverse()).coords)[:-1] for k, r in enumerate(loops)]
    return Panel(0, loops[0], tuple(loops[1:]), "f", "end", 0, np.eye(3), np.zeros(3))


def regular(n, r, x=0.0, y=0.0, turn=0.0):
    return [(x + r * math.cos(turn + math.tau * k / n), y + r * math.sin(turn + math.tau * k / n)) for k in range(n)]


ELL = [(0, 0), (60, 0), (60, 14), (16, 14), (16, 50), (0, 50)]
PANELS = {
    "square": panel([(3, 2), (43, 2), (43, 32), (3, 32)]),
    "disc": panel(regular(24, 30, 100, 50)),
    "L": panel(ELL),
    "triangle": panel([(0, 0), (50, 5), (10, 40)]),
    "ring": panel(regular(20, 40, -30, 10), regular(12, 15, -30, 10)),
    "offset ring": panel(regular(20, 40, 5, 5), regular(12, 15, 18, 9)),
    "two holes": panel(regular(20, 40), regular(8, 10, 15, 0), regular(8, 8, -18, 6)),
    "slanted": panel([(0, 0), (30, 30), (24, 36), (-6, 6)]),
}


def box(x, y, w, h, angle=0.0):
    return affinity.rotate(shapely.box(x - w, y - h, x + w, y + h), angle, (x, y), use_radians=True)


def is_free(p, lines, x, y, w, h, angle=0.0):
    own = box(x, y, w, h, angle)
    return shapely.Polygon(p.outline, p.holes).contains(own) and not any(
        shapely.LineString([m[:2], m[2:]]).intersects(own) for m in lines
    )
