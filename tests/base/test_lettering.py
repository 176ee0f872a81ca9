"""Lettering: widths that add up, text that fits, characters that are lacking, and fonts that stand in."""

import shutil
import unicodedata

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base import lettering
from foldsketch.base.lettering import (
    em_per_cap_height,
    find_fallback_font,
    font_path,
    font_runs,
    is_ambiguous_upside_down,
    missing_characters,
    text_width,
    truncate_text,
    unprintable_characters,
    wrap_text,
)

WORDS = st.text(st.sampled_from("abcØ 12WÄ"), max_size=30)


@pytest.fixture
def fonts(tmp_path, monkeypatch):
    """A folder in place of the fonts of the machine."""
    for kept in (find_fallback_font, font_runs):
        kept.cache_clear()
    monkeypatch.setattr(lettering, "FONT_FOLDERS", (str(tmp_path),))
    yield tmp_path
    for kept in (find_fallback_font, font_runs):
        kept.cache_clear()


def test_the_sheet_font_has_noto_sans_measures():
    """Noto Sans: 1000 units per em, capitals 714 units high, W 930 wide (its hmtx table)."""
    assert em_per_cap_height() == pytest.approx(1000 / 714)
    assert text_width("W", 7.14) == pytest.approx(9.30)
    assert text_width("轴", 7.14) == pytest.approx(10.0), "another font's character counts as an em"


def test_widths_of_all_characters_are_those_that_a_font_library_reads():
    with TTFont(font_path()) as font:
        glyphs, metrics, cap = font.getBestCmap(), font["hmtx"].metrics, font["OS/2"].sCapHeight
        assert em_per_cap_height() == font["head"].unitsPerEm / cap
    known = [c for c in map(chr, glyphs) if unicodedata.is_normalized("NFC", c)]
    assert missing_characters("".join(known)) == ()
    others = [chr(c) for c in range(0x20, 0x3000) if c not in glyphs and chr(c).isprintable()]
    lacking = [c for c in others if unicodedata.is_normalized("NFC", c) and not c.isspace()]
    assert missing_characters(" ".join(lacking)) == tuple(lacking)
    assert {c: text_width(chr(c), cap) for c in glyphs} == {c: metrics[glyph][0] for c, glyph in glyphs.items()}


@given(WORDS, WORDS, st.floats(0.5, 10))
def test_widths_add_and_scale(a, b, size):
    assert text_width(a + b, size) == pytest.approx(text_width(a, size) + text_width(b, size))
    assert text_width(a, 2 * size) == pytest.approx(2 * text_width(a, size))


@given(WORDS, st.floats(2.5, 60))
def test_truncated_text_fits_and_begins_alike(text, room):
    cut = truncate_text(text, 2.5, room)
    if cut != text:
        assert text_width(text, 2.5) > room
        assert cut.endswith("…") and text.startswith(cut[:-1])
        assert cut == "…" or text_width(cut, 2.5) <= room


@given(WORDS, st.floats(1, 60))
def test_wrapped_text_has_all_words_in_lines_that_fit(text, room):
    lines = wrap_text(text, 2.5, room)
    assert " ".join(lines).split() == text.split()
    assert all(text_width(line, 2.5) <= room or " " not in line for line in lines)


@pytest.mark.parametrize("number", range(1, 200))
def test_a_number_is_ambiguous_if_another_one_looks_the_same_upside_down(number):
    """0, 1 and 8 look the same upside down, 6 and 9 look like each other; no number begins with 0."""
    text = str(number)
    turned = "".join({"0": "0", "1": "1", "8": "8", "6": "9", "9": "6"}.get(c, "?") for c in reversed(text))
    assert is_ambiguous_upside_down(text) == ("?" not in turned and turned != text and turned[0] != "0")


def test_characters_that_the_sheet_font_lacks(fonts):
    assert missing_characters("Ø36 轴⚙轴\n") == ("轴", "⚙")
    assert missing_characters("Cafe\u0301") == ()
    assert unprintable_characters(["Ø 轴", "⚙ 轴"]) == ("轴", "⚙")


def test_without_another_font_a_question_mark_is_printed(fonts):
    assert find_fallback_font("轴") is None
    assert font_runs("a轴轴b") == ((str(font_path()), "a??b"),)
    assert font_runs("") == ((str(font_path()), ""),)


def test_another_font_prints_what_it_has(fonts, tmp_path):
    """A font under a known name stands in; here it is the sheet font's own file, which has a, but lacks 轴."""
    (tmp_path / "deep").mkdir()
    shutil.copy(font_path(), tmp_path / "deep" / "DejaVuSans.ttf")
    (tmp_path / "wqy-zenhei.ttc").write_bytes(b"no font at all")
    assert find_fallback_font("a") == tmp_path / "deep" / "DejaVuSans.ttf"
    assert find_fallback_font("轴") is None


def test_runs_change_the_font_only_where_needed(fonts, monkeypatch, tmp_path):
    monkeypatch.setattr(lettering, "find_fallback_font", lambda c: tmp_path / "other.ttf" if c in "轴心" else None)
    other = str(tmp_path / "other.ttf")
    own = str(font_path())
    assert font_runs("Ø 轴心 ⚙a") == ((own, "Ø "), (other, "轴心"), (own, " ?a"))
