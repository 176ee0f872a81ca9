"""Chuck and jaws as shapes in the part's frame: they touch the work where the plan says, and nothing else."""

import json
import math

import pytest
import shapely

from foldsketch.setup.plan.workholding_shapes import workholding_shapes, workholding_view
from tests.in_hand_plan import three_set_ups
from tests.setup_works import SMALL, TWIN, planned_shaft

pytestmark = pytest.mark.slow


def test_jaws_touch_the_work_and_do_not_reach_into_it():
    checked = 0
    for s, machine in [*((s, TWIN) for s in three_set_ups().setups), *((s, SMALL) for s in planned_shaft().setups)]:
        work = shapely.Point(s.held_at).buffer(s.held_diameter / 2, quad_segs=64)
        for h in workholding_shapes(s, machine):
            if h.what != "jaw":
                continue
            jaw = shapely.Polygon(h.outline)
            assert jaw.is_valid and jaw.intersection(work).area < 0.02 * work.area
            gap = 12.0 if s.clamping.way == "packed_three_jaw" else 0.5
            assert jaw.distance(work) < gap
            assert set(s.clamping.grip_range) & set(h.z)
            checked += 1
    assert checked >= 12


def test_jaws_stand_the_way_round_that_the_plan_numbers_them():
    """Jaw 1 of the cover about B: 25 from the centreline, in the direction away from the flange's centre."""
    s = three_set_ups().setups[0]
    one = next(h for h in workholding_shapes(s, TWIN) if h.number == 1)
    x, y = shapely.Polygon(one.outline).centroid.coords[0]
    near = min(math.dist(q, s.clamping.at) for q in one.outline)
    assert s.jaws[0].from_centre == pytest.approx(near, abs=2.0)
    held = math.atan2(s.held_at[1] - s.clamping.at[1], s.held_at[0] - s.clamping.at[0])
    turn = math.atan2(y - s.clamping.at[1], x - s.clamping.at[0])
    expected = held + math.pi + s.jaws[0].angle
    assert math.cos(turn - expected) == pytest.approx(1, abs=1e-6)


def test_a_fixture_is_a_plate_and_all_of_it_is_plain_json():
    planned = three_set_ups()
    view = [workholding_view(s, TWIN) for s in planned.setups]
    assert json.loads(json.dumps(view)) == view
    assert [h["what"] for h in view[1]["shapes"]] == ["plate"]
    assert view[0]["held"]["feature"] == "flange" and view[1]["centreline"] == [0.0, 0.0]
    assert all(v["turned"] for v in (view[0], view[2]))
