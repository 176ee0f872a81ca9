"""Time against separate machines: the cover worked by hand, and batches counted part by part."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.cycle_time import break_even_batch, compare_times
from foldsketch.setup.formulas.way_cost import PlanMinutes

MINUTES = st.floats(0.1, 300)


def test_the_cover_by_hand():
    """Set-up reference, section 7: 311 for 409 min at 50, 240 of queue, from 6 parts on."""
    one, two = PlanMinutes(88, 5.92, 4.42), PlanMinutes(78, 6.62, 6.62)
    c = compare_times((3.12, 1.49), one, two, 50, 240, True)
    assert (c.one_batch, c.separate_batch) == pytest.approx((311, 409), abs=0.7)
    assert (c.waiting, c.break_even) == (240, 6)


@given(MINUTES, MINUTES, MINUTES, MINUTES)
def test_break_even_is_the_first_batch_that_takes_less(setting, other, cycle, apart):
    """Counted part by part up to a hundred."""
    one, two = PlanMinutes(setting, cycle, cycle), PlanMinutes(other, apart, apart)
    first = break_even_batch(one, two)
    less = [b for b in range(1, 101) if setting + b * cycle < other + b * apart - 1e-6]
    if first is not None and first <= 100:
        assert less == list(range(first, 101)) or abs(setting + first * cycle - other - first * apart) < 1e-3
    else:
        assert not less or cycle > apart or first is None
