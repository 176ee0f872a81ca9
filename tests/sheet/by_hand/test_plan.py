"""What is built by hand: rounding, what is left out and why, contacts and squares, refusals."""

from math import isclose, tan

import pytest

import parts
from foldsketch.assembly.work_time import Pace
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Plate, PrismShape, Ring
from foldsketch.sheet import messages
from foldsketch.sheet.by_hand.bodies import outline
from foldsketch.sheet.by_hand.plan import plan_by_hand
from foldsketch.sheet.by_hand.strip_figure import fold_numbers
from foldsketch.sheet.layout.paper import parse_paper

A4 = parse_paper("A4")


def plan_of(features, *axes, scale=1.0, drawn=(), pace=None):
    return plan_by_hand(parts.part(features, *axes), drawn, scale, A4, pace or Pace())


def body(plan, name):
    return next(h for h in plan.bodies if h.name == name)


def codes(plan):
    return {f.code for f in plan.findings}


def disc(name="disc", d=60.0, low=0.0, high=20.0, axis="A"):
    return Feature(name, axis, Cylinder(d), low, high)


def test_a_strip_as_a_ruler_makes_it():
    """Diameter 30: 100 mm and the lap of 8, 20 high and 6 on both edges [the sum on the drawn standard page]."""
    strip = body(plan_of([disc(d=30)]), "disc").strip
    assert (strip.length, strip.lap, strip.width, strip.flap) == (100, 8, 32, 6)
    assert strip.sides == (12.5,) * 8


@pytest.mark.parametrize(("d", "count"), [(80.0, 1), (83.0, 1), (84.0, 2), (165.0, 2), (180.0, 4)])
def test_a_strip_longer_than_the_paper_is_two_or_four(d, count):
    strip = body(plan_of([disc(d=d)]), "disc").strip
    assert strip.count == count and len(strip.sides) == 8 // count
    assert strip.length + strip.lap <= 297 - 10


def test_a_small_diameter_has_four_sides_and_narrow_flaps():
    h = body(plan_of([disc(d=12)]), "disc")
    assert h.sides == 4 and h.strip.length == 48 and h.strip.flap == 4


def test_outlines_have_their_flats_on_the_round():
    """Side of an octagon: d tan 22.5 degrees; area 2 (sqrt 2 - 1) d squared [handbook formula]."""
    from foldsketch.sheet.by_hand.bodies import find_bodies

    (b,), _ = find_bodies(parts.part([disc(d=60)]), (), 1.0)
    assert isclose(outline(b).area, 2 * (2**0.5 - 1) * 3600, rel_tol=1e-12)
    assert isclose(outline(b).length, 8 * 60 * tan(0.39269908169872414), rel_tol=1e-12)


def test_the_end_that_stands_on_a_face_has_no_square():
    plan = plan_of([disc("flange", 90, 0, 12), disc("spigot", 30, 12, 40, "B")], parts.at("B", 20, 5))
    assert body(plan, "flange").squares == ("top", "under")
    assert body(plan, "spigot").squares == ("top",)
    (ring,) = body(plan, "flange").rings
    assert (ring.spot.axis, ring.spot.left, ring.spot.up, ring.diameter, ring.ends) == ("B", 65, 50, 30, ("top",))


def test_bodies_of_one_size_on_one_axis_share_one_square():
    plan = plan_of([disc("low", 60, 0, 20), disc("high", 60, 20, 50)])
    assert sorted(body(plan, "low").squares + body(plan, "high").squares) == ["top", "top", "under"]


def test_an_end_that_hangs_over_is_pinned():
    plan = plan_of([disc("low", 60, 0, 20), disc("high", 50, 20, 50, "B")], parts.at("B", 20, 0))
    assert body(plan, "high").squares == ("top", "under")
    assert body(plan, "low").rings == () and {m.axis for m in body(plan, "low").marks} == {"B"}


def test_a_shaft_through_a_disc_is_two_bodies():
    plan = plan_of([disc("shaft", 20, -30, 60), disc("disc", 70, 0, 12)])
    assert {(h.name, h.strip.height) for h in plan.bodies} == {("disc", 12), ("shaft (1)", 30), ("shaft (2)", 48)}


def test_offset_error_of_an_axis_on_a_diagonal():
    """4 mm at 45 degrees is 2.83 each way, 3 by hand: 0.24 off [D]."""
    plan = plan_of([disc(), disc("pin", 20, 20, 40, "B")], parts.polar("B", 4, 45))
    (offset,) = plan.offsets
    assert (round(offset.by_hand, 2), round(offset.asked, 2), round(offset.error, 2)) == (4.24, 4.0, 0.24)


def test_sizes_are_those_on_paper():
    plan = plan_of([disc("flange", 90, 0, 12), disc("pin", 40, 12, 40, "B")], parts.at("B", 20, 0), scale=0.5)
    assert body(plan, "flange").width == 45 and plan.offsets[0].asked == 10


X = Axis("X", (0.0, 0.0, 10.0), (1.0, 0.0, 0.0))


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (Feature("cross hole", "X", Cylinder(8), -40, 40, cut=True), messages.BY_HAND_CROSSED),
        (Feature("arm", "X", Cylinder(8), 30, 60), messages.BY_HAND_CROSSED),
        (
            Feature("key", "A", Plate(outline=((-3, 20), (3, 20), (3, 40), (-3, 40))), -1, 21, True),
            messages.BY_HAND_NO_CIRCLE,
        ),
        (Feature("taper", "A", Cone(40, 20), 20, 60), messages.BY_HAND_TAPER),
        (Feature("head", "A", PrismShape(6, 40), 20, 60), messages.BY_HAND_FLATS),
        (Feature("arm", "A", Plate(hull=((0, 0, 20), (25, 0, 15))), 20, 30), messages.BY_HAND_PLATE),
        (Feature("core", "A", Cylinder(20), 5, 15), messages.BY_HAND_INSIDE),
        (Feature("lug", "B", Cylinder(20), 5, 15), messages.BY_HAND_RUNS_INTO),
        (Feature("pip", "A", Cylinder(5), 20, 30), messages.BY_HAND_TOO_SMALL),
        (Feature("chamfer", "A", Cone(60, 58), 20, 21), messages.BY_HAND_DETAIL),
    ],
    ids=lambda v: getattr(v, "code", getattr(v, "name", "")),
)
def test_what_is_left_out_or_changed_is_listed(more, message):
    plan = plan_of([disc(), more], X, parts.at("B", 28, 0))
    assert codes(plan) == {message.code}


def test_nothing_is_listed_where_nothing_is_changed():
    assert codes(plan_of([disc(), Feature("head", "A", PrismShape(4, 40), 20, 60)])) == set()


def test_the_axis_of_a_body_that_is_left_out_is_marked_all_the_same():
    plan = plan_of([disc(), disc("lug", 20, 5, 15, "B")], parts.at("B", 27, 0))
    assert [m.axis for m in body(plan, "disc").marks] == ["B"]


def test_plates_between_two_planes_become_one_rectangle():
    arms = [
        Feature("left", "A", Plate(hull=((0, 0, 20), (-50, 0, 10))), 0, 10),
        Feature("right", "A", Plate(hull=((0, 0, 20), (40, 10, 10))), 0, 10),
    ]
    (h,) = plan_of([*arms], parts.at("B", 40, 10)).bodies
    assert (h.name, h.width, h.depth, h.spot.left, h.spot.up) == ("left + right", 110, 40, 60, 20)
    assert h.strip.sides == (110, 40) * (2 // h.strip.count)


def test_a_bore_is_drawn_where_it_opens():
    plan = plan_of(
        [
            disc("flange", 90, 0, 12),
            disc("spigot", 40, 12, 40, "B"),
            Feature("bore", "B", Cylinder(22), -1, 41, cut=True),
        ],
        parts.at("B", 20, 0),
    )
    holes = {(h.name, r.diameter, r.ends) for h in plan.bodies for r in h.rings if r.hole}
    assert holes == {("flange", 22, ("under",)), ("spigot", 22, ("top",))}


def test_the_bore_of_a_sleeve_is_drawn_at_both_ends():
    (h,) = plan_of([Feature("sleeve", "A", Ring(60, 20), 0, 40)]).bodies
    assert [(r.diameter, r.ends, r.hole) for r in h.rings] == [(20, ("top", "under"), True)]


def test_a_hole_that_was_drawn_on_the_model_is_drawn_by_hand():
    hole = Feature("hole", "A", Cylinder(6), -1, 21, cut=True)
    (h,) = plan_of([disc()], drawn=[hole]).bodies
    assert [r.diameter for r in h.rings] == [6]


def test_material_of_later_features_covers_a_bore():
    bore = Feature("bore", "A", Cylinder(10), -1, 60, cut=True)
    plan = plan_of([disc(), bore, disc("cap", 40, 20, 40)])
    assert not any(r.hole for r in body(plan, "cap").rings)


@pytest.mark.parametrize(
    ("features", "message"),
    [
        ([Feature("bar", "X", Cylinder(30), 0, 60)], messages.BY_HAND_NOTHING),
        ([disc(), disc("far", 20, 40, 60)], messages.BY_HAND_APART),
        ([disc(d=215)], messages.BY_HAND_TOO_LARGE),
        ([disc(high=290)], messages.BY_HAND_TOO_LARGE),
    ],
)
def test_refused_by_one_line(features, message):
    with pytest.raises(FoldsketchError) as caught:
        plan_of(features, X)
    (finding,) = caught.value.findings
    assert finding.code == message.code and finding.cure and "\n" not in finding.text


def test_slower_hands_take_longer():
    """A disc of eight sides: three folds by halving, the lap, and one along either edge."""
    assert plan_of([disc()], pace=Pace(fold=50)).minutes == pytest.approx(plan_of([disc()]).minutes + 6 * 45 / 60)


@pytest.mark.parametrize("sides", [2, 4, 8])
def test_folds_in_the_order_of_halving(sides):
    """Fold a paper strip: the first fold is in its middle, each later one in the middle of what is left."""
    order = {}

    def halve(low, high, step):
        if high - low > 1:
            middle = (low + high) // 2
            order[middle] = step
            halve(low, middle, step + 1)
            halve(middle, high, step + 1)

    halve(0, sides, 1)
    assert fold_numbers(sides) == [order[k] for k in sorted(order)]
