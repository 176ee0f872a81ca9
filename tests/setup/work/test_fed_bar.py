"""A bar fed through the spindle: where it is held, and when it is not."""

import dataclasses

import pytest

from foldsketch.base.findings import Finding
from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.messages.reasons import BAR_NOT_FED, NO_PARTING_BLADE, OUTSIDE_CHUCK_RANGE
from foldsketch.setup.work.blank import work_blank
from foldsketch.setup.work.fed_bar import FED_GRIP_MM, fed_bar
from setup_works import TWIN

DISC = Part("disc", (Axis("A"),), (Feature("disc", "A", Cylinder(36), 0, 20),), blank=Blank("bar", 40))
BLADES = (Cutter("blade", 4.0, 32.0, 50.0), Cutter("blade", 3.0, 26.0, 18.0), Cutter("outside", 20.0, 20.0, 40.0))


@pytest.mark.parametrize(("end", "front", "sign"), [("+z", -0.5 - 4.0, -1), ("-z", 20.5 + 4.0, 1)])
def test_jaws_hold_the_bar_behind_the_part_and_the_blade(end, front, sign):
    """0.5 mm to face on either end, then the blade that reaches the bar's middle: the one of 3 mm is too short."""
    found = fed_bar(work_blank(DISC), (0.0, 0.0), TWIN.spindle("main"), end, BLADES)
    assert found.parting == 4.0
    assert set(found.grip) == {front, front + sign * FED_GRIP_MM}
    assert (found.held.diameter, found.held.raw, found.held.axis) == (40, True, "A")


@pytest.mark.parametrize(
    ("spindle", "blades", "why"),
    [
        ({"bar": 39.9}, BLADES, BAR_NOT_FED),
        ({}, BLADES[1:], NO_PARTING_BLADE),
        ({"smallest": 41}, BLADES, OUTSIDE_CHUCK_RANGE),
    ],
)
def test_a_bar_that_is_not_fed_has_a_reason(spindle, blades, why):
    main = dataclasses.replace(TWIN.spindle("main"), **spindle)
    found = fed_bar(work_blank(DISC), (0.0, 0.0), main, "+z", blades)
    assert isinstance(found, Finding)
    assert found.code == why.code
