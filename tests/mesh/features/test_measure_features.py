"""The +/- of a diameter: how often it holds the true one, for corners off by noise of a known size."""

import numpy as np
import pytest

from foldsketch.mesh.features.measure_features import diameter_tolerance

ROUNDS = 300


@pytest.mark.parametrize(("degrees", "count"), [(360, 64), (180, 40), (90, 40), (70, 200)])
def test_the_tolerance_holds_the_true_diameter_nineteen_times_of_twenty(degrees, count):
    """Circles of radius 20 fitted by least squares [D] to corners with noise of 0.01 mm: two deviations are 95 %."""
    rng = np.random.default_rng(7)
    a = np.radians(np.linspace(-degrees / 2, degrees / 2, count, endpoint=degrees < 360))
    held = 0
    for _ in range(ROUNDS):
        r = 20 + rng.normal(0, 0.01, count)
        x, y = r * np.cos(a), r * np.sin(a)
        p = np.linalg.lstsq(np.column_stack((x, y, np.ones(count))), x * x + y * y, rcond=None)[0]
        radius = float(np.sqrt(p[2] + (p[0] ** 2 + p[1] ** 2) / 4))
        misfit = np.hypot(x - p[0] / 2, y - p[1] / 2) - radius
        held += abs(2 * radius - 40) <= diameter_tolerance(degrees, misfit, 0.0)
    assert 0.91 * ROUNDS <= held <= 0.985 * ROUNDS
