"""Prisms for features: where their flats look, webs, planes that are shared, what is told; walls rolled or not."""

import math

import numpy as np
import pytest
import shapely

from foldsketch.base.card import Card
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.card.allowance import apply_card_allowance
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.card.self_intersection import skin_self_intersects
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join

A = Axis("A")


def polar(name, offset, angle, z=0.0):
    return Axis(name, (offset * math.cos(math.radians(angle)), offset * math.sin(math.radians(angle)), z))


def round_on(*axes, more=()):
    """A part with a spigot on every axis."""
    own = tuple(Feature(f"on {a.name}", a.name, Cylinder(10), 0, 20) for a in axes)
    return Part("p", (A, *axes, *more), (Feature("body", "A", Cylinder(100), -10, 0), *own))


def direction(part):
    d = facet(part, 1.0, FacetChoice()).datum_direction
    return math.degrees(math.atan2(d[1], d[0]))


@pytest.mark.parametrize(
    ("offsets", "angle"),
    [
        ([], 0.0),
        ([(20, 35)], 35.0),
        ([(20, 35), (24, 215)], 35.0),  # opposite: symmetric about the first
        ([(20, 10), (20, 70)], 40.0),  # equal: the bisector
        ([(20, 10), (30, 40), (20, 70)], 40.0),
        ([(30, 90), (20, 150), (20, 30)], 90.0),
        ([(20, 10), (30, 70), (25, 200)], 10.0),  # no symmetry: the first
        ([(30, 70), (20, 10), (25, 200)], 70.0),
    ],
)
def test_the_model_is_turned_to_the_line_about_which_its_offsets_are_symmetric(offsets, angle):
    axes = [polar(name, *where) for name, where in zip("BCD", offsets, strict=False)]
    assert direction(round_on(*axes)) == pytest.approx(angle, abs=1e-9)


@pytest.mark.parametrize("angle", [0.3, -0.5])
def test_sides_and_datum_line_are_turned_together(angle):
    """Every corner of rounds along the datum goes round its own axis; the axes stay."""
    part = round_on(polar("B", 20, 35), polar("C", 30, 160))
    plain, turned = (facet(part, 1.0, FacetChoice(turned=a)) for a in (0.0, angle))
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c, -s], [s, c]])
    assert turned.datum_direction[:2] == pytest.approx(turn @ plain.datum_direction[:2])
    for p, q in zip(plain.prisms, turned.prisms, strict=True):
        middle = np.array(part.axis(p.feature.axis).point[:2])
        want = (p.corners[:, :2] - middle) @ turn.T + middle
        assert q.corners[:, :2] == pytest.approx(want) and q.corners[:, 2] == pytest.approx(p.corners[:, 2])


def test_axes_without_features_and_cross_axes_do_not_turn_the_model():
    spare, cross = polar("S", 30, 80), Axis("X", (0.0, 5.0, -5.0), (1.0, 0.0, 0.0))
    part = round_on(polar("B", 20, 35), more=(spare, cross))
    hole = Feature("hole", "X", Cylinder(4), -60, 60, True)
    assert direction(part.with_features((*part.features, hole))) == pytest.approx(35)


def test_an_offset_counts_from_the_datum_axis_wherever_that_is():
    axes = (Axis("A", (7.0, 3.0, 0.0)), Axis("B", (7.0, 23.0, 0.0)))
    part = Part("p", axes, (Feature("body", "A", Cylinder(80), 0, 10), Feature("spigot", "B", Cylinder(20), 10, 30)))
    assert direction(part) == pytest.approx(90)


def test_a_flat_of_a_cross_bore_looks_along_the_datum_axis():
    for k in (0.0, 25.0, 90.0):
        a = math.radians(k)
        cross = Axis("X", (0.0, 0.0, 20.0), (math.cos(a), math.sin(a), 0.0))
        body, hole = Feature("body", "A", Cylinder(60), 0, 40), Feature("hole", "X", Cylinder(16), -40, 40, True)
        hole = facet(Part("p", (A, cross), (body, hole)), 1.0, FacetChoice()).prisms[1]
        assert max(f.normal[2] for f in hole.faces if f.kind == "side") == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("turn", [0.0, 10.0, 30.0])
@pytest.mark.parametrize("scale", [1.0, 0.5])
def test_true_flats_keep_their_size_and_the_middle_of_one_lies_at_their_turn(turn, scale):
    part = Part("p", (A,), (Feature("hex", "A", PrismShape(6, 46.0, math.radians(turn)), 0, 14),))
    (prism,) = facet(part, scale, FacetChoice(sides=12)).prisms
    sides = [f for f in prism.faces if f.kind == "side"]
    assert len(sides) == 6
    for f in sides:
        assert float(f.normal @ prism.corners[f.loops[0][0]]) == pytest.approx(23 * scale)
    bearings = sorted(round(math.degrees(math.atan2(f.normal[1], f.normal[0])) % 60, 6) % 60 for f in sides)
    assert bearings == pytest.approx([turn % 60] * 6, abs=1e-5)


def test_features_on_axes_that_begin_elsewhere_share_their_planes_to_the_last_bit():
    """0.1 + 0.2 is not 0.3 in binary; 50 - 49.7 is not either."""
    axes = (A, Axis("B", (20.0, 0.0, 0.1)), Axis("C", (-20.0, 0.0, 50.0), (0.0, 0.0, -1.0)))
    own = (
        Feature("body", "A", Cylinder(100), -10, 0.3),
        Feature("up", "B", Cylinder(10), 0.2, 30),
        Feature("down", "C", Cylinder(10), 20, 49.7),
    )
    faceted = facet(Part("p", axes, own), 1.0, FacetChoice())
    body, up, down = faceted.prisms
    assert body.high[2] == up.low[2] == down.low[2]
    assert [j.blocks for j in join(faceted).joints] == [(0, 1), (0, 2)]
    assert up.high[2] == pytest.approx(30.1)
    assert down.high[2] == pytest.approx(30)


HULLS = {
    "two bosses": ((0.0, 0.0, 20.0), (60.0, 0.0, 14.0)),
    "a boss and a point": ((0.0, 0.0, 20.0), (60.0, 10.0, 0.0)),
    "three bosses": ((0.0, 0.0, 18.0), (70.0, 0.0, 12.0), (20.0, 50.0, 9.0)),
    "two equal bosses on a slant": ((0.0, 0.0, 20.0), (52.0, 30.0, 20.0)),
    "away from the axis": ((100.0, 80.0, 18.0), (170.0, 80.0, 12.0)),
}


@pytest.mark.parametrize("name", HULLS)
@pytest.mark.parametrize("scale", [1.0, 0.25])
def test_a_web_is_the_hull_of_its_bosses_polygons(name, scale):
    """By shapely: the outline strays no more than 0.02 mm from the hull of the polygons that bosses of the same sides
    have, and each of its corners stands proud by at least as much."""
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


@pytest.mark.parametrize("scale", [1.0, 0.5, 2.0])
def test_a_plate_of_straight_edges_has_its_own_corners(scale):
    outline = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (20.0, 20.0), (20.0, 40.0), (0.0, 40.0))
    part = Part("p", (Axis("A", (5.0, 7.0, 0.0)),), (Feature("plate", "A", Plate(outline=outline), 2, 12),))
    (prism,) = facet(part, scale, FacetChoice(sides=8)).prisms
    (top,) = [f for f in prism.faces if f.side == 1]
    own = prism.corners[list(top.loops[0])]
    wanted = (np.array(outline) + np.array([5.0, 7.0])) * scale
    assert own[:, :2] == pytest.approx(wanted)
    assert own[:, 2] == pytest.approx(np.full(6, 12 * scale))


def test_sides_that_stray_more_than_asked_for_are_told_unless_they_were_given():
    """Radius 40, panels of 9 mm or so: 2 * 40 sin(pi/n) >= 8.1 lets it have 30 sides, whose sagitta is 0.22."""
    disc = Feature("disc", "A", Cylinder(80), 0, 10)
    part = Part("p", (A,), (disc,))
    choice = {"chord_error": 0.1, "smallest": 9.0, "radius": "inside"}
    (told,) = facet(part, 1.0, FacetChoice(**choice)).findings
    assert told.where == "feature 'disc'"
    assert "its 30 sides stray 0.22 mm" in told.what and "0.1 mm asked for" in told.what
    assert not facet(part, 1.0, FacetChoice(**choice, sides=12)).findings
    given = part.with_features((Feature("disc", "A", Cylinder(80), 0, 10, sides=12),))
    assert not facet(given, 1.0, FacetChoice(**choice)).findings
    assert not facet(part, 1.0, FacetChoice()).findings


def test_an_apex_is_one_point_and_its_sides_are_triangles():
    for shape, z in ((Cone(40, 0), 30.0), (Cone(0, 40), 0.0)):
        (prism,) = facet(Part("p", (A,), (Feature("cone", "A", shape, 0, 30),)), 1.0, FacetChoice()).prisms
        apex = np.hypot(prism.corners[:, 0], prism.corners[:, 1]) < 1e-12
        assert prism.corners[apex].tolist() == [[0.0, 0.0, z]]
        assert {len(f.loops[0]) for f in prism.faces if f.kind == "side"} == {3}
        assert len(prism.corners) == prism.sides + 1


# What is rolled.

ROLLED = FacetChoice(walls="rolled")


def rolled(part, scale=1.0):
    made = facet(part, scale, ROLLED)
    return {p.feature.name for p in made.prisms if p.rolled}, {f.where: f.what for f in made.findings}


@pytest.mark.parametrize("place", [(0.0, 0.0, 0.0), (40.0, 60.0, 15.0), (-40.0, -60.0, -15.0)])
def test_a_cross_bore_is_seen_wherever_the_boss_stands(place):
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


def test_what_never_was_to_be_rolled_is_not_told():
    """True flats, and rounds with sides of their own, whatever crosses them or however tight they are."""
    axes = (A, Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0)))
    head = Feature("head", "A", PrismShape(6, 46.0), 0, 40)
    hole = Feature("hole", "X", Cylinder(12), -40, 40, True)
    pin = Feature("pin", "A", Cylinder(6), 40, 60, sides=6)
    told = rolled(Part("p", axes, (head, hole, pin)))[1]
    assert set(told) == {"feature 'hole'"}
    assert "'head' on a cross axis" in told["feature 'hole'"]


def test_a_round_that_is_folded_for_its_neighbours_sake_is_not_called_too_tight():
    """5 mm can be rolled; this one is folded because what lies on it has sides of its own."""
    low, high = Feature("low", "A", Cylinder(10), 0, 20), Feature("high", "A", Cylinder(10), 20, 40, sides=6)
    names, told = rolled(Part("p", (A,), (low, high)))
    assert not names
    assert not told


@pytest.mark.parametrize(
    ("shape", "tight"),
    [(Cylinder(9.8), "4.9"), (Ring(40, 8), "4"), (Cone(40, 9), "4.5"), (Plate(hull=((0, 0, 20), (50, 0, 3))), "3")],
    ids=str,
)
def test_the_tightest_round_is_told_in_mm_on_paper(shape, tight):
    part = Part("p", (A,), (Feature("f", "A", shape, 0, 20),))
    names, told = rolled(part)
    assert not names
    assert f"a radius of {tight} mm on paper is too tight" in told["feature 'f'"]
    names, told = rolled(part, 2.0)
    assert (names, told) == (({"f"}, {}) if float(tight) >= 2.5 else (set(), told))


# Card.


def told_of_card(*features, thickness=0.25, scale=1.0, axes=(A,)):
    made = facet(Part("p", axes, features), scale, FacetChoice())
    found = [f.text for f in apply_card_allowance(made, join(made), Card(thickness), scale).findings]
    return [t for t in found if "wall to" in t or "bind" in t]


def test_a_shaft_in_a_rings_bore_of_its_own_size_would_bind():
    ring = Feature("ring", "A", Ring(60, 30), 0, 20)
    assert any("'shaft'" in t and "'ring'" in t for t in told_of_card(ring, Feature("shaft", "A", Cylinder(30), 0, 40)))
    assert not told_of_card(ring, Feature("shaft", "A", Cylinder(20), 0, 40)), "5 mm of air"
    assert not told_of_card(ring, Feature("shaft", "A", Cylinder(30), 20, 40)), "it stands on the ring and not in it"


def test_a_wall_thinner_than_four_cards_on_paper_is_told():
    """Two skins and the tabs behind both are four thicknesses, 1 mm of 0.25 mm card."""

    def ring(bore):
        return Feature("ring", "A", Ring(60, bore), 0, 20)

    assert any("wall to 'ring' is 0.9 mm" in t for t in told_of_card(ring(58.2)))
    assert not told_of_card(ring(57.8))
    assert any("wall to 'ring' is 0.55 mm" in t for t in told_of_card(ring(57.8), scale=0.5))
    assert not told_of_card(ring(58.2), thickness=0.2)


def test_the_wall_of_an_offset_bore_is_thinnest_toward_the_offset():
    """60/2 - 8 - 43/2 = 0.5 mm, wherever the two axes stand."""
    for x, y in ((0.0, 0.0), (30.0, -20.0)):
        axes = (Axis("A", (x, y, 0.0)), Axis("B", (x + 4.8, y + 6.4, 0.0)))
        body = Feature("body", "A", Cylinder(60), 0, 20)
        bore = Feature("bore", "B", Cylinder(43), -1, 21, True)
        assert any("wall to 'bore' is 0.5 mm" in t for t in told_of_card(body, bore, axes=axes))
        assert not told_of_card(body, Feature("bore", "B", Cylinder(40), -1, 21, True), axes=axes)


def test_a_boss_in_the_bore_of_a_later_ring_has_no_wall_there():
    """The ring adds material about it and takes none away."""
    boss, ring = Feature("boss", "A", Cylinder(60), 0, 20), Feature("ring", "A", Ring(80, 59.4), 0, 20)
    assert not told_of_card(boss, ring)


def test_rounds_that_only_touch_or_never_share_a_height_have_no_wall_between_them():
    ring = Feature("ring", "A", Ring(60, 30), 0, 20)
    for other in (
        Feature("collar", "A", Cylinder(31), 20, 40),
        Feature("low", "A", Cylinder(31), -20, 0),
        Feature("cross", "X", Cylinder(31), 40, 60),
    ):
        axes = (A, Axis("X", (0.0, 0.0, 10.0), (1.0, 0.0, 0.0)))
        assert not told_of_card(ring, other, axes=axes)


def test_a_skin_drawn_in_past_its_own_bore_is_pierced():
    """A ring of 60 and 40 with a wall of 10 mm: its faces move in by 4 mm; by 6 they would change places."""
    skin = join(facet(Part("p", (A,), (Feature("ring", "A", Ring(60, 40), 0, 30),)), 1.0, FacetChoice())).blocks[0].skin
    assert not skin_self_intersects(skin)
    inner = inset_skin(skin, 4.0)
    assert inner is not None and not skin_self_intersects(inner)
    assert inset_skin(skin, 6.0) is None
    assert inset_skin(skin, 16.0) is None, "nor where both ends change places too"


def test_an_axis_that_nothing_stands_on_turns_nothing():
    alone = direction(round_on(polar("B", 20, 50)))
    assert alone == pytest.approx(50)
    # With a feature on it the line between the two would be the mirror.
    both = (polar("B", 20, 50), polar("C", 20, 110))
    assert direction(round_on(*both)) == pytest.approx(80)
    assert direction(round_on(both[0], more=both[1:])) == pytest.approx(alone)
    crossed = Axis("X", (7.0, 3.0, -5.0), (1.0, 0.0, 0.0))
    part = round_on(polar("B", 20, 50), more=(crossed,))
    bore = Feature("bore", "X", Cylinder(4), -60, 60, True)
    assert direction(part.with_features((*part.features, bore))) == pytest.approx(alone)


def test_a_cross_bore_between_two_rounds_does_not_keep_them_from_being_fitted():
    """A spigot of 30 on a boss of 31, 0.49 mm off centre: on the part it lies inside, so must its polygon."""
    axes = (A, Axis("B", (0.49, 0.0, 0.0)), Axis("X", (0.0, 0.0, 10.0), (1.0, 0.0, 0.0)))
    boss, spigot = Feature("boss", "A", Cylinder(31), 0, 20), Feature("bore", "B", Cylinder(30), 5, 25, True)
    drilled = Feature("cross bore", "X", Cylinder(3), -40, 40, True)
    plain = facet(Part("p", axes, (boss, spigot)), 1.0, FacetChoice())
    between = facet(Part("p", axes, (boss, drilled, spigot)), 1.0, FacetChoice())
    for name in ("boss", "bore"):
        one, other = plain.prisms_by_name[name], between.prisms_by_name[name]
        assert (one.sides, one.factor) == (other.sides, other.factor)
    coarse = facet(Part("p", axes, (boss,)), 1.0, FacetChoice()).prisms[0]
    assert (coarse.sides, coarse.factor) != (plain.prisms[0].sides, plain.prisms[0].factor), "they do need fitting"


def test_sides_are_numbered_one_after_another_behind_the_ends():
    (prism,) = facet(Part("p", (A,), (Feature("ring", "A", Ring(40, 20), 0, 10),)), 1.0, FacetChoice()).prisms
    assert sorted(f.side for f in prism.faces) == list(range(len(prism.faces)))
