"""Sweeps against points sampled on the features themselves."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape
from foldsketch.setup.access.sweep import sweep_of, sweeps, swept_profile, swing


def one(shape, x=0.0, y=0.0):
    return Part("one", (Axis("A"), Axis("B", (x, y, 0.0))), (Feature("f", "B", shape, 0, 10),))


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(1, 80))
def test_a_round(x, y, d):
    s = sweep_of(one(Cylinder(d), x, y), one(Cylinder(d), x, y).features[0], (0.0, 0.0))
    away = math.hypot(x, y)
    assert s.outer == pytest.approx(away + d / 2)
    assert s.inner == pytest.approx(max(0.0, away - d / 2), abs=1e-9)


@examples(30)
@given(st.integers(3, 9), st.floats(5, 60), st.floats(0, 1), st.floats(-40, 40))
def test_a_prism_against_sampled_points(n, across, turn, x):
    part = one(PrismShape(n, across, turn), x, 3.0)
    s = sweep_of(part, part.features[0], (0.0, 0.0))
    r = across / 2 / math.cos(math.pi / n)
    corners = [
        (x + r * math.cos(turn + (2 * k + 1) * math.pi / n), 3 + r * math.sin(turn + (2 * k + 1) * math.pi / n))
        for k in range(n)
    ]
    points = [
        (a[0] + (b[0] - a[0]) * t / 400, a[1] + (b[1] - a[1]) * t / 400)
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
        for t in range(400)
    ]
    far = [math.hypot(*p) for p in points]
    assert s.outer == pytest.approx(max(far), rel=1e-9)
    if s.inner > 0:
        assert s.inner == pytest.approx(min(far), abs=0.01)


def test_profile_joins_equal_neighbours():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (10.0, 0.0, 0.0))),
        (
            Feature("a", "A", Cylinder(40), 0, 10),
            Feature("b", "B", Cylinder(20), 10, 20),
            Feature("c", "A", Cylinder(40), 20, 30),
            Feature("hole", "A", Cylinder(5), -1, 31, cut=True),
        ),
    )
    rings = sweeps(part, (0.0, 0.0))
    assert [s.feature for s in rings] == ["a", "b", "c"]
    assert swept_profile(rings) == ((0, 30, pytest.approx(20)),)
    assert swing(rings) == pytest.approx(40)
    about = sweeps(part, (10.0, 0.0))
    assert swept_profile(about) == (
        (0, 10, pytest.approx(30)),
        (10, 20, pytest.approx(10)),
        (20, 30, pytest.approx(30)),
    )


def test_plate_with_an_outline():
    part = one(Plate(outline=((-10.0, -5.0), (10.0, -5.0), (10.0, 5.0), (-10.0, 5.0))), 20.0, 0.0)
    s = sweep_of(part, part.features[0], (0.0, 0.0))
    assert s.inner == pytest.approx(10)
    assert s.outer == pytest.approx(math.hypot(30, 5))


def test_a_round_across_sweeps_to_its_far_end():
    part = Part(
        "p",
        (Axis("A"), Axis("X", (0.0, 5.0, 20.0), (1.0, 0.0, 0.0))),
        (Feature("arm", "X", Cylinder(10), -30, 50),),
    )
    ring = sweep_of(part, part.features[0], (0.0, 0.0))
    assert (ring.start, ring.end) == pytest.approx((15, 25))
    # Halfway up it is 10 mm wide, from y = 0 to 10, and reaches x = 50.
    assert ring.inner == pytest.approx(0, abs=0.2)
    assert ring.outer == pytest.approx(math.hypot(50, 10), rel=2e-3)


def test_the_outline_steps_where_the_widest_does():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (10.0, 0.0, 0.0))),
        (
            Feature("low", "A", Cylinder(40), 0, 10),
            Feature("same", "A", Cylinder(40), 10, 20),
            Feature("pin", "B", Cylinder(10), 20, 50),
            Feature("far", "A", Cylinder(20), 60, 70),
        ),
    )
    rings = sweeps(part, (0.0, 0.0))
    assert swing(rings) == 40
    assert swept_profile(rings) == ((0, 20, 20), (20, 50, 15), (50, 60, 0), (60, 70, 10))
