"""Boolean results as skins: flat faces named by their feature, and triangles of faces."""

import dataclasses
import math
from collections import Counter

import numpy as np
import pytest

import parts
from examples import few
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.kernel import triangulate_face
from foldsketch.solid.joining.reference_mesh import tessellate_part
from solids import newell, single
from volumes import enclosed


@pytest.mark.parametrize("part", few(parts.ALL, 1), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_face_is_flat_runs_anticlockwise_and_has_the_corners_it_needs(part, rule):
    """Newell's vector of its loops points along its normal, all corners are in one plane, holes run clockwise, and at
    every corner three faces meet: a point of a straight edge between two is no corner."""
    for b in join(facet(part, 1.0, FacetChoice()), rule).blocks:
        skin = b.skin
        meet = Counter(v for f in skin.faces for loop in f.loops for v in loop)
        assert len(meet) == len(skin.corners)
        assert min(meet.values()) >= 3
        for f in skin.faces:
            assert np.linalg.norm(f.normal) == pytest.approx(1)
            own = [newell(skin.corners, loop) for loop in f.loops]
            assert float(own[0] @ f.normal) > 0
            assert all(float(v @ f.normal) < 0 for v in own[1:])
            total = sum(own)
            assert total / np.linalg.norm(total) == pytest.approx(f.normal, abs=1e-9)
            level = [float(skin.corners[v] @ f.normal) for loop in f.loops for v in loop]
            assert max(level) - min(level) < 1e-6


@pytest.mark.parametrize("angle", [0, 30, 90, 135, 180, 270])
def test_a_bore_in_the_side_of_a_square_is_a_hole_in_that_face(angle):
    """The outline of 40 x 60 comes first, the bore after it."""
    a = math.radians(angle)
    cross = Axis("X", (0.0, 0.0, 30.0), (math.cos(a), math.sin(a), 0.0))
    body = Feature("body", "A", PrismShape(4, 40.0, a), 0, 60)
    bore = Feature("bore", "X", Cylinder(10), 10, 30, True)
    (block,) = join(facet(parts.part([body, bore], cross), 1.0, FacetChoice())).blocks
    (face,) = [f for f in block.skin.faces if len(f.loops) == 2]
    assert face.normal == pytest.approx([math.cos(a), math.sin(a), 0], abs=1e-12)
    outer, hole = (float(newell(block.skin.corners, loop) @ face.normal) for loop in face.loops)
    assert outer == pytest.approx(2400)
    assert hole == pytest.approx(-math.pi * 25), "equal area"
    assert block.skin.volume == pytest.approx(40 * 40 * 60 - math.pi * 25 * 10)


def test_two_equal_cylinders_end_to_end_are_one_prism():
    """2 n corners and n + 2 faces: sides in one plane become one, and no corner is left between them."""
    part = parts.part([Feature("low", "A", Cylinder(40), 0, 10), Feature("high", "A", Cylinder(40), 10, 40)])
    faceted = facet(part, 1.0, FacetChoice())
    (block,) = join(faceted, "fuse").blocks
    n = faceted.prisms[0].sides
    assert len(block.skin.corners) == 2 * n
    assert len(block.skin.faces) == n + 2
    sides = [f for f in block.skin.faces if f.kind == "side"]
    assert {f.feature for f in sides} == {1}, "named by the one that covers most of it"
    assert len(sides) == n


@pytest.mark.parametrize("swap", [False, True])
@pytest.mark.parametrize("place", [(0.0, 0.0), (500.0, 300.0)])
def test_a_face_of_two_features_is_named_by_the_one_that_covers_more_of_it(place, swap):
    """A square of 900 mm2 and a circle of 616 mm2 that share 171 mm2, flush at both ends, wherever they are."""
    x, y = place
    axes = (Axis("A", (x, y, 0.0)), Axis("B", (x + 20, y, 0.0)))
    own = [Feature("square", "A", PrismShape(4, 30.0), 0, 12), Feature("round", "B", Cylinder(28), 0, 12)]
    (block,) = join(facet(Part("p", axes, tuple(own[::-1] if swap else own)), 1.0, FacetChoice())).blocks
    ends = [f for f in block.skin.faces if f.kind == "end"]
    assert [f.feature for f in ends] == [int(swap)] * 2


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_triangles_of_a_face_cover_it_once(part):
    """All face the same way, and their areas add up to that of the face."""
    for p in facet(part, 1.0, FacetChoice()).prisms:
        for f in p.faces:
            doubled = sum(newell(p.corners, loop) for loop in f.loops)
            each = [newell(p.corners, t) for t in triangulate_face(p.corners, f)]
            assert all(float(v @ f.normal) > -1e-9 for v in each)
            assert sum(each) == pytest.approx(doubled, abs=1e-9)


def test_triangles_of_a_face_with_a_notch_stay_within_it():
    """An L of 40 x 40 with a notch of 20 x 20: area 1200; a fan from most corners would leave it."""
    ell = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (20.0, 20.0), (20.0, 40.0), (0.0, 40.0))
    for k in range(6):
        turned = ell[k:] + ell[:k]
        part = single(Plate(outline=turned), 10.0)
        (prism,) = facet(part, 1.0, FacetChoice()).prisms
        for f in prism.faces:
            if f.kind == "end":
                cut = [newell(prism.corners, t) for t in triangulate_face(prism.corners, f)]
                assert len(cut) == 4
                assert sum(float(np.linalg.norm(v)) for v in cut) == pytest.approx(1200)
        assert enclosed(*tessellate_part(part)) == pytest.approx(12000)


def test_a_crack_of_no_width_on_a_tilted_axis_is_refused():
    """A groove of 28 from end to end, filled again with a cylinder of 28: between the two a crack of no width is left,
    which closes but has outlines that go out and straight back."""
    axes = (Axis("A"), Axis("Y", (3.0, 0.0, 4.5), (0.6, 0.0, 0.8)))
    body = Feature("body", "Y", Cylinder(53), -60, 60)
    groove = Feature("groove", "Y", Ring(28, 7), -60, 60, cut=True)
    fill = Feature("fill", "Y", Cylinder(28), -60, 60)
    with pytest.raises(FoldsketchError) as why:
        join(facet(Part("p", axes, (body, groove, fill)), 1.0, FacetChoice(chord_error=2.5, min_sides=6)))
    assert [(f.code, f.where) for f in why.value.findings] == [("surface-not-closed", "features 'body' and 'fill'")]
    upright = tuple(dataclasses.replace(f, axis="A") for f in (body, groove, fill))
    (block,) = join(facet(Part("p", axes, upright), 1.0, FacetChoice(chord_error=2.5, min_sides=6))).blocks
    assert len(block.skin.faces) == 10, "upright it is one cylinder of eight sides"
