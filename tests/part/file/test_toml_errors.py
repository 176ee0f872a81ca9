"""Rows that TOML refuses, explained; read by Python's own parser first."""

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.value_tree import parse_text

ROWS = [
    ("name = Cover", "quotes-missing"),
    ('name = "Cover', "quotes-open"),
    ("diameter = 90 mm", "words-after-number"),
    ("diameter = -9.5in", "words-after-number"),
    ("angle = 90°", "words-after-number"),
    ("diameter = 90,5", "comma-in-number"),
    ("at = 0, 0", "values-without-brackets"),
    ("at = 31,5", "values-without-brackets"),
    ("diameter = .5", "point-first"),
    ("diameter =", "value-missing"),
    ("diameter = # ninety", "value-missing"),
    ("diameter 90", "equals-missing"),
    ("cut = True", "true-not-lower"),
    ("cut = YES", "true-not-lower"),
    ("at = [0 0]", "bracket-open"),
    ("at = [0, 0", "bracket-open"),
    ("at = {x = 1 y = 2}", "bracket-open"),
    ("at = [0, .5]", "bracket-open"),
    ("at = ?", "text-not-understood"),
    ("a = 1\na = 2", "key-twice"),
    ("[feature]\na = 1\n[feature]", "single-brackets"),
]


@pytest.mark.parametrize(("text", "code"), ROWS, ids=[r for r, _ in ROWS])
def test_a_row_is_explained_on_its_line(text, code):
    with pytest.raises(FoldsketchError) as caught:
        parse_text(f"first = 1\n\n{text}", "toml", "p.toml")
    (f,) = caught.value.findings
    assert f.code == code
    assert f.where == f"p.toml line {len(text.splitlines()) + 2}"


def test_long_rows_are_shortened():
    with pytest.raises(FoldsketchError) as caught:
        parse_text(f"name = {'x' * 500}", "toml", "p.toml")
    assert len(caught.value.findings[0].text) < 150
