"""Castings: worst case by hand, yields against closed forms."""

import math

import pytest

from foldsketch.setup.formulas.casting_stock import CastStock, simulate_yield, worst_case_stock


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


def test_the_error_of_a_share_of_all():
    """Where every part cleans up, or none, the error is that of one part in so many."""
    found = simulate_yield(CastStock(5.0, 1.0, 0.0), 10_000)
    assert (found.fraction, found.error) == (1.0, 1 / 10_000)
    none = simulate_yield(CastStock(0.0, 1.0, 0.0), 10_000)
    assert (none.fraction, none.error) == (0.0, 1 / 10_000)
