"""Warnings of single set-ups: thin walls under jaws, and drills too large for the driven tool."""

import dataclasses

import pytest

from foldsketch.part.model import Blank, Cylinder, Feature, Ring
from foldsketch.setup import messages as m
from foldsketch.setup.plan.plan import plan
from setup_parts import MACHINES, SMALL, findings, part_of

TWIN = MACHINES["twin"]


def tube(bore):
    """A cast tube of 60 x 60 with 1 mm of stock inside and out: 62 raw, held in hard jaws first, then in soft ones."""
    made = part_of((Feature("tube", "A", Ring(60, bore), 0, 60, stock=1.0),))
    return dataclasses.replace(made, blank=Blank("casting"))


@pytest.mark.parametrize(
    ("bore", "told"),
    [
        (40.0, []),  # 12 of 62 raw, 10 of 60 finished: above 1/15
        (56.0, [(4.0, 62.0, "soft jaws all round")]),  # 4 of 62 is below 1/15; soft jaws then hold 2 of 60, just 1/30
        (57.0, [(3.5, 62.0, "soft jaws all round"), (1.5, 60.0, "along the axis")]),  # 1.5 of 60 is below 1/30
    ],
)
def test_a_thin_wall_under_the_jaws_is_told(bore, told):
    """Below 1/15 of the diameter soft jaws, below 1/30 clamping along the axis [set-up reference, section 4, M]."""
    found = findings(plan(tube(bore), SMALL, batch=50), m.THIN_WALL)
    values = [(f.value("wall").value, f.value("diameter").value, f.value("cure")) for f in found]
    assert len(values) == len(told)
    for (wall, diameter, cure), expected in zip(values, told, strict=True):
        assert (wall, diameter) == pytest.approx(expected[:2])
        assert expected[2] in cure


def test_a_groove_outside_leaves_no_thin_wall():
    """A pin of 24 with a clip groove down to 20, held on the pin off centre."""
    head, pin = Feature("head", "B", Cylinder(40), 0, 15), Feature("pin", "A", Cylinder(24), 15, 60)
    groove = Feature("groove", "A", Ring(24, 20), 50, 53, cut=True)
    made = plan(part_of((head, pin, groove), B=(5.0, 0.0)), SMALL, batch=50)
    assert any(s.clamping.held_on == "pin" for s in made.setups)
    assert not findings(made, m.THIN_WALL)


def test_a_drill_that_the_driven_tool_cannot_turn():
    """In steel k_c f d2 / 8 = 2200 x 0.013 x 16 x 256 / 8 = 14.6 N m for a drill of 16 [D]: 15 are enough, 10 not."""
    hole = Feature("hole", "B", Cylinder(16), -1, 31, cut=True)
    part = part_of((Feature("body", "A", Cylinder(80), 0, 30), hole), B=(25.0, 0.0))
    assert not findings(plan(part, TWIN, batch=50), m.DRIVEN_TORQUE)
    weak = dataclasses.replace(TWIN, driven_torque=10.0)
    (found,) = findings(plan(part, weak, batch=50), m.DRIVEN_TORQUE)
    assert (found.value("tool"), found.value("names")) == ("drill", ("hole",))
    assert found.value("needed").value == pytest.approx(14.64, abs=0.01)
