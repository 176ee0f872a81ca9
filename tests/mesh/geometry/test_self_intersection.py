"""Whether a surface runs through itself."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from foldsketch.mesh.geometry.self_intersection import count_self_intersections


@pytest.mark.parametrize(
    ("shift", "wanted"),
    [(5.0, False), (1.0, False), (0.5, True), (-0.2, False)],
    ids=["beside it", "a face on it", "half in it", "wholly inside"],
)
def test_a_tetrahedron_and_a_cube(shift: float, wanted: bool) -> None:
    cube = trimesh.creation.box((2, 2, 2))
    tetra = np.array([[0.0, 0, 0], [0.8, 0, 0], [0, 0.8, 0], [0, 0, 0.8]])
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
    corners = np.concatenate((cube.vertices, tetra + np.array((shift, 0.1, 0.1))))
    many = count_self_intersections(corners, np.concatenate((cube.faces, faces + 8)))
    assert (many > 0) == wanted


def test_neighbours_folded_flat_are_counted() -> None:
    flat = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0.1, 0.9, 0]])
    assert count_self_intersections(flat, np.array([[0, 1, 2], [0, 3, 1]])) == 1
    assert count_self_intersections(flat[:3], np.array([[0, 1, 2]])) == 0
