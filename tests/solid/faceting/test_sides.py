"""How many sides a round feature gets: enough for the chord error, none too narrow to fold."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Cone, Cylinder, Feature, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice, plan_facets, side_count
from nets import coarsen_facets
from solids import single


def corner(n, rule):
    """Circumradius of the polygon that stands for a circle of radius 1."""
    if rule == "inside":
        return 1.0
    if rule == "outside":
        return 1 / math.cos(math.pi / n)
    return math.sqrt(math.pi / (n / 2 * math.sin(2 * math.pi / n)))


def deviation(n, rule):
    """How far its sides are inside and its corners outside of the circle."""
    c = corner(n, rule)
    return max(1 - c * math.cos(math.pi / n), c - 1)


@pytest.mark.parametrize("rule", ["inside", "equal-area", "outside"])
@pytest.mark.parametrize(("radius", "error"), [(3, 0.5), (10, 0.5), (25, 0.1), (25, 0.5), (45, 0.2), (80, 1.0)])
def test_the_fewest_even_sides_that_keep_the_chord_error(rule, radius, error):
    choice = FacetChoice(chord_error=error, min_side_width=0.1, radius_rule=rule)
    fewest = next(n for n in range(4, 200, 2) if deviation(n, rule) * radius <= error)
    assert side_count(radius, radius, choice) == fewest


@pytest.mark.parametrize("rule", ["inside", "equal-area", "outside"])
@pytest.mark.parametrize("radius", [0.05, 0.3, 0.5])
def test_a_feature_smaller_than_the_chord_error_has_four_sides(rule, radius):
    assert side_count(radius, radius, FacetChoice(chord_error=0.5, radius_rule=rule)) == 4


def test_no_side_is_narrower_than_nine_tenths_of_the_width_asked_for():
    """2 R sin(pi/n) >= 0.9 * 5 on a radius of 10: pi / asin(0.225) is 13.8."""
    assert side_count(10, 10, FacetChoice(chord_error=0.1, min_side_width=5.0, radius_rule="inside")) == 12
    assert side_count(10, 5, FacetChoice(chord_error=0.1, min_side_width=5.0, radius_rule="inside")) == 6, (
        "the bore counts"
    )
    assert side_count(1, 1, FacetChoice(chord_error=0.01, min_side_width=5.0)) == 4, "never fewer than four"


def test_no_feature_gets_more_than_120_sides():
    for rule in ("inside", "equal-area", "outside"):
        assert side_count(2000, 2000, FacetChoice(chord_error=0.01, min_side_width=0.1, radius_rule=rule)) == 120


@pytest.mark.parametrize("sides", [3, 4, 119, 120])
def test_three_to_120_sides_may_be_given(sides):
    assert facet(single(Cylinder(60)), 1.0, FacetChoice(sides=sides)).prisms[0].sides == sides


@pytest.mark.parametrize(
    "allowed",
    [{"chord_error": e} for e in (0.01, 1, 50.0)]
    + [{"min_side_width": w} for w in (0.1, 1, 100)]
    + [{"radius_rule": r} for r in ("inside", "equal-area", "outside")]
    + [{"walls": w} for w in ("folded", "rolled")]
    + [{"min_sides": 3}, {"rotation": -6.28}],
    ids=str,
)
def test_values_within_the_bounds_are_kept(allowed):
    (name, value), *_ = allowed.items()
    assert getattr(FacetChoice(**allowed), name) == value


@pytest.mark.parametrize(
    ("wrong", "option"),
    [({"sides": n}, "--sides") for n in (-1, 0, 2, 121, 1_000_000, 7.0, "8")]
    + [({"chord_error": e}, "--chord-error") for e in (0.0099, 50.1, 0.0, -1.0, math.nan, math.inf, "1", None)]
    + [({"min_side_width": w}, "--smallest") for w in (-0.1, 0.0, 0.05, 101.0, 1e9, math.inf, math.nan)]
    + [({"radius_rule": r}, "--radius") for r in ("nonsense", "equal-perimeter", None)]
    + [({"walls": "glued"}, "--walls"), ({"min_sides": 2}, "min_sides"), ({"rotation": math.inf}, "rotation")],
    ids=str,
)
def test_any_other_value_is_refused_with_the_name_of_its_option(wrong, option):
    with pytest.raises(FoldsketchError) as why:
        FacetChoice(**wrong)
    (finding,) = why.value.findings
    assert (finding.code, finding.level, finding.where) == ("facet-choice", "error", option)
    assert repr(finding.value("value")) == repr(next(iter(wrong.values())))


def test_every_wrong_value_is_named_at_once():
    with pytest.raises(FoldsketchError) as why:
        FacetChoice(sides=2, walls="glued", chord_error=60.0)
    assert [f.where for f in why.value.findings] == ["--sides", "--chord-error", "--walls"]


@pytest.mark.parametrize("rule", ["inside", "equal-area", "outside"])
@pytest.mark.parametrize("radius", [6, 10, 12.5, 20, 45, 100])
def test_six_sides_or_the_fewest_that_keep_the_chord_error(rule, radius):
    wanted = max(6, next(n for n in range(4, 200, 2) if deviation(n, rule) * radius <= 2.5))
    assert side_count(radius, radius, coarsen_facets(FacetChoice(radius_rule=rule))) == wanted


def test_sides_too_narrow_to_fold_get_fewer_but_never_fewer_than_asked_for():
    """2 R sin(pi/8) is 0.765 R: on a radius of 5.8 less than 0.9 * 5, on one of 5.9 more; so with 10 asked for."""
    fine = FacetChoice(radius_rule="inside", chord_error=0.45)
    wide = replace(fine, chord_error=0.9, min_side_width=10.0)
    assert [side_count(r, r, fine) for r in (5.8, 5.9)] == [6, 8]
    assert [side_count(r, r, wide) for r in (11.7, 11.8)] == [6, 8]
    assert side_count(2.0, 2.0, fine) == 4 and side_count(2.0, 2.0, replace(fine, min_sides=6)) == 6


@given(st.floats(1, 200), st.sampled_from([6, 8, 12]), st.sampled_from(["inside", "equal-area", "outside"]))
def test_no_more_sides_than_the_most_and_no_fewer_than_the_fewest(radius, most, rule):
    free = FacetChoice(radius_rule=rule, min_sides=6)
    n = side_count(radius, radius, replace(free, max_sides=most))
    assert 6 <= n <= most and n <= side_count(radius, radius, free)


@given(st.floats(1, 200), st.sampled_from([None, 6, 8, 12]))
def test_flats_that_may_yield_have_the_sides_of_equal_area(radius, most):
    usual = FacetChoice(min_sides=6, max_sides=most)
    flats = replace(usual, radius_rule="outside", yields=True)
    assert side_count(radius, radius, flats) == side_count(radius, radius, usual)


def test_a_cone_has_the_sides_of_its_larger_end_and_a_ring_those_of_its_bore():
    """The sides of a cone may taper to nothing; those in a bore must be wide enough: 2 * 10 sin(pi/n) >= 0.9 * 5."""
    choice = FacetChoice(chord_error=0.1, min_side_width=5.0, radius_rule="inside")
    cone, ring = (plan_facets(Feature("f", "A", s, 0, 10), 1.0, choice) for s in (Cone(20, 80), Ring(80, 20)))
    fewest = next(n for n in range(4, 200, 2) if deviation(n, "inside") * 40 <= 0.1)
    assert cone.n == fewest == side_count(40, 40, choice)
    assert ring.n == 12
