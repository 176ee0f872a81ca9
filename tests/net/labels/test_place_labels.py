"""Many words at once, each at the first of its own spots that is free, compared with shapely."""

import random

import numpy as np

from foldsketch.base.lettering import text_width
from foldsketch.geometry.polygon_loops import loop_segments
from foldsketch.net.labels.panel_space import PanelSpace, text_height
from foldsketch.net.labels.place_labels import place_texts
from nets import shape_of as shape
from panels import PANELS, box, is_free


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
            if is_free(room.panel, edges, *at, w, h, turn) and not any(mine.intersects(o) for o in made[id(room)]):
                wanted = (tuple(at), turn)
                made[id(room)].append(box(*at, w - 0.25, h - 0.25, turn))
                break
        assert got == wanted
    assert sum(f is not None for f in found) >= 5
