"""The plan in words: its figures are those of the set-ups, in the part's unit."""

import dataclasses
import math
import re

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.part.model import Cylinder, Feature
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.castings_and_time import check_castings, time_comparison
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS, castings_and_time_text, plan_table
from setup_parts import COVER, ECCENTRIC, ONE_SPINDLE, ROOT, part_of, planned

SAMPLES = sorted((ROOT / "samples").glob("*.toml"))
DEEP = (Feature("body", "A", Cylinder(60), 0, 60), Feature("bore", "A", Cylinder(30), -1, 61, cut=True))


def row(made, number):
    return next(line for line in plan_table(made).splitlines() if line.startswith(f"{number}: "))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_plan_names_part_machine_features_and_cautions(path):
    made = plan(read_part(path)[0], DEFAULT_MACHINE)
    text = plan_table(made)
    assert text.startswith(f"{made.part} on {made.machine}")
    assert all(c in text for c in CAUTIONS)
    assert all(name in text for s in made.setups for name in s.features)
    assert all(name in text for name, _ in made.unturned)


def test_the_force_follows_from_the_unbalance_at_the_speed_beside_it():
    """F = U w2, with U in kg m: 10,000 g mm at 500 r/min pull with 27.4 N."""
    made = planned()
    found = re.findall(r"unbalance (\d+) g mm, ([\d.]+) N at (\d+) r/min", plan_table(made))
    assert len(found) == len(made.setups)
    figures = [(float(u), float(f), float(n)) for u, f, n in found]
    assert any(u > 100 for u, _, _ in figures)
    for u, force, n in figures:
        assert force == pytest.approx(u * 1e-6 * (2 * math.pi * n / 60) ** 2, abs=0.1)


def test_lengths_are_in_the_parts_unit():
    """By hand: 6 mm off is 0.2362 in and reads 0.4724 in; the body swings 72 mm, 2.835 in, about the pin."""
    part = part_of(ECCENTRIC, B=(6.0, 0.0))
    metric = plan_table(plan(part, DEFAULT_MACHINE))
    inches = plan_table(plan(dataclasses.replace(part, units="in"), DEFAULT_MACHINE))
    assert "6 mm" in metric and "12 mm" in metric and "72 mm" in metric
    assert "0.2362 in" in inches and "0.4724 in" in inches and "2.835 in" in inches
    assert not re.search(r"\d mm\b(?! *,)", inches.replace("g mm", ""))


def test_the_reason_is_in_the_parts_unit_too():
    """130 mm is 5.118 in, 120 mm is 4.7244 in."""
    small = dataclasses.replace(DEFAULT_MACHINE, swing=120.0)
    text = plan_table(plan(dataclasses.replace(COVER, units="in"), small))
    assert "not turned on this machine:" in text
    assert "5.118 in" in text and "4.7244 in" in text


def test_a_part_without_a_density_has_no_unbalance_in_its_words():
    light = dataclasses.replace(part_of(ECCENTRIC, B=(6.0, 0.0)), density=None)
    made = plan(light, DEFAULT_MACHINE)
    assert made.setups
    assert all("indicator" in row(made, s.number) and "unbalance" not in row(made, s.number) for s in made.setups)


def test_a_plan_without_set_ups_says_so():
    small = dataclasses.replace(DEFAULT_MACHINE, swing=10.0)
    empty = planned(machine=small)
    assert not empty.setups
    assert "nothing can be turned on this machine" in plan_table(empty)
    assert "nothing can be turned" not in plan_table(planned())


def test_by_hand_on_one_spindle():
    rows = [line for line in plan_table(planned(machine=ONE_SPINDLE)).splitlines() if re.match(r"\d  ", line)]
    assert ["by hand" in line for line in rows] == [False, True]


def test_overhang_only_where_there_is_one():
    """A bore of 60 mm has 60 mm of it."""
    assert "stick-out" not in plan_table(planned())
    assert "'bore' needs a tool stick-out of 60 mm" in plan_table(planned(DEEP))


@pytest.mark.parametrize(("offset", "holds"), [(18.0, False), (17.8, True)])
def test_packing_only_where_three_jaws_hold(offset, holds):
    """D / (2 sqrt 3) of 62 mm is 17.898 mm."""
    shaft = (Feature("journal", "A", Cylinder(62), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50))
    made = planned(shaft, B=(offset, 0.0))
    s = next(s for s in made.setups if s.clamping.held_on == "journal" and s.clamping.offset > 1)
    assert s.packable is holds
    assert ("packing" in row(made, s.number)) is holds


def test_castings_and_time_by_hand():
    """2 mm of stock, 1 of location, 0.8 of diameter: 0.6 to 3.4 a side, 0.0236 to 0.1339 in. Two cuts of 2 min: 6 min
    on two machines with a load of 1 each, 3.3 in one with a transfer of 0.3."""
    features = (dataclasses.replace(ECCENTRIC[0], stock=2.0), ECCENTRIC[1])
    made, part = planned(features), part_of(features, B=(6.0, 0.0))
    sure, unsure = check_castings(part, made, 1.0, 0.8), check_castings(part, made, 2.5, 0.8)
    text = castings_and_time_text(sure, time_comparison(made, DEFAULT_MACHINE), 50)
    assert "least 0.6 mm, most 3.4 mm: always cleans up; 100.00 % of 1,000,000 simulated parts" in text
    assert "time per part: 6.0 min on separate machines, 3.3 min in one, both spindles cutting" in text
    assert "does not always clean up" in castings_and_time_text(unsure, None, 0)
    assert "least 0.0236 in, most 0.1339 in" in castings_and_time_text(sure, None, 0, "in")
    assert castings_and_time_text((), None, 0) == ""
