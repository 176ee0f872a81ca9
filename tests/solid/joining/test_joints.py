"""Joints: where two blocks touch, and with what outline."""

import math

import pytest
import shapely

import parts
from foldsketch.part.model import Cylinder, Feature, Plate, PrismShape
from foldsketch.solid.joining.joints import _intersection
from solids import newell, solids_of


def test_touching_features_are_joined_on_their_face():
    faceted, made = solids_of(parts.TWO_SPIGOTS)
    assert len(made.blocks) == 3
    assert [j.blocks for j in made.joints] == [(0, 1), (0, 2)]
    joint = made.joints[0]
    assert len(joint.outline) == faceted.prisms[1].sides
    assert joint.normal.tolist() == [0, 0, 1]
    assert {round(z, 9) for z in joint.outline[:, 2]} == {12.0}


def test_a_bore_through_two_blocks_is_a_hole_in_their_joint():
    _, made = solids_of(parts.BORED)
    assert [b.skin.euler for b in made.blocks] == [0, 0, 2]
    assert [len(j.holes) for j in made.joints] == [1, 0]


@pytest.mark.parametrize("offset", [0.0, 10.0, 39.9])
def test_the_outline_is_what_both_faces_share(offset):
    """Two squares of 40, one on the other and moved along a side: a rectangle of 40 - offset by 40."""
    low, high = Feature("low", "A", PrismShape(4, 40), 0, 10), Feature("high", "B", PrismShape(4, 40), 10, 20)
    _, made = solids_of(parts.part([low, high], parts.at("B", offset, 0)))
    (joint,) = made.joints
    assert sorted(joint.outline.round(6).tolist()) == sorted(
        [x, y, 10.0] for x in (offset - 20, 20.0) for y in (-20.0, 20.0)
    )
    assert float(newell(joint.outline, range(4)) @ joint.normal) == pytest.approx((40 - offset) * 40)
    for block, face, sense in zip(joint.blocks, joint.faces, (1, -1), strict=True):
        assert made.blocks[block].skin.faces[face].normal.tolist() == (sense * joint.normal).tolist()


def test_contact_along_an_edge_or_at_a_corner_is_no_joint():
    low, high = Feature("low", "A", PrismShape(4, 40), 0, 10), Feature("high", "B", PrismShape(4, 40), 10, 20)
    for x, y in ((40, 0), (40, 40)):
        _, made = solids_of(parts.part([low, high], parts.at("B", x, y)))
        assert not made.joints


def test_a_bridge_on_two_posts_is_joined_twice():
    posts = [Feature(f"post {k}", k, Cylinder(20), 0, 30) for k in "AB"]
    bridge = Feature("bridge", "A", Plate(outline=((-15, -15), (65, -15), (65, 15), (-15, 15))), 30, 40)
    _, made = solids_of(parts.part([*posts, bridge], parts.at("B", 50, 0)))
    assert [j.blocks for j in made.joints] == [(0, 2), (1, 2)]
    for joint in made.joints:
        area = float(newell(joint.outline, range(len(joint.outline))) @ joint.normal)
        assert area == pytest.approx(math.pi * 100), "the rule of equal area"


def test_a_face_that_crosses_itself_has_its_areas_in_common_and_ends_no_run():
    """Two triangles that meet in a point, of 25 each; between x 1 and 9 and above y 1, 16 of each."""
    crossed = shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    with pytest.raises(shapely.GEOSException):
        crossed.intersection(shapely.box(1, 1, 9, 10))
    assert _intersection(crossed, shapely.box(1, 1, 9, 10)).area == pytest.approx(32)
    assert _intersection(crossed, shapely.box(0, 0, 10, 10)).area == pytest.approx(50)
