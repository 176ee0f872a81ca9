"""Bored pockets against jaws built and pushed in the plane with shapely, which knows none of the formulas."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.setup.formulas.bored_pocket import angle_tolerance, jaw_contacts, largest_bored_offset
from foldsketch.setup.formulas.jaws import bored_jaws

CASES = st.tuples(st.floats(20, 200), st.floats(0, 0.8)).map(lambda c: (c[0], c[1] * c[0] / 2))
"""Diameter and an offset below its radius, mm."""


def turned(shape, k):
    """A shape in the frame of jaw k + 1: that jaw along +x."""
    return shapely.affinity.rotate(shape, -120 * k, origin=(0, 0))


def pocket(diameter, offset):
    return shapely.Point(offset, 0).buffer(diameter / 2, quad_segs=1000)


@settings(max_examples=15)
@given(CASES)
def test_a_jaw_presses_where_the_work_first_meets_a_plate_square_to_its_way(case):
    """The jaw closes along its own line: what it meets first is the farthest point of the round in that direction."""
    d, e = case
    for k, contact in enumerate(jaw_contacts(d / 2, e)):
        points = shapely.get_coordinates(turned(pocket(d, e), k))
        x, y = points[points[:, 0].argmax()]
        assert contact.from_centre == pytest.approx(x, abs=1e-3)
        assert contact.beside == pytest.approx(abs(y), abs=d * 1e-3)
        back = shapely.affinity.rotate(shapely.Point(x, y), 120 * k, origin=(0, 0))
        assert shapely.Point(contact.at).distance(back) < d * 1e-3


@settings(max_examples=25)
@given(CASES, st.floats(15, 120), st.floats(5, 20))
def test_at_the_largest_offset_the_jaws_just_have_the_pocket(case, width, smallest):
    """Built: the contact stays 2 mm inside the jaw's face, no nearer to the centre than the chuck's least radius, and
    the pocket inside the chuck; at the largest offset all three hold, a little beyond it one does not."""
    d, _ = case
    largest = 2.2 * d
    most = largest_bored_offset(d, width, smallest, largest)

    def holds(e):
        chuck = shapely.Point(0, 0).buffer(largest / 2, quad_segs=1000)
        face = shapely.box(smallest / 2, -width / 2 + 2, largest, width / 2 - 2)
        round_ = pocket(d, e)
        grows = 1 + 1e-5
        ends = []
        for k in range(3):
            points = shapely.get_coordinates(turned(round_, k))
            ends.append(shapely.Point(points[points[:, 0].argmax()]))
        return all(face.buffer(d * 2e-3).contains(p) for p in ends) and chuck.buffer(d * grows * 1e-5).contains(round_)

    if most > 0.05 * d:
        assert holds(most - 0.01 * d)
        assert not holds(most + 0.01 * d)


def test_the_drawn_pocket_of_the_cover():
    """look/drawings.md: 20 off in d90: 65 and 25 by slide, 17.3 beside the middle, 38.6 wide needed, 0.14 degrees of
    turn move 0.05."""
    contacts = jaw_contacts(45, 20)
    assert [c.from_centre for c in contacts] == pytest.approx([65, 35, 35])
    assert [c.beside for c in contacts] == pytest.approx([0, 17.3, 17.3], abs=0.05)
    assert bored_jaws(90, 20, 60, 15).width == pytest.approx(38.6, abs=0.05)
    assert angle_tolerance(20, 0.05) == pytest.approx(0.14, abs=0.005)
    assert angle_tolerance(0, 0.05) == math.inf
