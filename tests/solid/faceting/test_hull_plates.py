"""Webs: the hull of the polygons on their circles, with fewer sides in a quick model where that is possible."""

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets

A = Axis("A")


HULLS = {
    "two bosses": ((0.0, 0.0, 20.0), (60.0, 0.0, 14.0)),
    "a boss and a point": ((0.0, 0.0, 20.0), (60.0, 10.0, 0.0)),
    "three bosses": ((0.0, 0.0, 18.0), (70.0, 0.0, 12.0), (20.0, 50.0, 9.0)),
    "two equal bosses on a slant": ((0.0, 0.0, 20.0), (52.0, 30.0, 20.0)),
    "away from the axis": ((100.0, 80.0, 18.0), (170.0, 80.0, 12.0)),
}


@pytest.mark.parametrize("name", HULLS)
@pytest.mark.parametrize("scale", [1.0, 0.25])
def test_a_web_is_the_hull_of_the_polygons_of_its_bosses(name, scale):
    """By shapely: the outline is within 0.02 mm of the hull of the bosses' polygons, and every corner is at least that
    far from the line between its neighbours."""
    features = [Feature("web", "A", Plate(hull=HULLS[name]), 0, 10)]
    axes = [A]
    for k, (x, y, r) in enumerate(HULLS[name]):
        axes.append(Axis(f"B{k}", (x, y, 0.0)))
        if r:
            features.append(Feature(f"boss {k}", f"B{k}", Cylinder(2 * r), 10, 20))
    made = facet(Part("p", tuple(axes), tuple(features)), scale, FacetChoice())
    web, *bosses = made.prisms
    points = [p.corners[:, :2] for p in bosses]
    points += [np.array([[x, y]]) * scale for x, y, r in HULLS[name] if not r]
    hull = shapely.MultiPoint(np.concatenate(points)).convex_hull
    end = next(f for f in web.faces if f.side == 1)
    corners = web.corners[list(end.loops[0])][:, :2]
    own = shapely.Polygon(corners)
    assert own.exterior.is_ccw
    assert own.hausdorff_distance(hull) < 0.02
    for k in range(len(corners)):
        line = shapely.LineString((corners[k - 1], corners[(k + 1) % len(corners)]))
        assert line.distance(shapely.Point(corners[k])) > 0.02 - 1e-9
    assert web.chord_error == pytest.approx(max(p.chord_error for p in bosses))


QUICK = coarsen_facets(FacetChoice())


CRANK = Path(__file__).parents[3] / "samples" / "single-throw-crank.toml"


def outline(prism):
    """Hull of a prism, seen along z."""
    return shapely.MultiPoint(prism.corners[:, :2]).convex_hull


def sides(prism):
    """How many sides a web has."""
    return sum(f.kind == "side" for f in prism.faces)


def with_boss(r, at=25.0, **more):
    """A web for circles of radius 20 and 16, 25 mm apart, and a boss of radius r on it."""
    axes = (Axis("A"), Axis("B", (0.0, at, 0.0)))
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (0.0, 25.0, 16.0))), 0, 12)
    return Part("p", axes, (web, Feature("boss", "B", Cylinder(2 * r), 12, 30, **more)))


def test_the_webs_of_a_crank_have_few_sides_at_half_size():
    (part, *_) = read_part(CRANK)
    made = facet(part, 0.5, QUICK).prisms_by_name
    assert [sides(made[name]) for name in ("web 1", "web 2")] == [6, 6], "the hull of two squares"
    assert sides(facet(part, 0.5, FacetChoice(chord_error=2.5)).prisms_by_name["main journal 1"]) == 4
    assert made["main journal 1"].sides == made["crank pin"].sides == 6, "journals keep theirs"
    for name in ("web 1", "web 2"):
        assert made[name].chord_error <= 2.5
        for journal in ("main journal 1", "crank pin", "main journal 2"):
            assert outline(made[name]).contains(outline(made[journal]))


def test_at_full_size_their_chord_error_would_be_too_large():
    (part, *_) = read_part(CRANK)
    web = facet(part, 1.0, QUICK).prisms_by_name["web 1"]
    assert sides(web) == 8 and web.chord_error <= 2.5


@pytest.mark.parametrize(("r", "slim"), [(10.0, True), (15.0, False), (16.0, False), (20.0, False)])
def test_a_web_keeps_its_sides_with_a_boss_near_the_outline(r, slim):
    web = facet(with_boss(r), 0.5, QUICK).prisms_by_name["web"]
    assert (sides(web) < 8) == slim


@pytest.mark.parametrize(("at", "slim"), [(43.0, False), (70.0, True)])
def test_a_web_keeps_its_sides_with_a_boss_across_the_outline_but_not_one_beside(at, slim):
    assert (sides(facet(with_boss(10.0, at), 0.5, QUICK).prisms_by_name["web"]) < 8) == slim


def test_sides_that_the_user_gave_stay():
    part = with_boss(10.0)
    given_all = facet(part, 0.5, coarsen_facets(FacetChoice(sides=12))).prisms_by_name["web"]
    assert sides(given_all) > 8
    web, boss = part.features
    own = part.with_features((Feature("web", "A", web.shape, 0, 12, sides=6), boss))
    assert sides(facet(own, 0.5, QUICK).prisms_by_name["web"]) == 8


@examples(100, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.floats(2, 24), st.floats(-30, 60), st.floats(-20, 20), st.sampled_from([0.5, 1.0]), st.booleans(), st.booleans()
)
def test_a_boss_or_hole_within_a_web_stays_within_it(r, y, x, scale, cut, through):
    """By shapely: what is inside the web with ends of six sides is inside the quick one, with half of the gap; what is
    outside stays outside."""
    axes = (Axis("A"), Axis("B", (x, y, 0.0)))
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (0.0, 25.0, 16.0))), 0, 12)
    boss = Feature("boss", "B", Cylinder(2 * r), -1 if through else 12, 30, cut=cut)
    part = Part("p", axes, (web, boss))
    quick = facet(part, scale, QUICK).prisms_by_name
    bar, own = outline(quick["web"]), outline(quick["boss"])
    six = part.with_features((Feature("web", "A", web.shape, 0, 12, sides=6), boss))
    thick = outline(facet(six, scale, QUICK).prisms_by_name["web"])
    if thick.contains(own):
        assert bar.contains(own)
        assert bar.exterior.distance(own) >= 0.5 * thick.exterior.distance(own) - 1e-9
    else:
        assert bar.disjoint(own) == thick.disjoint(own)


@examples(100, suppress_health_check=[HealthCheck.too_slow])
@given(st.floats(0.0, 1.0), st.floats(-1.0, 1.0), st.booleans())
def test_a_boss_near_the_outline_keeps_half_of_its_gap(share, aside, through):
    """A boss on the small end, its gap to the outline any share of the widest, a little off its centre."""
    r = 7.0 + 7.0 * share
    boss = Feature("boss", "B", Cylinder(2 * r), -1 if through else 12, 30)
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (0.0, 25.0, 16.0))), 0, 12)
    part = Part("p", (Axis("A"), Axis("B", (aside, 25.0, 0.0))), (web, boss))
    quick = facet(part, 0.5, QUICK).prisms_by_name
    six = part.with_features((Feature("web", "A", web.shape, 0, 12, sides=6), boss))
    thick, slim, own = (
        outline(facet(six, 0.5, QUICK).prisms_by_name["web"]),
        outline(quick["web"]),
        outline(quick["boss"]),
    )
    assert slim.contains(own) == thick.contains(own)
    if thick.contains(own):
        assert slim.exterior.distance(own) >= 0.5 * thick.exterior.distance(own) - 1e-9


def test_half_of_the_gap_is_enough_and_less_is_not():
    """Of bosses that grow by tenths of a millimetre the last that leaves the web slim keeps half the room."""
    shares = {}
    for tenth in range(70, 150):
        part = with_boss(tenth / 10)
        made = facet(part, 0.5, QUICK).prisms_by_name
        own = outline(made["boss"])
        six = part.with_features((Feature("web", "A", part.features[0].shape, 0, 12, sides=6), part.features[1]))
        thick = outline(facet(six, 0.5, QUICK).prisms_by_name["web"])
        thin = outline(made["web"])
        if sides(made["web"]) < 8:
            shares[tenth] = thin.exterior.distance(own) / thick.exterior.distance(own)
    assert shares and 0.5 <= min(shares.values()) < 0.6


def test_a_web_keeps_its_sides_with_a_cross_bore_through_the_outline():
    """One that ends inside does not matter."""
    axes = (Axis("A"), Axis("X", point=(0.0, 0.0, 6.0), direction=(1.0, 0.0, 0.0)))
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (0.0, 25.0, 16.0))), 0, 12)
    for half, few in ((30, False), (6, True)):
        bore = Feature("bore", "X", Cylinder(4), -half, half, cut=True)
        assert (sides(facet(Part("p", axes, (web, bore)), 0.5, QUICK).prisms_by_name["web"]) < 8) == few


def test_a_web_on_a_cross_axis_keeps_its_sides_with_a_feature_near():
    """Its outline is not seen along z."""
    axes = (Axis("A"), Axis("X", point=(0.0, 0.0, 0.0), direction=(1.0, 0.0, 0.0)))
    web = Feature("web", "X", Plate(hull=((0.0, 0.0, 20.0), (0.0, 25.0, 16.0))), -6, 6)
    far, near = (Feature("peg", "A", Cylinder(4), h, h + 4) for h in (100, 20))
    assert sides(facet(Part("p", axes, (web, far)), 0.5, QUICK).prisms_by_name["web"]) < 8
    assert sides(facet(Part("p", axes, (web, near)), 0.5, QUICK).prisms_by_name["web"]) == 8


def test_a_web_keeps_its_sides_with_a_pin_in_a_corner_that_only_one_outline_has():
    base = with_boss(4.0)
    web, boss = base.features
    six = base.with_features((Feature("web", "A", web.shape, 0, 12, sides=6), boss))
    thick, thin = (outline(facet(p, 0.5, QUICK).prisms_by_name["web"]) for p in (six, base))
    assert sides(facet(base, 0.5, QUICK).prisms_by_name["web"]) < 8
    for only, other in ((thick, thin), (thin, thick)):
        parts = [g for g in shapely.get_parts(only.difference(other)) if g.area > 0.2]
        assert parts
        for corner in parts:
            x, y = np.array(corner.representative_point().coords[0]) / 0.5
            pin = Feature("pin", "P", Cylinder(0.1), 12, 20)
            part = Part("p", (*base.axes, Axis("P", (float(x), float(y), 0.0))), (web, boss, pin))
            assert sides(facet(part, 0.5, QUICK).prisms_by_name["web"]) == 8


def test_a_web_keeps_its_sides_where_fewer_save_no_face():
    """At a quarter of the size they have no more already."""
    (part, *_) = read_part(CRANK)
    plain = facet(part, 0.25, FacetChoice(chord_error=2.5)).prisms_by_name["web 1"]
    quick = facet(part, 0.25, QUICK).prisms_by_name["web 1"]
    assert sides(quick) == sides(plain) == 6 and quick.chord_error <= plain.chord_error
    small = FacetChoice(chord_error=2.5, min_sides=6)
    for r in (6.0, 8.0, 10.0, 14.0, 20.0, 30.0):
        web = Feature("web", "A", Plate(hull=((0.0, 0.0, r), (0.0, 1.3 * r, 0.8 * r))), 0, 12)
        made = facet(Part("p", (Axis("A"),), (web,)), 1.0, small).prisms_by_name["web"]
        thick = facet(Part("p", (Axis("A"),), (web,)), 1.0, FacetChoice(chord_error=2.5, sides=6)).prisms_by_name["web"]
        assert sides(made) < sides(thick) or made.chord_error <= thick.chord_error + 1e-9


def test_rolled_webs_keep_their_sides():
    (part, *_) = read_part(CRANK)
    rolled = coarsen_facets(FacetChoice(walls="rolled"))
    plain = FacetChoice(walls="rolled", chord_error=2.5)
    assert sides(facet(part, 0.5, rolled).prisms_by_name["web 1"]) == sides(
        facet(part, 0.5, plain).prisms_by_name["web 1"]
    )
