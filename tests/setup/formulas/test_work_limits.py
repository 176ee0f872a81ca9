"""Limits of a clamping: by hand and by their laws."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.work_limits import Cap, RotorState, speed_at_force, work_limits


def test_rotor_of_spindle_chuck_and_part():
    """Part of 0.7 kg, G 16, U 13,401 g mm: 8.0 r/min alone, 692 with 60 kg of spindle and chuck [references 13]."""
    alone = work_limits((RotorState(0.7, 13401),), 0, 16, None, 4000)
    rotor = work_limits((RotorState(0.7, 13401),), 60, 16, None, 4000)
    assert alone.balance == pytest.approx(8.0, abs=0.05)
    assert rotor.balance == pytest.approx(692, abs=0.5)
    assert rotor.cap() == Cap(rotor.balance, "balance")
    assert rotor.balance_weighted == pytest.approx(rotor.balance / 0.05)
    assert rotor.cap(weighted=True) == Cap(4000, "machine")
    assert rotor.force is None


def test_no_counterweight_takes_the_pull_off_the_clamps():
    """87,189 g mm (2.79 kg, 31 mm off) pull with 1000 N at w = sqrt(1e9 / 87189) = 107.1 1/s, 1023 r/min."""
    limits = work_limits((RotorState(2.79, 87189),), 45, 16, 8000, 1800)
    clamps = speed_at_force(87189, 1000)
    assert clamps == pytest.approx(1022.7, abs=0.1)
    assert limits.cap(weighted=True) == Cap(limits.balance_weighted, "balance")
    assert limits.cap(weighted=True, clamps=clamps) == Cap(clamps, "grip")


def test_force_on_the_spindle():
    """10,000 g mm at 600 r/min pull with 0.01 x 3948 = 39.5 N."""
    assert speed_at_force(10_000, 0.01 * (20 * math.pi) ** 2) == pytest.approx(600)
    assert speed_at_force(0, 100) == math.inf
    limits = work_limits((RotorState(1, 10_000),), 1e4, 16, 39.478, 4000)
    assert limits.cap() == Cap(pytest.approx(600, abs=0.1), "force")


def test_the_spindle_must_bear_the_weight_coming_off():
    """[D] 86,141 g mm with 800 N allowed: w = sqrt(800e6 / 86141) = 96.4 1/s, 920 r/min, with a weight as without."""
    limits = work_limits((RotorState(2.4, 86141),), 45, 16, 800, 4000)
    assert limits.balance_weighted > 1680, "balance alone would let it run"
    assert limits.cap(weighted=True) == Cap(pytest.approx(920.3, abs=0.1), "force")


def test_the_worse_end_of_a_clamping_counts():
    before, after = RotorState(1.2, 9000), RotorState(0.8, 4000)
    both = work_limits((before, after), 50, 16, 500, 4000)
    assert both == work_limits((before,), 50, 16, 500, 4000)


def test_without_a_density_only_the_machine_limits():
    limits = work_limits(None, 50, 16, 500, 4000)
    assert limits.cap() == Cap(4000, "machine")
    assert limits.balance is limits.force is None


@given(st.floats(0.1, 30), st.floats(0, 1e5), st.floats(1, 300), st.floats(1, 1e4), st.floats(1, 2))
def test_more_of_anything_that_helps_never_slows(mass, unbalance, rotor, force, more):
    cap = work_limits((RotorState(mass, unbalance),), rotor, 16, force, 4000).cap().speed
    for better in (
        work_limits((RotorState(mass, unbalance),), rotor * more, 16, force, 4000),
        work_limits((RotorState(mass, unbalance),), rotor, 16, force * more, 4000),
        work_limits((RotorState(mass, unbalance / more),), rotor, 16, force, 4000),
    ):
        assert better.cap().speed >= cap * (1 - 1e-12)
    loaded = work_limits((RotorState(mass, unbalance),), rotor, 16, force, 4000)
    assert loaded.cap(weighted=True).speed >= cap
