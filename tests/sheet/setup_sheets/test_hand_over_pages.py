"""The picture booklet of a hand-over: both chucks hold the same part, and what is nearer is painted later."""

import random

import numpy as np
import pytest

from foldsketch.base.drawing import Layer, Stroke
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.in_hand_outputs import picture_of
from foldsketch.job.paper_chuck import paper_chuck
from foldsketch.setup.plan.plan import plan
from foldsketch.sheet.booklet.scene import camera_axes
from foldsketch.sheet.setup_sheets.hand_over_pages import (
    draw_picture_pages,
    hand_over_turns,
    sub_disc_distance,
)
from foldsketch.sheet.setup_sheets.hand_over_scene import Rig, _back_to_front, chuck_place, prism_solid
from foldsketch.sheet.setup_sheets.in_hand_pages import InHandRow
from foldsketch.sheet.setup_sheets.in_hand_tray import draw_tray
from tests.in_hand_plan import CRANK, three_set_ups
from tests.setup_works import COVER, SMALL, TWIN

RIG = Rig(56.0, 60.0, 82.0, 92.0)


@pytest.fixture(scope="module")
def pictures():
    made = model(COVER, Choices(scale=1.0))
    return [picture_of(paper_chuck(s, TWIN, made), made) for s in three_set_ups().setups]


def corners(c, turn, at):
    """Corners of the part in the tray's frame, rounded, in order."""
    rotation, shift = chuck_place(c, turn, np.array(at))
    found = [
        np.column_stack((outline, np.full(len(outline), z))) @ rotation + shift
        for outline, *ends in c.bodies
        for z in ends
    ]
    points = np.concatenate(found).round(6) + 0.0
    return points[np.lexsort(points.T)]


@pytest.mark.slow
@pytest.mark.parametrize(("one", "shift"), [(0, 20.0), (1, 22.0)])
def test_both_chucks_hold_the_same_part_in_the_same_place(pictures, one, shift):
    """From either chuck's own frame; a shift that is 1 mm wrong or a half turn parts them."""
    before, after = pictures[one : one + 2]
    turns = hand_over_turns(before, after)
    main, sub = (0, 1) if before.spindle == "main" else (1, 0)
    pair = (before, after)
    x = sub_disc_distance(pair[main], pair[sub])
    from_main = corners(pair[main], turns[main], (0, 0, 82))
    assert np.allclose(from_main, corners(pair[sub], turns[sub], (x, -shift, 82)), atol=1e-5)
    assert not np.allclose(from_main, corners(pair[sub], turns[sub], (x, -shift - 1, 82)), atol=1e-5)
    assert not np.allclose(from_main, corners(pair[sub], turns[sub] + np.pi, (x, -shift, 82)), atol=1e-5)


@pytest.mark.slow
def test_pictures_of_building_and_of_both_hand_overs(pictures):
    pages = draw_picture_pages("cover", pictures, (0.0, 20.0, 22.0), RIG)
    words = " ".join(i.text for page in pages for i in page.items if hasattr(i, "text"))
    assert len(pages) == 4, "three chucks twice, the stands, two hand-overs of four: 15 pictures"
    assert words.count("Set-up 1 to 2") == words.count("Set-up 2 to 3") == 4
    for page in pages:
        w, h = page.size
        for i in page.items:
            if isinstance(i, Stroke):
                assert all(5 <= x <= w - 5 and 5 <= y <= h - 5 for x, y in i.points)


@pytest.mark.slow
def test_a_part_from_the_raw_bar_hangs_on_the_skewer():
    """The crank's jaws stand at the bar's 84: no corner of the paper crank reaches them, and the pictures say so."""
    made = model(CRANK, Choices(scale=1.0))
    s = plan(CRANK, SMALL).setups[0]
    c = picture_of(paper_chuck(s, SMALL, made), made)
    assert c.loose and c.flaps
    assert all(np.hypot(*p[:, :2].T).min() > 42 for p in c.flaps)
    assert min(start for _, start, _ in c.bodies) == pytest.approx(0, abs=1e-9)
    words = " ".join(i.text for i in draw_picture_pages("crank", [c], (0.0,), RIG)[0].items if hasattr(i, "text"))
    assert "raw size" in words


@pytest.mark.parametrize("on", [30.0, 42.0, 55.0])
def test_the_stop_lies_beside_the_sub_stand(on):
    """As it comes up to the part, and still 10 mm of it drawn back 30. Stand 60 long, stop 70, its slits 51."""
    rows = [
        InHandRow(1, "main", "B", "", "", 0.0, (1.0, 1.0)),
        InHandRow(2, "sub", "A", "", "", 20.0, (1.0, 1.0), on),
    ]
    drawn = draw_tray("cover", rows, (56.0, 60.0)).items
    slits = [i.points for i in drawn if isinstance(i, Stroke) and i.layer is Layer.CUT and i.points[0][0] > 80]
    left = min(x for line in slits for x, _ in line) - 9.5
    main_disc = 9.0 + 6.0 + 60.0 + 3.0 + 26.0
    front = main_disc + on + 26.0 + 3.0
    for back, beside in ((0.0, 50.0), (30.0, 10.0)):
        assert min(left + 70, front + back + 60) - max(left, front + back) >= beside


@pytest.mark.parametrize("seed", range(5))
def test_what_is_nearer_is_painted_later(seed):
    """Disjoint boxes; along rays to the eye, by the slab method."""
    r = random.Random(seed)
    boxes, solids = [], []
    for k in range(12):
        low = np.array([20.0 * (k % 3), 20.0 * (k // 3 % 2), 20.0 * (k // 6)]) + [r.uniform(0, 6) for _ in range(3)]
        high = low + [r.uniform(4, 13) for _ in range(3)]
        outline = np.array([(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])])
        boxes.append((low, high))
        solids.append(prism_solid(outline, low[2], high[2], (np.eye(3), np.zeros(3)), (1.0, 1.0, 1.0)))
    camera = camera_axes(np.array((0.0, 0.0, 1.0)), np.array((0.0, 1.0, 0.0)), aside=0.62)
    rank = {id(s): k for k, s in enumerate(_back_to_front(solids, camera))}
    met = 0
    for _ in range(400):
        start, eye = np.array([r.uniform(0, 60), r.uniform(0, 40), r.uniform(0, 40)]), camera[2]
        hits = []
        for s, (low, high) in zip(solids, boxes, strict=True):
            a, b = (low - start) / eye, (high - start) / eye
            near, far = np.minimum(a, b).max(), np.maximum(a, b).min()
            if near < far - 1e-9:
                hits.append((near, rank[id(s)]))
        order = [k for _, k in sorted(hits)]
        met += len(order) > 1
        assert order == sorted(order)
    assert met > 20
