"""Holes: what was cut out of a mesh is filled as it was; the whole mesh has the truth."""

import numpy as np
import pytest
import trimesh

from foldsketch.mesh.repair.holes import fill_small_holes
from foldsketch.mesh.repair.mesh_repair import find_mesh_edges


def filled(mesh: trimesh.Trimesh, out: np.ndarray) -> trimesh.Trimesh:
    """The mesh without the triangles of a mask, its holes filled."""
    left = mesh.faces[~out]
    more, count, _ = fill_small_holes(mesh.vertices, left, find_mesh_edges(left, len(mesh.vertices)).open_edges)
    assert count == 1
    return trimesh.Trimesh(mesh.vertices, np.concatenate((left, more)), process=False)


@pytest.mark.parametrize("length", [4, 20, 300])
@pytest.mark.parametrize("degrees", [20, 30])
def test_a_strip_cut_out_of_a_shaft_is_filled_along_the_round(length: int, degrees: int) -> None:
    """Of a long one a flat is the smaller fill, and wrong."""
    shaft = trimesh.creation.cylinder(5, length, sections=36)
    x, y, _ = shaft.triangles_center.T
    wall = np.abs(shaft.face_normals[:, 2]) < 0.5
    made = filled(shaft, wall & (x > 0) & (np.abs(np.arctan2(y, x)) < np.radians(degrees / 2)))
    assert made.is_volume
    assert made.volume == pytest.approx(shaft.volume, rel=1e-9)


def test_an_end_is_filled_flat() -> None:
    shaft = trimesh.creation.cylinder(5, 80, sections=36)
    made = filled(shaft, shaft.face_normals[:, 2] > 0.5)
    assert made.is_volume
    assert made.volume == pytest.approx(shaft.volume, rel=1e-9)


def test_a_hole_in_a_ball_leaves_it_nearly_whole() -> None:
    ball = trimesh.creation.icosphere(subdivisions=3, radius=10)
    made = filled(ball, np.linalg.norm(ball.triangles_center - [10, 0, 0], axis=1) < 3)
    assert made.is_volume
    assert made.volume == pytest.approx(ball.volume, rel=0.005)
