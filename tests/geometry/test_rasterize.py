"""Polygons and lines as cells, against shapely."""

import math
import random

import numpy as np
import pytest
import shapely

from foldsketch.geometry.bit_grid import row_stride, unpack_bits
from foldsketch.geometry.polygon_loops import loop_segments
from foldsketch.geometry.rasterize import rasterize_lines, rasterize_loops


def regular(n, r, x=0.0, y=0.0):
    return [(x + r * math.cos(math.tau * k / n), y + r * math.sin(math.tau * k / n)) for k in range(n)]


SHAPES = {
    "square": shapely.box(3, 2, 43, 32),
    "L": shapely.Polygon([(0, 0), (60, 0), (60, 14), (16, 14), (16, 50), (0, 50)]),
    "ring": shapely.Polygon(regular(20, 40), [regular(12, 15, 5, 3)]),
    "two holes": shapely.Polygon(regular(20, 40), [regular(8, 10, 15, 0), regular(8, 8, -18, 6)]),
}


def cells(number, columns, rows):
    return unpack_bits(number, rows, row_stride(columns))


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize(("columns", "rows"), [(64, 64), (30, 22)], ids=["all", "cut off"])
def test_cells_of_a_shape_are_those_with_their_middle_inside(name, columns, rows):
    shape, cell = SHAPES[name], 1.7
    low = np.array(shape.bounds[:2]) - 1.3
    loops = [ring.coords[:-1] for ring in (shape.exterior, *shape.interiors)]
    edges = np.array([edge for loop in loops for edge in loop_segments(loop)])
    got = cells(rasterize_loops((edges - np.tile(low, 2)) / cell, columns, rows), columns, rows)
    x, y = np.meshgrid(low[0] + (np.arange(columns) + 0.5) * cell, low[1] + (np.arange(rows) + 0.5) * cell)
    assert np.array_equal(got[:, :columns], shapely.contains_xy(shape, x, y))
    assert not got[:, columns:].any()


@pytest.mark.parametrize("seed", range(10))
def test_cells_of_lines_are_those_they_run_through_but_for_cut_off_corners(seed):
    r = random.Random(seed)
    columns, rows = 21, 17
    lines = [tuple(r.uniform(-25, 25) for _ in range(4)) for _ in range(4)]
    got = cells(rasterize_lines(np.array(lines), columns, rows), columns, rows)
    every = shapely.MultiLineString([(line[:2], line[2:]) for line in lines])
    for i in range(columns):
        for j in range(rows):
            cell = shapely.box(i, j, i + 1, j + 1)
            if got[j, i]:
                assert every.intersects(cell.buffer(1e-9))
            else:
                assert all(line.intersection(cell).length < math.sqrt(0.5) for line in every.geoms), (i, j)
    assert not got[:, columns:].any()
