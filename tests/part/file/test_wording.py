"""Names in one form, values as messages show them, and the word that was meant."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.file.wording import (
    MAX_SHOWN_CHARACTERS,
    closest_word,
    did_you_mean,
    format_value,
    is_printable,
    normalize_name,
)

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=5,
)


@given(VALUES)
def test_any_value_is_shown_in_one_short_printable_line(value):
    text = format_value(value)
    assert len(text) <= MAX_SHOWN_CHARACTERS
    assert all(c.isprintable() for c in text)


@pytest.mark.parametrize(
    ("value", "text"),
    [(90, "90"), (0.5, "0.5"), ("a", '"a"'), (True, "true"), ([0, 1], "[0, 1]"), (float("nan"), "nan"), ("Ø", '"Ø"')],
)
def test_short_values_are_shown_as_written(value, text):
    assert format_value(value) == text


def test_a_value_that_cannot_be_shown_is_said_to_be_too_long():
    assert format_value(10**5000) == "(too long to show)"


@given(st.text())
def test_names_have_one_form(name):
    kept = normalize_name(name)
    assert kept == normalize_name(kept) == normalize_name(unicodedata.normalize("NFD", name))
    assert kept == kept.strip()


@pytest.mark.parametrize("text", ["a\x07", "\x7f", "a\n", "\ud800", "\ue000", "\u2028", "\ufffe", "\U0001ffff"])
def test_what_cannot_be_printed(text):
    assert not is_printable(text)
    assert is_printable(text.encode("utf-16", "ignore").decode("utf-16", "ignore"), breaks=text)


def test_what_can_be_printed():
    assert is_printable("Ø36 轴 é α") and is_printable("two\nlines", "\n")


@pytest.mark.parametrize("word", ["diamter", "Diameter", "DIAMETR"])
def test_a_slip_of_the_pen_is_understood(word):
    assert closest_word(word, ("bore", "diameter")) == "diameter"
    assert did_you_mean(word, ("bore", "diameter")) == "did you mean 'diameter'?"


def test_the_known_words_are_listed_otherwise():
    assert closest_word(3, ("bore", "diameter")) == ""
    assert did_you_mean(3, ("bore", "diameter")) == "known are bore, diameter"
