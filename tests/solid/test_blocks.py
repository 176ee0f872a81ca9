"""Blocks and joints: touching features stay apart, interpenetrating ones and cuts are fused."""

import dataclasses
import math

import pytest

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.polygon import RegularPolygon
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join


def solids(part, rule="faces", **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return faceted, join(faceted, rule)


def prism_volume(faceted, name):
    p = faceted.prisms_by_name[name]
    n, R = p.sides, p.feature.radius * p.factor
    return n / 2 * R * R * math.sin(2 * math.pi / n) * p.feature.length


def test_touching_features_stay_separate_and_are_joined_on_their_face():
    faceted, made = solids(parts.TWO_SPIGOTS)
    assert len(made.blocks) == 3
    assert [j.blocks for j in made.joints] == [(0, 1), (0, 2)]
    joint = made.joints[0]
    assert len(joint.outline) == faceted.prisms[1].sides
    assert joint.normal.tolist() == [0, 0, 1]
    assert {round(z, 9) for z in joint.outline[:, 2]} == {12.0}


def test_fuse_makes_one_block_of_all_that_touches():
    faceted, made = solids(parts.TWO_SPIGOTS, "fuse")
    assert len(made.blocks) == 1
    assert not made.joints
    total = sum(prism_volume(faceted, f.name) for f in parts.TWO_SPIGOTS.features)
    assert made.blocks[0].skin.volume == pytest.approx(total, rel=1e-12)
    assert made.blocks[0].skin.euler == 2


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_edge_lies_in_two_faces_once_each_way(part, rule):
    _, made = solids(part, rule)
    for b in made.blocks:
        edges = [
            (a, c) for f in b.skin.faces for loop in f.loops for a, c in zip(loop, [*loop[1:], loop[0]], strict=True)
        ]
        assert len(edges) == len(set(edges))
        assert {(c, a) for a, c in edges} == set(edges)


def test_through_bore_gives_a_tube_in_every_block_it_passes():
    _, made = solids(parts.BORED)
    assert [b.skin.euler for b in made.blocks] == [0, 0, 2]
    assert [len(j.holes) for j in made.joints] == [1, 0]


def test_equal_area_rule_keeps_the_volume_of_the_part():
    _, made = solids(parts.BORED)
    exact = math.pi / 4 * ((90**2 - 20**2) * 12 + (36**2 - 20**2) * 30 + 24**2 * 24)
    assert sum(b.skin.volume for b in made.blocks) == pytest.approx(exact, rel=1e-12)


def test_blind_cut_keeps_the_floor():
    _, made = solids(parts.BLIND)
    assert made.blocks[0].skin.euler == 2
    assert made.blocks[0].skin.volume == pytest.approx(math.pi / 4 * (90**2 * 12 - 30**2 * 8), rel=1e-12)


def test_later_material_covers_an_earlier_cut_only():
    base = parts.FLANGE
    bore = Feature("bore", "A", Cylinder(30), -1, 13, cut=True)
    plug = Feature("plug", "A", Cylinder(30), 0, 12)
    _, filled = solids(parts.part([base, bore, plug]))
    _, bored = solids(parts.part([base, plug, bore]))
    assert sum(b.skin.volume for b in filled.blocks) == pytest.approx(math.pi / 4 * 90**2 * 12, rel=1e-9)
    assert sum(b.skin.volume for b in bored.blocks) == pytest.approx(math.pi / 4 * (90**2 - 30**2) * 12, rel=1e-9)


def test_a_cut_that_leaves_nothing_is_refused():
    with pytest.raises(FoldsketchError, match="leave nothing"):
        solids(parts.part([parts.FLANGE, Feature("all", "A", Cylinder(100), -1, 13, cut=True)]))


def test_a_film_that_a_cut_and_its_refill_leave_on_a_tilted_axis_is_refused():
    """A groove of 28 from end to end, filled again with a round of 28: between the two a crack of no width is left,
    which closes but has outlines that go out and back."""
    axes = (Axis("A"), Axis("Y", (3.0, 0.0, 4.5), (0.6, 0.0, 0.8)))
    body = Feature("body", "Y", Cylinder(53), -60, 60)
    groove = Feature("groove", "Y", Ring(28, 7), -60, 60, cut=True)
    fill = Feature("fill", "Y", Cylinder(28), -60, 60)
    with pytest.raises(FoldsketchError, match="coincide but for rounding"):
        join(facet(Part("p", axes, (body, groove, fill)), 1.0, FacetChoice(chord_error=2.5, fewest=6)))
    upright = tuple(dataclasses.replace(f, axis="A") for f in (body, groove, fill))
    (block,) = join(facet(Part("p", axes, upright), 1.0, FacetChoice(chord_error=2.5, fewest=6))).blocks
    assert len(block.skin.faces) == 10, "upright the same is one round of eight sides"


def test_a_cut_that_parts_a_block_is_told():
    slot = Feature("slot", "A", Cylinder(100), 4, 8, cut=True)
    _, made = solids(parts.part([parts.FLANGE, slot]))
    assert len(made.blocks) == 2
    assert any("falls into 2 bodies" in f.text for f in made.findings)


def test_bodies_that_a_cut_leaves_know_their_own_features():
    low, high = Feature("low", "A", Cylinder(60), 0, 20), Feature("high", "A", Cylinder(30), 10, 50)
    slot = Feature("slot", "A", Cylinder(80), 20, 30, cut=True)
    _, made = solids(parts.part([low, high, slot]))
    assert sorted((b.features, round(b.skin.volume, 3)) for b in made.blocks) == [
        ((0,), round(math.pi * 30**2 * 20, 3)),
        ((1,), round(math.pi * 15**2 * 20, 3)),
    ]
    _, whole = solids(parts.part([low, high]))
    assert [b.features for b in whole.blocks] == [(0, 1)]


def test_line_contact_is_no_joint_and_is_told():
    one = Feature("one", "A", Cylinder(40), 0, 20)
    two = Feature("two", "B", Cylinder(40), 0, 20)
    _, made = solids(parts.part([one, two], parts.at("B", 40, 0)))
    assert len(made.blocks) == 2
    assert not made.joints
    assert any("no flat face in common" in f.text for f in made.findings)


@pytest.mark.parametrize("angle", [0, 17, 90, 211.3])
def test_rounds_that_clear_each_other_on_the_part_clear_on_paper(angle):
    """A gap of 0.4 mm between two spigots would close under corners that stand proud of the circle."""
    two = parts.part(
        [
            parts.FLANGE,
            Feature("one", "B", Cylinder(30), 12, 30),
            Feature("two", "C", Cylinder(30), 12, 30),
        ],
        parts.polar("B", 15.2, angle),
        parts.polar("C", 15.2, angle + 180),
    )
    _, made = solids(two, chord_error=2.0)
    assert len(made.blocks) == 3


def test_coaxial_equal_rounds_share_sides_and_nested_ones_do_not_cross():
    tight = parts.part(
        [Feature("tube", "A", Cylinder(40), 0, 30), Feature("bore", "A", Cylinder(37), -1, 31, cut=True)]
    )
    faceted, made = solids(tight)
    outer, inner = faceted.prisms
    assert RegularPolygon.of(inner.sides, 18.5, "equal-area").circumradius < RegularPolygon.of(
        outer.sides, 20, "equal-area"
    ).inradius or (inner.sides == outer.sides)
    assert made.blocks[0].skin.euler == 0


def test_order_of_independent_features_does_not_matter():
    turned = dataclasses.replace(parts.TWO_SPIGOTS, features=parts.TWO_SPIGOTS.features[::-1])
    _, a = solids(parts.TWO_SPIGOTS)
    _, b = solids(turned)
    assert sorted(round(x.skin.volume, 6) for x in a.blocks) == sorted(round(x.skin.volume, 6) for x in b.blocks)


def test_model_is_symmetric_about_the_offset_direction():
    faceted, _ = solids(parts.ECCENTRIC)
    d = faceted.datum_direction
    assert d == pytest.approx([math.cos(math.pi / 6), 0.5, 0], abs=1e-12)
    for p in faceted.prisms:
        sides = [f.normal for f in p.faces if f.kind == "side"]
        assert max(float(n @ d) for n in sides) == pytest.approx(1.0, abs=1e-12), "a side faces the offset"


def test_datum_may_point_anywhere():
    axis = Axis("A", (3.0, 4.0, 5.0), (0.6, 0.0, 0.8))
    part = Part("tilted", (axis,), (Feature("f", "A", Cylinder(50), 0, 20),))
    _, made = solids(part)
    assert made.blocks[0].skin.volume == pytest.approx(math.pi / 4 * 50**2 * 20, rel=1e-12)


@pytest.mark.parametrize("sides", [2, 0, -1, 1_000_000])
def test_sides_out_of_reason_are_refused(sides):
    with pytest.raises(FoldsketchError, match="cannot be folded"):
        FacetChoice(sides=sides)
