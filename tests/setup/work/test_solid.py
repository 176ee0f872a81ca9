"""The solid of a state, by hand and by its laws."""

import itertools
import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import examples
from foldsketch.part.mass.mass_properties import mass_properties
from foldsketch.part.model import Axis, Blank, Cone, Cylinder, Feature, Plate, PrismShape, Ring
from foldsketch.setup.work.blank import lathe_form, work_blank
from foldsketch.setup.work.grown_shapes import grown
from foldsketch.setup.work.solid import Band, work_solid
from foldsketch.setup.work.states import WorkStates
from setup_works import COVER, COVER_RUN_1, RAW, SHAFT, SHAFT_DRIVE, SHAFT_JOURNALS, everything
from strategies import random_part


def pieces(part, done):
    solid = work_solid(part, work_blank(part), frozenset(done))
    return [(p.of, 2 * p.feature.radius, p.low, p.high, p.raw) for p in solid.pieces]


def volume(part, done):
    return mass_properties(work_solid(part, work_blank(part), frozenset(done)).part).volume


def test_a_raw_casting():
    assert pieces(COVER, RAW) == [
        ("flange", 94, -2, 12, True),
        ("inlet spigot", 40, 12, 44, True),
        ("outlet spigot", 34, 12, 38, True),
    ]


def test_a_diameter_done_in_part():
    assert pieces(COVER, COVER_RUN_1) == [
        ("flange", 94, -2, 4.5, True),
        ("flange", 90, 4.5, 12, False),
        ("inlet spigot", 36, 12, 42, False),
        ("outlet spigot", 30, 12, 36, False),
    ]


def test_what_is_left_of_a_bar():
    assert pieces(SHAFT, RAW) == [("", 60, -2, 106, True)]
    assert pieces(SHAFT, SHAFT_DRIVE) == [("", 60, 50, 106, True), ("drive journal", 30, 0, 50, False)]
    assert pieces(SHAFT, SHAFT_JOURNALS)[0] == ("", 60, 50, 72, True)
    assert ("", 60, -2, 106, True) not in pieces(SHAFT, ["drive journal"])
    assert pieces(SHAFT, ["drive journal"])[1] == ("drive journal", 30, -2, 50, False)  # not yet faced


def test_a_bore_goes_through_the_stock_on_its_faces():
    """Drilled d16 and 22 through flange and spigots with 2 mm on each end: 46 and 40 mm of air less 2 x 1 beyond."""
    raw = volume(COVER, RAW)
    assert raw - volume(COVER, ["inlet bore"]) == pytest.approx(math.pi * 11**2 * 46)
    assert raw - volume(COVER, ["outlet bore"]) == pytest.approx(math.pi * 8**2 * 40)
    assert raw - volume(COVER, ["bolt hole 1"]) == pytest.approx(math.pi * 4.5**2 * 14)


def test_a_cored_bore_is_smaller_and_open():
    body = Feature("body", "A", Cylinder(80), 0, 30, stock=3)
    bore = Feature("bore", "A", Cylinder(40), -1, 31, cut=True, stock=2)
    part = parts.part([body, bore])
    assert volume(part, RAW) == pytest.approx(math.pi * (43**2 - 18**2) * 36)
    assert volume(part, ["body", "body -z", "body +z"]) == pytest.approx(math.pi * (40**2 - 18**2) * 30)


def test_a_neighbour_at_the_same_height_keeps_stock():
    """Two pins of d10 on a bar: when one is turned, 2 mm stay around the other one and on its lower end."""
    disc = Feature("disc", "A", Cylinder(60), 0, 10)
    pins = [Feature("b", "B", Cylinder(10), 10, 40), Feature("c", "C", Cylinder(10), 10, 30)]
    part = replace(
        parts.part([disc, *pins], Axis("B", (15.0, 0.0, 0.0)), Axis("C", (-15.0, 0.0, 0.0))),
        blank=Blank("sawn", 70),
    )
    assert pieces(part, ["b +z", "b"]) == [
        ("", 70, -2, 10, True),
        ("b", 10, 10, 40, False),
        ("c", 14, 10, 32, True),
    ]


def test_a_taper_keeps_its_angle_where_it_is_done_in_part():
    """d40 to d20 over 20 mm, upward and downward: at half height d30."""
    for axis in (Axis("B"), Axis("B", (0.0, 0.0, 20.0), (0.0, 0.0, -1.0))):
        shape = Cone(40, 20) if axis.direction[2] > 0 else Cone(20, 40)
        part = parts.part([Feature("taper", "B", shape, 0, 20, stock=1)], axis)
        done = [Band("taper", 10, 20), "taper -z", "taper +z"]
        expected = math.pi * 10 / 3 * (21**2 + 21 * 16 + 16**2 + 15**2 + 15 * 10 + 10**2)
        assert volume(part, done) == pytest.approx(expected)
        assert volume(part, [*done, "taper"]) == pytest.approx(math.pi * 20 / 3 * (20**2 + 20 * 10 + 10**2))


@pytest.mark.parametrize(
    ("shape", "bigger"),
    [
        (Cylinder(20), Cylinder(24)),
        (Cone(20, 10), Cone(24, 14)),
        (Ring(20, 10), Ring(24, 6)),
        (Ring(20, 3), Cylinder(24)),
        (PrismShape(6, 20), PrismShape(6, 24)),
        (Plate(hull=((0, 0, 5), (30, 0, 3))), Plate(hull=((0, 0, 7), (30, 0, 5)))),
    ],
)
def test_shapes_with_2_mm_on_them(shape, bigger):
    assert grown(shape, 2.0) == bigger


def test_an_outline_with_stock_keeps_its_corners():
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    assert set(grown(Plate(outline=square), 2.0).outline) == {(-2, -2), (12, -2), (12, 12), (-2, 12)}


CASES = st.tuples(st.integers(0, 200), st.booleans()).filter(lambda case: in_one_piece(random_work(*case)))


def in_one_piece(part):
    """Whether some material is at every height between the lowest and the highest."""
    extents = sorted((f.start, f.end) for f in part.features if not f.cut)
    top = extents[0][1]
    for low, high in extents:
        if low > top:
            return False
        top = max(top, high)
    return True


def random_work(seed, casting):
    """A random part along z, with stock where it is a casting."""
    part = random_part(random.Random(seed))
    upright = [f for f in part.features if part.axis(f.axis).along_z]
    if not any(not f.cut for f in upright):
        upright.append(Feature("body", "A", Cylinder(30), 0, 20))
    material = next(k for k, f in enumerate(upright) if not f.cut)
    features = [replace(f, stock=1.5) if casting and not f.cut else f for f in upright[material:]]
    return replace(part.with_features(tuple(features)), density=7850.0)


@pytest.mark.slow
@examples(30)
@given(CASES)
def test_all_done_is_the_part(case):
    part = random_work(*case)
    states = WorkStates(part)
    got, finished = states.mass(everything(states)), mass_properties(lathe_form(part))
    assert got.volume == pytest.approx(finished.volume, rel=1e-9)
    assert got.centroid == pytest.approx(finished.centroid, abs=1e-6)


def volumes_while_cut(part, order):
    states = WorkStates(part)
    return [states.mass(frozenset(order[:k])).volume for k in range(len(order) + 1)]


@pytest.mark.slow
@examples(30)
@given(CASES, st.randoms(use_true_random=False))
def test_cutting_never_adds_material(case, r):
    """Any order of the surfaces: the volume never rises."""
    part = random_work(*case)
    order = list(WorkStates(part).to_machine)
    r.shuffle(order)
    assert_never_rises(volumes_while_cut(part, order))


def test_a_cut_across_a_shoulder_before_its_face_adds_no_material():
    assert_never_rises(
        volumes_while_cut(random_work(55, casting=False), ["f1 +z", "f3 +z", "f3", "f4", "f2 -z", "f2 +z"])
    )


def test_a_hole_that_later_material_fills_stays_full_in_the_bar():
    """A pin of d10 that follows a bore of d20: drilled in the bar, a ring of the bore is gone and the pin is there."""
    body = Feature("body", "A", Cylinder(60), 0, 30)
    bore = Feature("bore", "A", Cylinder(20), 0, 30, cut=True)
    pin = Feature("pin", "A", Cylinder(10), 0, 30, stock=1)
    part = replace(parts.part([body, bore, pin]), blank=Blank("sawn", 70))
    bar = math.pi * 35**2 * 34
    assert volume(part, ["bore"]) == pytest.approx(bar - math.pi * (10**2 - 6**2) * 34)


def test_flats_with_their_stock_lie_in_the_bar():
    """A hexagon of 50 across flats is 57.74 across corners: a bar of 58 leaves 0.11 mm a side on the flats."""
    part = replace(parts.part([Feature("hexagon", "A", PrismShape(6, 50), 0, 30, stock=2)]), blank=Blank("sawn", 58))
    assert work_blank(part).rounds["hexagon"] == pytest.approx(29 * math.cos(math.pi / 6) - 25)


def assert_never_rises(volumes):
    """A part in a bar that it touches may round off by 1e-8 of the volume."""
    assert all(after <= before * (1 + 1e-8) for before, after in itertools.pairwise(volumes))
