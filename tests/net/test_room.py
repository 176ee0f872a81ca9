"""Words find the free room of a panel: everything that asks for it, held against shapely and against plain counting."""

import math
import random

import numpy as np
import pytest
import shapely
from shapely import affinity

from foldsketch.base.lettering import text_width
from foldsketch.geometry import bit_grid, rasterize
from foldsketch.geometry.box_clearance import (
    boxes_hit_by_lines,
    filter_pairs_by_bounds,
    free_spots,
    is_box_free,
    lines_in_box_frame,
    lines_near_box,
    segment_rows,
)
from foldsketch.geometry.polygon_loops import loop_segments, point_in_polygon, ray_distance, signed_area
from foldsketch.net.labels.occupancy_grid import OccupancyGrid
from foldsketch.net.labels.panel_space import LABEL_CLEARANCE_MM, PanelSpace, text_height, text_line_centres
from foldsketch.net.labels.place_labels import place_texts
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


def shape(p):
    return shapely.Polygon(p.outline, p.holes)


def box(x, y, w, h, angle=0.0):
    return affinity.rotate(shapely.box(x - w, y - h, x + w, y + h), angle, (x, y), use_radians=True)


def lines_of(r, n, span=50):
    return [tuple(r.uniform(-span, span) for _ in range(4)) for _ in range(n)]


def level_or_upright(r, n, span=50):
    made = []
    for _ in range(n):
        a, b, c = (r.uniform(-span, span) for _ in range(3))
        made.append((a, b, c, b) if r.random() < 0.5 else (a, b, a, c))
    return made


def cells_of(number, columns, rows, stride):
    return {(i, j) for i in range(stride) for j in range(rows) if number >> (i + j * stride) & 1}


# Cells as bits.


@pytest.mark.parametrize("seed", range(20))
def test_spread_bits_are_those_with_a_set_bit_among_the_next_ones(seed):
    r = random.Random(seed)
    number, n, step = r.getrandbits(60), r.randint(1, 9), r.randint(1, 7)
    own = {k for k in range(60) if number >> k & 1}
    got = bit_grid.dilate(number, n, step)
    assert {k for k in range(60) if got >> k & 1} == {k - m * step for k in own for m in range(n) if k >= m * step}
    got = bit_grid.dilate(number, n, -step)
    assert {k for k in range(200) if got >> k & 1} == {k + m * step for k in own for m in range(n)}


@pytest.mark.parametrize(("columns", "rows"), [(1, 1), (5, 1), (1, 6), (8, 3), (13, 7)])
def test_a_block_of_bits_is_its_rectangle_of_cells(columns, rows):
    stride = bit_grid.row_stride(columns)
    assert stride % 8 == 0 and columns <= stride < columns + 8
    number = bit_grid.rectangle_mask(columns, rows, stride)
    assert cells_of(number, columns, rows + 3, stride) == {(i, j) for i in range(columns) for j in range(rows)}
    flags = bit_grid.unpack_bits(number, rows, stride)
    assert flags.shape == (rows, stride)
    assert {(int(i), int(j)) for j, i in np.argwhere(flags)} == {(i, j) for i in range(columns) for j in range(rows)}


@pytest.mark.parametrize("name", PANELS)
def test_cells_inside_are_those_whose_middle_lies_on_the_panel(name):
    p = PANELS[name]
    low = p.outline.min(axis=0) - 1.3
    cell = 1.7
    edges = np.array([e for loop in (p.outline, *p.holes) for e in loop_segments(loop.tolist())])
    columns, rows = 48, 50
    number = rasterize.rasterize_loops((edges - np.tile(low, 2)) / cell, columns, rows)
    own = {
        (i, j)
        for i in range(columns)
        for j in range(rows)
        if shape(p).contains(shapely.Point(low[0] + (i + 0.5) * cell, low[1] + (j + 0.5) * cell))
    }
    assert cells_of(number, columns, rows, bit_grid.row_stride(columns)) == own


@pytest.mark.parametrize("seed", range(10))
def test_cells_that_a_line_runs_through_are_hit_but_for_clipped_corners(seed):
    r = random.Random(seed)
    columns, rows = 21, 17
    lines = lines_of(r, 4, 25)
    number = rasterize.rasterize_lines(np.array(lines), columns, rows)
    got = cells_of(number, columns, rows, bit_grid.row_stride(columns))
    shapes = [shapely.LineString([line[:2], line[2:]]) for line in lines]
    for i in range(columns):
        for j in range(rows):
            cell = shapely.box(i, j, i + 1, j + 1)
            if (i, j) in got:
                assert any(s.intersects(cell.buffer(1e-9)) for s in shapes)
            else:
                assert all(s.intersection(cell).length < math.sqrt(0.5) for s in shapes), (i, j)
    assert all(i < columns for i, _ in got)


# Boxes and lines.

TURNS = [0.0, math.pi / 2, 0.4, -1.1, 2.5]


@pytest.mark.parametrize("angle", TURNS)
@pytest.mark.parametrize("seed", range(6))
def test_a_box_is_free_when_no_line_meets_it(angle, seed):
    r = random.Random(seed)
    lines = lines_of(r, 3) + level_or_upright(r, 2) + lines_of(r, 3, 8)
    shapes = [shapely.LineString([line[:2], line[2:]]) for line in lines]
    w, h = r.uniform(0.5, 12), r.uniform(0.5, 6)
    spots = [(r.uniform(-40, 40), r.uniform(-40, 40)) for _ in range(60)]
    free = [not any(s.intersects(box(x, y, w, h, angle)) for s in shapes) for x, y in spots]
    assert 0 < sum(free) < 60
    assert [is_box_free(lines, x, y, w, h, angle) for x, y in spots] == free
    wanted = [p for p, ok in zip(spots, free, strict=True) if ok]
    assert list(free_spots(spots, w, h, angle, lines_in_box_frame(lines, angle))) == wanted
    n = len(spots)
    all_boxes, all_lines = np.repeat(np.arange(n), len(lines)), np.tile(np.arange(len(lines)), n)
    met = boxes_hit_by_lines(
        np.array(spots), np.full(n, w), h, np.full(n, angle), segment_rows(lines), all_boxes, all_lines
    )
    assert (~met).tolist() == free
    half = math.hypot(w, h)
    low, high = np.array(spots) - half, np.array(spots) + half
    few_boxes, few_lines = filter_pairs_by_bounds(low, high, segment_rows(lines), all_boxes, all_lines)
    assert len(few_boxes) < len(all_boxes)
    met = boxes_hit_by_lines(
        np.array(spots), np.full(n, w), h, np.full(n, angle), segment_rows(lines), few_boxes, few_lines
    )
    assert (~met).tolist() == free, "lines that are left out meet no box"


@pytest.mark.parametrize("seed", range(10))
def test_lines_near_a_box_are_those_whose_own_box_meets_it(seed):
    r = random.Random(seed)
    lines = lines_of(r, 40) + level_or_upright(r, 10)
    low, high = (-10, -20), (15, 5)
    own = shapely.box(*low, *high)
    boxes = [shapely.LineString([m[:2], m[2:]]).envelope for m in lines]
    wanted = [m for m, e in zip(lines, boxes, strict=True) if e.intersects(own)]
    assert lines_near_box(lines, *low, *high) == wanted
    assert 0 < len(wanted) < len(lines)


@pytest.mark.parametrize("name", PANELS)
def test_loops_know_their_area_what_is_within_and_how_far_a_ray_goes(name):
    r = random.Random(7)
    p = PANELS[name]
    room = PanelSpace(p)
    outline = p.outline.tolist()
    assert signed_area(outline) == pytest.approx(shapely.Polygon(p.outline).area)
    assert all(signed_area(h.tolist()) == pytest.approx(-shapely.Polygon(h).area) for h in p.holes)
    assert signed_area(outline) + sum(signed_area(h.tolist()) for h in p.holes) == pytest.approx(shape(p).area)
    (x0, y0), (x1, y1) = room.low, room.high
    assert (x0, y0, x1, y1) == pytest.approx(shape(p).bounds)
    edges = shape(p).boundary
    for _ in range(150):
        at = (r.uniform(x0 - 5, x1 + 5), r.uniform(y0 - 5, y1 + 5))
        t = r.choice([0.0, math.pi / 2, math.pi, 1.5 * math.pi, r.uniform(0, math.tau)])
        ray = (math.cos(t), math.sin(t))
        assert point_in_polygon(outline, at) == shapely.Polygon(p.outline).contains(shapely.Point(at))
        assert room.contains(at) == shape(p).contains(shapely.Point(at))
        limit = r.choice([3.0, 20.0, 200.0])
        line = shapely.LineString([at, (at[0] + ray[0] * limit, at[1] + ray[1] * limit)])
        met = line.intersection(edges)
        far = min(limit, shapely.Point(at).distance(met)) if not met.is_empty else limit
        assert room.distance_to_edge(at, ray, limit) == pytest.approx(far, abs=1e-6)
        first = line.intersection(shapely.LinearRing(p.outline))
        far = min(limit, shapely.Point(at).distance(first)) if not first.is_empty else limit
        assert ray_distance(outline, at, ray, limit) == pytest.approx(far, abs=1e-6)


# Words.


def free(p, lines, x, y, w, h, angle=0.0):
    own = box(x, y, w, h, angle)
    return shape(p).contains(own) and not any(shapely.LineString([m[:2], m[2:]]).intersects(own) for m in lines)


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
    room = PanelSpace(p)
    cells = OccupancyGrid(room.low, room.high, room.edges, [], bool(p.holes))
    cells.add_obstacles(room.edges)
    for k in range(len(lines) + 1):
        cells.add_obstacles(lines[k - 1 : k] if k else [])
        at = cells.best_centre(a, b, room.contains)
        barred = lines[:k]
        roomy = nearest(p, barred, a + 2 * cells.cell, b + 2 * cells.cell)
        if at is None:
            assert roomy == math.inf
            continue
        assert cells.can_fit(a, b)
        assert free(p, barred, *at, a - 0.1, b - 0.1), (k, at)
        assert math.hypot(at[0] - (x0 + x1) / 2, at[1] - (y0 + y1) / 2) <= roomy + cells.cell


@pytest.mark.parametrize("name", ["square", "disc", "ring", "L"])
def test_words_keep_off_what_another_block_will_cover_if_they_can(name):
    p = PANELS[name]
    (x0, y0, x1, y1) = shape(p).bounds
    half = [(x0, y0), (x0 + 0.7 * (x1 - x0), y0), (x0 + 0.7 * (x1 - x0), y1), (x0, y1)]
    room = PanelSpace(p)
    room.hide_area(half)
    at, _, _ = room.place_level(["x"], (1.8,), 0.2)
    assert not shapely.Polygon(half).contains(shapely.Point(at))
    assert shape(p).contains(shapely.Point(at))
    everywhere = PanelSpace(p)
    everywhere.hide_area([(x0 - 1, y0 - 1), (x1 + 1, y0 - 1), (x1 + 1, y1 + 1), (x0 - 1, y1 + 1)])
    assert everywhere.place_level(["x"], (1.8,), 0.2) is not None, "better there than nowhere"


def test_the_largest_size_that_has_room_is_taken_level_before_upright():
    words = ["bilge pump"]

    def broad(size):
        return text_width(words[0], size) + 2 * LABEL_CLEARANCE_MM

    def high(size):
        return text_height(1, size) + 2 * LABEL_CLEARANCE_MM

    sizes = (3.5, 2.5, 1.8)
    for k, size in enumerate(sizes):
        w, h = broad(size) + 0.1, high(size) + 0.1
        assert PanelSpace(panel([(0, 0), (w, 0), (w, h), (0, h)])).place_level(words, sizes)[1:] == (size, 0.0)
        assert PanelSpace(panel([(0, 0), (h, 0), (h, w), (0, w)])).place_level(words, sizes)[1:] == (size, math.pi / 2)
        w, h = broad(size) - 0.1, high(size) + 0.1
        smaller = sizes[k + 1] if k < 2 else None
        for outline in ([(0, 0), (w, 0), (w, h), (0, h)], [(0, 0), (h, 0), (h, w), (0, w)]):
            found = PanelSpace(panel(outline)).place_level(words, sizes)
            assert (found[1] if found else None) == smaller
    square = PanelSpace(panel([(0, 0), (60, 0), (60, 60), (0, 60)]))
    assert square.place_level(words, sizes) == ((30.0, 30.0), 3.5, 0.0)


@pytest.mark.parametrize("name", PANELS)
def test_words_put_one_after_the_other_never_meet(name):
    p = PANELS[name]
    room = PanelSpace(p)
    made = []
    for k in range(12):
        words = ["inlet", "Ø36", "net 7", "4"][k % 4 : k % 4 + 1 + k % 2]
        found = room.place_level(words, (3.5, 2.5, 1.8), 0.3)
        if found:
            at, size, angle = found
            w, h = max(text_width(t, size) for t in words) / 2, text_height(len(words), size) / 2
            own = box(*at, w, h, angle)
            assert shape(p).contains(own)
            assert not any(own.intersects(other) for other in made)
            made.append(own)
    assert len(made) >= 2


@pytest.mark.parametrize("angle", TURNS)
def test_words_go_to_the_first_free_spot_at_their_largest_size(angle):
    p = PANELS["disc"]
    r = random.Random(5)
    lines = [(80, 50, 120, 55), (100, 20, 101, 80)]
    for _ in range(12):
        room = PanelSpace(p)
        for line in lines:
            room.add_obstacle((line[:2], line[2:]))
        spots = [(r.uniform(72, 128), r.uniform(22, 78)) for _ in range(20)]
        wanted = None
        for size in (3.5, 2.5, 1.8):
            w, h = text_width("Ø36", size) / 2 + 0.4, text_height(1, size) / 2 + 0.4
            wanted = wanted or next(((s, size) for s in spots if free(p, lines, *s, w, h, angle)), None)
        assert room.place(["Ø36"], (3.5, 2.5, 1.8), angle, spots, 0.4) == wanted
        assert room.place(["Ø36"], (3.5,), angle, [wanted[0]], 0.4) is None, "it is taken now"
        assert room.place(["."], (0.9,), angle, [wanted[0]], 0.0) is None, "and nothing fits between its lines"


def test_lines_of_words_stand_under_one_another_within_their_block():
    for n in (1, 2, 3):
        for angle in TURNS:
            places = text_line_centres((10.0, 20.0), n, 2.5, angle)
            assert len(places) == n
            assert np.mean(places, axis=0) == pytest.approx([10, 20])
            down = np.array([math.sin(angle), -math.cos(angle)])
            steps = np.diff(np.array(places), axis=0)
            assert steps == pytest.approx(np.tile(down * 4.0, (n - 1, 1)).reshape(n - 1, 2)), "1.6 times the capitals"
            outer = 2 * np.hypot(*(np.array(places[0]) - (10, 20))) + 2.5
            assert outer <= text_height(n, 2.5) <= outer + 2.5, "capitals and tails have room in it, and no line more"


def test_each_word_goes_to_the_first_of_its_own_spots_that_is_free():
    p, q = PANELS["disc"], PANELS["ring"]
    r = random.Random(11)
    one, two = PanelSpace(p), PanelSpace(q)
    rooms = [one, two, one, two, one, one, two]
    texts = ["1", "22", "333", "4", "55", "6", "7"]
    spots = np.array(
        [
            [(r.uniform(*shape(k.panel).bounds[0::2]), r.uniform(*shape(k.panel).bounds[1::2])) for _ in range(9)]
            for k in rooms
        ]
    )
    angles = np.array([[r.uniform(-2, 2)] * 9 for _ in rooms])
    found = place_texts(rooms, texts, 1.8, spots, angles, 0.25)
    made = {id(one): [], id(two): []}
    for room, text, own, turns, got in zip(rooms, texts, spots.tolist(), angles.tolist(), found, strict=True):
        w, h = text_width(text, 1.8) / 2 + 0.25, text_height(1, 1.8) / 2 + 0.25
        edges = [e for loop in (room.panel.outline, *room.panel.holes) for e in loop_segments(loop.tolist())]
        wanted = None
        for at, turn in zip(own, turns, strict=True):
            mine = box(*at, w, h, turn)
            if free(room.panel, edges, *at, w, h, turn) and not any(mine.intersects(o) for o in made[id(room)]):
                wanted = (tuple(at), turn)
                made[id(room)].append(box(*at, w - 0.25, h - 0.25, turn))
                break
        assert got == wanted
    assert sum(f is not None for f in found) >= 5
