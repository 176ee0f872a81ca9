"""Features of a part file: every shape, every option, and every error with its line."""

import math

import pytest

from foldsketch.part.file.features import MAX_CORNERS, MAX_NOTE_CHARACTERS
from foldsketch.part.model import Cone, Cylinder, Plate, PrismShape, Ring
from part_files import GOOD, errors_of, findings_of, line_with, parse

CYLINDER = 'shape = "cylinder"\ndiameter = 90'


def flange(rows):
    """The good file with other rows in place of the flange's shape and diameter."""
    return GOOD.replace(CYLINDER, rows, 1)


@pytest.mark.parametrize(
    ("rows", "shape"),
    [
        ('shape = "cone"\nstart_diameter = 4\nend_diameter = 0', Cone(4, 0)),
        ('shape = "ring"\ndiameter = 20\nbore = 8', Ring(20, 8)),
        ('shape = "prism"\nsides = 6\nacross_flats = 24\nturn = 30', PrismShape(6, 24, math.radians(30))),
        ('shape = "plate"\noutline = [[10, 0], [0, 10], [0, 0]]', Plate(outline=((10, 0), (0, 10), (0, 0)))),
        ('shape = "plate"\noutline = [[0, 0], [0, 10], [10, 0]]', Plate(outline=((10, 0), (0, 10), (0, 0)))),
        ('shape = "plate"\noutline = [[0, 0], [9, 0], [0, 9], [0, 0]]', Plate(outline=((0, 0), (9, 0), (0, 9)))),
        ('shape = "plate"\nhull = [[0, 0, 5], [20, 0, 0]]', Plate(hull=((0, 0, 5), (20, 0, 0)))),
    ],
)
def test_every_shape(rows, shape):
    """An outline is turned to run anticlockwise, and need not be closed but may."""
    assert parse(flange(rows))[0].features[0].shape == shape


def test_across_corners_is_the_diameter_of_the_corners():
    """A square of 20 mm across corners is 20 / sqrt 2 across flats."""
    shape = parse(flange('shape = "prism"\nsides = 4\nacross_corners = 20'))[0].features[0].shape
    assert shape.across_flats == pytest.approx(20 / math.sqrt(2))


def test_options_are_kept():
    rows = 'sides = 8\nstock = 2.5\nfinish = "cast"\nnote = "one\\n\\ttwo"\ncut = false'
    f = parse(flange(f"{CYLINDER}\n{rows}"))[0].features[0]
    assert (f.sides, f.stock, f.finish, f.note, f.cut) == (8, 2.5, "cast", "one\n\ttwo", False)
    plain = parse(GOOD)[0].features[0]
    assert (plain.sides, plain.stock, plain.finish, plain.note) == (None, 0.0, None, "")


def test_inches_become_millimetres():
    part, _ = parse(GOOD.replace('"mm"', '"in"').replace("cut = true", "cut = true\nstock = 0.1"))
    assert part.features[0].shape == Cylinder(90 * 25.4)
    assert (part.features[0].start, part.features[0].end) == pytest.approx((0, 12 * 25.4))
    assert part.features[1].stock == pytest.approx(2.54)


ERRORS = [
    # what to replace, with what, the code, and the row on whose line it is found
    ("diameter = 90", "diamter = 90", "unknown-key", "diamter"),
    ("diameter = 90", "", "key-missing", None),
    ("diameter = 90", "diameter = -90", "value-too-low", "diameter = -90"),
    ("diameter = 90", "diameter = 0", "value-too-low", "diameter = 0"),
    ("diameter = 90", "diameter = nan", "value-type", "diameter = nan"),
    ("diameter = 90", "diameter = inf", "value-type", "diameter = inf"),
    ("diameter = 90", "diameter = 1e300", "value-range", "diameter = 1e300"),
    ("diameter = 90", "diameter = 1e-300", "value-range", "diameter = 1e-300"),
    ("diameter = 90", 'diameter = "90"', "value-type", 'diameter = "90"'),
    ("diameter = 90", "diameter = true", "value-type", "diameter = true"),
    ("diameter = 90", "diameter = [90]", "value-type", "diameter = [90]"),
    ("diameter = 90", "diameter = 2020-01-01", "value-type", "diameter = 2020"),
    ("diameter = 90", "diameter = 0x" + "f" * 5000, "value-type", "diameter = 0x"),
    ("diameter = 90", "diameter = 90\nbore = 3", "key-of-other-shape", "bore = 3"),
    ('shape = "cylinder"', 'shape = "cylindr"', "value-unknown", 'shape = "cylindr"'),
    ('shape = "cylinder"', "shape = 3", "value-unknown", "shape = 3"),
    ('shape = "cylinder"', "", "key-missing", None),
    ('axis = "A"', 'axis = "Z"', "axis-unknown", 'axis = "Z"'),
    ('axis = "A"', "", "key-missing", None),
    ("length = 12", "length = 12\nend = 12", "keys-together", "end = 12"),
    ("length = 12", "", "key-missing", None),
    ("length = 12", "end = -3", "end-below-start", "end = -3"),
    ("length = 12", "end = 0", "end-below-start", "end = 0"),
    ("length = 12", "end = 0.0005", "feature-too-short", "end = 0.0005"),
    ("length = 12", "length = 0.0005", "value-range", "length = 0.0005"),
    ("start = 0\n", "", "key-missing", None),
    ("cut = true", 'cut = "true"', "value-type", 'cut = "true"'),
    ("cut = true", "sides = 1000000", "value-range", "sides = 1000000"),
    ("cut = true", "sides = 2", "value-range", "sides = 2"),
    ("cut = true", "sides = 2.5", "value-type", "sides = 2.5"),
    ("cut = true", "sides = true", "value-type", "sides = true"),
    ("cut = true", 'finish = "rough"', "value-unknown", 'finish = "rough"'),
    ("cut = true", "stock = -1", "value-range", "stock = -1"),
    ("cut = true", "stock = false", "value-type", "stock = false"),
    ("cut = true", 'note = "a\\u0001"', "control-character", 'note = "a'),
    ("cut = true", f'note = "{"x" * (MAX_NOTE_CHARACTERS + 1)}"', "text-too-long", 'note = "x'),
    ("cut = true", "note = 3", "value-type", "note = 3"),
    ("cut = true", 'colour = "red"', "unknown-key", 'colour = "red"'),
    ('name = "hole"', 'name = "flange"', "name-twice", None),
    ('name = "flange"\n', "", "key-missing", None),
    (CYLINDER, 'shape = "ring"\ndiameter = 90\nbore = 90', "ring-without-wall", "bore = 90"),
    (CYLINDER, 'shape = "ring"\ndiameter = 90\nbore = 89.99999999999', "ring-without-wall", "bore = 89.9"),
    (CYLINDER, 'shape = "ring"\ndiameter = 90\nbore = 0', "value-too-low", "bore = 0"),
    (CYLINDER, 'shape = "cone"\nstart_diameter = 0\nend_diameter = 0', "cone-without-size", None),
    (CYLINDER, 'shape = "cone"\nstart_diameter = 3', "key-missing", None),
    (CYLINDER, 'shape = "prism"\nacross_flats = 9', "key-missing", None),
    (CYLINDER, 'shape = "prism"\nsides = 2\nacross_flats = 9', "value-range", "sides = 2"),
    (CYLINDER, 'shape = "prism"\nsides = 6', "key-missing", None),
    (CYLINDER, 'shape = "prism"\nsides = 6\nacross_flats = 9\nacross_corners = 9', "keys-together", "across_corners"),
    (CYLINDER, 'shape = "plate"', "key-missing", None),
    (CYLINDER, 'shape = "plate"\nhull = [[0, 0, 9]]\noutline = [[0, 0], [9, 0], [0, 9]]', "keys-together", "hull"),
    (CYLINDER, 'shape = "plate"\noutline = []', "value-type", "outline"),
    (CYLINDER, 'shape = "plate"\noutline = 3', "value-type", "outline"),
    (CYLINDER, f'shape = "plate"\noutline = {[[0, 0]] * (MAX_CORNERS + 1)}', "value-type", "outline"),
    (CYLINDER, 'shape = "plate"\noutline = [["a", 0]]', "value-type", "outline"),
    (CYLINDER, 'shape = "plate"\noutline = [[0, 0], [9, 0]]', "outline-too-few-corners", "outline"),
    (CYLINDER, 'shape = "plate"\nhull = [[0, 0]]', "value-type", "hull"),
    (CYLINDER, 'shape = "plate"\nhull = [[0, 0, -1]]', "hull-negative-radius", "hull"),
]


@pytest.mark.parametrize(("old", "new", "code", "row"), ERRORS, ids=[f"{e[1][-24:]!r}" for e in ERRORS])
def test_errors_have_their_code_and_line(old, new, code, row):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    found = errors_of(text)
    assert code in [c for c, _ in found]
    if row is not None:
        assert (code, line_with(text, row)) in found


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("length = 12", "", "end or length"),
        ("diameter = 90", "", "diameter"),
        ('shape = "cylinder"', "", "shape"),
        ('axis = "A"\n', "", "axis"),
        ("start = 0\n", "", "start"),
    ],
)
def test_a_missing_key_is_named(old, new, key):
    at = GOOD.index("[[feature]]")
    (f,) = findings_of(GOOD[:at] + GOOD[at:].replace(old, new, 1))
    assert f.code == "key-missing" and f.value("key") in key.split(" or ")
    assert f.where.endswith("feature 'flange'")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("diameter = 90", "diamter = 90"),  # not a second error that the diameter is missing
        ("length = 12", "lenght = 12"),
        (CYLINDER, 'shape = "plate"\noutlin = [[0, 0], [9, 0], [0, 9]]'),
    ],
)
def test_one_slip_is_one_finding(old, new):
    assert len(errors_of(GOOD.replace(old, new, 1))) == 1


def test_a_size_of_another_shape_is_said_to_be_one():
    (f,) = findings_of(flange(f"{CYLINDER}\nbore = 3"))
    assert (f.value("shape"), f.value("key"), f.value("owners")) == ("cylinder", "bore", "ring")


def test_a_part_of_cuts_alone_is_refused():
    text = GOOD.replace("length = 12", "length = 12\ncut = true")
    assert [c for c, _ in errors_of(text)] == ["no-material"]


def test_lines_are_right_after_texts_over_several_lines():
    text = GOOD.replace("cut = true", 'cut = true\nnote = """\n[[feature]]\nname = 3\n"""\nstock = -2')
    (f,) = findings_of(text)
    assert f.where == f"test.toml line {line_with(text, 'stock = -2')}, feature 'hole'"


def test_lines_and_numbers_of_entries_of_a_long_list():
    text = flange('shape = "plate"\noutline = [\n [0, 0], # one\n [10, 0],\n [10, nan],\n [0, true, 3],\n]')
    found = {f.value("key"): f.where for f in findings_of(text)}
    assert found["outline entry 3"].startswith(f"test.toml line {line_with(text, ' [10, nan]')},")
    assert found["outline entry 4"].startswith(f"test.toml line {line_with(text, ' [0, true')},")


def test_bounds_are_shown_in_mm_also_for_a_file_in_inches():
    (f,) = findings_of(GOOD.replace('"mm"', '"in"').replace("diameter = 90", "diameter = 1e5"))
    assert f.code == "value-range" and f.value("most").unit == "mm" and f.value("most").value == 1e5
