"""Steps too small to fold are merged or left out, each with a note; all else stays."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.part.tiny_steps import remove_tiny_steps
from strategies import parts


def part(*features):
    return Part("p", (Axis("A"), Axis("B", (30, 0, 0))), features)


SHAFT = Feature("shaft", "A", Cylinder(30), 0, 40)


def names(p):
    return [f.name for f in p.features]


def test_a_small_step_goes_into_the_longer_round():
    seat = Feature("seat", "A", Cylinder(31), 40, 50)
    made, notes = remove_tiny_steps(part(SHAFT, seat), 1.0)
    assert names(made) == ["shaft"]
    assert (made.features[0].start, made.features[0].end, made.features[0].shape) == (0, 50, Cylinder(30))
    assert [(n.code, n.where, n.value("into")) for n in notes] == [("tiny-step-merged", "feature 'seat'", "shaft")]


def test_a_chamfer_goes_into_its_journal():
    chamfer = Feature("chamfer", "A", Cone(30, 28), 40, 40.8)
    made, _ = remove_tiny_steps(part(SHAFT, chamfer), 1.0)
    assert names(made) == ["shaft"]
    assert made.features[0].end == 40.8


@pytest.mark.parametrize(("third", "left"), [(28.5, ["step 0"]), (28, ["step 0", "step 2"])])
def test_steps_merge_one_after_another(third, left):
    """What the second goes into then touches the third: Ø30 to 28.5 is a step of 0.75 mm, to 28 one of 1 mm."""
    rounds = [
        Feature("step 0", "A", Cylinder(30), 0, 11),
        Feature("step 1", "A", Cylinder(29), 11, 20),
        Feature("step 2", "A", Cylinder(third), 20, 30),
    ]
    made, notes = remove_tiny_steps(part(*rounds), 1.0)
    assert names(made) == left
    assert made.features[0].end == (30 if len(left) == 1 else 20)
    assert len(notes) == 3 - len(left)


@pytest.mark.parametrize(
    ("cut", "word"),
    [
        (Feature("groove", "A", Ring(30, 28.6), 10, 14, True), "depth"),
        (Feature("groove", "A", Ring(30, 24), 10, 10.6, True), "width"),
        (Feature("drill", "A", Cylinder(0.9), 0, 40, True), "diameter"),
    ],
)
def test_slight_cuts_are_left_out(cut, word):
    made, notes = remove_tiny_steps(part(SHAFT, cut), 1.0)
    assert names(made) == ["shaft"]
    assert [(n.code, n.value("dimension")) for n in notes] == [("tiny-cut-left-out", word)]


@pytest.mark.parametrize(
    "other",
    [
        Feature("collar", "A", Cylinder(40), 40, 50),  # a real step
        Feature("apart", "A", Cylinder(31), 41, 50),  # does not touch
        Feature("beside", "B", Cylinder(31), 40, 50),  # another axis
        Feature("bore", "A", Cylinder(29.5), 0, 40, True),  # the one adds, the other takes
        Feature("recess", "A", Cylinder(29.5), 40, 50, True),  # the same, end to end
        Feature("taper", "A", Cone(30, 20), 40, 50),  # begins alike and leads away
    ],
    ids=lambda f: f.name,
)
def test_all_else_stays(other):
    made, notes = remove_tiny_steps(part(SHAFT, other), 1.0)
    assert names(made) == ["shaft", other.name]
    assert not notes


FLANGE = Feature("flange", "A", Cylinder(90), 40, 40.8)


@pytest.mark.parametrize("axis", ["B", "down", "X"])
def test_a_thin_flange_that_holds_a_spigot_stays(axis):
    """Without it the spigot would hang in the air beside the shaft, and the axes with it."""
    axes = (Axis("A"), Axis("B", (30, 0, 0)), Axis("down", (30, 0, 100), (0, 0, -1)), Axis("X", (0, 0, 45), (1, 0, 0)))
    ends = {"B": (40.8, 60), "down": (40, 59.2), "X": (10, 60)}[axis]
    p = Part("p", axes, (SHAFT, FLANGE, Feature("spigot", axis, Cylinder(20), *ends)))
    made, notes = remove_tiny_steps(p, 1.0)
    assert names(made) == ["shaft", "flange", "spigot"]
    assert not notes


@pytest.mark.parametrize(
    "beside",
    [
        Feature("apart", "B", Cylinder(20), 50, 60),  # higher than the flange
        Feature("far", "far", Cylinder(20), 40.8, 60),  # beyond its rim
        Feature("hole", "B", Cylinder(8), 39, 42, True),  # takes, and hangs on nothing
    ],
    ids=lambda f: f.name,
)
def test_a_thin_flange_that_holds_nothing_goes(beside):
    axes = (Axis("A"), Axis("B", (30, 0, 0)), Axis("far", (60, 0, 0)))
    made, notes = remove_tiny_steps(Part("p", axes, (SHAFT, FLANGE, beside)), 1.0)
    assert names(made) == ["shaft", beside.name]
    assert [n.where for n in notes] == ["feature 'flange'"]


def test_small_is_meant_on_paper():
    seat = Feature("seat", "A", Cylinder(33), 40, 50)
    assert len(remove_tiny_steps(part(SHAFT, seat), 1.0, scale=1.0)[0].features) == 2
    assert len(remove_tiny_steps(part(SHAFT, seat), 1.0, scale=0.5)[0].features) == 1


def test_a_part_that_would_vanish_is_kept():
    """A groove written first, and a ring that is cut away with it: without them there would be no material."""
    cuts = part(Feature("drill", "A", Cylinder(8), 0, 40, True), Feature("groove", "A", Ring(30, 29), 10, 14, True))
    assert remove_tiny_steps(cuts, 1.0) == (cuts, ())


@given(parts(), st.floats(0.01, 5.0))
def test_each_feature_stays_or_has_a_note(p, least):
    made, notes = remove_tiny_steps(p, least)
    noted = {n.where for n in notes}
    left = {f"feature '{f.name}'" for f in made.features}
    assert noted | left == {f"feature '{f.name}'" for f in p.features}
    assert not noted & left


@given(parts(), st.floats(0.01, 5.0))
def test_nothing_is_left_to_remove(p, least):
    made, _ = remove_tiny_steps(p, least)
    assert remove_tiny_steps(made, least) == (made, ())
