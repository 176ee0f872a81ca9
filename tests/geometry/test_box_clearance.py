"""Boxes against lines, as shapely judges them."""

import math
import random

import pytest
import shapely
from shapely import affinity

from foldsketch.geometry.box_clearance import is_box_free, lines_near_box


def lines_of(r, n, span=50):
    """Lines anywhere, and some level and upright ones."""
    made = [tuple(r.uniform(-span, span) for _ in range(4)) for _ in range(n)]
    for _ in range(n // 3):
        a, b, c = (r.uniform(-span, span) for _ in range(3))
        made.append((a, b, c, b) if r.random() < 0.5 else (a, b, a, c))
    return made


def as_shape(line):
    return shapely.LineString([line[:2], line[2:]])


@pytest.mark.parametrize("angle", [0.0, math.pi / 2, 0.4, -1.1, 2.5])
@pytest.mark.parametrize("seed", range(6))
def test_a_box_is_free_when_no_line_meets_it(angle, seed):
    r = random.Random(seed)
    lines = lines_of(r, 4) + lines_of(r, 3, 8)
    shapes = [as_shape(line) for line in lines]
    w, h = r.uniform(0.5, 12), r.uniform(0.5, 6)
    spots = [(r.uniform(-40, 40), r.uniform(-40, 40)) for _ in range(60)]
    boxes = [
        affinity.rotate(shapely.box(x - w, y - h, x + w, y + h), angle, (x, y), use_radians=True) for x, y in spots
    ]
    free = [not any(s.intersects(b) for s in shapes) for b in boxes]
    assert 0 < sum(free) < 60
    assert [is_box_free(lines, x, y, w, h, angle) for x, y in spots] == free


@pytest.mark.parametrize("seed", range(10))
def test_lines_near_a_box_are_those_whose_own_box_meets_it(seed):
    r = random.Random(seed)
    lines = lines_of(r, 40)
    low, high = (-10, -20), (15, 5)
    own = shapely.box(*low, *high)
    wanted = [line for line in lines if as_shape(line).envelope.intersects(own)]
    assert lines_near_box(lines, *low, *high) == wanted
    assert 0 < len(wanted) < len(lines)


def test_a_line_inside_a_box_or_around_none():
    assert not is_box_free([(-1, 0, 1, 0)], 0, 0, 5, 5)
    assert is_box_free([], 0, 0, 5, 5)
    assert is_box_free([(6, 0, 9, 0)], 0, 0, 5, 5)
