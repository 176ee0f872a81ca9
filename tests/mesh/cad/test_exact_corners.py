import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.mesh.cad.exact_corners import move_onto_surfaces
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface

Z = np.array([0.0, 0.0, 1.0])
END = AnalyticSurface("plane", np.array([0.0, 0, 30]), Z, exact=True)
WALL = AnalyticSurface("cylinder", np.zeros(3), Z, 20.0, exact=True)
CHAMFER = AnalyticSurface("cone", np.array([0.0, 0, 29]), Z, 20.0, -1.0, exact=True)
FILLET = AnalyticSurface("torus", np.array([0.0, 0, 28]), Z, 18.0, 0.0, 2.0, exact=True)
SMALL = st.floats(-1e-5, 1e-5)


@given(st.floats(0, 2 * np.pi), st.tuples(SMALL, SMALL, SMALL))
@pytest.mark.parametrize(("pair", "radius", "z"), [((WALL, END), 20, 30), ((WALL, CHAMFER), 20, 29)])
def test_a_corner_comes_to_rest_where_its_surfaces_meet(pair, radius, z, angle, off):
    rim = np.array([radius * np.cos(angle), radius * np.sin(angle), z])
    corners = np.array([rim + off, [1.0, 2, 3], [4.0, 5, 6]])
    moved = move_onto_surfaces(corners, np.array([[0, 1, 2], [0, 2, 1]]), np.array([0, 1]), pair, 1.0)[0]
    assert max(abs(float(s.distance(moved[None])[0])) for s in pair) < 1e-9
    assert np.linalg.norm(moved - rim) < 1e-4


@given(st.floats(0, 2 * np.pi), st.tuples(SMALL, SMALL, SMALL))
def test_a_corner_where_two_surfaces_are_tangent_moves_no_farther_than_it_was_off(angle, off):
    rim = np.array([18 * np.cos(angle), 18 * np.sin(angle), 30])
    corners = np.array([rim + off, [1.0, 2, 3], [4.0, 5, 6]])
    moved = move_onto_surfaces(corners, np.array([[0, 1, 2], [0, 2, 1]]), np.array([0, 1]), (FILLET, END), 1.0)[0]
    assert np.linalg.norm(moved - rim) < 3e-5
    assert max(abs(float(s.distance(moved[None])[0])) for s in (FILLET, END)) < 1e-9


def test_corners_of_no_exact_surface_and_those_too_far_off_stay():
    corners = np.array([[20.5, 0, 3], [0.0, 21, 9], [-20.0, 0, 3], [7.0, 7, 7]])
    moved = move_onto_surfaces(corners, np.array([[0, 1, 2], [3, 3, 3]]), np.array([0, 1]), (WALL, None), 0.6)
    assert moved[0] == pytest.approx([20, 0, 3])
    assert np.array_equal(moved[1:], corners[1:])
