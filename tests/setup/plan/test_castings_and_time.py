"""Castings and times of a plan."""

import dataclasses

import pytest

from foldsketch.setup.plan.castings_and_time import check_castings, time_comparison
from foldsketch.setup.plan.plan import plan
from setup_parts import COVER, SMALL, TWIN


def test_castings_are_the_cut_features_with_stock():
    """2 mm of stock, 1 mm of location and 0.4 of radius: 0.6 to 3.4 a side, so all clean up."""
    made = plan(COVER, TWIN, batch=50)
    casts = check_castings(COVER, made, 1.0, 0.8)
    assert {c.feature for c in casts} <= {"flange", "inlet", "outlet"}
    assert casts
    for cast in casts:
        assert cast.feature in made.setups[cast.set_up - 1].features
        assert (cast.worst_case.least, cast.worst_case.most) == pytest.approx((0.6, 3.4))
        assert cast.clean_up_yield.fraction == 1.0


def test_times_need_a_machine_that_gives_them():
    made = plan(COVER, TWIN, batch=50)
    assert time_comparison(made, dataclasses.replace(TWIN, times=None)) is None
    time = time_comparison(made, TWIN)
    assert time.cuts == tuple(s.minutes for s in made.setups)
    assert time.one_part == made.minutes.cycle


def test_nothing_cut_takes_no_time():
    small = dataclasses.replace(SMALL, swing=10.0)
    assert time_comparison(plan(COVER, small), small) is None
