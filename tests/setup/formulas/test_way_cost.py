"""Costs by batch: laws that hold for every plan."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.run_time import Run
from foldsketch.setup.formulas.way_cost import WAY_MINUTES, PlanMinutes, crossing_batch, setting_minutes

minutes = st.floats(0.1, 500)
plans = st.builds(PlanMinutes, minutes, minutes, minutes).filter(lambda p: p.cycle <= p.through)


@given(plans, st.integers(1, 10_000), st.integers(0, 10_000))
def test_a_larger_batch_is_never_dearer_a_part(plan, parts, more):
    assert plan.a_part(parts + more) <= plan.a_part(parts) * (1 + 1e-12)
    assert plan.batch(parts) == pytest.approx(parts * plan.a_part(parts))


@given(plans, plans)
def test_plans_cross_where_their_batches_are_equal(one, other):
    b = crossing_batch(one, other)
    if math.isfinite(b):
        largest = abs(one.setting) + abs(one.through) + abs(b * one.cycle) + abs(b * other.cycle) + other.setting
        assert one.batch(b) == pytest.approx(other.batch(b), abs=1e-9 * largest)


def test_plans_with_one_cycle_never_cross():
    assert crossing_batch(PlanMinutes(10, 5, 5), PlanMinutes(60, 5, 5)) == math.inf


def test_setting_counts_everything():
    ways = [WAY_MINUTES["four_jaw"], WAY_MINUTES["bored_jaws"]]
    assert setting_minutes(ways, 2, 3, 1, 1, 30.0) == 15 + 80 + 20 + 9 + 10 + 10 + 30


times = st.floats(0, 60)


@given(times, times, times, times)
def test_overlap_and_own_loading_never_slow_a_run(load, main, sub, hand_over):
    run = Run(load, main, sub, hand_over)
    assert run.cycle(2, True) <= run.cycle(2) <= run.through + 1e-9
    assert run.cycle(2) <= run.cycle(1) + 1e-9
    assert run.cycle(2, True) <= run.cycle(1, True) + 1e-9
    assert run.cycle(1, True) <= run.cycle(1) == pytest.approx(run.through)


def test_one_clamping_has_no_overlap():
    assert Run(1.0, 3.0).cycle(2) == Run(1.0, 3.0).through == 4.0


def test_the_slower_spindle_binds():
    assert Run(1, 3, 2).binding == "main"
    assert Run(1, 2, 3).binding == "sub"
