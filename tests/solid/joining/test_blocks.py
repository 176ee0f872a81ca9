"""Blocks: touching features stay apart, overlapping ones and cuts are fused."""

import dataclasses
import math

import pytest

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Cylinder, Feature, Plate
from solids import solids_of


def prism_volume(faceted, name):
    """Volume of the prism of a round feature: n triangles of 1/2 R2 sin(2 pi/n), times its length."""
    p = faceted.prisms_by_name[name]
    n, R = p.sides, p.feature.radius * p.circumradius_ratio
    return n / 2 * R * R * math.sin(2 * math.pi / n) * p.feature.length


def test_fuse_makes_one_block_of_all_that_touches():
    faceted, made = solids_of(parts.TWO_SPIGOTS, "fuse")
    assert len(made.blocks) == 1
    assert not made.joints
    total = sum(prism_volume(faceted, f.name) for f in parts.TWO_SPIGOTS.features)
    assert made.blocks[0].skin.volume == pytest.approx(total, rel=1e-12)
    assert made.blocks[0].skin.euler == 2


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_edge_belongs_to_two_faces_once_each_way(part, rule):
    _, made = solids_of(part, rule)
    for b in made.blocks:
        edges = [
            (a, c) for f in b.skin.faces for loop in f.loops for a, c in zip(loop, [*loop[1:], loop[0]], strict=True)
        ]
        assert len(edges) == len(set(edges))
        assert {(c, a) for a, c in edges} == set(edges)


def test_equal_area_rule_keeps_the_volume_of_the_part():
    _, made = solids_of(parts.BORED)
    exact = math.pi / 4 * ((90**2 - 20**2) * 12 + (36**2 - 20**2) * 30 + 24**2 * 24)
    assert sum(b.skin.volume for b in made.blocks) == pytest.approx(exact, rel=1e-12)


def test_blind_cut_keeps_the_floor():
    _, made = solids_of(parts.BLIND)
    assert made.blocks[0].skin.euler == 2
    assert made.blocks[0].skin.volume == pytest.approx(math.pi / 4 * (90**2 * 12 - 30**2 * 8), rel=1e-12)


def test_later_material_covers_an_earlier_cut_only():
    base = parts.FLANGE
    bore = Feature("bore", "A", Cylinder(30), -1, 13, cut=True)
    plug = Feature("plug", "A", Cylinder(30), 0, 12)
    _, filled = solids_of(parts.part([base, bore, plug]))
    _, bored = solids_of(parts.part([base, plug, bore]))
    assert sum(b.skin.volume for b in filled.blocks) == pytest.approx(math.pi / 4 * 90**2 * 12, rel=1e-9)
    assert sum(b.skin.volume for b in bored.blocks) == pytest.approx(math.pi / 4 * (90**2 - 30**2) * 12, rel=1e-9)


def test_a_cut_that_leaves_nothing_is_refused():
    with pytest.raises(FoldsketchError) as why:
        solids_of(parts.part([parts.FLANGE, Feature("all", "A", Cylinder(100), -1, 13, cut=True)]))
    assert [(f.code, f.where) for f in why.value.findings] == [("feature-cut-away", "feature 'flange'")]


@pytest.mark.parametrize(
    "outline", [((0, 0), (0, 10), (10, 0)), ((0, 0), (10, 10), (10, 0), (0, 10))], ids=["clockwise", "crossing itself"]
)
def test_a_plate_whose_outline_encloses_nothing_is_refused(outline):
    plate = Feature("plate", "A", Plate(outline=outline), 5, 15)
    with pytest.raises(FoldsketchError) as why:
        solids_of(parts.part([parts.FLANGE, plate]))
    assert [(f.code, f.where) for f in why.value.findings] == [("feature-without-volume", "feature 'plate'")]


def test_a_cut_that_divides_a_block_is_reported():
    slot = Feature("slot", "A", Cylinder(100), 4, 8, cut=True)
    _, made = solids_of(parts.part([parts.FLANGE, slot]))
    assert len(made.blocks) == 2
    assert [(f.code, f.where, f.value("bodies")) for f in made.findings] == [
        ("feature-cut-apart", "feature 'flange'", 2),
        ("bodies-apart", "part", 2),
    ]


@pytest.mark.parametrize("levels", [(4, 8), (4, 12)])
def test_a_closed_cavity_is_reported(levels):
    pocket = Feature("pocket", "A", Cylinder(20), *levels, cut=True)
    _, made = solids_of(parts.part([parts.FLANGE, pocket]))
    told = [(f.code, f.where, f.value("cavities")) for f in made.findings]
    assert told == ([("cavity-filled", "feature 'flange'", 1)] if levels[1] < parts.FLANGE.end else [])


def test_bodies_that_a_cut_leaves_name_their_own_features():
    low, high = Feature("low", "A", Cylinder(60), 0, 20), Feature("high", "A", Cylinder(30), 10, 50)
    slot = Feature("slot", "A", Cylinder(80), 20, 30, cut=True)
    _, made = solids_of(parts.part([low, high, slot]))
    assert sorted((b.features, round(b.skin.volume, 3)) for b in made.blocks) == [
        ((0,), round(math.pi * 30**2 * 20, 3)),
        ((1,), round(math.pi * 15**2 * 20, 3)),
    ]
    _, whole = solids_of(parts.part([low, high]))
    assert [b.features for b in whole.blocks] == [(0, 1)]


def test_contact_at_a_line_is_no_joint_and_is_reported():
    one = Feature("one", "A", Cylinder(40), 0, 20)
    two = Feature("two", "B", Cylinder(40), 0, 20)
    _, made = solids_of(parts.part([one, two], parts.at("B", 40, 0)))
    assert len(made.blocks) == 2
    assert not made.joints
    assert [(f.code, f.value("names")) for f in made.findings] == [("bodies-apart", "'one'; 'two'")]


def test_order_of_independent_features_does_not_matter():
    turned = dataclasses.replace(parts.TWO_SPIGOTS, features=parts.TWO_SPIGOTS.features[::-1])
    _, a = solids_of(parts.TWO_SPIGOTS)
    _, b = solids_of(turned)
    assert sorted(round(x.skin.volume, 6) for x in a.blocks) == sorted(round(x.skin.volume, 6) for x in b.blocks)
