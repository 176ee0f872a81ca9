"""Jaws: packing and four-jaw settings by hand; the table of packings is in tests/validation/test_packing_figures.py."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup.formulas.jaws import (
    bored_jaws,
    corrected_packing,
    four_jaw_settings,
    frictionless_offset_limit,
    jaw_edge_slope,
    jaw_packing,
    jaw_stroke_needed,
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


def on_jaw(x, y, angle):
    """Points in the frame of a jaw: along its radius, and sideways of its middle."""
    return x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)


@pytest.mark.parametrize(
    ("diameter", "offset", "width", "expected"),
    [(90, 20, 25, 44.37), (90, 20, 0, 40.31), (62, 18, 25, 30.51), (62, 18, 0, 25.24)],
)
def test_jaws_of_a_width_across_the_offset(diameter, offset, width, expected):
    """[D: set-up reference, section 13]"""
    assert four_jaw_settings(diameter, offset, 0.0, width=width)[1].contact_radius == pytest.approx(expected, abs=5e-3)


@given(st.floats(20, 200), st.floats(0, 0.95), st.floats(0, 2 * math.pi), st.floats(1, 60))
def test_a_flat_jaw_touches_the_farthest_of_the_work_in_front_of_it(diameter, share, angle, width):
    """By a circle of 7,200 points: of those in front of the jaw's face the one farthest out is touched."""
    r, offset = diameter / 2, share * diameter / 2
    around = np.linspace(0, 2 * np.pi, 7200, endpoint=False)
    x, y = offset * math.cos(angle) + r * np.cos(around), offset * math.sin(angle) + r * np.sin(around)
    for j in four_jaw_settings(diameter, offset, angle, width=width):
        along, sideways = on_jaw(x, y, j.angle)
        in_front = along[np.abs(sideways) <= width / 2]
        assert j.contact_radius == pytest.approx(in_front.max(), abs=diameter * 3e-3)
        assert j.contact_radius >= in_front.max() - 1e-9


@given(st.floats(20, 200), st.floats(0, 60))
def test_bored_jaws_reach_to_the_middle_of_their_pocket(diameter, offset):
    """In jaw 2, at 120 degrees, the work reaches farthest out at R - e / 2, 0.866 e sideways of the jaw's middle."""
    around = np.linspace(0, 2 * np.pi, 7200, endpoint=False)
    along, sideways = on_jaw(offset + diameter / 2 * np.cos(around), diameter / 2 * np.sin(around), 2 * np.pi / 3)
    k = int(np.argmax(along))
    made = bored_jaws(diameter, offset, 1e9, 0.0)
    assert made.least_radius == pytest.approx(along[k], abs=1e-3 * diameter)
    assert made.width == pytest.approx(2 * (abs(sideways[k]) + 2), abs=2e-3 * diameter)


def test_bored_jaws_by_hand():
    """e 20: 38.6 of 60 mm, e 22: 42.1; e 6: 14.4 of 28; e 25 on d24 with jaws of 25: impossible twice over [D]."""
    assert bored_jaws(90, 20, 60, 15).width == pytest.approx(38.6, abs=0.05)
    assert bored_jaws(90, 22, 60, 15).width == pytest.approx(42.1, abs=0.05)
    assert bored_jaws(30, 6, 28, 12).width == pytest.approx(14.4, abs=0.05)
    tight = bored_jaws(24, 25, 25, 15)
    assert not tight.wide_enough
    assert not tight.within_chuck


def test_stroke_takes_raw_and_finished_and_the_loading():
    assert jaw_stroke_needed(94, 90) == 4
    assert jaw_stroke_needed(90, 90) == 2


@given(st.floats(20, 200), st.floats(0.05, 0.9), st.floats(0, 2 * math.pi), st.floats(0, 0.5))
def test_the_edge_of_a_jaw_bears_where_the_round_slopes_away(diameter, share, turn, wide):
    """[D] From the point that a flat jaw touches first, found among many on its side of the round: the angle between
    the jaw's direction and the round's normal there, 0 where the flat itself touches."""
    r, e, half = diameter / 2, share * diameter / 2, wide * diameter / 2
    angles = np.linspace(-math.pi, math.pi, 40_001)
    # In the jaw's own frame, which points along +x: the round's centre is at e (cos turn, -sin turn).
    x, y = e * math.cos(turn) + r * np.cos(angles), -e * math.sin(turn) + r * np.sin(angles)
    under = np.abs(y) <= half
    if not under.any():
        return
    first = angles[under][np.argmax(x[under])]
    assert jaw_edge_slope(diameter, e, turn, 2 * half) == pytest.approx(abs(first), abs=2e-3)
