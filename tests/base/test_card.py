"""Card: what can be written for it, and how much a fold takes. Published figures are in tests/validation."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.card import (
    MAX_THICKNESS_MM,
    MIN_THICKNESS_MM,
    NO_CARD,
    Card,
    bend_allowance,
    crease_length_error,
    parse_card,
    tab_crease_shift,
)
from foldsketch.base.findings import FoldsketchError


@pytest.mark.parametrize(
    ("text", "thickness"),
    # 1 in = 25.4 mm; 160 g/m2 at 1.25 cm3/g is 0.2 mm (ISO 534: thickness = grammage x bulk).
    [("0.25mm", 0.25), ("0,25 mm", 0.25), ("250um", 0.25), (" 0.01IN ", 0.254), ("160gsm", 0.2), ("160 g/m2", 0.2)],
)
def test_card_may_be_given_by_thickness_or_grammage(text, thickness):
    assert parse_card(text).thickness == pytest.approx(thickness)


def test_no_card_is_none():
    assert parse_card("0mm") == NO_CARD and not NO_CARD
    assert parse_card("0.2mm")


@pytest.mark.parametrize("text", ["a plank", "0.25", "mm", "-1mm", "1e3mm", ""])
def test_what_is_no_card_is_refused(text):
    with pytest.raises(FoldsketchError) as caught:
        parse_card(text)
    assert caught.value.findings[0].code == "card-unknown"


@pytest.mark.parametrize("text", ["0.04mm", "1.01mm", "10gsm", "900gsm"])
def test_card_that_does_not_fold_by_hand_is_refused(text):
    with pytest.raises(FoldsketchError) as caught:
        parse_card(text)
    (f,) = caught.value.findings
    assert f.code == "card-thickness"
    assert (f.value("least").value, f.value("most").value) == (MIN_THICKNESS_MM, MAX_THICKNESS_MM)


def test_its_text_names_what_was_given():
    assert parse_card("0.3mm").text == "0.3 mm"
    assert parse_card("200gsm").text == "200 g/m2 (about 0.25 mm)"


def test_thicker_card_is_creased_harder():
    advice = [Card(t).creasing_advice for t in (0.1, 0.25, 0.5)]
    assert [word in a for word, a in zip(("ballpoint", "score", "half through"), advice, strict=True)] == [True] * 3


@given(st.floats(0.01, math.pi - 0.01), st.floats(0.01, 1.0))
def test_a_crease_takes_up_the_arc_of_its_middle(angle, thickness):
    """The neutral line of a sheet of thickness T in its middle, bent about nothing, is an arc of radius T / 2."""
    assert bend_allowance(angle, 0.0, thickness) == pytest.approx(angle * thickness / 2)
    # Two panels drawn to the corner of their middle planes: 2 (T/2) tan(angle/2) in place of that arc.
    expected = thickness * math.tan(angle / 2) - angle * thickness / 2
    assert crease_length_error(angle, thickness) == pytest.approx(expected)


@given(st.floats(0.0, math.pi), st.floats(0.01, 1.0))
def test_a_tab_goes_as_far_below_as_the_fold_asks(angle, thickness):
    shift = tab_crease_shift(angle, thickness)
    assert 0 <= shift <= 2 * thickness + 1e-9
    assert tab_crease_shift(-angle, thickness) == pytest.approx(-shift, abs=1e-9)
    if math.pi / 2 <= angle < 5 * math.pi / 6:  # square to the panel the shift is one thickness deep
        assert shift * math.sin(angle) == pytest.approx(thickness, abs=1e-9)


def test_flat_paper_has_no_shift():
    assert tab_crease_shift(0.0, 0.3) == 0
