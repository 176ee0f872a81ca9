"""Bodies as a whole: the part as a mesh of many flats, skins of plain polygons, lumps, and what skins are made of."""

import dataclasses
import math
from collections import Counter

import numpy as np
import pytest

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.blocks import join
from foldsketch.solid.facet import facet
from foldsketch.solid.kernel import triangles
from foldsketch.solid.lump import lump
from foldsketch.solid.pierced import pierced
from foldsketch.solid.polyhedron import skin_of_polygons
from foldsketch.solid.sides import FacetChoice
from foldsketch.solid.skin import closed, plane_axes, skin_of_prism, together, upright_frame
from foldsketch.solid.whole import whole


def enclosed(corners, faces):
    """Volume of a closed mesh of triangles: signed tetrahedra from the origin."""
    a, b, c = (corners[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6


def one(shape, length=20.0, axis=None, **more):
    return Part("p", (axis or Axis("A"),), (Feature("p", "A", shape, 0, length, **more),))


@pytest.mark.parametrize(
    ("part", "volume"),
    [
        (parts.BORED, math.pi / 4 * ((90**2 - 20**2) * 12 + (36**2 - 20**2) * 30 + 24**2 * 24)),
        (parts.BLIND, math.pi / 4 * (90**2 * 12 - 30**2 * 8)),
        (parts.SLEEVE, math.pi / 4 * (60**2 - 20**2) * 40),
        (parts.TAPER, math.pi / 4 * 90**2 * 12 + math.pi / 12 * 30 * (40**2 + 40 * 28 + 28**2)),
        (parts.HEX, 2 * math.sqrt(3) * 23**2 * 14 + math.pi * 15**2 * 30),
    ],
    ids=lambda v: getattr(v, "name", ""),
)
def test_the_whole_part_is_a_closed_mesh_of_its_own_volume(part, volume):
    """Cylinders pi d2 h / 4, the frustum pi h (D2 + D d + d2) / 12, the hexagon 2 sqrt(3) r2 h; the flats are of equal
    area."""
    corners, faces = whole(part)
    edges = Counter((int(a), int(b)) for f in faces for a, b in zip(f, np.roll(f, -1), strict=True))
    assert set(edges.values()) == {1}
    assert all((b, a) in edges for a, b in edges)
    assert enclosed(corners, faces) == pytest.approx(volume, rel=1e-6)


def flats(part):
    """Corners of the lowest end of a mesh, and how far its sides' middles lie from the axis."""
    corners, faces = whole(part)
    low = np.abs(corners[:, 2] - corners[:, 2].min()) < 1e-9
    rim = {
        frozenset((int(a), int(b)))
        for f in faces
        for a, b in zip(f, np.roll(f, -1), strict=True)
        if low[a] and low[b] and not low[f].all()
    }
    ends = np.array([sorted(e) for e in rim])
    middle = (corners[ends[:, 0]] + corners[ends[:, 1]]) / 2
    return np.hypot(*corners[low][:, :2].T), np.hypot(*middle[:, :2].T)


@pytest.mark.parametrize(("radius", "sides"), [(0.05, 24), (0.2, 24), (10, 160), (40, 316), (500, 360)])
def test_its_flats_stray_two_microns_at_most_between_24_and_360_of_them(radius, sides):
    """The sagitta of a corner on the circle, R (1 - cos(pi/n)), is 2 microns at n = pi / acos(1 - 0.002/R), which is
    22.2, 157.1 and 314.2 for a radius of 0.2, 10 and 40: taken up to a multiple of four."""
    out, middle = flats(one(Cylinder(2 * radius)))
    assert len(out) == len(middle) == sides
    if radius < 50:
        assert abs(out - radius).max() <= 0.002
        assert abs(middle - radius).max() <= 0.002


def test_sides_that_are_given_are_those_of_the_whole():
    assert len(flats(one(Cylinder(40), sides=7))[0]) == 7
    assert len(flats(one(PrismShape(6, 40)))[0]) == 6


def test_the_whole_stands_in_the_parts_own_frame():
    """A disc about an axis that points along x, 20 mm up."""
    corners, faces = whole(one(Cylinder(40), 5.0, Axis("A", (3.0, 4.0, 20.0), (1.0, 0.0, 0.0))))
    assert corners.min(axis=0) == pytest.approx([3, -16, 0], abs=0.01)
    assert corners.max(axis=0) == pytest.approx([8, 24, 40], abs=0.01)
    assert enclosed(corners, faces) == pytest.approx(math.pi * 400 * 5, rel=1e-6)


@pytest.mark.parametrize("turn", [(0.3, 0.0), (1.2, 0.7), (math.pi / 2, 0.4), (2.5, -1.0)])
def test_a_part_laid_down_anyhow_is_the_same_part(turn):
    """A boss with a cross bore and a peg beside it, turned about two axes and moved: turned back its corners have the
    same bounds, and its volume is the same."""
    t, u = turn
    rot = np.array([[1, 0, 0], [0, math.cos(t), -math.sin(t)], [0, math.sin(t), math.cos(t)]])
    rot = np.array([[math.cos(u), -math.sin(u), 0], [math.sin(u), math.cos(u), 0], [0, 0, 1]]) @ rot
    away = np.array([7.0, -5.0, 3.0])
    cross = Axis("D", (0.0, 0.0, 30.0), (0.6, 0.8, 0.0))
    peg = Feature("peg", "D", Cylinder(12), 20, 45)
    upright = parts.part([*parts.CROSS.features, peg], cross)
    axes = tuple(
        Axis(a.name, tuple((rot @ a.point + away).tolist()), tuple((rot @ a.direction).tolist())) for a in upright.axes
    )
    one, two = whole(upright), whole(dataclasses.replace(upright, axes=axes))
    assert enclosed(*two) == pytest.approx(enclosed(*one), rel=1e-5)
    back = (two[0] - away) @ rot
    assert back.min(axis=0) == pytest.approx(one[0].min(axis=0), abs=0.01)
    assert back.max(axis=0) == pytest.approx(one[0].max(axis=0), abs=0.01)


def test_the_whole_of_a_web_has_its_rounds():
    """Equal circles: 2 R L + pi R2, and the hull of a circle and a point is that of the two tangents: with
    cos t = R / L it is R2 (pi - t + tan t)."""
    corners, faces = whole(one(Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 20.0))), 10.0))
    assert enclosed(corners, faces) == pytest.approx((40 * 60 + math.pi * 400) * 10, rel=1e-4)
    corners, faces = whole(one(Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 0.0))), 10.0))
    t = math.acos(20 / 60)
    assert enclosed(corners, faces) == pytest.approx(400 * (math.pi - t + math.tan(t)) * 10, rel=1e-4)


def test_a_later_cut_takes_away_and_later_material_fills():
    plug = Feature("plug", "A", Cylinder(20), 0, 40)
    filled = parts.part([*parts.SLEEVE.features, plug])
    # Plug and bore have other numbers of flats: a film of microns is left between them.
    assert enclosed(*whole(filled)) == pytest.approx(math.pi / 4 * 60**2 * 40, rel=1e-4)
    bore = Feature("bore", "A", Cylinder(10), -1, 41, True)
    bored = parts.part([*filled.features, bore])
    assert enclosed(*whole(bored)) == pytest.approx(math.pi / 4 * (60**2 - 10**2) * 40, rel=1e-4)


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
    assert closed(skin)
    normals = [(0, 0, -1), (0, 0, 1), (0, -1, 0), (0, 1, 0), (-1, 0, 0), (1, 0, 0)]
    assert np.array([f.normal for f in skin.faces]) == pytest.approx(np.array(normals, float))
    assert [f.side for f in skin.faces] == list(range(6))


def test_a_hole_through_a_brick_makes_euler_0():
    corners, faces = frame([(11, 21), (13, 21), (13, 22), (11, 22)])
    skin = skin_of_polygons(corners, faces)
    assert skin.euler == 0
    assert skin.volume == pytest.approx(24 - 4)
    assert closed(skin)
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
    faceted, solids = lump("brick", BRICK, BRICK_FACES, scale, stray=0.1)
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
    faceted, _ = lump("brick", BRICK * times, BRICK_FACES, 1.0)
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
            each = [newell(p.corners, t) for t in triangles(p.corners, f)]
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
                cut = [newell(prism.corners, t) for t in triangles(prism.corners, f)]
                assert len(cut) == 4
                assert sum(float(np.linalg.norm(v)) for v in cut) == pytest.approx(1200)
        assert enclosed(*whole(part)) == pytest.approx(12000)


def test_several_skins_as_one_keep_their_bodies():
    solids = join(facet(parts.TWO_SPIGOTS, 1.0, FacetChoice()))
    skins = [b.skin for b in solids.blocks]
    both = together(skins)
    assert closed(both)
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
    assert closed(skin)
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
    assert closed(skin)
    assert not closed(dataclasses.replace(skin, faces=skin.faces[1:]))
    assert not closed(dataclasses.replace(skin, volume=skin.volume * (1 + 1e-6)))
    assert not closed(dataclasses.replace(skin, faces=(*skin.faces, skin.faces[0])))


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
    assert pierced(dataclasses.replace(good, corners=moved)) == bad


def stack(low, high):
    """Two bricks in one skin, the second from low to high in y and 10.5 to 13.5 in x, whose z is that of the first."""
    second = np.array([(x, y, z) for z in (31.0, 33.0) for y in (low, high) for x in (10.5, 13.5)])
    corners = np.concatenate((BRICK, second))
    return skin_of_polygons(corners, [*BRICK_FACES, *([[v + 8 for v in loop] for loop in f] for f in BRICK_FACES)])


def test_a_wall_through_another_is_pierced_and_one_beside_it_is_not():
    """Each face of both bricks is whole by itself; the upright edges of the upper go through the top of the lower."""
    assert pierced(stack(21.0, 22.0))
    assert pierced(stack(21.0, 25.0)), "half of it beside"
    assert not pierced(stack(24.0, 25.0))
    assert not pierced(stack(23.0, 25.0)), "face to face is touching"


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
