"""The step to which coordinates are rounded."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.mesh.geometry.coordinate_resolution import estimate_resolution


@examples(40)
@given(st.integers(1, 5), st.integers(0, 10_000))
def test_it_is_found_from_the_decimals(places: int, seed: int) -> None:
    points = np.round(np.random.default_rng(seed).random((400, 3)) * 90, places)
    assert estimate_resolution(points, False) == pytest.approx(10.0**-places)


@pytest.mark.parametrize("digits", [4, 5, 6, 7])
def test_it_is_found_from_significant_digits(digits: int) -> None:
    """Numbers up to 1000 with so many digits: the largest, below 1000, are rounded to 10^(3 - digits)."""
    values = np.random.default_rng(digits).uniform(0.001, 999, 1200)
    power = 10.0 ** (np.floor(np.log10(values)) - digits + 1)
    points = (np.round(values / power) * power).reshape(-1, 3)
    assert estimate_resolution(points, False) == pytest.approx(10.0 ** (3 - digits))


def test_numbers_of_32_bits_are_as_far_apart_as_ieee_754_says() -> None:
    """24 bits: at 1024 and above the step is 2^-13."""
    points = np.random.default_rng(1).uniform(-1500, 1500, (300, 3)).astype(np.float32).astype(np.float64)
    assert estimate_resolution(points, True) == pytest.approx(2.0**-13)


def test_round_sizes_are_no_rounding() -> None:
    assert estimate_resolution(np.array(trimesh.creation.box((40, 30, 20)).vertices), True) < 1e-5
    whole = np.random.default_rng(1).integers(0, 3, (90, 3)) * 10.0  # multiples of ten, but only three of them
    assert estimate_resolution(whole, False) < 1e-9


def test_a_part_that_was_moved_away_and_back_keeps_the_step_it_had_there() -> None:
    """24 bits: beyond 512 the step is 2^-14, and stays when the part comes back [IEEE 754]."""
    points = np.random.default_rng(1).uniform(0, 90, (300, 3)).astype(np.float32)
    back = (points + np.float32(900)) - np.float32(900)
    assert estimate_resolution(back.astype(np.float64), True) == pytest.approx(2.0**-14)
