"""Part and machine files that mean harm or come from elsewhere: deep, wide, long, odd line ends, any values."""

import json
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples, few
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import parse_part, read_part
from foldsketch.part.file.value_tree import MAX_PART_FILE_BYTES
from foldsketch.setup.machine_file.read import parse_machine, read_machine

ROOT = Path(__file__).parents[2]
COVER = ROOT / "samples" / "bilge-pump-cover.toml"
MACHINE = ROOT / "samples" / "machines" / "twin-spindle.toml"
N = MAX_PART_FILE_BYTES - 1000


def full(text: str) -> str:
    """So many repeats as a part file may hold."""
    return text * (N // len(text))


WIDE = {
    "a key of many names": "a" + full(".a") + " = 1",
    "a table of many names": "[a" + full(".a") + "]",
    "names in quotes": '"a"' + full('."a"') + " = 1",
    "in an inline table": "a = {b" + full(" . b") + " = 1}",
    "brackets": full("["),
    "brackets in turn": "a = " + full("[]"),
    "inline tables in one another": full("a={"),
    "many tables": "[[feature]]\n" * 20_000,
    "many keys": "\n".join(f"a{k} = 1" for k in range(20_000)),
    "a list of numbers": "name = [" + "1," * 100_000 + "1]",
    "an outline without end": '[[feature]]\nname = "x"\noutline = [' + "[1.5, 2.5]," * 20_000 + "]",
    "quotes": full('"'),
    "a string without end": 'name = "' + full("a"),
    "escapes": 'name = "' + full("\\u00e9") + '"',
    "blanks": full(" ") + "x",
    "equals signs": full("="),
    "a long number": "density = " + full("9"),
    "a long hexadecimal number": "density = 0x" + full("f"),
    "too large": "#" * (MAX_PART_FILE_BYTES + 1),
    "too large once it is bytes": "#" + "é" * (MAX_PART_FILE_BYTES // 2 + 1),
}


@pytest.mark.parametrize("name", few(WIDE))
def test_wide_and_deep_texts_are_refused_soon(name, tmp_path):
    path = tmp_path / "part.toml"
    path.write_text(WIDE[name], "utf-8")
    for read in (read_part, read_machine):
        begun = time.process_time()
        with pytest.raises(FoldsketchError) as caught:
            read(path)
        assert time.process_time() - begun < 5
        assert len(caught.value.findings) < 120
        assert all("\n" not in str(f) and len(str(f)) < 500 for f in caught.value.findings)


@pytest.mark.parametrize(
    "text",
    [
        '{"feature": [' + "{}," * 30_000 + "{}]}",
        "{" + ",".join(f'"a{k}": 1' for k in range(50_000)) + "}",
        "{" + ",".join(['"a": 1'] * 50_000) + "}",
        '{"a":' * 5000 + "1" + "}" * 5000,
        '{"name": ' + "9" * 100_000 + "}",
        '{"density": 1e999, "name": "\\ud800", "units": "\\u0000"}',
        '{"density": NaN}',
    ],
    ids=["tables", "keys", "one key", "nested", "digits", "no numbers", "nan"],
)
def test_the_same_in_json(text):
    begun = time.process_time()
    with pytest.raises(FoldsketchError):
        parse_part(text, "json", "part.json")
    assert time.process_time() - begun < 5


def test_decorated_comments_and_long_lists_are_no_long_keys():
    row = "[" + ", ".join(["[0.5, 1.5]"] * 60) + "]"
    text = COVER.read_text("utf-8")
    more = f"# {'.' * 90}\n# {'. ' * 90}\n# 1.5, {', '.join(['2.5'] * 60)}\n"
    assert parse_part(more + text, "toml", "x")[0] == parse_part(text, "toml", "x")[0]
    with pytest.raises(FoldsketchError) as caught:
        parse_part(f"{text}\noutline = {row}\n", "toml", "x")
    assert not any("more than" in str(f) for f in caught.value.findings)


@pytest.mark.parametrize("ending", ["\r\n", "\r", "\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_mark(ending, mark, tmp_path):
    for source, read in ((COVER, read_part), (MACHINE, read_machine)):
        path = tmp_path / source.name
        path.write_bytes((mark + source.read_text("utf-8").replace("\n", ending)).encode())
        assert read(path) == read(source)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32", "latin-1", "cp037"])
def test_other_encodings_are_told(encoding, tmp_path):
    path = tmp_path / "part.toml"
    path.write_bytes(COVER.read_text("utf-8").replace("bilge", "bïlge").encode(encoding, "replace"))
    with pytest.raises(FoldsketchError) as caught:
        read_part(path)
    assert "UTF-8" in str(caught.value)


def test_a_decimal_comma_is_told_and_not_guessed():
    text = COVER.read_text("utf-8").replace("diameter = 90", "diameter = 90,5")
    assert "90,5" in text
    with pytest.raises(FoldsketchError) as caught:
        parse_part(text, "toml", "cover.toml")
    assert "decimal point" in str(caught.value)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=12,
)
KEYS = (
    *[
        "name",
        "units",
        "material",
        "density",
        "axis",
        "feature",
        "at",
        "offset",
        "angle",
        "shape",
        "diameter",
        "outer",
        "inner",
        "start",
        "end",
        "length",
        "cut",
    ],
    *[
        "swing",
        "kind",
        "grade",
        "cross_travel",
        "orient_step",
        "spindle",
        "holding",
        "tool",
        "time",
        "point",
        "direction",
        "outline",
        "hull",
        "finish",
    ],
)
TABLES = st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=8)
WHOLE = st.fixed_dictionaries(
    {},
    optional={
        "name": VALUES,
        "units": st.sampled_from(["mm", "in"]) | VALUES,
        "axis": st.lists(TABLES, max_size=3) | VALUES,
        "feature": st.lists(TABLES, max_size=3) | VALUES,
        "spindle": st.lists(TABLES, max_size=3) | VALUES,
        "tool": TABLES | VALUES,
        "time": TABLES | VALUES,
        "holding": TABLES | VALUES,
        "kind": st.sampled_from(["twin", "single"]) | VALUES,
    },
)


@pytest.mark.slow
@examples(80)
@given(WHOLE)
def test_any_values_end_in_a_part_or_in_findings(values):
    text = json.dumps(values)
    for parse in (parse_part, parse_machine):
        said = []
        try:
            parse(text, "json", "part.json")
        except FoldsketchError as why:
            said = [str(f) for f in why.findings] or [""]
        assert all(line and "\n" not in line for line in said)
        "".join(said).encode()  # half a surrogate pair could not be printed
