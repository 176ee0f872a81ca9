"""Bodies: skins of plain polygons, lumps, faces as the kernel leaves them, and what goes through what."""

import dataclasses
import math
from collections import Counter

import numpy as np
import pytest

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.card.self_intersection import skin_self_intersects
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.from_polyhedron import block_from_polyhedron
from foldsketch.solid.joining.kernel import triangulate_face
from foldsketch.solid.joining.polyhedron import skin_of_polygons
from foldsketch.solid.joining.reference_mesh import tessellate_part
from foldsketch.solid.joining.skin import combine_skins, is_closed, plane_axes, skin_of_prism, upright_frame
from volumes import enclosed


def one(shape, length=20.0):
    return Part("p", (Axis("A"),), (Feature("p", "A", shape, 0, length),))


# A brick of 4 x 3 x 2 with its lower left corner at (10, 20, 30).
BRICK = np.array([(x, y, z) for z in (30.0, 32.0) for y in (20.0, 23.0) for x in (10.0, 14.0)])
BRICK_FACES = [[[0, 2, 3, 1]], [[4, 5, 7, 6]], [[0, 1, 5, 4]], [[2, 6, 7, 3]], [[0, 4, 6, 2]], [[1, 3, 7, 5]]]


def frame(hole):
    """The brick with a square hole from bottom to top, and its faces; hole: its corners seen from above."""
    inner = np.array([(x, y, z) for z in (30.0, 32.0) for x, y in hole])
    corners = np.concatenate((BRICK, inner))
    n = len(hole)
    faces = [[list(loop) for loop in f] for f in BRICK_FACES]
    faces[0].append([8 + k for k in range(n)])
    faces[1].append([8 + n + k for k in range(n)][::-1])
    faces += [[[8 + k, 8 + n + k, 8 + n + (k + 1) % n, 8 + (k + 1) % n]] for k in range(n)]
    return corners, faces


def test_a_brick_of_polygons_has_its_volume_its_normals_and_euler_2():
    skin = skin_of_polygons(BRICK, BRICK_FACES)
    assert skin.volume == pytest.approx(24)
    assert skin.euler == 2
    assert is_closed(skin)
    normals = [(0, 0, -1), (0, 0, 1), (0, -1, 0), (0, 1, 0), (-1, 0, 0), (1, 0, 0)]
    assert np.array([f.normal for f in skin.faces]) == pytest.approx(np.array(normals, float))
    assert [f.side for f in skin.faces] == list(range(6))


def test_a_hole_through_a_brick_makes_euler_0():
    corners, faces = frame([(11, 21), (13, 21), (13, 22), (11, 22)])
    skin = skin_of_polygons(corners, faces)
    assert skin.euler == 0
    assert skin.volume == pytest.approx(24 - 4)
    assert is_closed(skin)
    unused = skin_of_polygons(np.concatenate((corners, [[0.0, 0.0, 0.0]])), faces)
    assert unused.euler == 0, "a corner of no face does not count"


def test_polygons_that_are_no_skin_are_refused():
    with pytest.raises(FoldsketchError, match="lie in one face only"):
        skin_of_polygons(BRICK, BRICK_FACES[:5])
    with pytest.raises(FoldsketchError, match="a second time"):
        skin_of_polygons(BRICK, [*BRICK_FACES, BRICK_FACES[0]])
    flat = [[[0, 1, 0]]]
    with pytest.raises(FoldsketchError, match="no area"):
        skin_of_polygons(BRICK, flat)


@pytest.mark.parametrize("scale", [1.0, 0.5, 3.0])
def test_a_lump_lies_about_the_origin_at_its_scale_and_its_axis_marks_no_panel(scale):
    faceted, solids = block_from_polyhedron("brick", BRICK, BRICK_FACES, scale, stray=0.1)
    (block,) = solids.blocks
    size = np.array([4.0, 3.0, 2.0]) * scale
    assert block.skin.corners.min(axis=0) == pytest.approx(-size / 2)
    assert block.skin.corners.max(axis=0) == pytest.approx(size / 2)
    assert block.skin.volume == pytest.approx(24 * scale**3)
    (prism,) = faceted.prisms
    assert prism.chord_error == pytest.approx(0.1 * scale)
    assert (prism.low.tolist(), prism.high.tolist()) == (pytest.approx(-size / 2), pytest.approx(size / 2))
    assert prism.feature.length == pytest.approx(2.0), "in part mm"
    assert faceted.turn.tolist() == np.eye(3).tolist()


@pytest.mark.parametrize("times", [0.001, 1.0, 1000.0])
def test_the_axis_of_a_lump_of_any_size_stands_far_beside_it(times):
    faceted, _ = block_from_polyhedron("brick", BRICK * times, BRICK_FACES, 1.0)
    assert faceted.part.datum.point[0] > 1000 * np.linalg.norm([4.0, 3.0, 2.0]) * times


@pytest.mark.parametrize("k", range(60))
def test_plane_axes_are_a_right_handed_frame(k):
    z = 1 - (2 * k + 1) / 60
    a = k * 2.399963
    flat = math.sqrt(1 - z * z)
    normal = np.array([flat * math.cos(a), flat * math.sin(a), z])
    x, y = plane_axes(normal)
    m = np.column_stack((x, y, normal))
    assert m.T @ m == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(m) == pytest.approx(1)


def newell(corners, loop):
    p = corners[list(loop)]
    return np.cross(p, np.roll(p, -1, axis=0)).sum(axis=0) / 2


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_face_lies_flat_runs_anticlockwise_and_has_the_corners_it_needs(part, rule):
    """Newell's vector of its loops points along its normal, all corners lie in one plane, holes run clockwise, and at
    every corner three faces meet: what lies on a straight edge between two is no corner."""
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
def test_a_bore_in_the_side_of_a_square_is_a_hole_in_it_and_not_its_outline(angle):
    """Seen along its normal the 40 x 60 of the side come first, the bore after them."""
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


def test_two_equal_rounds_end_to_end_are_one_prism():
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
    """A square of 900 mm2 and a round of 616 that share 171 of it, flush at both ends, wherever they stand."""
    x, y = place
    axes = (Axis("A", (x, y, 0.0)), Axis("B", (x + 20, y, 0.0)))
    own = [Feature("square", "A", PrismShape(4, 30.0), 0, 12), Feature("round", "B", Cylinder(28), 0, 12)]
    (block,) = join(facet(Part("p", axes, tuple(own[::-1] if swap else own)), 1.0, FacetChoice())).blocks
    ends = [f for f in block.skin.faces if f.kind == "end"]
    assert [f.feature for f in ends] == [int(swap)] * 2


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_triangles_of_a_face_cover_it_once(part):
    """All run the way of the face, and their areas add up to it."""
    for p in facet(part, 1.0, FacetChoice()).prisms:
        for f in p.faces:
            doubled = sum(newell(p.corners, loop) for loop in f.loops)
            each = [newell(p.corners, t) for t in triangulate_face(p.corners, f)]
            assert all(float(v @ f.normal) > -1e-9 for v in each)
            assert sum(each) == pytest.approx(doubled, abs=1e-9)


def test_a_face_with_a_bay_is_cut_into_triangles_within_it():
    """A plate like an L, of 40 x 40 with a notch of 20 x 20: area 1200; a fan from a corner would leave it."""
    ell = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (20.0, 20.0), (20.0, 40.0), (0.0, 40.0))
    for k in range(6):
        turned = ell[k:] + ell[:k]
        part = one(Plate(outline=turned), 10.0)
        (prism,) = facet(part, 1.0, FacetChoice()).prisms
        for f in prism.faces:
            if f.kind == "end":
                cut = [newell(prism.corners, t) for t in triangulate_face(prism.corners, f)]
                assert len(cut) == 4
                assert sum(float(np.linalg.norm(v)) for v in cut) == pytest.approx(1200)
        assert enclosed(*tessellate_part(part)) == pytest.approx(12000)


def test_several_skins_as_one_keep_their_bodies():
    solids = join(facet(parts.TWO_SPIGOTS, 1.0, FacetChoice()))
    skins = [b.skin for b in solids.blocks]
    both = combine_skins(skins)
    assert is_closed(both)
    assert both.euler == 2 * len(skins)
    assert both.volume == pytest.approx(sum(s.volume for s in skins))
    assert len(both.corners) == sum(len(s.corners) for s in skins)
    k = 0
    for s in skins:
        for f in s.faces:
            mine = both.faces[k]
            k += 1
            for loop, same in zip(f.loops, mine.loops, strict=True):
                assert np.array_equal(s.corners[list(loop)], both.corners[list(same)])


@pytest.mark.parametrize(
    "shape", [Cylinder(40), Cone(40, 0), Cone(0, 40), Cone(40, 20), Ring(60, 20), PrismShape(3, 9)], ids=str
)
def test_the_skin_of_a_feature_alone_is_closed_with_its_euler_number(shape):
    """2 for a ball, 0 for a tube [Euler]; a cone to a point has n + 1 corners and one end."""
    euler = 0 if isinstance(shape, Ring) else 2
    (prism,) = facet(one(shape), 1.0, FacetChoice()).prisms
    skin = skin_of_prism(prism)
    assert is_closed(skin)
    assert skin.euler == euler
    edges = sum(len(loop) for f in skin.faces for loop in f.loops) // 2
    assert len(skin.corners) - edges + len(skin.faces) - sum(len(f.loops) - 1 for f in skin.faces) == euler
    assert (skin.corners.min(axis=0) == prism.low).all() and (skin.corners.max(axis=0) == prism.high).all()
    ends = [f for f in skin.faces if f.kind == "end"]
    assert {(f.side, f.normal[2]) for f in ends} <= {(0, -1.0), (1, 1.0)}
    assert len(ends) == (1 if 0 in (getattr(shape, "start_diameter", 1), getattr(shape, "end_diameter", 1)) else 2)
    numbers = [f.side for f in skin.faces]
    assert len(numbers) == len(set(numbers)), "every side has a number of its own"


def test_a_skin_that_is_open_or_tells_another_volume_is_not_closed():
    skin = join(facet(parts.SLEEVE, 1.0, FacetChoice())).blocks[0].skin
    assert is_closed(skin)
    assert not is_closed(dataclasses.replace(skin, faces=skin.faces[1:]))
    assert not is_closed(dataclasses.replace(skin, volume=skin.volume * (1 + 1e-6)))
    assert not is_closed(dataclasses.replace(skin, faces=(*skin.faces, skin.faces[0])))


SQUARE = [(11, 21), (13, 21), (13, 22), (11, 22)]


@pytest.mark.parametrize(
    ("hole", "bad"),
    [
        (SQUARE, False),
        ([(10, 20), (14, 20), (14, 23), (10, 23)], False),  # no wall is left, but nothing goes through
        ([(9, 21), (13, 21), (13, 22), (9, 22)], True),  # sticks out on the left
        ([(9, 19), (15, 19), (15, 24), (9, 24)], True),  # all round outside
        ([(16, 21), (18, 21), (18, 22), (16, 22)], True),  # beside the brick
        ([(11, 21), (13, 22), (13, 21), (11, 22)], True),  # crosses itself
    ],
)
def test_a_hole_that_leaves_its_face_is_pierced(hole, bad):
    good = skin_of_polygons(*frame(SQUARE))
    moved = np.concatenate((BRICK, [(x, y, z) for z in (30.0, 32.0) for x, y in hole]))
    assert skin_self_intersects(dataclasses.replace(good, corners=moved)) == bad


def stack(low, high):
    """Two bricks in one skin, the second from low to high in y and 10.5 to 13.5 in x, whose z is that of the first."""
    second = np.array([(x, y, z) for z in (31.0, 33.0) for y in (low, high) for x in (10.5, 13.5)])
    corners = np.concatenate((BRICK, second))
    return skin_of_polygons(corners, [*BRICK_FACES, *([[v + 8 for v in loop] for loop in f] for f in BRICK_FACES)])


def test_a_wall_through_another_is_pierced_and_one_beside_it_is_not():
    """Each face of both bricks is whole by itself; the upright edges of the upper go through the top of the lower."""
    assert skin_self_intersects(stack(21.0, 22.0))
    assert skin_self_intersects(stack(21.0, 25.0)), "half of it beside"
    assert not skin_self_intersects(stack(24.0, 25.0))
    assert not skin_self_intersects(stack(23.0, 25.0)), "face to face is touching"


@pytest.mark.parametrize("angle", [0, 17, 90, 123.4, 250])
def test_an_upright_frame_is_a_rotation_about_z_to_its_direction(angle):
    a = math.radians(angle)
    direction = np.array([math.cos(a), math.sin(a), 0.0])
    m = upright_frame(direction)
    assert m.T @ m == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(m) == pytest.approx(1)
    assert m @ (1, 0, 0) == pytest.approx(direction)
    assert m @ (0, 0, 1) == pytest.approx([0, 0, 1])


@pytest.mark.parametrize("angle", [40, 123.4, 250])
@pytest.mark.parametrize("part", [parts.BORED, parts.BLIND, parts.INTERLOCKED, parts.TWO_SPIGOTS], ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_faces_of_a_turned_part_are_counted_in_the_same_order(part, rule, angle):
    """Face by face and corner by corner the skin is the old one turned."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    axes = tuple(dataclasses.replace(a, point=tuple((turn @ a.point).tolist())) for a in part.axes)
    before, after = (
        join(facet(p, 1.0, FacetChoice()), rule).blocks for p in (part, dataclasses.replace(part, axes=axes))
    )
    for old, new in zip(before, after, strict=True):
        assert [f.loops for f in old.skin.faces] == [f.loops for f in new.skin.faces]
        assert [(f.feature, f.side) for f in old.skin.faces] == [(f.feature, f.side) for f in new.skin.faces]
        assert old.skin.corners @ turn.T == pytest.approx(new.skin.corners, abs=1e-6)
