"""Shells: what is inside what."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.mesh.repair.shells import ShellMeasures, group_shells_into_bodies, winding_numbers
from meshes import codes

BALL = trimesh.creation.icosphere(subdivisions=2, radius=1)


@examples(40)
@given(st.lists(st.floats(-2, 2), min_size=3, max_size=3))
def test_winding_number_of_a_box_is_one_inside_and_nought_outside(point: list[float]) -> None:
    p = np.array([point])
    if np.abs(np.abs(p) - 1).min() < 1e-6:
        return  # on the plane of a face
    box = np.asarray(trimesh.creation.box((2, 2, 2)).triangles)
    assert winding_numbers(p, box)[0] == pytest.approx(float(np.abs(p).max() < 1), abs=1e-9)
    assert winding_numbers(p, box[:, ::-1])[0] == pytest.approx(-float(np.abs(p).max() < 1), abs=1e-9)


def shells(*scaled: tuple[float, tuple[float, float, float]]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Balls of radii at places: corners, triangles, and the shell of each."""
    corners = np.concatenate([BALL.vertices * r + np.array(at) for r, at in scaled])
    triangles = np.concatenate([BALL.faces + k * len(BALL.vertices) for k in range(len(scaled))])
    return corners, triangles, np.repeat(np.arange(len(scaled)), len(BALL.faces))


def test_measures_of_shells_are_those_of_the_balls() -> None:
    measures = ShellMeasures(*shells((5, (0, 0, 0)), (2, (20, 3, -4))))
    assert measures.volume == pytest.approx([BALL.volume * 125, BALL.volume * 8])
    assert measures.area == pytest.approx([BALL.area * 25, BALL.area * 4])
    assert measures.low[1] == pytest.approx([18, 1, -6])
    assert measures.high[1] == pytest.approx([22, 5, -2])
    assert not measures.boxes_overlap(0, 1, 0)
    assert measures.boxes_overlap(0, 1, 14)


def test_more_shells_than_are_compared_are_bodies_of_their_own() -> None:
    many = [(1.0, (3.0 * k, 0.0, 0.0)) for k in range(70)]
    corners, triangles, shell = shells(*many)
    found = group_shells_into_bodies("a.stl", corners, triangles, shell, np.empty((0, 2), int), 1e-9)
    assert found.body.max() == 69
    assert codes(tuple(found.findings)) == ["mesh-several-bodies"]
