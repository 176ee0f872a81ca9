"""Drilling and milling: by hand; the worked cover is in tests/validation/test_worked_set_ups.py."""

import math

import pytest

from foldsketch.part.cutting import CUTTING_DATA
from foldsketch.setup.formulas.milling_time import (
    drill,
    drill_torque,
    largest_cutter,
    mill_bore,
    mill_face,
    mill_outside,
    milling_torque,
)
from foldsketch.setup.formulas.work_limits import Cap

IRON = CUTTING_DATA["grey cast iron"]
FAST = Cap(1e6, "machine")


@pytest.mark.parametrize(("depth", "peck"), [(30, 1.0), (30.1, 1.3), (50, 1.3), (50.1, 1.6)])
def test_deep_holes_are_pecked(depth, peck):
    """d10 in grey iron: 70 m/min, 0.16 mm a turn."""
    n = 70_000 / math.pi / 10
    assert drill(10, depth, IRON, FAST).minutes == pytest.approx(peck * (depth + 3 + 2) / 0.16 / n)


def test_a_pattern_has_a_move_between_holes():
    one, four = drill(9, 12, IRON, FAST), drill(9, 12, IRON, FAST, holes=4)
    assert four.minutes == pytest.approx(4 * one.minutes + 0.09)


def test_a_slow_spindle_slows_the_drill():
    cut = drill(9, 12, IRON, Cap(500, "balance"))
    assert (cut.speed, cut.limit) == (500, "balance")
    assert cut.minutes == pytest.approx((12 + 2.7 + 2) / (0.144 * 500))


def test_turns_of_a_cutter():
    """d12: 110 m/min, 4 teeth of 0.06 mm: 700 mm/min. 40 high in levels of 18, stock 5 in widths of 3.6, and one
    more."""
    feed = 4 * 0.06 * 110_000 / math.pi / 12
    outside = mill_outside(50, 40, 5, 12, IRON, FAST)
    assert outside.passes == 3 * 2 + 1
    assert outside.minutes == pytest.approx(7 * math.pi * 50 / feed)
    assert mill_bore(30, 25, 12, IRON, FAST).minutes == pytest.approx(2 * 3 * math.pi * 30 / feed)
    assert mill_face(900, 2, 12, IRON, FAST).minutes == pytest.approx(100 / feed)
    assert mill_face(900, 2.1, 12, IRON, FAST).minutes == pytest.approx(200 / feed)


def test_little_stock_is_milled_in_one_turn():
    assert mill_outside(50, 40, 0.2, 12, IRON, FAST).passes == 1


def test_a_cutter_goes_between_and_reaches():
    """A gap of 9 mm finished takes 8 and not 10; standing out 34 asks for 6.8 mm at least (5 d)."""
    sizes = (4.0, 6.0, 8.0, 10.0, 12.0)
    assert largest_cutter(9, 34, sizes) == 8
    assert largest_cutter(9, 41, sizes) is None
    assert largest_cutter(100, 10, sizes) == 12


def test_torques():
    """Drilling energy: k_c times the volume a turn is 2 pi M [D]; milling: power over angular speed."""
    volume = math.pi * 8**2 * (0.016 * 16)
    assert 2 * math.pi * drill_torque(16, IRON) * 1000 == pytest.approx(1500 * volume)
    n = 110_000 / math.pi / 8
    power = 12 * 2.4 * (4 * 0.04 * n) * 1500 / 60 / 1000  # W
    assert milling_torque(12, 2.4, 8, IRON) == pytest.approx(power / (n * math.pi / 30))
