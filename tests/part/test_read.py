"""Part files: good ones give the part, bad ones give every fault with its line and the cure."""

import json
import math
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.outline import outline_fault
from foldsketch.part.file.read import parse_part, read_part
from foldsketch.part.material import DENSITY_KG_PER_M3
from foldsketch.part.model import Cone, Cylinder, Plate, PrismShape, Ring
from part_files import GOOD

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))


def parse(text, kind="toml"):
    return parse_part(text, kind, "test.toml")


def faults(text, kind="toml"):
    with pytest.raises(FoldsketchError) as caught:
        parse(text, kind)
    return [str(f) for f in caught.value.findings]


def test_a_good_file():
    part, findings = parse(GOOD)
    assert not findings
    assert [a.name for a in part.axes] == ["A", "B", "C", "D"]
    assert part.axis("B").point == pytest.approx((0, 14, 0))
    assert part.axis("C").point == pytest.approx((10, 14, 0))
    assert part.axis("D").direction == (1, 0, 0)
    assert part.features[0].end == 12
    assert part.features[1].cut
    assert part.density == DENSITY_KG_PER_M3["brass"]


def test_inches_are_converted_once_at_the_door():
    part, _ = parse(GOOD.replace('"mm"', '"in"'))
    assert part.features[0].shape == Cylinder(90 * 25.4)
    assert part.axis("B").point[1] == pytest.approx(14 * 25.4)
    assert part.units == "in"


def test_json_with_the_same_keys():
    tree = {
        "name": "Cover",
        "units": "mm",
        "axis": [{"name": "A", "at": [0, 0]}],
        "feature": [
            {"name": "f", "axis": "A", "shape": "cone", "start_diameter": 4, "end_diameter": 0, "start": 0, "end": 3}
        ],
    }
    part, _ = parse(json.dumps(tree, indent=1), "json")
    assert part.features[0].shape == Cone(4, 0)


def test_every_shape():
    text = GOOD.split("[[feature]]")[0] + "".join(
        f'[[feature]]\nname = "f{k}"\naxis = "A"\nstart = {10 * k}\nlength = 10\n{body}\n'
        for k, body in enumerate(
            [
                'shape = "ring"\ndiameter = 20\nbore = 8',
                'shape = "prism"\nsides = 6\nacross_flats = 24\nturn = 30',
                'shape = "prism"\nsides = 4\nacross_corners = 20',
                'shape = "plate"\noutline = [[0, 0], [0, 10], [10, 0]]',
                'shape = "plate"\nhull = [[0, 0, 5], [20, 0, 0]]',
            ]
        )
    )
    part, _ = parse(text)
    shapes = [f.shape for f in part.features]
    assert shapes[0] == Ring(20, 8)
    assert shapes[1] == PrismShape(6, 24, math.radians(30))
    assert shapes[2].across_flats == pytest.approx(20 / math.sqrt(2))
    assert shapes[3] == Plate(outline=((10, 0), (0, 10), (0, 0))), "turned to run anticlockwise"
    assert shapes[4] == Plate(hull=((0, 0, 5), (20, 0, 0)))


FAULTS = [
    # what to replace, with what, what the finding must say, on which line
    ('units = "mm"', "", "units is missing", 1),
    ('units = "mm"', 'units = "cm"', 'units = "cm"', 2),
    ('name = "Cover"\n', "", "name is missing", 1),
    ("diameter = 90", "diamter = 90", "did you mean 'diameter'?", 29),
    ("diameter = 90", "diameter = -90", "above 0", 29),
    ("diameter = 90", "diameter = 0", "above 0", 29),
    ("diameter = 90", "diameter = nan", "finite", 29),
    ("diameter = 90", "diameter = inf", "finite", 29),
    ("diameter = 90", "diameter = 1e300", "expected 0.001 to 100000", 29),
    ("diameter = 90", "diameter = 1e-300", "expected 0.001", 29),
    ("diameter = 90", 'diameter = "90"', "expected a number", 29),
    ("diameter = 90", "diameter = true", "expected a number", 29),
    ('shape = "cylinder"\ndiameter = 90', 'shape = "cylindr"\ndiameter = 90', "did you mean 'cylinder'?", 28),
    ('axis = "A"', 'axis = "Z"', "no such axis", 27),
    ("length = 12", "length = 12\nend = 12", "both end and length", 32),
    ("length = 12", "", "end is missing", 25),
    ("length = 12", "end = -3", "end is not above start", 31),
    ("cut = true", 'cut = "true"', "without quotes", 40),
    ("cut = true", "sides = 1000000", "expected 3 to 120", 40),
    ("cut = true", "sides = 2.5", "whole number", 40),
    ("cut = true", 'finish = "rough"', "cast", 40),
    ("cut = true", 'colour = "red"', "unknown key 'colour'", 40),
    ("direction = [2, 0, 0]", "direction = [0, 0, 0]", "expected a direction", 23),
    ("direction = [2, 0, 0]", "", "direction is missing", 20),
    ("offset = 14", "offset = -1", "expected 0", 11),
    ("at = [0, 0]", "at = [0, 0, 0]", "expected 2 numbers", 7),
    ("at = [0, 0]", "at = [0, 0]\noffset = 3", "2 ways: at and offset", 5),
    ('from = "B"', 'from = "C"', "in a circle", 18),
    ('from = "B"', 'from = "Q"', "no such axis", 18),
    ('from = "B"', 'from = "D"', "not parallel to z", 18),
    ('name = "hole"', 'name = "flange"', "second feature named 'flange'", 34),
    ('name = "C"', 'name = "B"', "second axis named 'B'", 15),
    ('name = "hole"', 'name = "a\\u0007b"', "control character", 34),
    ('name = "hole"', f'name = "{"x" * 61}"', "longer than 60", 34),
    ('name = "hole"', 'name = ""', "expected a name", 34),
    ('name = "flange"\n', "", "name is missing", 25),
    ('name = "Cover"', 'name = "Cover', "quotes are not closed", 1),
    ('name = "Cover"', "name = Cover", 'write name = "Cover"', 1),
    ('name = "Cover"', 'name = "Co\uffffver"', "control character", 1),
    ("diameter = 90", "diameter = 90 mm", "words after a number", 29),
    ("diameter = 90", "diameter = 90,5", "comma within a number", 29),
    ("diameter = 90", "diameter = .5", "write 0.5", 29),
    ("diameter = 90", "diameter 90", "expected an equals sign", 29),
    ("diameter = 90", "diameter = 90\ndiameter = 91", "given twice", 30),
    ("diameter = 90", "diameter = 2020-01-01", 'diameter = "2020-01-01": expected a number', 29),
    ("diameter = 90", "diameter = " + "9" * 5000, "thousand digits", 29),
    ("diameter = 90", "diameter = 0x" + "f" * 5000, "finite", 29),
    ("diameter = 90", "diameter = 90\nbore = 3", "a size of a ring", 30),
    ("diameter = 90", "diameter = [90]", "diameter = [90]: expected a number", 29),
    ("at = [0, 0]", "at = [0 0]", "comma is missing", 7),
    ("at = [0, 0]", 'at = [\n0,\n"b"]', 'at = "b": expected a number', 9),
    ("cut = true", "cut = True", "small letters", 40),
    ("cut = true", "start = -40", "given twice", 40),
    ("cut = true", "cut = true\nstock = -1", "expected 0.001", 41),
    ("cut = true", 'cut = true\nnote = "a\\u0001"', "control character", 41),
    ("length = 12", "length = 0.0005", "expected 0.001", 31),
    ('"cylinder"\ndiameter = 90', '"ring"\ndiameter = 90\nbore = 90', "not smaller than the diameter", 30),
    ('"cylinder"\ndiameter = 90', '"ring"\ndiameter = 90\nbore = 89.99999999999999', "not smaller", 30),
    ('"cylinder"\ndiameter = 90', '"cone"\nstart_diameter = 0\nend_diameter = 0', "both diameters", 25),
    ('"cylinder"\ndiameter = 90', '"prism"\nacross_flats = 9', "sides is missing", 25),
    ('"cylinder"\ndiameter = 90', '"prism"\nsides = 6', "across_flats is missing", 25),
    (
        '"cylinder"\ndiameter = 90',
        '"prism"\nsides = 6\nacross_flats = 9\nacross_corners = 9',
        "both across_flats and across_corners",
        31,
    ),
    ('"cylinder"\ndiameter = 90', '"plate"', "outline is missing", 25),
    (
        '"cylinder"\ndiameter = 90',
        '"plate"\nhull = [[0, 0, 9]]\noutline = [[0, 0], [9, 0], [0, 9]]',
        "both outline and hull",
        29,
    ),
]


@pytest.mark.parametrize(("old", "new", "says", "line"), FAULTS, ids=[f"{f[1][-30:]!r}" for f in FAULTS])
def test_faults_say_where_what_and_the_cure(old, new, says, line):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    found = faults(text)
    assert any(says in f and f"test.toml line {line}" in f for f in found), found


def test_all_faults_are_told_at_once():
    text = GOOD.replace("diameter = 90", "diameter = -1").replace("offset = 14", "offset = nan").replace('"mm"', '"cm"')
    assert len(faults(text)) >= 3


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("diameter = 90", "diamter = 90"),  # not a second fault that the diameter is missing
        ("at = [0, 0]", "at = [0, nan]"),  # the axes and features that hang on A are not at fault
        ("offset = 14", "offset = nan"),
        ('from = "B"', 'from = "Q"'),
        ('name = "B"', "name = 3"),
        ('units = "mm"', 'unit = "mm"'),
    ],
)
def test_one_slip_is_one_finding(old, new):
    text = GOOD.replace(old, new, 1)
    found = faults(text if new != "name = 3" else text.replace('from = "B"', 'from = "A"'))
    assert len(found) == 1, found


def test_axes_in_a_circle_are_each_told_and_what_hangs_on_them_is_not():
    text = GOOD.replace("angle = 90", 'angle = 90\nfrom = "C"', 1)
    text += '[[axis]]\nname = "E"\noffset = 3\nangle = 0\nfrom = "C"\n'
    found = faults(text)
    assert len(found) == 2
    assert "'B' from 'C' from 'B'" in found[0]
    assert "'C' from 'B' from 'C'" in found[1]


def test_lines_are_right_after_strings_over_several_lines():
    text = GOOD.replace("cut = true", 'cut = true\nnote = """\n[[feature]]\nname = 3\n"""\nstock = -2')
    found = faults(text)
    assert len(found) == 1
    assert "line 45, feature 'hole'" in found[0]


def test_lines_of_entries_of_a_long_list():
    outline = "outline = [\n [0, 0], # one\n [10, 0],\n [10, nan],\n [0, true, 3],\n]"
    text = GOOD.replace('shape = "cylinder"\ndiameter = 90', f'shape = "plate"\n{outline}', 1)
    found = faults(text)
    assert any("line 32" in f and "outline entry 3 = nan" in f for f in found), found
    assert any("line 33" in f and "outline entry 4" in f and "expected 2 numbers" in f for f in found), found


def test_tables_written_in_one_line_know_their_lines_too():
    text = 'name = "x"\nunits = "mm"\naxis = [\n {name = "A", at = [0, 0]},\n {name = "B", at = [0, true]},\n]\n'
    found = faults(text + 'feature = [{name = "f", axis = "A", shape = "cylinder", diameter = 3, start = 0, end = 1}]')
    assert found == ["error: test.toml line 5, axis 'B': at = true: expected a number"]


def test_names_are_compared_in_one_form():
    text = GOOD.replace('name = "B"', 'name = "E\u0301"').replace('from = "B"', 'from = "\u00c9"')
    part, _ = parse(text.replace('axis = "D"', 'axis = " E\u0301 "'))
    assert part.features[1].axis == "\u00c9"
    assert part.axis("C").point == pytest.approx((10, 14, 0))


def test_no_more_than_a_hundred_faults_are_told():
    found = faults(GOOD + '[[feature]]\nstart = "x"\n' * 190)
    assert len(found) == 101
    assert "more faults" in found[-1]


PLATES = [
    ("[[0, 0], [10, 0]]", "fewer than three"),
    ("[[0, 0], [10, 0], [20, 0]]", "no area"),
    ("[[0, 0], [10, 10], [10, 0], [0, 10]]", "no area"),
    ("[[0, 0], [20, 10], [20, 0], [0, 8]]", "cross"),
    ("[[0, 0], [0, 0], [10, 0], [0, 10]]", "corners 1 and 2 are the same"),
    ("[[0, 0], [10, 0], [5, 0], [5, 9]]", "turns back on itself at corner 2"),
    ("[[0, 0], [10, 0], [10, 10], [5, 0], [0, 10]]", "cross or touch"),
    ("[[0, 0], [9, 0], [9, 9], [1, 9], [1, 0.5], [5, 0.5], [5, 0], [0, 3]]", "cross or touch"),
    ("[]", "list of 1 to 500"),
    ('[["a", 0]]', "expected a number"),
]


@pytest.mark.parametrize(("outline", "says"), PLATES)
def test_outlines_that_are_no_polygon(outline, says):
    text = GOOD.replace('shape = "cylinder"\ndiameter = 90', f'shape = "plate"\noutline = {outline}', 1)
    assert any(says in f for f in faults(text)), faults(text)


@pytest.mark.parametrize(
    ("hull", "says"),
    [
        ("[[0, 0, -1]]", "below 0"),
        ("[[0, 0, 0], [5, 5, 0]]", "no area"),
        ("[[0, 0]]", "3 numbers"),
        ("[[0, 0, 1e-300], [4, 4, 0]]", "below 0.001"),
        ("[[0, 0, 0], [1, 1, 0], [2, 2, 0]]", "no area"),
        ("[]", "list of 1 to 500"),
    ],
)
def test_hulls_that_enclose_nothing(hull, says):
    text = GOOD.replace('shape = "cylinder"\ndiameter = 90', f'shape = "plate"\nhull = {hull}', 1)
    assert any(says in f for f in faults(text))


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=9))
def test_outlines_are_judged_as_shapely_judges_them(corners):
    """The outside judge: shapely's validity (GEOS). A corner on a straight side is allowed by both."""
    from shapely import Polygon

    fine = not outline_fault([(float(x), float(y)) for x, y in corners])
    ring = Polygon(corners)
    assert fine == (ring.is_valid and len(set(corners)) == len(corners) and ring.area > 0)


def test_large_outlines_are_judged_in_time():
    comb = [(50.0 * (i % 2) + i * 1e-3, i * 0.01) for i in range(497)] + [(0.0, 900.0), (-900.0, 0.0)]
    start = time.process_time()
    assert outline_fault(comb) == ""
    assert "cross" in outline_fault([*comb, (40.0, 2.0)])
    assert time.process_time() - start < 1


def test_too_many_features_is_answered_at_once():
    start = time.process_time()
    text = GOOD + "".join(GOOD[GOOD.index("[[feature]]") :].replace("flange", f"f{k}") for k in range(500))
    assert any("at most 200" in f for f in faults(text))
    assert time.process_time() - start < 2


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("", "toml", "is empty"),
        ("   \n", "json", "is empty"),
        ("[" * 100000, "json", "nested"),
        ("a = " + "[" * 5000, "toml", "nested"),
        ("[1, 2]", "json", "holds no object"),
        ('{"name": "a",\n "name": "b"}', "json", "line 2: the key 'name' is given twice"),
        ('{"name": null}', "json", "name is missing"),
        ('{"name": ' + "9" * 5000 + "}", "json", "thousand digits"),
        ("#" * 1_000_001, "toml", "larger than 1 MB"),
        ('name = "a"\n[feature]\n[feature]', "toml", "write [[feature]] above each"),
        ('name = "a"\naxis = [', "toml", "line 2: a bracket is not closed"),
        ('{"name": ', "json", "cannot be understood"),
        ('name = "only a name"', "toml", "units is missing"),
        ("axis = 3", "toml", "not a list of tables"),
    ],
)
def test_texts_that_are_no_part(text, kind, says):
    assert any(says in f for f in faults(text, kind))


def test_json_faults_know_their_lines():
    text = '{\n "name": "x",\n "units": "mm",\n "axis": [\n  {"name": "A",\n   "at": [0, "b"]}\n ],\n "feature": []\n}'
    assert any("line 6" in f and "expected a number" in f for f in faults(text, "json"))


def test_names_are_brought_to_one_form():
    part, _ = parse(GOOD.replace('"Cover"', '"Cafe\u0301"'))
    assert part.name == "Café"


def test_unknown_material_is_a_note():
    _, findings = parse(GOOD.replace("Brass", "bras"))
    assert [f.level for f in findings] == ["note"]
    assert "did you mean 'brass'" in findings[0].text


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples_are_read_without_a_word(path):
    part, findings = read_part(path)
    assert not findings
    assert part.density


def test_there_are_samples():
    assert len(SAMPLES) >= 10


# Gere, Mechanics of Materials, 5th ed., density table; grey iron: a published density table (references, section 7).
BANDS = {
    "steel": (7850, 7850), "cast iron": (7000, 7400), "grey cast iron": (6600, 7400), "aluminium": (2700, 2800),
    "aluminum": (2700, 2800), "brass": (8400, 8600), "bronze": (8200, 8800), "gunmetal": (8200, 8800),
    "copper": (8900, 8900), "titanium": (4500, 4500), "nylon": (880, 1100), "polyethylene": (960, 1400),
    "stainless steel": (7480, 8000),
}  # fmt: skip


@pytest.mark.parametrize("name", DENSITY_KG_PER_M3)
def test_default_densities_lie_in_the_published_bands(name):
    low, high = BANDS[name]
    assert low <= DENSITY_KG_PER_M3[name] <= high


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text):
    try:
        parse(text)
    except FoldsketchError:
        return


@given(st.integers(0, len(GOOD) - 1), st.text(alphabet='[]{}="\n#.,0aé', max_size=3), st.integers(0, 12))
def test_damaged_files_are_read_or_refused(at, new, skip):
    try:
        parse(GOOD[:at] + new + GOOD[at + skip :])
    except FoldsketchError:
        return
