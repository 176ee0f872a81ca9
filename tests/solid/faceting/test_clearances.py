"""Round features that touch, nest or clear each other on the part do so on paper; shapely is the judge."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import parts
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets
from solids import end_outline, solids_of

A = Axis("A")


def sides(*features, axes=(A,), **choice):
    """Number of sides of every feature."""
    return [p.sides for p in facet(Part("p", axes, features), 1.0, FacetChoice(**choice)).prisms]


@pytest.mark.parametrize("given", [(7, None), (None, 7)])
def test_a_diameter_with_given_sides_sets_those_of_an_equal_one_on_its_axis(given):
    one = Feature("shaft", "A", Cylinder(40), 0, 30, sides=given[0])
    two = Feature("bore", "A", Cylinder(40), 10, 40, True, sides=given[1])
    assert sides(one, two) == [7, 7]


def test_sides_given_to_both_of_two_equal_diameters_stay():
    one, two = Feature("low", "A", Cylinder(40), 0, 30, sides=7), Feature("high", "A", Cylinder(40), 30, 40, sides=9)
    assert sides(one, two) == [7, 9]


def test_equal_diameters_take_the_larger_number_of_sides():
    """A ring has the few sides of its bore until a cylinder of its outer diameter is on its axis."""
    alone = sides(Feature("ring", "A", Ring(80, 20), 0, 10)), sides(Feature("disc", "A", Cylinder(80), 10, 20))
    assert alone[0][0] < alone[1][0]
    both = sides(Feature("ring", "A", Ring(80, 20), 0, 10), Feature("disc", "A", Cylinder(80), 10, 20))
    assert both == [alone[1][0]] * 2


def test_diameters_on_one_axis_whose_polygons_do_not_cross_keep_their_own_sides():
    lone = [sides(Feature("f", "A", Cylinder(d), 0, 10))[0] for d in (90, 20)]
    assert lone[0] != lone[1]
    assert sides(Feature("flange", "A", Cylinder(90), 0, 10), Feature("spigot", "A", Cylinder(20), 10, 20)) == lone


def test_a_bore_with_a_thin_wall_stays_within_its_tube():
    tight = parts.part(
        [Feature("tube", "A", Cylinder(40), 0, 30), Feature("bore", "A", Cylinder(37), -1, 31, cut=True)]
    )
    faceted, made = solids_of(tight)
    outer, inner = faceted.prisms
    assert end_outline(outer).contains(end_outline(inner))
    assert made.blocks[0].skin.euler == 0


def test_given_sides_clear_each_other_with_corners_on_the_circle():
    """Two spigots of 30 with a gap of 0.1 mm: by equal area a corner of the octagon is 0.8 mm outside the circle."""
    axes = (A, Axis("B", (30.1, 0.0, 0.0)))
    own = [Feature(k, k, Cylinder(30), 0, 20, sides=8) for k in "AB"]
    one, two = facet(Part("p", axes, tuple(own)), 1.0, FacetChoice()).prisms
    assert (one.sides, two.sides) == (8, 8)
    assert np.hypot(*one.corners[:, :2].T) == pytest.approx(np.full(16, 15.0))
    assert not end_outline(one).intersects(end_outline(two))


def test_given_sides_and_corners_on_the_circle_stay_even_where_they_do_not_fit():
    """A square in a circle of 60 leaves 21.2 mm to its sides: no place for a pin of 30 that is 14 mm off centre."""
    axes = (A, Axis("B", (14.0, 0.0, 0.0)))
    own = (Feature("disc", "A", Cylinder(60), 0, 20, sides=4), Feature("pin", "B", Cylinder(30), 20, 40, sides=4))
    disc, pin = facet(Part("p", axes, own), 1.0, FacetChoice(radius_rule="inside")).prisms
    assert (disc.sides, pin.sides) == (4, 4)
    assert not end_outline(disc).contains(end_outline(pin))


@pytest.mark.parametrize("scale", [1.0, 0.5, 2.0])
@pytest.mark.parametrize("angle", [0, 23, 180])
@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_features_side_by_side_stay_apart_wherever_their_axes_begin(scale, angle, sense):
    """One is on the datum axis, the other on an axis that begins 30 mm up or down and may point the other way."""
    a = math.radians(angle)
    apart = 20 + 15 + 0.1
    axis = Axis("B", (apart * math.cos(a), apart * math.sin(a), 30.0 * sense), (0.0, 0.0, sense))
    part = Part(
        "p", (Axis("A"), axis), (Feature("one", "A", Cylinder(40), 0, 20), Feature("two", "B", Cylinder(30), -30, -10))
    )
    one, two = map(end_outline, facet(part, scale, FacetChoice(chord_error=2.0)).prisms)
    assert not one.intersects(two)


def test_features_that_share_no_height_keep_their_own_sides():
    """One above the other may overlap it in plan."""
    axes = (Axis("A"), Axis("B", (35.0, 0, 0)))
    low, high = Feature("low", "A", Cylinder(40), 0, 20), Feature("high", "B", Cylinder(30), 30, 50)
    alone = [sides(low, axes=axes, chord_error=2.0)[0], sides(high, axes=axes, chord_error=2.0)[0]]
    assert sides(low, high, axes=axes, chord_error=2.0) == alone
    beside = Feature("beside", "B", Cylinder(30), 0, 20)
    assert sum(sides(low, beside, axes=axes, chord_error=2.0)) > sum(alone)


@pytest.mark.parametrize("offset", [2.0, 4.0, 4.9])
def test_an_offset_bore_stays_within_its_body(offset):
    part = Part(
        "p",
        (Axis("A"), Axis("B", (offset, 0, 0))),
        (Feature("body", "A", Cylinder(60), 0, 20), Feature("bore", "B", Cylinder(50), -1, 21, True)),
    )
    body, bore = map(end_outline, facet(part, 1.0, FacetChoice(chord_error=2.0)).prisms)
    assert body.contains(bore)


@pytest.mark.parametrize("turn", [0.3, 1.2, math.pi / 2, 2.5])
def test_a_part_that_lies_down_has_the_sides_it_has_upright(turn):
    """Two pegs on cross axes, 0.1 mm apart, get more sides to clear each other, however the part lies."""
    c, s = math.cos(turn), math.sin(turn)

    def laid(v):
        return (v[0], v[1] * c - v[2] * s, v[1] * s + v[2] * c)

    along, across = (0.6, 0.8, 0.0), (-0.8 * 30.1, 0.6 * 30.1, 0.0)
    upright = (A, Axis("B", (0.0, 0.0, 30.0), along), Axis("C", (across[0], across[1], 30.0), along))
    down = tuple(Axis(a.name, laid(a.point), laid(a.direction)) for a in upright)
    own = [Feature("boss", "A", Cylinder(90), 0, 60)]
    own += [Feature(f"on {k}", k, Cylinder(30), 40, 70) for k in "BC"]
    wanted = sides(*own, axes=upright, chord_error=2.0)
    assert sides(*own, axes=down, chord_error=2.0) == wanted
    assert wanted[1] > sides(own[0], own[1], axes=upright, chord_error=2.0)[1], "they need more sides"


def test_a_cross_bore_listed_between_two_features_changes_nothing_for_them():
    """A spigot of 30 on a boss of 31, 0.49 mm off centre: on the part it lies inside, so must its polygon."""
    axes = (A, Axis("B", (0.49, 0.0, 0.0)), Axis("X", (0.0, 0.0, 10.0), (1.0, 0.0, 0.0)))
    boss, spigot = Feature("boss", "A", Cylinder(31), 0, 20), Feature("bore", "B", Cylinder(30), 5, 25, True)
    drilled = Feature("cross bore", "X", Cylinder(3), -40, 40, True)
    plain = facet(Part("p", axes, (boss, spigot)), 1.0, FacetChoice())
    between = facet(Part("p", axes, (boss, drilled, spigot)), 1.0, FacetChoice())
    for name in ("boss", "bore"):
        one, other = plain.prisms_by_name[name], between.prisms_by_name[name]
        assert (one.sides, one.circumradius_ratio) == (other.sides, other.circumradius_ratio)
    coarse = facet(Part("p", axes, (boss,)), 1.0, FacetChoice()).prisms[0]
    assert (coarse.sides, coarse.circumradius_ratio) != (plain.prisms[0].sides, plain.prisms[0].circumradius_ratio), (
        "they do need fitting"
    )


@pytest.mark.parametrize("angle", [0, 17, 90, 211.3])
def test_features_that_clear_each_other_on_the_part_clear_on_paper(angle):
    """A gap of 0.4 mm between two spigots would close with corners outside the circle."""
    two = parts.part(
        [
            parts.FLANGE,
            Feature("one", "B", Cylinder(30), 12, 30),
            Feature("two", "C", Cylinder(30), 12, 30),
        ],
        parts.polar("B", 15.2, angle),
        parts.polar("C", 15.2, angle + 180),
    )
    _, made = solids_of(two, chord_error=2.0)
    assert len(made.blocks) == 3


@given(
    st.floats(10, 60),
    st.floats(4, 40),
    st.floats(0.5, 20),
    st.floats(0, 6.2),
    st.booleans(),
    st.sampled_from([(1.0, False), (0.5, False), (1.0, True), (0.5, True)]),
)
def test_a_circle_within_another_keeps_half_of_the_gap_on_paper(large, small, offset, angle, upside_down, way):
    """A disc and an offset pin on its end: the pin's outline is within the disc's, whichever way its axis points, and
    half of the gap is left unless it is below 2 % of the radius."""
    scale, quick = way
    own = (large - small - offset) * scale
    assume(own > 0.05)
    axes = (
        Axis("A"),
        Axis(
            "B",
            (offset * math.cos(angle), offset * math.sin(angle), 0.0),
            (0.0, 0.0, -1.0 if upside_down else 1.0),
        ),
    )
    span = (-40.0, -20.0) if upside_down else (20.0, 40.0)
    part = Part(
        "p", axes, (Feature("disc", "A", Cylinder(2 * large), 0, 20), Feature("pin", "B", Cylinder(2 * small), *span))
    )
    choice = FacetChoice()
    outer, inner = map(end_outline, facet(part, scale, coarsen_facets(choice) if quick else choice).prisms)
    assert outer.buffer(1e-6).contains(inner)
    if own > 0.02 * large * scale:
        assert outer.exterior.distance(inner) >= 0.5 * own - 1e-6


def test_an_eccentric_of_a_quick_model_has_six_sides_like_its_journals():
    """30 within 44, 6 mm off centre: the hexagons are parallel, so only 5 % of the difference of the radii is lost."""
    axes = (Axis("A"), Axis("B", (6.0, 0.0, 0.0)))
    journal, eccentric = Feature("journal", "A", Cylinder(30), 0, 50), Feature("eccentric", "B", Cylinder(44), 50, 72)
    made = facet(Part("p", axes, (journal, eccentric)), 1.0, coarsen_facets(FacetChoice()))
    assert [p.sides for p in made.prisms] == [6, 6]


angles = st.floats(-7, 7)


@given(st.floats(12, 40), st.floats(4, 30), st.floats(0.5, 15), angles, st.floats(0.2, 1.3), st.floats(-3, 3))
def test_the_same_on_parallel_axes_that_lean(large, small, offset, bearing, tilt, about):
    """A disc, and a pin within it on an axis beside."""
    own = large - small - offset
    assume(own > 0.05)
    d = np.array([math.sin(tilt) * math.cos(about), math.sin(tilt) * math.sin(about), math.cos(tilt)])
    x = np.cross(d, (0.0, 0.0, 1.0))
    x /= np.linalg.norm(x)
    y = np.cross(d, x)
    at = offset * (math.cos(bearing) * x + math.sin(bearing) * y)
    axes = (Axis("A"), Axis("B", (0.0, 0.0, 0.0), tuple(d)), Axis("C", tuple(at), tuple(d)))
    base = Feature("base", "A", Cylinder(200), -300, -250)
    disc, pin = Feature("disc", "B", Cylinder(2 * large), 0, 20), Feature("pin", "C", Cylinder(2 * small), 20, 40)
    _, *prisms = facet(Part("p", axes, (base, disc, pin)), 1.0, coarsen_facets(FacetChoice())).prisms
    outer, inner = (end_outline(p, (x, y)) for p in prisms)
    assert outer.buffer(1e-6).contains(inner)
    if own > 0.02 * large:
        assert outer.exterior.distance(inner) >= 0.5 * own - 1e-6


@pytest.mark.parametrize("bearing", [0.0, 180.0])
def test_a_pin_near_a_corner_or_a_flat_of_a_pentagon_stays_within_it(bearing):
    """14 mm off the centre of 60, a corner opposite the first flat leaves more of the gap than the flat."""
    a = math.radians(bearing)
    axes = (Axis("A"), Axis("B", (14 * math.cos(a), 14 * math.sin(a), 0.0)))
    disc = Feature("disc", "A", Cylinder(60), 0, 20, sides=5)
    pin = Feature("pin", "B", Cylinder(26), 20, 40)
    made = facet(Part("p", axes, (disc, pin)), 1.0, coarsen_facets(FacetChoice())).prisms
    outer, inner = map(end_outline, made)
    assert outer.contains(inner)
    assert outer.exterior.distance(inner) >= 0.5 * (30 - 13 - 14) - 1e-6
