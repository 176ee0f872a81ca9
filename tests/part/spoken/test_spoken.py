"""A part as it is said: what was meant comes out, what is doubtful is asked about, nothing is guessed."""

from math import cos, isclose, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.part.file.read import parse_part
from foldsketch.part.model import Cone, Cylinder, PrismShape
from foldsketch.part.spoken.read import heard_sentence
from foldsketch.part.spoken.spoken import hear_part

SPOKEN = "flange 110 x 14; inlet 42 x 35 at 24; outlet 30 x 28 at 31, 150 deg; bored 28 and 18"


def part_of(said, units="mm"):
    heard = hear_part(said, units)
    assert not heard.faults, heard.faults
    return parse_part(heard.text, "toml", "said")[0]


def fault_of(said, units="mm"):
    heard = hear_part(said, units)
    assert heard.text == ""
    return heard.faults[0]


def test_the_spoken_line_of_the_issue():
    """Flange 0 to 14; the bosses on it, 14 + 35 = 49 and 14 + 28 = 42 high; bores right through both [D]."""
    part = part_of(SPOKEN)
    known = {f.name: f for f in part.features}
    ends = {"flange": (0, 14), "inlet": (14, 49), "outlet": (14, 42), "inlet bore": (-1, 50), "outlet bore": (-1, 43)}
    assert {n: (f.start, f.end) for n, f in known.items()} == ends
    diameters = {"flange": 110, "inlet": 42, "outlet": 30, "inlet bore": 28, "outlet bore": 18}
    assert {n: f.shape for n, f in known.items()} == {n: Cylinder(d) for n, d in diameters.items()}
    assert [n for n, f in known.items() if f.cut] == ["inlet bore", "outlet bore"]
    assert part.axis("B").point == (24.0, 0.0, 0.0)
    assert part.axis("C").point[:2] == pytest.approx((31 * cos(radians(150)), 15.5))
    assert heard_sentence(hear_part(SPOKEN), "mm") == "Heard: 5 features on axes A, B, C, in mm."


def test_other_ways_to_say_the_same():
    plain = part_of("flange 90 x 12; boss 30 x 12.5 at 31, 45 deg, bore 9")
    for said in (
        "flange Ø90 × 12\nboss dia 30 by 12,5 at 31 mm, 45°, bored 9",
        "flange 90 mm x 12 mm;; boss 30x12.5 at 31 45 degrees bore Ø9 through  # a remark",
        "flange 90, 12 long; boss 30, 12.5 long, bore 9, at 31, 45 deg",
    ):
        assert part_of(said) == plain, said


@pytest.mark.parametrize("said", ["bolt circle 4 x 9 on 74 from 45 deg", "Bolt circle of 4 holes 9 on 74 from 45 deg"])
def test_a_bolt_circle_is_said_as_such(said):
    usual = part_of("flange 90 x 12; 4 holes 9 on 74 from 45 deg")
    part = part_of(f"flange 90 x 12; {said}")
    assert part.axes == usual.axes
    assert [f.shape for f in part.features] == [f.shape for f in usual.features]


def test_holes_on_a_circle():
    part = part_of("flange 90 x 12; 4 bolt holes 9 on 74 from 45 deg")
    holes = [f for f in part.features if f.cut]
    assert [f.name for f in holes] == ["bolt hole 1", "bolt hole 2", "bolt hole 3", "bolt hole 4"]
    assert all((f.start, f.end, f.shape) == (-1, 13, Cylinder(9)) for f in holes)
    for f, angle in zip(holes, (45, 135, 225, 315), strict=True):
        assert part.axis(f.axis).point[:2] == pytest.approx((37 * cos(radians(angle)), 37 * sin(radians(angle))))
    own = part_of("flange 110 x 14; 4 x 11 on 90 at 60, 105, 210 and 300 deg")
    angles = [round(own.offset(f.axis)[1] * 57.29578) % 360 for f in own.features if f.cut]
    assert angles == [60, 105, 210, 300]


def test_what_stands_on_what():
    part = part_of(
        "journal 40 x 30; collar 60 x 10; pin 24 x 20 at 8; nut hexagon 30 x 6 on pin, at 8; nose taper 20 to 12 x 9"
    )
    ends = {f.name: (f.start, f.end) for f in part.features}
    assert ends == {"journal": (0, 30), "collar": (30, 40), "pin": (30, 50), "nut": (50, 56), "nose": (40, 49)}
    shapes = {f.name: f.shape for f in part.features}
    assert shapes["nut"] == PrismShape(6, 30.0) and shapes["nose"] == Cone(20.0, 12.0)
    assert part.features[3].axis == part.features[2].axis, "the same place is the same axis"
    assert part_of("flange 90 x 12; boss 20 x 8 at 30 from 5").features[1].start == 5


def test_name_material_stock_and_finish():
    part = part_of(
        "name Cover No. 2; material grey cast iron; flange 90 x 12; boss 30 x 9 at 20, stock 3, bore 9; cast 2"
    )
    assert (part.name, part.material) == ("Cover No. 2", "grey cast iron")
    assert [(f.stock, f.finish) for f in part.features] == [(2, "cast"), (2, "cast"), (0, None)]


def test_inches():
    part = part_of('flange 3.5 x 0.5; boss 1.25" x 1 at 0.75', "in")
    assert part.features[1].shape == Cylinder(1.25 * 25.4) and part.features[1].end == pytest.approx(1.5 * 25.4)
    assert fault_of("flange 3.5 in x 12 mm", "in").code == "spoken-other-unit"


def test_onto_a_part_that_is_there():
    """Only what is new is written; letters and names go on, and a place that has an axis keeps it."""
    part = part_of(SPOKEN)
    more = hear_part("cap 20 x 4 at 24; boss 16 x 5 at 40, 270 deg, bore 5; flange 10 x 5", "mm", part)
    assert [h.axes for h in more.heard] == [("B",), ("D",), ("A",)]
    both, _ = parse_part(hear_part(SPOKEN).text + more.text, "toml", "said")
    ends = {f.name: (f.start, f.end) for f in both.features[5:]}
    assert ends == {"cap": (49, 53), "boss": (14, 19), "boss bore": (-1, 20), "flange 2": (14, 19)}


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("", "spoken-nothing"),
        (" ; \n # nothing", "spoken-nothing"),
        ("boss 1,250 x 20", "spoken-comma"),
        ("boss 125 x 20 at 1,250", "spoken-comma"),
        ("flange 110", "spoken-number-missing"),
        ("flange x 14", "spoken-number-missing"),
        ("flange 110 x", "spoken-number-missing"),
        ("flange 0 x 14", "spoken-size-zero"),
        ("flange 110 x 14 upside down", "spoken-not-understood"),
        ("flange 110 x -14", "spoken-not-understood"),
        ("4 holes 9 on 74", "spoken-no-flange"),
        ("bored 20", "spoken-bores"),
        ("4 holes 9 at 74", "spoken-number-missing"),
        ("flange 90 x 9; 4 holes 9 on 74 at 1, 2, 3", "spoken-angles"),
        ("flange 90 x 9; boss 9 x 9 on lid", "spoken-unknown-base"),
        ("flange 1.2.3 x 4", "spoken-not-understood"),
        ("7", "spoken-number-missing"),
        ("taper 40 x 3", "spoken-number-missing"),
    ],
)
def test_what_is_not_understood_is_said(said, code):
    assert fault_of(said).code == code


def test_a_comma_before_three_digits_is_asked_about():
    assert fault_of("boss 1,250 x 20").text.endswith("1,250 may be 1.250 or 1250; write 1.250 or 1250")
    assert part_of("boss 12,25 x 20").features[0].shape == Cylinder(12.25)


SIZES = st.integers(1, 40_000).map(lambda v: v / 100)
NAMES = st.lists(
    st.sampled_from(("flange", "boss", "journal", "pin", "lug", "inlet", "neck-ring")), min_size=1, max_size=8
)


@settings(max_examples=60, deadline=None)
@given(st.data(), NAMES, st.sampled_from(("mm", "in")), st.sampled_from((" x ", "x", " by ")))
def test_numbers_come_out_as_they_went_in(data, names, units, by):
    """Any list of cylinders, said and heard: sizes, lengths and places are those that were said."""
    rows = [(n, *data.draw(st.tuples(SIZES, SIZES, SIZES, st.integers(0, 359)))) for n in names]
    said = "; ".join(f"{n} {d}{by}{long} at {e}, {a} deg" for n, d, long, e, a in rows)
    part = part_of(said, units)
    mm = 25.4 if units == "in" else 1.0
    assert len(part.features) == len(rows)
    for f, (_, d, long, e, a) in zip(part.features, rows, strict=True):
        x, y, _ = part.axis(f.axis).point
        assert isclose(f.shape.diameter, d * mm) and isclose(f.length, long * mm, abs_tol=1e-5)
        assert (x, y) == pytest.approx((e * mm * cos(radians(a)), e * mm * sin(radians(a))), abs=0.02)


@settings(max_examples=200, deadline=None)
@given(st.text(st.sampled_from("flange boss 1239.,;x at on deg bore hole \n°Ø-#[]\"'"), max_size=60))
def test_whatever_is_said_it_is_heard_or_told(said):
    """No line ends in anything but a part file's text or a fault with its words."""
    heard = hear_part(said)
    assert bool(heard.text) != bool(heard.faults)
    assert all(f.text for f in heard.faults)


def test_stock_of_nothing_is_no_stock():
    """Stock and finish are of the features said before; where none is said, nothing is taken silently."""
    part = part_of("flange 60 x 12")
    for onto in (None, part):
        (fault,) = hear_part("stock 3", "mm", onto).faults
        assert fault.code == "spoken-of-no-feature" and "behind a feature" in fault.text
    assert not hear_part("lug 12 x 5 at 40; stock 3", "mm", part).faults


def test_what_is_said_of_the_whole_part_alone():
    said = hear_part("material grey cast iron; name Pump cover")
    assert dict(said.of_part) == {"material": "grey cast iron", "name": "Pump cover"}
    assert heard_sentence(said, "mm") == "Heard: material grey cast iron, name Pump cover."
