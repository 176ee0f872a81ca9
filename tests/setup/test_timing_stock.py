"""Time and castings: worked examples and closed forms."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.casting_stock import CastStock, simulate_yield, worst_case_stock
from foldsketch.setup.formulas.cycle_time import OperationTimes, compare_cycle_times

TIMES = OperationTimes(cut=2.0, load=1.5, transfer=0.25, queue=240.0, setting=30.0, batch=40)


def test_two_set_ups_by_hand():
    """3 and 1 features: cuts 6 and 2; separate 8 + 3 = 11 a part; one machine max(6 + 1.5, 2) + 0.25 = 7.75."""
    c = compare_cycle_times([3, 1], ["main", "sub"], TIMES)
    assert c.overlapped
    assert c.cuts == (6.0, 2.0)
    assert c.separate_part == 11.0
    assert c.one_part == 7.75
    assert c.separate_batch == 60 + 240 + 40 * 11
    assert c.one_batch == 60 + (8 + 1.5 + 0.25) + 39 * 7.75
    assert c.break_even == 1


def test_a_part_that_comes_back_overlaps_nothing():
    c = compare_cycle_times([1, 0, 1], ["main", "sub", "main"], TIMES)
    assert not c.overlapped
    assert c.one_part == 4 + 1.5 + 0.5


@given(st.floats(0.1, 20), st.floats(0, 10), st.floats(0, 30), st.floats(0, 500))
def test_break_even_is_where_the_lines_cross(cut, load, transfer, queue):
    for batch in (1, 2, 7, 50):
        c = compare_cycle_times([2, 1], ["main", "sub"], OperationTimes(cut, load, transfer, queue, 20.0, batch))
        first = c.one_batch <= c.separate_batch + 1e-6
        if c.break_even is None:
            assert not first or batch == 1 or c.one_part == pytest.approx(c.separate_part)
        elif batch >= c.break_even and c.one_part <= c.separate_part:
            assert first


def test_worst_case_by_hand():
    w = worst_case_stock(CastStock(stock=2.0, location=1.0, diameter=0.8))
    assert (w.least, w.most) == pytest.approx((0.6, 3.4))
    assert w.cleans_up
    assert w.take_up == pytest.approx(1.4)
    assert not worst_case_stock(CastStock(1.0, 1.0, 0.1)).cleans_up


@pytest.mark.parametrize("location", [0.5, 1.2, 2.0, 4.0])
def test_yield_against_the_closed_form(location):
    """Only the location varies: the share is the circle of centres that leave stock over the whole circle."""
    y = simulate_yield(CastStock(1.0, location, 0.0), 200_000)
    assert abs(y.fraction - min(1.0, (1.0 / location) ** 2)) <= 5 * y.error


def test_yield_with_only_the_diameter():
    """Uniform between -0.5 and 0.5 a side with 0.25 stock: three quarters clean up."""
    y = simulate_yield(CastStock(0.25, 0.0, 1.0), 200_000)
    assert abs(y.fraction - 0.75) <= 5 * y.error


def test_same_seed_same_figure_and_progress():
    seen = []
    cast = CastStock(1.0, 1.5, 0.4)
    a = simulate_yield(cast, 250_000, 7, lambda stage, done: seen.append(done))
    assert a == simulate_yield(cast, 250_000, 7)
    assert seen == sorted(seen)
    assert math.isclose(seen[-1], 1.0)
    assert a != simulate_yield(cast, 250_000, 8)
