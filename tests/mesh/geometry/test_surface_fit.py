"""Fits: exact corners give the exact surface back, from a start that is only roughly right."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from examples import examples
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, SurfaceKind
from foldsketch.mesh.geometry.surface_fit import (
    apply_step,
    distance_derivatives,
    fit_cylinder,
    fit_plane,
    fit_sphere,
    refine_surface,
    solve_least_squares,
)

Array = NDArray[np.float64]
ROUNDS: list[SurfaceKind] = ["cylinder", "cone", "sphere", "torus"]


def on(kind: str, seed: int, wrap: float, n: int = 60) -> tuple[Array, Array, Array]:
    """Corners of a round of radius 7 (slope 0.2, tube 2), its axis direction and a point of it."""
    rng = np.random.default_rng(seed)
    turn = Rotation.random(random_state=seed).as_matrix()
    t, z = rng.random(n) * wrap, rng.random(n) * 10
    if kind == "torus":
        a = rng.random(n) * 2 * np.pi
        r, z = 7 + 2 * np.cos(a), 2 * np.sin(a)
    elif kind == "sphere":
        z = z * 1.3 - 6.5
        r = np.sqrt(49 - z * z)
    else:
        r = 7 + (0.2 * z if kind == "cone" else 0 * z)
    place = rng.normal(size=3) * 20
    return np.column_stack((r * np.cos(t), r * np.sin(t), z)) @ turn.T + place, turn[:, 2], place


def rough(kind: SurfaceKind, direction: Array, place: Array, seed: int) -> AnalyticSurface:
    """A start that is a tenth off."""
    rng = np.random.default_rng(seed + 1)
    tilt = direction + rng.normal(size=3) * 0.02
    slope, tube = (0.19 if kind == "cone" else 0.0), (2.05 if kind == "torus" else 0.0)
    return AnalyticSurface(kind, place + rng.normal(size=3) * 0.1, tilt / np.linalg.norm(tilt), 7.1, slope, tube)


@examples(25)
@given(st.sampled_from(ROUNDS), st.integers(0, 10_000), st.floats(1.5, 6.28))
def test_refine_finds_the_round_again(kind: SurfaceKind, seed: int, wrap: float) -> None:
    points, direction, place = on(kind, seed, wrap)
    found = refine_surface(rough(kind, direction, place, seed), points, 40)
    assert np.abs(found.distance(points)).max() < 1e-8
    if kind != "sphere":
        assert abs(float(found.direction @ direction)) == pytest.approx(1, abs=1e-12)


@examples(12)
@given(st.sampled_from(ROUNDS), st.integers(0, 10_000))
def test_no_general_optimizer_comes_nearer(kind: SurfaceKind, seed: int) -> None:
    """Noisy corners: scipy.optimize.least_squares from the surface found stays there."""
    points, direction, place = on(kind, seed, 5.0)
    points = points + np.random.default_rng(seed).normal(size=points.shape) * 0.02
    found = refine_surface(rough(kind, direction, place, seed), points, 40)
    best = least_squares(lambda x: apply_step(found, x).distance(points), np.zeros(7))
    assert (found.distance(points) ** 2).sum() <= 2 * best.cost * (1 + 1e-6)


@pytest.mark.parametrize("kind", get_args(SurfaceKind))
def test_distance_grows_along_the_normal(kind: SurfaceKind) -> None:
    """A step of h along the normal from a point on the surface is a distance of h."""
    points, direction, place = on(kind, 5, 6.0) if kind != "plane" else (np.eye(3), np.ones(3) / 3**0.5, np.eye(3)[0])
    shape = AnalyticSurface(
        kind, place, direction, 0 if kind == "plane" else 7, 0.2 if kind == "cone" else 0, 2 if kind == "torus" else 0
    )
    normal = shape.normal(points)
    assert np.linalg.norm(normal, axis=1) == pytest.approx(1)
    assert shape.distance(points) == pytest.approx(0, abs=1e-9)
    for h in (-0.5, 0.3):
        assert shape.distance(points + h * normal) == pytest.approx(h, abs=1e-9)
    assert shape.reversed().distance(points + normal) == pytest.approx(-1 if kind == "plane" else 1)


@examples(20)
@given(st.sampled_from(ROUNDS), st.integers(0, 10_000))
def test_derivatives_are_those_of_small_steps(kind: SurfaceKind, seed: int) -> None:
    """Differences of distances after a step of 1e-6 in each direction."""
    points, direction, place = on(kind, seed, 6.0)
    shape = rough(kind, direction, place, seed)
    rows = distance_derivatives(shape, points)
    for k in range(7):
        step = np.zeros(7)
        step[k] = 1e-6
        if kind == "sphere" and k in (3, 4, 6):
            continue  # a sphere has no direction
        if kind == "cylinder" and k == 6:
            continue  # and a cylinder neither slope nor tube
        slope = (apply_step(shape, step).distance(points) - shape.distance(points)) / 1e-6
        assert rows[k] == pytest.approx(slope, abs=1e-4)


@given(st.integers(1, 6), st.integers(0, 10_000))
def test_least_squares_is_that_of_numpy(k: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows, right = rng.normal(size=(k, 40)) * 10.0 ** rng.integers(-3, 4, k)[:, None], rng.normal(size=40)
    assert solve_least_squares(rows, right) == pytest.approx(np.linalg.lstsq(rows.T, right, rcond=None)[0], rel=1e-6)


def test_a_fit_that_cannot_be_bettered_stays() -> None:
    points, direction, place = on("cylinder", 2, 6.0)
    exact = AnalyticSurface("cylinder", place, direction, 7.0)
    assert np.abs(refine_surface(exact, points).distance(points)).max() < 1e-12
    assert refine_surface(exact, points, 0).radius == 7.0


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


def test_sphere_and_plane() -> None:
    p = np.random.default_rng(1).normal(size=(40, 3))
    ball = fit_sphere(p / np.linalg.norm(p, axis=1)[:, None] * 9 + [1, 2, 3])
    assert (*ball.point, ball.radius) == pytest.approx((1, 2, 3, 9))
    flat = fit_plane(np.column_stack((p[:, :2], np.full(40, 4.0))))
    assert abs(flat.direction[2]) == pytest.approx(1)
    assert float(flat.distance(np.array([[0, 0, 6.0]]))[0]) == pytest.approx(2 * np.sign(flat.direction[2]))
    again = refine_surface(flat, np.column_stack((p[:, :2], np.full(40, 5.0))))
    assert again.kind == "plane"
    assert again.point[2] == pytest.approx(5)
