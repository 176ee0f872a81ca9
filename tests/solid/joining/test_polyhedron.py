"""Bodies of plain polygons without features."""

import numpy as np
import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.solid.joining.polyhedron import block_from_polyhedron, skin_of_polygons
from foldsketch.solid.joining.skin import is_closed
from solids import BRICK, BRICK_FACES, brick_with_hole


def test_a_brick_of_polygons_has_its_volume_its_normals_and_euler_2():
    skin = skin_of_polygons(BRICK, BRICK_FACES)
    assert skin.volume == pytest.approx(24)
    assert skin.euler == 2
    assert is_closed(skin)
    normals = [(0, 0, -1), (0, 0, 1), (0, -1, 0), (0, 1, 0), (-1, 0, 0), (1, 0, 0)]
    assert np.array([f.normal for f in skin.faces]) == pytest.approx(np.array(normals, float))
    assert [f.side for f in skin.faces] == list(range(6))


def test_a_hole_through_a_brick_makes_euler_0():
    corners, faces = brick_with_hole([(11, 21), (13, 21), (13, 22), (11, 22)])
    skin = skin_of_polygons(corners, faces)
    assert skin.euler == 0
    assert skin.volume == pytest.approx(24 - 4)
    assert is_closed(skin)
    unused = skin_of_polygons(np.concatenate((corners, [[0.0, 0.0, 0.0]])), faces)
    assert unused.euler == 0, "a corner of no face does not count"


def test_polygons_that_do_not_close_are_refused():
    for faces, code, where in (
        (BRICK_FACES[:5], "edges-open", "surface"),
        ([*BRICK_FACES, BRICK_FACES[0]], "edge-used-twice", "face 6"),
        ([[[0, 1, 0]]], "face-without-area", "face 0"),
    ):
        with pytest.raises(FoldsketchError) as why:
            skin_of_polygons(BRICK, faces)
        assert [(f.code, f.where) for f in why.value.findings] == [(code, where)]
    with pytest.raises(FoldsketchError) as why:
        skin_of_polygons(BRICK, BRICK_FACES[:5])
    assert why.value.findings[0].value("edges") == 4


@pytest.mark.parametrize("scale", [1.0, 0.5, 3.0])
def test_a_body_without_features_is_centred_at_its_scale(scale):
    faceted, solids = block_from_polyhedron("brick", BRICK, BRICK_FACES, scale, chord_error=0.1)
    (block,) = solids.blocks
    size = np.array([4.0, 3.0, 2.0]) * scale
    assert block.skin.corners.min(axis=0) == pytest.approx(-size / 2)
    assert block.skin.corners.max(axis=0) == pytest.approx(size / 2)
    assert block.skin.volume == pytest.approx(24 * scale**3)
    (prism,) = faceted.prisms
    assert prism.chord_error == pytest.approx(0.1 * scale)
    assert (prism.low.tolist(), prism.high.tolist()) == (pytest.approx(-size / 2), pytest.approx(size / 2))
    assert prism.feature.length == pytest.approx(2.0), "in part mm"
    assert faceted.rotation_to_part.tolist() == np.eye(3).tolist()


@pytest.mark.parametrize("times", [0.001, 1.0, 1000.0])
def test_its_axis_is_far_beside_it_whatever_its_size(times):
    faceted, _ = block_from_polyhedron("brick", BRICK * times, BRICK_FACES, 1.0)
    assert faceted.part.datum.point[0] > 1000 * np.linalg.norm([4.0, 3.0, 2.0]) * times
