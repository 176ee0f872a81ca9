"""The overview page: nothing small, times and bars to scale, and what binds marked."""

import dataclasses
from itertools import pairwise

import pytest

from foldsketch.base.drawing import BLACK, Stroke, Text
from foldsketch.setup.plan.plan import plan
from foldsketch.sheet.page.page_text import PageRectangle
from foldsketch.sheet.setup_sheets.batch_bars import draw_batch_bars
from foldsketch.sheet.setup_sheets.overview_page import draw_overview_page
from foldsketch.sheet.setup_sheets.spindle_lanes import draw_spindle_lanes
from setup_parts import COVER, ECCENTRIC, MACHINES, SMALL, part_of

LATHE = MACHINES["twin-spindle"]


@pytest.fixture(scope="module")
def cover():
    return plan(COVER, LATHE, batch=50)


@pytest.fixture(scope="module")
def texts(cover):
    return [i for i in draw_overview_page(LATHE, cover, 5).items if isinstance(i, Text)]


def width_of(box):
    xs = [x for x, _ in box.points]
    return max(xs) - min(xs)


def test_no_word_is_small(texts):
    """2.5 mm is the least capital height on a set-up sheet [ISO 3098-1]."""
    assert min(i.size for i in texts) >= 2.5
    assert "sheet 1 of 5" in [i.text for i in texts]


def test_lanes_are_as_long_as_they_take(cover):
    """A hundred mm for the cycle of the first run: every box has the share of its minutes; the pace is marked."""
    run = cover.runs[0]
    assert len(run.setups) == 2 and run.binding
    items = draw_spindle_lanes([(run, 20.0, 100.0)], 9.0, 80.0, True)
    boxes = [i for i in items if isinstance(i, Stroke)]
    lanes = [v for v in run.lanes if (v.what, v.spindle) != ("transfer", "sub")]
    expected = [100 * (v.end - v.start) / run.cycle for v in lanes]
    assert sorted(map(width_of, boxes)) == pytest.approx(sorted(expected))
    binding = [100 * (v.end - v.start) / run.cycle for v in lanes if (v.spindle, v.what) == (run.binding, "cut")]
    assert [width_of(b) for b in boxes if b.width == 0.7] == pytest.approx(binding)
    words = " ".join(i.text for i in items if isinstance(i, Text))
    assert f"{run.binding} sets the pace, {run.cycle:.1f} a part" in words


def test_bars_are_as_long_as_their_minutes_and_the_least_is_black(cover):
    bars = [i for i in draw_batch_bars(cover, PageRectangle(9, 36, 279, 29)) if isinstance(i, Stroke)]
    plans = [cover.minutes, *(a.times for a in cover.alternatives if a.reason.code != "order-leaves-features")]
    assert len(plans) > 1 and len(bars) == 3 * len(plans)
    for n, batch in enumerate((1, 50, 5000)):
        own = bars[n * len(plans) : (n + 1) * len(plans)]
        minutes = [p.a_part(batch) for p in plans]
        shares = [width_of(b) / m for b, m in zip(own, minutes, strict=True)]
        assert shares == pytest.approx([shares[0]] * len(shares))
        assert [b.fill == BLACK for b in own] == [m == min(minutes) for m in minutes]


def test_an_alternative_costs_at_its_own_batch_what_its_times_say(cover):
    assert cover.alternatives
    for a in cover.alternatives:
        assert a.times.a_part(cover.batch) == pytest.approx(a.minutes)


def test_pictures_stand_beside_each_other(cover, texts):
    heads = [i.at[0] for i in texts if i.size == 3.5 and i.text[1:3] == "  "]
    assert len(heads) == len(cover.setups)
    assert all(b - a >= 40 for a, b in pairwise(heads))


def test_a_plan_without_set_ups_has_its_reasons():
    made = plan(part_of(ECCENTRIC, B=(6.0, 0.0)), dataclasses.replace(SMALL, swing=10.0))
    words = " ".join(i.text for i in draw_overview_page(SMALL, made, 1).items if isinstance(i, Text))
    assert "nothing can be cut on this machine" in words and "swings" in words
