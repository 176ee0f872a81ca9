"""Units and numbers in words: conversions that are exact, and numbers that read back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.units import MM_PER_UNIT, POINTS_PER_MM, format_count, format_number, normalized_degrees, plural


def test_conversions_are_those_of_the_standards():
    """The international yard and pound agreement of 1959: 1 in = 25.4 mm; ISO 32000-1: 72 points to the inch."""
    assert MM_PER_UNIT["in"] == 25.4
    assert MM_PER_UNIT["ft"] == pytest.approx(12 * MM_PER_UNIT["in"])
    assert MM_PER_UNIT["m"] == 100 * MM_PER_UNIT["cm"] == 1000 * MM_PER_UNIT["mm"] == 1e6 * MM_PER_UNIT["um"]
    assert POINTS_PER_MM * MM_PER_UNIT["in"] == pytest.approx(72)


@given(st.floats(-1e3, 1e3))
def test_degrees_are_the_same_direction_from_0_to_360(radians):
    value = normalized_degrees(radians)
    assert 0 <= value < 360
    assert math.cos(math.radians(value)) == pytest.approx(math.cos(radians), abs=1e-9)
    assert math.sin(math.radians(value)) == pytest.approx(math.sin(radians), abs=1e-9)


@pytest.mark.parametrize("radians", [0.0, -0.0, -1e-18, 2 * math.pi, -2 * math.pi, 2 * math.pi - 1e-14])
def test_a_full_turn_is_0_and_not_360(radians):
    assert str(normalized_degrees(radians)) == "0.0"


@given(st.floats(-1e9, 1e9), st.integers(0, 9))
def test_a_number_reads_back_and_has_no_needless_characters(value, places):
    text = format_number(value, places)
    assert abs(float(text) - value) <= 0.5 * 10.0**-places + 1e-6 * abs(value)
    assert text != "-0" and not text.endswith(".")
    assert "." not in text or not text.endswith("0")


@pytest.mark.parametrize(
    ("one", "many"),
    # Oxford spelling rules for plurals: -y after a consonant, -is, and -es after s, x, ch, sh.
    [("edge", "edges"), ("axis", "axes"), ("body", "bodies"), ("bay", "bays"), ("box", "boxes"), ("notch", "notches")],
)
def test_nouns_agree_with_their_number(one, many):
    assert plural(one) == many
    assert [format_count(n, one) for n in (0, 1, 2)] == [f"0 {many}", f"1 {one}", f"2 {many}"]
