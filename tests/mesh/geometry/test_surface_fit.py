"""Fits: exact corners give the exact surface back, from a start that is only roughly right."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.surface_fit import fit_cylinder, fit_plane, fit_sphere, refine_surface

Array = NDArray[np.float64]


def on(kind: str, seed: int, wrap: float, n: int = 60) -> tuple[Array, Array, Array]:
    """Corners of a round of radius 7 (slope 0.2, tube 2), its axis direction and a point of it."""
    rng = np.random.default_rng(seed)
    turn = Rotation.random(random_state=seed).as_matrix()
    t, z = rng.random(n) * wrap, rng.random(n) * 10
    if kind == "torus":
        a = rng.random(n) * 2 * np.pi
        r, z = 7 + 2 * np.cos(a), 2 * np.sin(a)
    else:
        r = 7 + (0.2 * z if kind == "cone" else 0 * z)
    place = rng.normal(size=3) * 20
    return np.column_stack((r * np.cos(t), r * np.sin(t), z)) @ turn.T + place, turn[:, 2], place


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(["cylinder", "cone", "torus"]), st.integers(0, 10_000), st.floats(1.5, 6.28))
def test_refine_finds_the_round_again(kind: str, seed: int, wrap: float) -> None:
    points, direction, place = on(kind, seed, wrap)
    rng = np.random.default_rng(seed + 1)
    tilt = direction + rng.normal(size=3) * 0.02
    start = AnalyticSurface(
        kind,  # type: ignore[arg-type]
        place + rng.normal(size=3) * 0.1,
        tilt / np.linalg.norm(tilt),
        7.1,
        0.19 if kind == "cone" else 0.0,
        2.05 if kind == "torus" else 0.0,
    )
    found = refine_surface(start, points, 40)
    assert np.abs(found.distance(points)).max() < 1e-8
    assert abs(float(found.direction @ direction)) == pytest.approx(1, abs=1e-12)


def test_cylinder_from_a_rough_direction() -> None:
    points, direction, _ = on("cylinder", 3, 6.0)
    found = fit_cylinder(points, direction + np.array((0.1, -0.1, 0.05)))
    assert found.radius == pytest.approx(7, abs=1e-9)


def test_the_radius_of_a_noisy_cylinder_is_near_the_statistical_limit() -> None:
    """sigma / sqrt(n) is the standard error of a radius when the axis is known; fitting the axis costs a little."""
    sigma, n = 0.02, 800
    errors = []
    for seed in range(30):
        points, direction, _ = on("cylinder", seed, 2 * np.pi, n)
        noisy = points + np.random.default_rng(seed + 99).normal(size=points.shape) * sigma
        errors.append(fit_cylinder(noisy, direction).radius - 7)
    spread = float(np.sqrt(np.mean(np.square(errors))))
    assert spread < 1.35 * sigma / np.sqrt(n)


def test_circle_sphere_and_plane() -> None:
    t = np.linspace(0, 0.6, 12)
    centre, radius, misfit = fit_circle(np.column_stack((50 * np.cos(t) + 3, 50 * np.sin(t) - 8)))
    assert (*centre, radius) == pytest.approx((3, -8, 50), abs=1e-8)
    assert misfit < 1e-9
    p = np.random.default_rng(1).normal(size=(40, 3))
    ball = fit_sphere(p / np.linalg.norm(p, axis=1)[:, None] * 9 + [1, 2, 3])
    assert (*ball.point, ball.radius) == pytest.approx((1, 2, 3, 9))
    flat = fit_plane(np.column_stack((p[:, :2], np.full(40, 4.0))))
    assert abs(flat.direction[2]) == pytest.approx(1)
    assert float(flat.distance(np.array([[0, 0, 6.0]]))[0]) == pytest.approx(2 * np.sign(flat.direction[2]))
