"""Circles and ellipses in a plane."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.mesh.geometry.circle_fit import fit_circle, fit_ellipse


@examples(40)
@given(st.floats(-200, 200), st.floats(-200, 200), st.floats(0.5, 300), st.floats(0.4, 6.28), st.integers(5, 60))
def test_an_exact_arc_gives_its_circle(x: float, y: float, r: float, arc: float, n: int) -> None:
    t = np.linspace(0.3, 0.3 + arc, n)
    centre, radius, misfit = fit_circle(np.column_stack((x + r * np.cos(t), y + r * np.sin(t))))
    assert (*centre, radius) == pytest.approx((x, y, r), abs=1e-6 * (1 + r), rel=1e-6)
    assert misfit < 1e-8 * r + 1e-9


def test_points_on_a_line_have_a_huge_circle() -> None:
    x = np.linspace(-5, 5, 11)
    _, radius, misfit = fit_circle(np.column_stack((x, 0.5 * x)))
    assert radius > 1e3 or misfit > 0.1


@examples(40)
@given(st.floats(2, 50), st.floats(0.2, 0.95), st.floats(0, 3.14), st.integers(8, 80))
def test_an_exact_ellipse_gives_its_axes(long: float, ratio: float, turn: float, n: int) -> None:
    t = np.linspace(0, 5.5, n)
    x, y = long * np.cos(t), long * ratio * np.sin(t)
    points = np.column_stack((x * np.cos(turn) - y * np.sin(turn) + 9, x * np.sin(turn) + y * np.cos(turn) - 4))
    found = fit_ellipse(points)
    assert found is not None
    assert found[:2] == pytest.approx((long, long * ratio), rel=1e-6)
    assert found[2] < 1e-6 * long


def test_no_ellipse_through_few_points_or_a_hyperbola() -> None:
    assert fit_ellipse(np.zeros((5, 2))) is None
    x = np.linspace(1, 4, 20)
    assert fit_ellipse(np.column_stack((np.r_[x, -x], np.r_[1 / x, -1 / x]))) is None
