"""Rectangles in four jaws: each jaw as far from the centreline as its side, whatever way the plate lies."""

import dataclasses
from math import cos, pi, sin

import pytest

from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part, Plate
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.work.rectangle import rectangle_of
from foldsketch.setup.work.states import WorkStates
from setup_parts import MACHINES, SMALL

CORNERS = ((-80.0, -45.0), (80.0, -45.0), (80.0, 45.0), (-80.0, 45.0))


def body(turn=0.0):
    """A cast plate of 160 x 90 with two spigots 31 either side of its middle, turned about that by an angle."""
    c, s = cos(turn), sin(turn)
    outline = tuple((x * c - y * s, x * s + y * c) for x, y in CORNERS)
    axes = (Axis("A"), Axis("B", (-31 * c, -31 * s, 0.0)), Axis("C", (31 * c, 31 * s, 0.0)))
    features = (
        Feature("plate", "A", Plate(outline=outline), 0, 16, finish="cast"),
        Feature("one", "B", Cylinder(48), 16, 50, stock=2.5),
        Feature("other", "C", Cylinder(40), 16, 46, stock=2.5),
    )
    return Part("body", axes, features, density=7150.0, material="grey cast iron", blank=Blank("casting"))


@pytest.mark.parametrize("turn", [0.0, pi / 6, 2.0])
def test_one_casting_goes_into_four_jaws_and_not_on_a_fixture(turn):
    """Jaws square to the sides [D]: 80 - 31 and 80 + 31 from the centreline along the plate, 45 on either side."""
    made = plan(body(turn), SMALL, batch=1)
    off = [s for s in made.setups if s.clamping.offset]
    assert [s.clamping.way for s in off] == ["four_jaw", "four_jaw"]
    for s in off:
        assert s.held_across == pytest.approx((160, 90))
        assert [j.from_centre for j in s.jaws] == pytest.approx([49, 45, 111, 45])
        assert [j.angle for j in s.jaws] == pytest.approx([0, pi / 2, pi, 3 * pi / 2], abs=1e-6)


def test_other_outlines_and_small_chucks_are_refused():
    trapezium = ((-80.0, -45.0), (80.0, -45.0), (70.0, 45.0), (-70.0, 45.0))
    for outline, found in ((CORNERS, True), (trapezium, False)):
        plate = Feature("plate", "A", Plate(outline=outline), 0, 16)
        part = Part("p", (Axis("A"),), (plate,), blank=Blank("casting"))
        (piece,) = WorkStates(part).solid(frozenset()).pieces
        assert (rectangle_of(part, piece) is not None) == found
    narrow = tuple(dataclasses.replace(s, largest=220.0) for s in SMALL.spindles)  # 111 is beyond 220 / 2
    made = plan(body(), dataclasses.replace(SMALL, spindles=narrow), batch=1)
    assert all(s.clamping.way != "four_jaw" for s in made.setups if s.clamping.offset)


def test_a_raw_outline_is_held_again_only_by_an_indicator_on_what_is_machined():
    made = plan(body(), MACHINES["single-spindle"], batch=1)
    assert [s.clamping.raw for s in made.setups if s.clamping.way == "four_jaw"] == [True, False]
