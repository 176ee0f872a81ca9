"""Lines of values, against texts that are written so that each value is its own line."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.file.line_numbers import json_line_numbers, toml_line_numbers, unquote_key

KEYS = st.text(st.sampled_from('ab"\\é .#'), min_size=1, max_size=4)


@given(st.dictionaries(KEYS, st.lists(st.integers(0, 9), max_size=3), max_size=4))
def test_json_values_on_lines_of_their_own(tree):
    """Python's own writer puts every key and entry on a new line with indent=0."""
    text = json.dumps(tree, indent=0, ensure_ascii=False)
    rows = text.split("\n")
    lines, repeated = json_line_numbers(text)
    assert not repeated
    for key, values in tree.items():
        assert rows[lines[(key,)] - 1].startswith(json.dumps(key, ensure_ascii=False))
        for k, v in enumerate(values):
            assert rows[lines[(key, k)] - 1].rstrip(",") == str(v)


TOML = '''\
name = "a # b"          # 1
[table]                 # 2
"quoted key" = 1        # 3
'single' = 'it''        # 4
dotted.key = 2          # 5
text = """
[[no table]]
x = 1
"""                     # 6 to 9
[[axis]]                # 10
at = [ # 11
  0, # 12
  [1, 2] ] # 13
[axis.more]             # 14
x = { a = 1, b = [2] }  # 15
[[axis]]                # 16
at = 3                  # 17
'''.replace("'it''", "'it'")

PLACES = {
    ("name",): 1,
    ("table",): 2,
    ("table", "quoted key"): 3,
    ("table", "single"): 4,
    ("table", "dotted", "key"): 5,
    ("table", "text"): 6,
    ("axis",): 10,
    ("axis", 0): 10,
    ("axis", 0, "at"): 11,
    ("axis", 0, "at", 0): 12,
    ("axis", 0, "at", 1): 13,
    ("axis", 0, "at", 1, 1): 13,
    ("axis", 0, "more"): 14,
    ("axis", 0, "more", "x"): 15,
    ("axis", 0, "more", "x", "b", 0): 15,
    ("axis", 1): 16,
    ("axis", 1, "at"): 17,
}


@pytest.mark.parametrize("place", PLACES, ids=str)
def test_toml_values_are_on_the_line_their_comment_says(place):
    assert toml_line_numbers(TOML)[place] == PLACES[place]


def test_nothing_inside_a_text_is_a_table():
    assert not [p for p in toml_line_numbers(TOML) if "no table" in p]


@pytest.mark.parametrize("key", ["plain", "two words", 'with "quotes"', "é", "a\\b"])
def test_keys_lose_their_quotes(key):
    assert unquote_key(json.dumps(key)) == key
    assert unquote_key(f"'{key}'") == key


def test_a_key_that_is_no_json_keeps_its_characters():
    assert unquote_key('"\\x"') == "\\x"
