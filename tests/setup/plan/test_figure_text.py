"""Figures with their formulas: each value follows from the numbers in its formula."""

import dataclasses
import math
import re

import pytest

from foldsketch.part.model import Cylinder, Feature
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.figure_text import explain_figures, figure_rows
from foldsketch.setup.plan.plan import plan
from setup_parts import COVER, ECCENTRIC, part_of, planned

DEEP = (Feature("body", "A", Cylinder(60), 0, 60), Feature("bore", "A", Cylinder(30), -1, 61, cut=True))


def rows(s, units="mm"):
    return {name: (formula, value) for name, formula, value in figure_rows(s, units)}


def number(text):
    return float(re.match(r"[-+\d.]+", text)[0])


def test_the_force_follows_from_the_numbers_put_in():
    found = re.findall(
        r"U/10\^6 \(2 pi n/60\)\^2 = ([\d.]+)/10\^6 x \(2 pi (\d+)/60\)\^2\D+ ([\d.]+) N at (\d+)",
        explain_figures(planned()),
    )
    assert found
    for u, n, force, again in found:
        assert n == again
        assert float(force) == pytest.approx(float(u) * 1e-6 * (2 * math.pi * float(n) / 60) ** 2, abs=0.01)


def test_the_packing_follows_from_the_held_diameter_and_the_offset():
    for s in plan(COVER, DEFAULT_MACHINE).setups:
        if s.packing:
            formula, value = rows(s)["packing, narrow"]
            d, e = (float(v) for v in re.findall(r"[De] ([\d.]+) mm", formula))
            assert d == 90
            assert number(value) == pytest.approx(1.5 * e + (math.sqrt(d * d - 3 * e * e) - d) / 2, abs=2e-3)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_numbers_in_a_formula_are_in_the_unit_of_its_value(units):
    """2 x the one is the other."""
    for s in plan(COVER, DEFAULT_MACHINE).setups:
        for name in ("stroke", "indicator", "swing"):
            formula, value = rows(s, units)[name]
            given = re.search(r"2 x ([\d.]+) (\w+)", formula)
            assert given[2] == units and value.endswith(units)
            assert number(value) == pytest.approx(2 * float(given[1]), abs=2e-3)


def test_inches_by_hand():
    """20 mm are 0.7874 in, 130 mm are 5.1181 in."""
    s = next(s for s in plan(COVER, DEFAULT_MACHINE).setups if s.clamping.on_centreline == "B")
    found = rows(s, "in")
    assert number(found["offset e"][1]) == pytest.approx(0.7874, abs=1e-4)
    assert number(found["swing"][1]) == pytest.approx(5.1181, abs=1e-4)
    assert found["unbalance U"][1] == rows(s)["unbalance U"][1], "g mm throughout"


@pytest.mark.parametrize(("offset", "holds"), [(18.0, False), (17.8, True)])
def test_no_packing_beyond_the_limit(offset, holds):
    """D / (2 sqrt 3) of 62 mm is 17.898 mm."""
    shaft = (Feature("journal", "A", Cylinder(62), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50))
    s = next(s for s in planned(shaft, B=(offset, 0.0)).setups if s.packing)
    assert number(rows(s)["packing, limit"][1]) == pytest.approx(17.898, abs=1e-3)
    assert ("do not pack" in rows(s)["packing, limit"][1]) is not holds


def test_four_jaws_and_their_contacts():
    s = next(s for s in plan(COVER, DEFAULT_MACHINE).setups if s.jaws)
    found = rows(s)
    assert [number(found[f"jaw at {a}°"][1]) for a in (0, 90, 180, 270)] == pytest.approx([25, 40.311, 65, 40.311])
    assert found["contact points"][1] == "4"


def test_a_bar_that_bends():
    """200 N, 60 mm deep in 30, a bar of 20: F L3 / (3 E pi d4 / 64)."""
    s = next(s for s in planned(DEEP).setups if "bore" in s.features)
    bends = 200 * 60**3 / (3 * 210_000 * math.pi * 20**4 / 64)
    assert number(rows(s)["tool deflection"][1]) == pytest.approx(bends, abs=1e-4)


def test_the_machine_governs_where_balance_does_not():
    (first, *_) = planned().setups
    light = dataclasses.replace(first, speed_limit=None)
    assert rows(light)["speed at most"][1] == f"{first.machine_limit:.0f} r/min"
    assert "speed at grade" not in rows(light)
    assert "counterweight" not in rows(dataclasses.replace(first, counterweight=None))


def test_without_density_no_balance():
    made = plan(dataclasses.replace(part_of(ECCENTRIC, B=(6.0, 0.0)), density=None), DEFAULT_MACHINE)
    assert all("mass m" not in rows(s) and "offset e" in rows(s) for s in made.setups)


def test_what_is_not_possible_is_listed():
    made = planned()
    text = explain_figures(made)
    assert made.rejected
    assert all(f.text in text for f in made.rejected)
    assert "not possible" not in explain_figures(dataclasses.replace(made, rejected=()))
