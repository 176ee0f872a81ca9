"""Balance by hand; the figures of references are in tests/validation/test_balance_figures.py."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.balance import (
    angular_speed,
    centrifugal_force,
    counterweight,
    speed_at_grade,
    unbalance,
)


def test_figures_by_hand():
    """60 r/min are 2 pi rad/s; 1 kg, 10 mm off, is 10,000 g mm and pulls with 1 x 0.01 x (2 pi)^2 = 0.3948 N."""
    assert angular_speed(60) == pytest.approx(2 * math.pi)
    assert unbalance(1, 10) == 10_000
    assert centrifugal_force(10_000, 60) == pytest.approx(0.01 * 4 * math.pi**2)


def test_speed_at_a_grade():
    """G 6.3 and a centre of mass 0.02 mm off: w = 6.3 / 0.02 = 315 rad/s, 3008 r/min [ISO 21940-11: e w = G]."""
    assert speed_at_grade(2.0, unbalance(2.0, 0.02), 6.3) == pytest.approx(315 * 30 / math.pi)
    assert speed_at_grade(2.0, 0.0, 6.3) == math.inf


@given(st.floats(1, 1e5), st.floats(0, 6.2), st.floats(10, 300))
def test_a_counterweight_cancels_the_unbalance(amount, angle, radius):
    kg, opposite = counterweight(amount, angle, radius)
    x = amount * math.cos(angle) + 1000 * kg * radius * math.cos(opposite)
    y = amount * math.sin(angle) + 1000 * kg * radius * math.sin(opposite)
    assert (x, y) == pytest.approx((0, 0), abs=1e-9 * amount)
