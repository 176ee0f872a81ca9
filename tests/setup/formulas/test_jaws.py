"""Jaws: packing and four-jaw settings by hand; the table of packings is in tests/validation/test_packing_figures.py."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup.formulas.jaws import (
    corrected_packing,
    four_jaw_settings,
    frictionless_offset_limit,
    jaw_packing,
    narrow_jaw_packing,
    wide_jaw_packing,
)
from foldsketch.setup.messages import CANNOT_PACK, CENTRELINE_OUTSIDE


def test_jaws_one_by_one_by_hand():
    """50 mm, 5 off: toward the offset 25 + 5, away from it 25 - 5, and across sqrt(25^2 - 5^2) = 24.494897."""
    found = four_jaw_settings(50, 5, 0.0)
    assert [j.contact_radius for j in found] == pytest.approx([30, 24.494897, 20, 24.494897])
    assert [j.moved for j in found] == pytest.approx([5, -0.505103, -5, -0.505103])
    assert [j.reading for j in found] == [j.moved for j in found]


@given(st.floats(20, 200), st.floats(0, 0.9), st.floats(0, 2 * math.pi))
def test_every_jaw_touches_the_diameter(diameter, share, angle):
    """A jaw's contact lies on the circle of the work, whose centre is offset from the chuck's."""
    offset = share * diameter / 2
    x, y = offset * math.cos(angle), offset * math.sin(angle)
    for j in four_jaw_settings(diameter, offset, angle):
        contact = (j.contact_radius * math.cos(j.angle), j.contact_radius * math.sin(j.angle))
        assert math.dist(contact, (x, y)) == pytest.approx(diameter / 2)


@given(st.floats(20, 200), st.floats(0.01, 0.95))
def test_narrow_packing_puts_the_work_off_by_the_offset(diameter, share):
    """Jaw 1 touches at R - e from the chuck's centre; the two others, at 120 degrees, touch where the circle does. All
    three jaws move alike, so the packing is what jaw 1 is short of them."""
    offset = share * frictionless_offset_limit(diameter)
    r = diameter / 2
    # The circle's centre is at (-e, 0); the ray at 120 degrees meets it at t with t^2 - t e + e^2 = r^2.
    other = (offset + math.sqrt(offset**2 - 4 * (offset**2 - r**2))) / 2
    assert narrow_jaw_packing(diameter, offset) == pytest.approx(other - (r - offset))


def test_wide_jaws_lie_between_narrow_and_flat():
    narrow, flat, own, width = jaw_packing(50, 10, 5)
    assert (flat, width) == (15.0, 5)
    assert narrow < own < flat
    assert own == wide_jaw_packing(50, 10, 5)
    assert wide_jaw_packing(50, 10, 1e-9) == pytest.approx(narrow)
    assert wide_jaw_packing(50, 10, 50) == pytest.approx(flat)


def test_second_trial_by_hand():
    """3 mm wanted, 2.92 measured: 4.5 + 1.5 x 0.08."""
    assert corrected_packing(3, 2.92) == pytest.approx(4.62)


@pytest.mark.parametrize("pack", [lambda: narrow_jaw_packing(30, 17.4), lambda: wide_jaw_packing(30, 30, 5)])
def test_no_packing_beyond_the_last_touch(pack):
    """On 30 mm two narrow jaws lose touch beyond 30 / sqrt 3 = 17.32; 30 / (2 sqrt 3) = 8.660."""
    with pytest.raises(FoldsketchError) as refused:
        pack()
    (f,) = refused.value.findings
    assert f.code == CANNOT_PACK.code
    assert f.value("limit").value == pytest.approx(8.660254)
    assert "0.341 in" in f.text_in("in")


def test_four_jaws_need_the_centreline_inside():
    with pytest.raises(FoldsketchError) as refused:
        four_jaw_settings(30, 15, 0.0)
    assert refused.value.findings[0].code == CENTRELINE_OUTSIDE.code
    assert four_jaw_settings(30, 14.99, 0.0)
