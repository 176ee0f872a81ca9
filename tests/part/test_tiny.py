"""Steps too small to fold are merged or left out, and told; all else stays."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.part.tiny import without_tiny
from strategies import parts


def part(*features):
    return Part("p", (Axis("A"), Axis("B", (30, 0, 0))), features)


SHAFT = Feature("shaft", "A", Cylinder(30), 0, 40)


def names(p):
    return [f.name for f in p.features]


def test_a_small_step_goes_into_the_longer_round():
    seat = Feature("seat", "A", Cylinder(31), 40, 50)
    made, notes = without_tiny(part(SHAFT, seat), 1.0)
    assert names(made) == ["shaft"]
    assert (made.features[0].start, made.features[0].end, made.features[0].shape) == (0, 50, Cylinder(30))
    assert [n.where for n in notes] == ["feature 'seat'"]
    assert "'shaft'" in notes[0].what


def test_a_chamfer_goes_into_its_journal():
    chamfer = Feature("chamfer", "A", Cone(30, 28), 40, 40.8)
    made, _ = without_tiny(part(SHAFT, chamfer), 1.0)
    assert names(made) == ["shaft"]
    assert made.features[0].end == 40.8


def test_steps_merge_one_after_another():
    rounds = [Feature(f"step {k}", "A", Cylinder(30 - k), 10 * k, 10 * k + 10 + (k == 0)) for k in range(3)]
    rounds[1] = Feature("step 1", "A", Cylinder(29), 11, 20)
    made, notes = without_tiny(part(*rounds), 1.0)
    assert names(made) == ["step 0", "step 2"] or len(made.features) == 1
    assert len(notes) == 3 - len(made.features)


@pytest.mark.parametrize(
    ("cut", "word"),
    [
        (Feature("groove", "A", Ring(30, 28.6), 10, 14, True), "depth"),
        (Feature("groove", "A", Ring(30, 24), 10, 10.6, True), "width"),
        (Feature("drill", "A", Cylinder(0.9), 0, 40, True), "diameter"),
    ],
)
def test_slight_cuts_are_left_out(cut, word):
    made, notes = without_tiny(part(SHAFT, cut), 1.0)
    assert names(made) == ["shaft"]
    assert word in notes[0].what


@pytest.mark.parametrize(
    "other",
    [
        Feature("collar", "A", Cylinder(40), 40, 50),  # a real step
        Feature("apart", "A", Cylinder(31), 41, 50),  # does not touch
        Feature("beside", "B", Cylinder(31), 40, 50),  # another axis
        Feature("bore", "A", Cylinder(29.5), 0, 40, True),  # the one adds, the other takes
    ],
    ids=lambda f: f.name,
)
def test_all_else_stays(other):
    made, notes = without_tiny(part(SHAFT, other), 1.0)
    assert names(made) == ["shaft", other.name]
    assert not notes


def test_small_is_meant_on_paper():
    seat = Feature("seat", "A", Cylinder(33), 40, 50)
    assert len(without_tiny(part(SHAFT, seat), 1.0, scale=1.0)[0].features) == 2
    assert len(without_tiny(part(SHAFT, seat), 1.0, scale=0.5)[0].features) == 1


@given(parts(), st.floats(0.0, 5.0))
def test_each_feature_stays_or_is_told(p, least):
    made, notes = without_tiny(p, least) if least else (p, ())
    told = {n.where for n in notes}
    assert {f"feature '{f.name}'" for f in p.features} == told | {f"feature '{f.name}'" for f in made.features}
    assert not told & {f"feature '{f.name}'" for f in made.features}
