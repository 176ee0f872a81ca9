"""Which walls are rolled, and notes of those that are not."""

import pytest

from foldsketch.base.findings import mm, worst_first
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.rolled_walls import can_roll, round_radii
from foldsketch.solid.faceting.sides import FacetChoice
from solids import single

A = Axis("A")


@pytest.mark.parametrize(
    ("shape", "radii"),
    [
        (Cylinder(40), (20,)),
        (Cone(40, 28), (20, 14)),
        (Ring(60, 26), (30, 13)),
        (PrismShape(6, 40), ()),
        (Plate(outline=((0, 0), (9, 0), (0, 9))), ()),
        (Plate(hull=((0, 0, 20), (60, 0, 0), (0, 50, 8))), (20, 8)),
    ],
)
def test_the_radii_of_a_features_round_walls(shape, radii):
    assert round_radii(Feature("f", "A", shape, 0, 10)) == radii


@pytest.mark.parametrize(
    ("radii", "can"), [((5.0,), True), ((4.99,), False), ((30.0, 4.0), False), ((30.0, 0.0), True), ((0.0,), False)]
)
def test_card_rolls_to_a_radius_of_5_mm_and_to_a_point(radii, can):
    assert can_roll(radii) == can


def rolled(part, scale=1.0):
    """Names of the features that are rolled, and the findings by their place."""
    made = facet(part, scale, FacetChoice(walls="rolled"))
    return {p.feature.name for p in made.prisms if p.rolled}, {f.where: f for f in made.findings}


@pytest.mark.parametrize("place", [(0.0, 0.0, 0.0), (40.0, 60.0, 15.0), (-40.0, -60.0, -15.0)])
def test_a_wall_with_a_cross_bore_in_it_is_folded_wherever_the_part_is(place):
    x, y, z = place
    axes = (Axis("A", place), Axis("X", (x, y, z + 20.0), (1.0, 0.0, 0.0)), Axis("Y", (x, y + 60, z + 20), (1.0, 0, 0)))
    boss = Feature("boss", "A", Cylinder(40), 0, 40)
    through = Feature("hole", "X", Cylinder(12), -30, 30, True)
    beside = Feature("hole", "Y", Cylinder(12), -30, 30, True)
    short = Feature("hole", "X", Cylinder(12), 30, 60, True)
    above = Feature("boss", "A", Cylinder(40), 30, 60)
    assert rolled(Part("p", axes, (boss, through)))[0] == set()
    assert rolled(Part("p", axes, (boss, beside)))[0] == {"boss", "hole"}
    assert rolled(Part("p", axes, (boss, short)))[0] == {"boss", "hole"}
    assert rolled(Part("p", axes, (above, through)))[0] == {"boss", "hole"}


def test_there_is_no_note_of_what_was_never_to_be_rolled():
    """True flats, and features with sides of their own, however small and whatever crosses them."""
    axes = (A, Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0)))
    head = Feature("head", "A", PrismShape(6, 46.0), 0, 40)
    hole = Feature("hole", "X", Cylinder(12), -40, 40, True)
    pin = Feature("pin", "A", Cylinder(6), 40, 60, sides=6)
    ((where, found),) = rolled(Part("p", axes, (head, hole, pin)))[1].items()
    assert (where, found.code, found.value("other")) == ("feature 'hole'", "roll-wall-crossed", "head")


def test_there_is_no_note_of_a_wall_that_is_folded_to_fit_its_neighbour():
    """5 mm can be rolled; this one is folded because its equal neighbour has sides of its own."""
    low, high = Feature("low", "A", Cylinder(10), 0, 20), Feature("high", "A", Cylinder(10), 20, 40, sides=6)
    assert rolled(Part("p", (A,), (low, high))) == (set(), {})


@pytest.mark.parametrize(
    ("shape", "smallest"),
    [(Cylinder(9.8), 4.9), (Ring(40, 8), 4.0), (Cone(40, 9), 4.5), (Plate(hull=((0, 0, 20), (50, 0, 2.4))), 2.4)],
    ids=str,
)
def test_the_smallest_radius_is_reported_in_mm_on_paper(shape, smallest):
    """At twice the size a radius of 2.5 mm and more can be rolled."""
    names, found = rolled(single(shape))
    (note,) = found.values()
    assert not names
    assert (note.code, note.level) == ("roll-radius-too-small", "note")
    assert note.value("radius") == mm(smallest, 1)
    names, found = rolled(single(shape), 2.0)
    assert (names, len(found)) == (({"p"}, 0) if smallest >= 2.5 else (set(), 1))


def test_features_folded_for_one_reason_are_one_line():
    holes = [Feature(f"hole {k}", "A", Cylinder(6), 10 * k, 10 * k + 5) for k in range(4)]
    part = Part("p", (A,), (Feature("foot", "A", Cylinder(40), -10, 0), *holes))
    (found,) = worst_first(f for f in rolled(part)[1].values() if f.code == "roll-radius-too-small")
    assert found.count == 4


def test_sides_that_are_given_are_folded():
    (prism,) = facet(single(Cylinder(40), sides=8), 1.0, FacetChoice(walls="rolled")).prisms
    assert (prism.sides, prism.rolled) == (8, False)


def test_a_small_pin_and_a_boss_with_a_cross_hole_are_folded_each_for_its_reason():
    axes = (A, Axis("B", (0, 0, 20), (1, 0, 0)), Axis("C", (60, 0, 0)))
    own = (
        Feature("boss", "A", Cylinder(40), 0, 40),
        Feature("cross hole", "B", Cylinder(12), -30, 30, True),
        Feature("pin", "C", Cylinder(8), 0, 20),
        Feature("collar", "C", Cylinder(30), 20, 30),
    )
    names, found = rolled(Part("p", axes, own))
    assert names == {"collar"}
    assert {where: f.code for where, f in found.items()} == {
        "feature 'boss'": "roll-wall-crossed",
        "feature 'cross hole'": "roll-wall-crossed",
        "feature 'pin'": "roll-radius-too-small",
    }
