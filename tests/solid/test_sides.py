"""How many sides a round gets: enough for the chord error, none too narrow for a hand, the same where rounds mate."""

import math

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.rolled_walls import can_roll, round_radii
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets, plan_facets, side_count

A = Axis("A")


def corner(n, rule):
    """Circumradius of the polygon that stands for a circle of radius 1."""
    if rule == "inside":
        return 1.0
    if rule == "outside":
        return 1 / math.cos(math.pi / n)
    return math.sqrt(math.pi / (n / 2 * math.sin(2 * math.pi / n)))


def strays(n, rule):
    """How far its sides lie inside and its corners outside of the circle."""
    c = corner(n, rule)
    return max(1 - c * math.cos(math.pi / n), c - 1)


@pytest.mark.parametrize("rule", ["inside", "equal-area", "outside"])
@pytest.mark.parametrize(("radius", "error"), [(3, 0.5), (10, 0.5), (25, 0.1), (25, 0.5), (45, 0.2), (80, 1.0)])
def test_the_fewest_even_sides_that_keep_the_chord_error(rule, radius, error):
    choice = FacetChoice(chord_error=error, smallest=0.01, radius=rule)
    fewest = next(n for n in range(4, 200, 2) if strays(n, rule) * radius <= error)
    assert side_count(radius, radius, choice) == fewest


@pytest.mark.parametrize("rule", ["inside", "equal-area", "outside"])
@pytest.mark.parametrize("radius", [0.05, 0.3, 0.5])
def test_a_speck_smaller_than_the_chord_error_has_four_sides(rule, radius):
    assert side_count(radius, radius, FacetChoice(chord_error=0.5, radius=rule)) == 4


def test_sides_are_as_many_as_leave_nine_tenths_of_the_smallest_panel():
    """2 R sin(pi/n) >= 0.9 * 5 on a radius of 10: pi / asin(0.225) is 13.8."""
    assert side_count(10, 10, FacetChoice(chord_error=0.1, smallest=5.0, radius="inside")) == 12
    assert side_count(10, 5, FacetChoice(chord_error=0.1, smallest=5.0, radius="inside")) == 6, "the bore counts"
    assert side_count(1, 1, FacetChoice(chord_error=0.01, smallest=5.0)) == 4, "never fewer than four"


def test_no_round_gets_more_than_120_sides():
    for rule in ("inside", "equal-area", "outside"):
        assert side_count(2000, 2000, FacetChoice(chord_error=0.01, smallest=0.1, radius=rule)) == 120


@pytest.mark.parametrize("sides", [3, 4, 119, 120])
def test_three_to_120_sides_may_be_given(sides):
    part = Part("p", (Axis("A"),), (Feature("p", "A", Cylinder(60), 0, 10),))
    assert facet(part, 1.0, FacetChoice(sides=sides)).prisms[0].sides == sides
    with pytest.raises(FoldsketchError, match="cannot be folded"):
        FacetChoice(sides=121)


@pytest.mark.parametrize("error", [0.01, 1.0, 50.0])
def test_a_chord_error_of_a_hundredth_to_50_mm_may_be_asked_for(error):
    assert FacetChoice(chord_error=error).chord_error == error


@pytest.mark.parametrize("error", [0.0099, 50.1, 0.0, -1.0, math.nan, math.inf])
def test_any_other_chord_error_is_refused(error):
    with pytest.raises(FoldsketchError, match="out of range"):
        FacetChoice(chord_error=error)


def test_the_quick_model_is_never_finer_than_what_was_asked_for():
    assert coarsen_facets(FacetChoice()).chord_error == 2.5
    coarse = FacetChoice(chord_error=3.0, smallest=12.0)
    assert (coarsen_facets(coarse).chord_error, coarsen_facets(coarse).smallest) == (3.0, 12.0)


@pytest.mark.parametrize("rule", ["inside", "equal-area", "outside"])
@pytest.mark.parametrize("radius", [6, 10, 12.5, 20, 45, 100])
def test_a_round_of_a_quick_model_has_six_sides_or_the_fewest_that_keep_its_chord_error(rule, radius):
    wanted = max(6, next(n for n in range(4, 200, 2) if strays(n, rule) * radius <= 2.5))
    assert side_count(radius, radius, coarsen_facets(FacetChoice(radius=rule))) == wanted


def test_six_sides_too_narrow_to_fold_become_four():
    """2 R sin(pi/6) is R: on a radius of 4.4 less than 0.9 * 5, on one of 4.6 more; a hand that wants 10 gets 10."""
    quick = coarsen_facets(FacetChoice(radius="inside"))
    assert [side_count(r, r, quick) for r in (4.4, 4.6)] == [4, 6]
    assert [side_count(r, r, coarsen_facets(FacetChoice(radius="inside", smallest=10.0))) for r in (8.9, 9.1)] == [4, 6]


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
def test_card_is_rolled_to_a_radius_of_5_mm_and_to_a_point(radii, can):
    assert can_roll(radii) == can


def test_a_cone_has_the_sides_of_its_larger_end_and_a_ring_those_its_bore_lets_it_have():
    """The panels of a cone may taper to nothing; those in a bore must be folded whole: 2 * 10 sin(pi/n) >= 0.9 * 5."""
    choice = FacetChoice(chord_error=0.1, smallest=5.0, radius="inside")
    cone, ring = (plan_facets(Feature("f", "A", s, 0, 10), 1.0, choice) for s in (Cone(20, 80), Ring(80, 20)))
    fewest = next(n for n in range(4, 200, 2) if strays(n, "inside") * 40 <= 0.1)
    assert cone.n == fewest == side_count(40, 40, choice)
    assert ring.n == 12


def sides(*features, axes=(A,), **choice):
    return [p.sides for p in facet(Part("p", axes, features), 1.0, FacetChoice(**choice)).prisms]


@pytest.mark.parametrize("given", [(7, None), (None, 7)])
def test_of_two_equal_rounds_on_one_axis_the_one_that_is_given_sides_leads(given):
    one = Feature("shaft", "A", Cylinder(40), 0, 30, sides=given[0])
    two = Feature("bore", "A", Cylinder(40), 10, 40, True, sides=given[1])
    assert sides(one, two) == [7, 7]


def test_sides_that_are_given_to_both_of_two_equal_rounds_stay():
    one, two = Feature("low", "A", Cylinder(40), 0, 30, sides=7), Feature("high", "A", Cylinder(40), 30, 40, sides=9)
    assert sides(one, two) == [7, 9]


def test_equal_rounds_take_the_more_sides_of_the_two():
    """A ring may have no more than its bore lets it; a cylinder of its outer size lends it its own."""
    alone = sides(Feature("ring", "A", Ring(80, 20), 0, 10)), sides(Feature("disc", "A", Cylinder(80), 10, 20))
    assert alone[0][0] < alone[1][0]
    both = sides(Feature("ring", "A", Ring(80, 20), 0, 10), Feature("disc", "A", Cylinder(80), 10, 20))
    assert both == [alone[1][0]] * 2


def test_rounds_on_one_axis_whose_polygons_do_not_cross_keep_their_own_sides():
    lone = [sides(Feature("f", "A", Cylinder(d), 0, 10))[0] for d in (90, 20)]
    assert lone[0] != lone[1]
    assert sides(Feature("flange", "A", Cylinder(90), 0, 10), Feature("spigot", "A", Cylinder(20), 10, 20)) == lone


def clear(part, scale=1.0, **choice):
    """The prisms of the first two features as shapely polygons in the model's plane."""
    import shapely

    made = []
    for p in facet(part, scale, FacetChoice(**choice)).prisms[:2]:
        end = next(f for f in p.faces if f.kind == "end")
        made.append(shapely.Polygon(p.corners[list(end.loops[0])][:, :2]))
    return made


@pytest.mark.parametrize("scale", [1.0, 0.5, 2.0])
@pytest.mark.parametrize("angle", [0, 23, 180])
@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_rounds_side_by_side_stay_apart_wherever_their_axes_begin(scale, angle, sense):
    """One stands on the datum axis, the other on an axis that begins 30 mm up or down and may point the other way."""
    a = math.radians(angle)
    apart = 20 + 15 + 0.1
    axis = Axis("B", (apart * math.cos(a), apart * math.sin(a), 30.0 * sense), (0.0, 0.0, sense))
    part = Part(
        "p", (Axis("A"), axis), (Feature("one", "A", Cylinder(40), 0, 20), Feature("two", "B", Cylinder(30), -30, -10))
    )
    one, two = clear(part, scale, chord_error=2.0)
    assert not one.intersects(two)


def test_rounds_that_never_share_a_height_need_not_make_way():
    """Above one another their corners may overlap in plan: both keep the sides that they have alone."""
    axes = (Axis("A"), Axis("B", (35.0, 0, 0)))
    low, high = Feature("low", "A", Cylinder(40), 0, 20), Feature("high", "B", Cylinder(30), 30, 50)
    alone = [sides(low, axes=axes, chord_error=2.0)[0], sides(high, axes=axes, chord_error=2.0)[0]]
    assert sides(low, high, axes=axes, chord_error=2.0) == alone
    beside = Feature("beside", "B", Cylinder(30), 0, 20)
    assert sum(sides(low, beside, axes=axes, chord_error=2.0)) > sum(alone)


@pytest.mark.parametrize("offset", [2.0, 4.0, 4.9])
def test_an_offset_bore_stays_within_its_round(offset):
    part = Part(
        "p",
        (Axis("A"), Axis("B", (offset, 0, 0))),
        (Feature("body", "A", Cylinder(60), 0, 20), Feature("bore", "B", Cylinder(50), -1, 21, True)),
    )
    body, bore = clear(part, chord_error=2.0)
    assert body.contains(bore)


@pytest.mark.parametrize("turn", [0.3, 1.2, math.pi / 2, 2.5])
def test_a_part_laid_down_has_the_sides_that_it_has_upright(turn):
    """Two pegs on cross axes a tenth of a millimetre apart make way for each other, however the whole lies."""
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
    assert wanted[1] > sides(own[0], own[1], axes=upright, chord_error=2.0)[1], "they do make way"
