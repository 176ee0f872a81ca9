"""Clamping force by hand and by its laws; the worked parts are in tests/validation/test_worked_set_ups.py."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.setup.formulas.clamping_force import Grip, grip_against_tilting, grip_for_torque

FORCES, SPEEDS = st.floats(1, 3000), st.floats(1, 6000)


def grip(force=45000.0, loss=20000.0, unbalance=2000.0, **more):
    return Grip(90.0, 6.0, force, loss, 4000.0, unbalance, **more)


def test_torque_by_hand():
    """750 N at d 90 held on d 22, mu 0.15, S 2: 41 kN [set-up reference, section 13]."""
    assert grip_for_torque(750, 45, 22) == pytest.approx(41_000, rel=0.005)


def test_three_jaws_against_tilting_by_summing_up():
    """The moment of three jaw forces about the worst line through the middle of the grip, by their positions [D].

    Each jaw carries N / 3: friction mu N / 3 along the axis at a radius R gives a moment about a line, and the pressure
    along its length l may shift by l / 6 before an end lifts. The sum over three jaws at 120 degrees of squares of
    their parts is the same about every line, so the least that all three carry at once is N (mu R + l / 6) / sqrt 3.
    """
    n, r, length, mu = 10_000.0, 45.0, 6.0, 0.15
    moments = []
    for turn in range(0, 360, 5):
        parts = [abs(math.cos(math.radians(turn + 120 * k))) for k in range(3)]
        moments.append(sum(parts) * n / 3 * (mu * r + length / 6))
    assert min(moments) == pytest.approx(n * (mu * r + length / 6) / math.sqrt(3))
    force = min(moments) / 2 / 11  # S = 2, arm 11 mm
    assert grip_against_tilting(force, 11, 2 * r, length, mu) == pytest.approx(n)


@given(FORCES, SPEEDS)
def test_the_speed_limit_uses_the_grip_up(force, speed):
    """At the speed that a chuck just holds, the force at rest that the cut needs is the chuck's own."""
    held = grip()
    limit = held.speed_limit(force, 40, 20)
    if limit > 0:
        assert held.at_rest(force, 40, 20, limit) == pytest.approx(45000, rel=1e-9)
    need = held.at_rest(force, 40, 20, speed)
    assert grip(need).speed_limit(force, 40, 20) == pytest.approx(speed, rel=1e-6)


def test_jaws_in_a_bore_press_harder_at_speed():
    inside, outside = grip(unbalance=0.0, inside=True), grip(unbalance=0.0)
    assert inside.at_rest(100, 40, 20, 3000) < inside.at_rest(100, 40, 20, 0) < outside.at_rest(100, 40, 20, 3000)
    assert inside.speed_limit(100, 40, 20) == math.inf


def test_too_much_is_not_held_at_any_speed():
    assert grip().speed_limit(1e5, 40, 20) == 0.0


def test_an_unknown_force_limits_nothing_but_tells_what_is_needed():
    held = grip(force=None, loss=0.0, unbalance=0.0)
    assert held.speed_limit(1e5, 40, 20) == math.inf
    assert held.at_rest(637.5, 47, 0, 500) == pytest.approx(1.5 * grip_for_torque(637.5, 47, 90))


def test_a_centre_carries_the_tilting():
    assert grip(centre=True).for_cut(1000, 20, 90) == grip_for_torque(1000, 20, 90)
    assert grip().for_cut(1000, 20, 90) == grip_against_tilting(1000, 90, 90, 6)
