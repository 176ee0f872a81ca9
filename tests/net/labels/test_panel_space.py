"""Where words fit on a panel, compared with shapely."""

import math
import random

import numpy as np
import pytest
import shapely

from foldsketch.base.lettering import text_width
from foldsketch.net.labels.panel_space import LABEL_CLEARANCE_MM, PanelSpace, text_height, text_line_centres
from nets import shape_of as shape
from panels import PANELS, box, is_free, panel

TURNS = [0.0, math.pi / 2, 0.4, -1.1, 2.5]


@pytest.mark.parametrize("name", PANELS)
def test_a_space_knows_what_is_on_its_panel_and_how_far_a_ray_goes(name):
    r = random.Random(7)
    p = PANELS[name]
    space = PanelSpace(p)
    (x0, y0), (x1, y1) = space.low, space.high
    assert (x0, y0, x1, y1) == pytest.approx(shape(p).bounds)
    edges = shape(p).boundary
    for _ in range(150):
        at = (r.uniform(x0 - 5, x1 + 5), r.uniform(y0 - 5, y1 + 5))
        t = r.choice([0.0, math.pi / 2, math.pi, 1.5 * math.pi, r.uniform(0, math.tau)])
        ray = (math.cos(t), math.sin(t))
        assert space.contains(at) == shape(p).contains(shapely.Point(at))
        limit = r.choice([3.0, 20.0, 200.0])
        line = shapely.LineString([at, (at[0] + ray[0] * limit, at[1] + ray[1] * limit)])
        met = line.intersection(edges)
        far = min(limit, shapely.Point(at).distance(met)) if not met.is_empty else limit
        assert space.distance_to_edge(at, ray, limit) == pytest.approx(far, abs=1e-6)


@pytest.mark.parametrize("name", ["square", "disc", "ring", "L"])
def test_words_keep_off_what_another_block_will_cover_if_they_can(name):
    p = PANELS[name]
    (x0, y0, x1, y1) = shape(p).bounds
    half = [(x0, y0), (x0 + 0.7 * (x1 - x0), y0), (x0 + 0.7 * (x1 - x0), y1), (x0, y1)]
    space = PanelSpace(p)
    space.hide_area(half)
    at, _, _ = space.place_level(["x"], (1.8,), 0.2)
    assert not shapely.Polygon(half).contains(shapely.Point(at))
    assert shape(p).contains(shapely.Point(at))
    everywhere = PanelSpace(p)
    everywhere.hide_area([(x0 - 1, y0 - 1), (x1 + 1, y0 - 1), (x1 + 1, y1 + 1), (x0 - 1, y1 + 1)])
    assert everywhere.place_level(["x"], (1.8,), 0.2) is not None, "better there than nowhere"


def test_the_largest_size_that_has_room_is_taken_upright_on_the_page():
    """On a net that lies turned by a quarter, words run the other way on the net: level on the page."""
    words = ["bilge pump"]

    def broad(size):
        return text_width(words[0], size) + 2 * LABEL_CLEARANCE_MM

    def high(size):
        return text_height(1, size) + 2 * LABEL_CLEARANCE_MM

    sizes = (3.5, 2.5, 1.8)
    for k, size in enumerate(sizes):
        w, h = broad(size) + 0.1, high(size) + 0.1
        assert PanelSpace(panel([(0, 0), (w, 0), (w, h), (0, h)])).place_level(words, sizes)[1:] == (size, 0.0)
        tall = panel([(0, 0), (h, 0), (h, w), (0, w)])
        assert PanelSpace(tall).place_level(words, sizes) is None
        for quarter in (1, 3):
            angle = -quarter * math.pi / 2
            assert PanelSpace(tall, quarter).place_level(words, sizes)[1:] == (size, angle)
        w, h = broad(size) - 0.1, high(size) + 0.1
        smaller = sizes[k + 1] if k < 2 else None
        for quarter, outline in ((2, [(0, 0), (w, 0), (w, h), (0, h)]), (1, [(0, 0), (h, 0), (h, w), (0, w)])):
            found = PanelSpace(panel(outline), quarter).place_level(words, sizes)
            assert (found[1] if found else None) == smaller
    square = PanelSpace(panel([(0, 0), (60, 0), (60, 60), (0, 60)]))
    assert square.place_level(words, sizes) == ((30.0, 30.0), 3.5, 0.0)


@pytest.mark.parametrize("name", PANELS)
def test_words_put_one_after_the_other_never_meet(name):
    p = PANELS[name]
    space = PanelSpace(p)
    made = []
    for k in range(12):
        words = ["inlet", "Ø36", "net 7", "4"][k % 4 : k % 4 + 1 + k % 2]
        found = space.place_level(words, (3.5, 2.5, 1.8), 0.3)
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
        space = PanelSpace(p)
        for line in lines:
            space.add_obstacle((line[:2], line[2:]))
        spots = [(r.uniform(72, 128), r.uniform(22, 78)) for _ in range(20)]
        wanted = None
        for size in (3.5, 2.5, 1.8):
            w, h = text_width("Ø36", size) / 2 + 0.4, text_height(1, size) / 2 + 0.4
            wanted = wanted or next(((s, size) for s in spots if is_free(p, lines, *s, w, h, angle)), None)
        assert space.place(["Ø36"], (3.5, 2.5, 1.8), angle, spots, 0.4) == wanted
        assert space.place(["Ø36"], (3.5,), angle, [wanted[0]], 0.4) is None, "it is taken now"
        assert space.place(["."], (0.9,), angle, [wanted[0]], 0.0) is None, "and nothing fits between its lines"


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
