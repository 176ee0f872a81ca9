"""Castings and times of a plan."""

import dataclasses

import pytest

from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.castings_and_time import check_castings, time_comparison
from foldsketch.setup.plan.plan import plan
from setup_parts import COVER, ECCENTRIC, part_of, planned


def test_castings_are_the_turned_features_with_stock():
    """2 mm of stock, 1 mm of location and 0.4 of radius: 0.6 to 3.4 a side, so all clean up."""
    features = (dataclasses.replace(ECCENTRIC[0], stock=2.0), ECCENTRIC[1])
    made = planned(features)
    (cast,) = check_castings(part_of(features, B=(6.0, 0.0)), made, 1.0, 0.8)
    assert cast.feature == "body"
    assert "body" in made.setups[cast.set_up - 1].features
    assert (cast.worst_case.least, cast.worst_case.most) == pytest.approx((0.6, 3.4))
    assert cast.clean_up_yield.fraction == 1.0


def test_times_need_a_machine_that_gives_them():
    """Two features of 2 min each, one load of 1, the machine file's: separate 6, in one 2 + 1 + 0.3 transfer."""
    made = planned()
    assert time_comparison(made, dataclasses.replace(DEFAULT_MACHINE, times=None)) is None
    time = time_comparison(made, DEFAULT_MACHINE)
    assert time.cuts == (2.0, 2.0)
    assert (time.separate_part, time.one_part) == pytest.approx((6, 3.3))


def test_nothing_turned_takes_no_time():
    small = dataclasses.replace(DEFAULT_MACHINE, swing=10.0)
    assert time_comparison(plan(COVER, small), small) is None
