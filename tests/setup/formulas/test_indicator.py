"""Indicator readings by hand."""

import math

import pytest

from foldsketch.setup.formulas.indicator import full_indicator_reading, indicator_reading, stroke


def test_a_reading_over_one_turn():
    """An indicator on a true diameter 5 mm off reads from 30 to 20 on 50 mm: 2 e from high to low."""
    turn = [indicator_reading(25, 5, k * math.pi / 180) for k in range(360)]
    assert (max(turn), min(turn)) == pytest.approx((30, 20))
    assert full_indicator_reading(5) == stroke(5) == pytest.approx(max(turn) - min(turn))
