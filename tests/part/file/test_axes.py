"""Axes of a part file: where they are, and what is said of those that have no place."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from part_files import GOOD, errors_of, findings_of, line_with, parse

HEAD = 'name = "p"\nunits = "mm"\n'
FEATURE = '[[feature]]\nname = "f"\naxis = "A"\nshape = "cylinder"\ndiameter = 5\nstart = 0\nend = 9\n'


def axes(*bodies):
    """The axes of a part file whose axis tables have these rows."""
    part, _ = parse(HEAD + "".join(f"[[axis]]\n{b}\n" for b in bodies) + FEATURE)
    return {a.name: a for a in part.axes}


def test_the_four_ways_of_giving_an_axis():
    part, findings = parse(GOOD)
    assert not findings
    assert [a.name for a in part.axes] == ["A", "B", "C", "D"]
    assert part.axis("B").point == (0, 14, 0), "14 mm at 90 degrees, exactly upright"
    assert part.axis("C").point == pytest.approx((10, 14, 0)), "measured from B"
    assert part.axis("D").direction == (1, 0, 0), "made a unit vector"


@given(st.floats(0.01, 1e3), st.floats(-720, 720))
def test_offset_and_angle_are_polar_coordinates(offset, angle):
    made = axes('name = "A"\nat = [3, 4]', f'name = "B"\noffset = {offset!r}\nangle = {angle!r}')["B"]
    x, y = offset * math.cos(math.radians(angle)), offset * math.sin(math.radians(angle))
    assert made.point == pytest.approx((3 + x, 4 + y, 0), abs=1e-9)


@given(st.permutations(range(4)))
def test_axes_may_be_measured_from_later_ones(order):
    """A chain of offsets of 1 mm along x, its tables in any order after the datum."""
    bodies = ['name = "A"\nat = [0, 0]']
    chain = [f'name = "n{k}"\noffset = 1\nangle = 0\nfrom = "{f"n{k - 1}" if k else "A"}"' for k in range(4)]
    made = axes(*bodies, *(chain[k] for k in order))
    assert [made[f"n{k}"].point[0] for k in range(4)] == pytest.approx([1, 2, 3, 4])


@given(st.tuples(*[st.floats(-1e3, 1e3)] * 3).filter(lambda v: math.hypot(*v) > 1e-6))
def test_a_direction_of_any_length_is_made_one(v):
    made = axes('name = "A"\nat = [0, 0]', f'name = "B"\npoint = [1, 2, 3]\ndirection = {list(v)!r}')["B"]
    assert math.hypot(*made.direction) == pytest.approx(1)
    size = math.hypot(*v)
    cosine = sum(c / size * d for c, d in zip(v, made.direction, strict=True))
    assert cosine > math.cos(math.radians(0.0011)), "what is tilted by less than 0.001 degrees may be made straight"


@pytest.mark.parametrize("degrees", [1e-9, 1e-5, 9.9e-4, 1.1e-3, 0.1])
@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize("along", [(0, 0, 1), (1, 0, 0), (0, 1, 0), (3, 4, 5)])
def test_a_tilt_below_a_thousandth_of_a_degree_is_none(along, sense, degrees):
    """Turned about a direction square to it, away from the direction of an axis before it."""
    x, y, z = (c / math.hypot(*along) for c in along)
    flat = math.hypot(x, y)
    square = (-y / flat, x / flat, 0) if flat else (1, 0, 0)
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    tilted = [sense * (c * u + s * v) for u, v in zip((x, y, z), square, strict=True)]
    made = axes(
        'name = "A"\nat = [0, 0]',
        f'name = "B"\npoint = [9, 2, 3]\ndirection = {list(along)}',
        f'name = "C"\npoint = [1, 5, 8]\ndirection = {tilted!r}',
    )
    straight = made["C"].direction == tuple(sense * c for c in made["B"].direction)
    assert straight == (degrees < 1e-3)


OTHERS = ["at = [12.124356, 7]", "at = [12.1243556, 7.0000001]", "point = [12.124356, 7, 0]\ndirection = [0, 0, 2]"]


@pytest.mark.parametrize("again", ["offset = 14\nangle = 30", "offset = 14\nangle = 390", *OTHERS])
def test_an_axis_written_twice_is_one(again):
    """14 mm at 30 degrees is x = 7 sqrt 3, y = 7."""
    rows = '[[axis]]\nname = "A"\nat = [0, 0]\n[[axis]]\nname = "B"\noffset = 14\nangle = 30\n'
    more = FEATURE.replace('name = "f"\naxis = "A"', 'name = "g"\naxis = "C"')
    part, findings = parse(f'{HEAD}{rows}[[axis]]\nname = "C"\n{again}\n{FEATURE}{more}')
    assert [a.name for a in part.axes] == ["A", "B"]
    assert [f.axis for f in part.features] == ["A", "B"]
    assert [(f.code, f.where) for f in findings] == [("axis-written-twice", "test.toml line 10, axis 'C'")]


@pytest.mark.parametrize("apart", [1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 9e-4, 1.1e-3])
def test_axes_less_than_a_micrometre_apart_are_one(apart):
    made = axes('name = "A"\nat = [0, 0]', f'name = "B"\nat = [{0.6 * apart}, {0.8 * apart}]')
    assert len(made) == (1 if apart < 1e-3 else 2)


def test_the_features_of_a_line_given_from_another_point_keep_their_place():
    part, _ = parse(
        HEAD + '[[axis]]\nname = "A"\nat = [0, 0]\n[[axis]]\nname = "B"\npoint = [0, 0, 40]\ndirection = [0, 0, 1]\n'
        + FEATURE + FEATURE.replace('name = "f"\naxis = "A"', 'name = "g"\naxis = "B"')
    )  # fmt: skip
    assert [(f.axis, f.start, f.end) for f in part.features] == [("A", 0, 9), ("A", 40, 49)]


def test_a_line_that_runs_the_other_way_keeps_its_letter():
    made = axes('name = "A"\nat = [0, 0]', 'name = "B"\npoint = [0, 0, 40]\ndirection = [0, 0, -1]')
    assert len(made) == 2


@pytest.mark.parametrize(
    ("one", "other", "names"),
    [
        ("A", "\N{CYRILLIC CAPITAL LETTER A}", "Latin capital letter A and Cyrillic capital letter A"),
        ("\N{GREEK CAPITAL LETTER KAPPA}", "K", "Greek capital letter kappa and Latin capital letter K"),
        ("B1", "Bl", "Digit one and Latin small letter L"),
        ("O", "0", "Latin capital letter O and Digit zero"),
        ("C", "\N{FULLWIDTH LATIN CAPITAL LETTER C}", "Latin capital letter C and Fullwidth latin capital letter C"),
    ],
)
def test_letters_that_look_alike_are_told(one, other, names):
    feature = FEATURE.replace('"A"', f'"{one}"')
    _, (finding,) = parse(
        f'{HEAD}[[axis]]\nname = "{one}"\nat = [0, 0]\n[[axis]]\nname = "{other}"\nat = [9, 0]\n{feature}'
    )
    assert (finding.code, finding.where) == ("names-look-alike", f"test.toml line 7, axis '{other}'")
    assert names in finding.text


def test_an_axis_that_only_looks_like_one_of_the_list():
    (error,) = findings_of(
        HEAD + '[[axis]]\nname = "A"\nat = [0, 0]\n' + FEATURE.replace('"A"', '"\N{CYRILLIC CAPITAL LETTER A}"')
    )
    assert error.code == "axis-unknown" and "Cyrillic capital letter A and Latin capital letter A" in error.text


ERRORS = [
    # what to replace, with what, the code, and the row on whose line it is found
    ("at = [0, 0]", "", "key-missing", "[[axis]]"),
    ("at = [0, 0]", "at = [0, 0, 0]", "value-type", "at = [0, 0, 0]"),
    ("at = [0, 0]", "at = 3", "value-type", "at = 3"),
    ("at = [0, 0]", "at = [0, 0]\noffset = 3", "keys-together", "offset = 3"),
    ("at = [0, 0]", "at = [0, 0]\nangle = 3", "keys-together", "angle = 3"),
    ("at = [0, 0]", "offset = 3\nangle = 3", "first-axis-offset", "offset = 3"),
    ("at = [0, 0]", 'at = [\n0,\n"b"]', "value-type", '"b"]'),
    ("direction = [2, 0, 0]", "direction = [0, 0, 0]", "direction-zero", "direction = [0, 0, 0]"),
    ("direction = [2, 0, 0]", 'direction = ["x", 0, 0]', "value-type", 'direction = ["x"'),
    ("direction = [2, 0, 0]", "", "key-missing", None),
    ("point = [0, 0, 6]", "point = [0, 0, 6]\nfrom = 'A'", "keys-together", "from = 'A'"),
    ("offset = 14", "offset = -1", "value-range", "offset = -1"),
    ("offset = 14", "offset = 14\ndirection = [0, 0, 1]", "keys-together", "direction = [0, 0, 1]"),
    ("angle = 90\n", "", "key-missing", None),
    ('from = "B"', 'from = "C"', "axes-circular", 'from = "C"'),
    ('from = "B"', 'from = "Q"', "axis-unknown", 'from = "Q"'),
    ('from = "B"', "from = 3", "axis-unknown", "from = 3"),
    ('from = "B"', 'from = "D"', "axis-not-along-z", 'from = "D"'),
    ('name = "C"', 'name = "B"', "name-twice", None),
    ('name = "A"', "", "key-missing", None),
    ("offset = 14", "offset = 14\ncolour = 3", "unknown-key", "colour = 3"),
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
    ("old", "new"),
    [
        ("at = [0, 0]", "at = [0, nan]"),  # the axes and features on A are not wrong themselves
        ("offset = 14", "offset = nan"),
        ("offset = 14", "ofset = 14"),
        ('from = "B"', 'from = "Q"'),
        ('name = "B"', "name = 3"),
    ],
)
def test_one_slip_is_one_finding(old, new):
    text = GOOD.replace(old, new, 1)
    assert len(errors_of(text.replace('from = "B"', 'from = "A"') if new == "name = 3" else text)) == 1


def test_every_axis_of_a_circle_is_reported_and_what_hangs_on_it_is_not():
    text = GOOD.replace("angle = 90", 'angle = 90\nfrom = "C"', 1)
    text += '[[axis]]\nname = "E"\noffset = 3\nangle = 0\nfrom = "C"\n'
    found = findings_of(text)
    assert [f.code for f in found] == ["axes-circular"] * 2
    assert [f.value("way") for f in found] == ["'B' from 'C' from 'B'", "'C' from 'B' from 'C'"]


def test_names_are_compared_in_one_form():
    """E with a combining accent and the composed letter are the same name, with or without blanks."""
    text = GOOD.replace('name = "B"', 'name = "E\u0301"').replace('from = "B"', 'from = "\u00c9"')
    part, _ = parse(text.replace('axis = "D"', 'axis = " E\u0301 "'))
    assert part.features[1].axis == "\u00c9"
    assert part.axis("C").point == pytest.approx((10, 14, 0))
