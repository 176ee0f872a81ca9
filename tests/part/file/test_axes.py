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


@given(st.floats(0, 1e3), st.floats(-720, 720))
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
    assert made.direction == pytest.approx(tuple(c / size for c in v))


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
