"""The figures with their formulas: each shows the numbers that its value follows from."""

import dataclasses
import math
import re

import pytest

from foldsketch.setup.formulas.couple import Unbalance, couple_left
from foldsketch.setup.plan.figure_text import explain_figures, figure_rows
from foldsketch.setup.plan.plan import plan
from setup_parts import ECCENTRIC, SMALL, part_of


@pytest.fixture(scope="module")
def made():
    return plan(part_of(ECCENTRIC, B=(6.0, 0.0)), SMALL, batch=10)


def rows_of(made):
    s = next(s for s in made.setups if s.clamping.offset)
    return s, {name: (formula, value) for name, formula, value in figure_rows(s, made.units)}


def test_the_unbalance_follows_from_the_numbers_put_in(made):
    _, rows = rows_of(made)
    mass, distance = map(float, re.search(r"1000 x ([\d.]+) x ([\d.]+)", rows["unbalance U"][0]).groups())
    assert float(rows["unbalance U"][1].split()[0]) == pytest.approx(1000 * mass * distance, rel=1e-3)


def test_force_and_moment_follow_from_the_speed(made):
    s, rows = rows_of(made)
    w = 2 * math.pi * float(rows["speed at most"][1].split()[0]) / 60
    pull = s.unbalance * 1e-6 * w**2
    assert float(rows["pull of the work"][1].split()[0]) == pytest.approx(pull, abs=0.06)
    assert float(rows["force on spindle"][1].split()[0]) == pytest.approx((0.05 if s.weighted else 1) * pull, abs=0.06)


def test_moment_of_the_work_alone():
    """Two weights of 100 g, 20 mm off on opposite sides, 50 mm apart: D = 100 x 20 x 50 = 1e5 g mm2, no resultant."""
    u = Unbalance(0.0, 0.0, 10.0, 1e5, 0.0)
    assert couple_left(u, ()) == 1e5


def test_one_weight_leaves_a_couple():
    """87189 g mm at 18 mm above the jaws, the weight 10 mm behind their face: 28 mm apart."""
    u = Unbalance(87189.0, 0.0, 18.0, 0.0, 0.0)
    assert couple_left(u, (-10.0,)) == pytest.approx(87189 * 28)
    assert couple_left(u, (-10.0, -60.0)) == 0.0


def test_packing_has_its_three_formulas(made):
    """D 60, e 6: 9 + (sqrt(3600 - 108) - 60) / 2 = 8.547 narrow, 9 flat."""
    _, rows = rows_of(made)
    assert rows["packing, narrow"][1] == "8.547 mm"
    assert rows["packing, flat"][1].startswith("9 mm")


def test_inches():
    part = dataclasses.replace(part_of(ECCENTRIC, B=(6.0, 0.0)), units="in")
    _, rows = rows_of(plan(part, SMALL, batch=10))
    assert rows["offset e"][1] == "0.23622 in"


def test_all_set_ups_are_explained(made):
    text = explain_figures(made)
    assert all(f"set-up {s.number}: held on" in text for s in made.setups)
    assert "not possible on this machine" in text


def test_the_speeds_of_the_cut_follow_from_diameter_and_cutting_speed(made):
    """n = 1000 v_c / (pi d) with the numbers that are printed; the eccentric pin is an interrupted cut, 0.7 [M]."""
    _, rows = rows_of(made)
    formula, value = rows["slowest pass"]
    v, share, d = map(float, re.search(r"v_c ([\d.]+) m/min x ([\d.]+) .*, d ([\d.]+) mm", formula).groups())
    wanted = float(re.search(r"wants ([\d.]+)", formula).group(1)) if "wants" in formula else float(value.split()[0])
    assert (v, share) == (150, 0.7)
    assert wanted == pytest.approx(1000 * v * share / (math.pi * d), abs=0.1)
    formula, value = rows["speed of the cut"]
    v, share, d = map(float, re.search(r"v_c ([\d.]+) m/min x ([\d.]+) .*, d ([\d.]+) mm", formula).groups())
    assert float(value.split()[0]) == pytest.approx(1000 * v * share / (math.pi * d), abs=0.1)
