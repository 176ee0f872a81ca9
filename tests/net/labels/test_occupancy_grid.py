"""The best place for words on a panel as cells, compared with plain search by shapely."""

import math

import numpy as np
import pytest
import shapely

from foldsketch.net.labels.occupancy_grid import OccupancyGrid
from foldsketch.net.labels.panel_space import PanelSpace
from nets import shape_of as shape
from panels import PANELS, is_free


def nearest(p, lines, a, b):
    """Distance of the nearest place, of many, from the middle of the panel's box; infinite where none is free."""
    x0, y0, x1, y1 = shape(p).bounds
    x, y = (v.ravel() for v in np.meshgrid(np.arange(x0, x1, 1.1), np.arange(y0, y1, 1.1)))
    boxes = shapely.box(x - a, y - b, x + a, y + b)
    own, barred = shape(p), shapely.MultiLineString([(m[:2], m[2:]) for m in lines])
    shapely.prepare([own, barred])
    ok = shapely.contains(own, boxes) & ~shapely.intersects(barred, boxes)
    return float(np.hypot(x - (x0 + x1) / 2, y - (y0 + y1) / 2)[ok].min(initial=math.inf))


@pytest.mark.parametrize("name", PANELS)
@pytest.mark.parametrize(("a", "b"), [(3.0, 1.5), (9.0, 2.0), (2.0, 7.0), (14.0, 4.0)])
def test_the_best_place_is_free_and_none_is_much_nearer_to_the_middle(name, a, b):
    p = PANELS[name]
    (x0, y0, x1, y1) = shape(p).bounds
    lines = [(x0 + 5, y0 + 4, x1 - 5, y0 + 4), ((x0 + x1) / 2, y0, (x0 + x1) / 2, y1), (x0, y1, x1, y0)]
    space = PanelSpace(p)
    cells = OccupancyGrid(space.low, space.high, space.edges, [], bool(p.holes))
    cells.add_obstacles(space.edges)
    for k in range(len(lines) + 1):
        cells.add_obstacles(lines[k - 1 : k] if k else [])
        at = cells.best_centre(a, b, space.contains)
        barred = lines[:k]
        roomy = nearest(p, barred, a + 2 * cells.cell, b + 2 * cells.cell)
        if at is None:
            assert roomy == math.inf
            continue
        assert cells.can_fit(a, b)
        assert is_free(p, barred, *at, a - 0.1, b - 0.1), (k, at)
        assert math.hypot(at[0] - (x0 + x1) / 2, at[1] - (y0 + y1) / 2) <= roomy + cells.cell


def test_what_is_larger_than_the_panel_or_has_every_place_taken_does_not_fit():
    p = PANELS["square"]  # 40 by 30 mm
    space = PanelSpace(p)
    cells = OccupancyGrid(space.low, space.high, space.edges, [], False)
    assert cells.can_fit(10.0, 10.0) and not cells.can_fit(25.0, 5.0) and not cells.can_fit(5.0, 20.0)
    assert cells.best_centre(25.0, 5.0, space.contains) is None
    cells.add_obstacles([(40.0, 5.0, 5.0, 5.0), (10.0, 60.0, 10.0, 70.0)])
    lower = cells.best_centre(5.0, 5.0, space.contains)
    assert lower is not None and lower[1] > 10.0, "above a line that runs from right to left"
    cells.add_obstacles([(3.0, y, 43.0, y) for y in range(2, 33)])
    assert not cells.can_fit(5.0, 5.0) and cells.best_centre(5.0, 5.0, space.contains) is None
