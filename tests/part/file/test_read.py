"""Part files as a whole: good ones give the part, bad ones every error at once, and any text one or the other."""

import json
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import MAX_FEATURES, MAX_REPORTED_FAULTS, read_part
from foldsketch.part.material import DENSITY_KG_PER_M3
from foldsketch.part.model import Cone
from part_files import GOOD, errors_of, findings_of, line_with, parse

SAMPLES = sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))


def test_a_good_file():
    part, findings = parse(GOOD)
    assert not findings
    assert (part.name, part.units, part.material) == ("Cover", "mm", "Brass")
    assert part.density == DENSITY_KG_PER_M3["brass"]
    assert [(f.name, f.start, f.end, f.cut) for f in part.features] == [
        ("flange", 0, 12, False),
        ("hole", -50, 50, True),
    ]


def test_json_with_the_same_keys():
    tree = {
        "name": "Cover",
        "units": "in",
        "axis": [{"name": "A", "at": [0, 0]}],
        "feature": [
            {"name": "f", "axis": "A", "shape": "cone", "start_diameter": 4, "end_diameter": 0, "start": 0, "end": 3}
        ],
    }
    part, _ = parse(json.dumps(tree, indent=1), "json")
    assert part.units == "in" and part.features[0].shape == Cone(4 * 25.4, 0)


ERRORS = [
    ('units = "mm"', "", "key-missing", None),
    ('units = "mm"', 'units = "cm"', "value-unknown", 'units = "cm"'),
    ('units = "mm"', "units = 3", "value-unknown", "units = 3"),
    ('name = "Cover"\n', "", "key-missing", None),
    ('name = "Cover"', 'name = ""', "value-type", 'name = ""'),
    ('name = "Cover"', "name = 3", "value-type", "name = 3"),
    ('name = "Cover"', f'name = "{"x" * 61}"', "text-too-long", 'name = "x'),
    ('name = "Cover"', 'name = "a\\u0007b"', "control-character", 'name = "a'),
    ('name = "Cover"', 'name = "Co\uffffver"', "control-character", 'name = "Co'),
    ('name = "Cover"', 'name = "Co\u202ever"', "control-character", 'name = "Co'),
    ('name = "Cover"', 'name = "Co\u2066ver"', "control-character", 'name = "Co'),
    ('name = "Cover"', 'name = "Co\u200bver"', "control-character", 'name = "Co'),
    ('name = "Cover"', 'name = "Cover', "quotes-open", 'name = "Cover'),
    ('material = "Brass"', "material = 3", "value-type", "material = 3"),
    ('material = "Brass"', "density = 0", "value-range", "density = 0"),
    ('material = "Brass"', "materal = 3", "unknown-key", "materal"),
]


@pytest.mark.parametrize(("old", "new", "code", "row"), ERRORS, ids=[f"{e[1][-24:]!r}" for e in ERRORS])
def test_errors_have_their_code_and_line(old, new, code, row):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    assert errors_of(text) == [(code, 1 if row is None else line_with(text, row))]


@pytest.mark.parametrize(
    ("text", "file_format", "codes"),
    [
        ('{"name": null}', "json", {"key-missing", "table-missing"}),
        ('name = "only a name"', "toml", {"key-missing", "table-missing"}),
        ("axis = 3", "toml", {"tables-not-list", "table-missing", "key-missing"}),
        ("axis = [3]", "toml", {"tables-not-list", "table-missing", "key-missing"}),
        ("axes = []", "toml", {"unknown-key", "table-missing", "key-missing"}),
    ],
)
def test_files_without_tables(text, file_format, codes):
    assert {c for c, _ in errors_of(text, file_format)} == codes


def test_all_errors_are_reported_at_once():
    text = GOOD.replace("diameter = 90", "diameter = -1").replace("offset = 14", "offset = nan").replace('"mm"', '"cm"')
    assert {c for c, _ in errors_of(text)} == {"value-too-low", "value-type", "value-unknown"}


def test_no_more_than_a_hundred_errors_are_reported():
    found = findings_of(GOOD + '[[feature]]\nstart = "x"\n' * 190)
    assert len(found) == MAX_REPORTED_FAULTS + 1
    assert found[-1].code == "more-errors" and found[-1].value("count") > 0


def test_no_more_than_a_hundred_unknown_keys_are_reported():
    found = findings_of(GOOD + "".join(f"key{k} = 1\n" for k in range(200)))
    assert [f.code for f in found] == ["unknown-key"] * 100


def test_errors_of_json_know_their_lines():
    text = '{\n "name": "x",\n "units": "mm",\n "axis": [\n  {"name": "A",\n   "at": [0, "b"]}\n ],\n "feature": []\n}'
    assert ("value-type", 6) in errors_of(text, "json")


def test_tables_in_one_line_know_their_lines_too():
    text = 'name = "x"\nunits = "mm"\naxis = [\n {name = "A", at = [0, 0]},\n {name = "B", at = [0, true]},\n]\n'
    feature = '{name = "f", axis = "A", shape = "cylinder", diameter = 3, start = 0, end = 1}'
    (f,) = findings_of(text + f"feature = [{feature}]")
    assert str(f) == "error: test.toml line 5, axis 'B': at = true: expected a number"


def test_a_table_without_a_name_is_numbered():
    (f,) = findings_of(GOOD.replace('name = "flange"\n', ""))
    assert f.where.endswith(", feature 1")


def test_too_many_features_are_answered_at_once():
    start = time.process_time()
    text = GOOD + "".join(GOOD[GOOD.index("[[feature]]") :].replace("flange", f"f{k}") for k in range(500))
    (f,) = findings_of(text)
    assert f.code == "too-many-tables" and f.value("most") == MAX_FEATURES
    assert time.process_time() - start < 2


def test_names_are_brought_to_one_form():
    part, _ = parse(GOOD.replace('"Cover"', '" Cafe\u0301 "'))
    assert part.name == "Café"


def test_an_unknown_material_is_a_note():
    part, (f,) = parse(GOOD.replace("Brass", "bras"))
    assert (f.level, f.code) == ("note", "density-unknown")
    assert "brass" in f.value("advice")
    assert part.density is None and part.material == "bras"


def test_a_density_is_taken_before_that_of_the_material():
    part, _ = parse(GOOD.replace('material = "Brass"', 'material = "Brass"\ndensity = 8123'))
    assert part.density == 8123


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples_are_read_without_a_finding(path):
    part, findings = read_part(path)
    assert not findings
    assert part.density


def test_there_are_samples():
    assert len(SAMPLES) >= 10


@given(st.text(max_size=200), st.sampled_from(["toml", "json"]))
def test_any_text_is_read_or_refused(text, file_format):
    try:
        parse(text, file_format)
    except FoldsketchError as why:
        assert why.findings and all(f.code and f.text for f in why.findings)  # noqa: PT017


@given(st.integers(0, len(GOOD) - 1), st.text(alphabet='[]{}="\n#.,0aé', max_size=3), st.integers(0, 12))
def test_damaged_files_are_read_or_refused(at, new, skip):
    try:
        parse(GOOD[:at] + new + GOOD[at + skip :])
    except FoldsketchError as why:
        assert why.findings and all(f.code and f.text for f in why.findings)  # noqa: PT017
