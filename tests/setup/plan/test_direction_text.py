"""Directions as a machinist finds them: worked out on paper for one way of holding and looked up on the set-up."""

from dataclasses import replace
from math import pi, radians

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.setup import messages as m
from foldsketch.setup.model import JawPlace
from foldsketch.setup.plan.direction_text import direction_text
from foldsketch.setup.plan.plan import plan
from setup_parts import ROOT, SMALL, findings, planned


@pytest.mark.parametrize(
    ("degrees", "end", "text"),
    [
        (0, "+z", "at jaw 1"),
        (120, "+z", "at jaw 2"),
        (180, "+z", "opposite jaw 1"),
        (300, "+z", "opposite jaw 2"),
        (140, "+z", "20° anticlockwise from jaw 2"),
        (-20, "+z", "20° clockwise from jaw 1"),
        (-20, "-z", "20° anticlockwise from jaw 1"),
    ],
)
def test_from_three_jaws(degrees, end, text):
    s = planned(machine=SMALL, batch=10).setups[0]
    jaws = tuple(JawPlace(k + 1, 2 * pi * k / 3, 20.0) for k in range(3))
    s = replace(s, angle=0.4, jaws=jaws, clamping=replace(s.clamping, from_end=end))
    assert direction_text(s, 0.4 + radians(degrees)) == text


def test_without_jaws_from_the_axes_of_the_part():
    """Bored on the far side of A: opposite axis A is where a weight on a fixture goes."""
    s = planned(machine=SMALL, batch=10).setups[-1]
    assert (s.clamping.held_axis, s.clamping.on_centreline) == ("A", "B")
    s = replace(s, jaws=())
    assert direction_text(s, s.angle) == "opposite axis A"
    assert direction_text(s, s.angle + pi) == "on the line of axis A"
    assert direction_text(s, s.angle + pi + radians(30)).startswith("30° ")


def test_how_the_throws_of_a_crank_lie_to_one_another_is_told():
    """Its pins are half a turn apart; the one that is turned second is set by the first."""
    made = plan(read_part(ROOT / "samples" / "double-throw-crank.toml")[0], SMALL, batch=50)
    (told,) = findings(made, m.ANGLE_TO_OTHER_AXIS)
    values = dict(told.values)
    assert (values["turn"], {values["axis"], values["other"]}, values["datum"]) == ("180°", {"B", "C"}, "A")
