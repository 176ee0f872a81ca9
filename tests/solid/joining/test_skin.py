"""Skins: closed or not, several as one, and an order of faces that does not depend on where the part is."""

import dataclasses
import math

import numpy as np
import pytest

import parts
from foldsketch.part.model import Cone, Cylinder, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.skin import combine_skins, is_closed, plane_axes, skin_of_prism, upright_frame
from solids import single


@pytest.mark.parametrize("k", range(60))
def test_plane_axes_are_a_right_handed_frame(k):
    z = 1 - (2 * k + 1) / 60
    a = k * 2.399963
    flat = math.sqrt(1 - z * z)
    normal = np.array([flat * math.cos(a), flat * math.sin(a), z])
    m = np.column_stack((plane_axes(normal), normal))
    assert m.T @ m == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(m) == pytest.approx(1)


@pytest.mark.parametrize("angle", [0, 17, 90, 123.4, 250])
def test_an_upright_frame_is_a_rotation_about_z_to_its_direction(angle):
    a = math.radians(angle)
    direction = np.array([math.cos(a), math.sin(a), 0.0])
    m = upright_frame(direction)
    assert m.T @ m == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(m) == pytest.approx(1)
    assert m @ (1, 0, 0) == pytest.approx(direction)
    assert m @ (0, 0, 1) == pytest.approx([0, 0, 1])


def test_several_skins_as_one_keep_their_faces():
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
def test_the_skin_of_a_single_feature_is_closed_with_its_euler_number(shape):
    """2 for a ball, 0 for a tube [Euler]; a cone to a point has n + 1 corners and one end."""
    euler = 0 if isinstance(shape, Ring) else 2
    (prism,) = facet(single(shape), 1.0, FacetChoice()).prisms
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


def test_a_skin_that_is_open_or_has_another_volume_is_not_closed():
    skin = join(facet(parts.SLEEVE, 1.0, FacetChoice())).blocks[0].skin
    assert is_closed(skin)
    assert not is_closed(dataclasses.replace(skin, faces=skin.faces[1:]))
    assert not is_closed(dataclasses.replace(skin, volume=skin.volume * (1 + 1e-6)))
    assert not is_closed(dataclasses.replace(skin, faces=(*skin.faces, skin.faces[0])))


@pytest.mark.parametrize("angle", [40, 123.4, 250])
@pytest.mark.parametrize("part", [parts.BORED, parts.BLIND, parts.INTERLOCKED, parts.TWO_SPIGOTS], ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_faces_of_a_turned_part_are_in_the_same_order(part, rule, angle):
    """Face by face and corner by corner it is the first skin turned."""
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
