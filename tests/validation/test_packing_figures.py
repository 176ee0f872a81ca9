"""Three-jaw packing, four jaws and indicator readings against references section 4; sources beside each check."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup.formulas.indicator import full_indicator_reading, indicator_reading, stroke
from foldsketch.setup.formulas.jaws import (
    corrected_packing,
    flat_jaw_packing,
    four_jaw_settings,
    frictionless_offset_limit,
    jaw_packing,
    narrow_jaw_packing,
    wide_jaw_packing,
)

# D, e, narrow, flat w = 5, flat w = 10, error of 1.5 e in per cent [D: three-point circles and brute force].
TABLE = [
    (25, 1, 1.469964, 1.500000, 1.500000, 2.043),
    (25, 2.5, 3.561072, 3.750000, 3.750000, 5.305),
    (25, 5, 6.726039, 7.365300, 7.500000, 11.507),
    (30, 3, 4.273287, 4.499679, 4.500000, 5.305),
    (40, 5, 7.025624, 7.416090, 7.500000, 6.752),
    (50, 2, 2.939928, 3.000000, 3.000000, 2.043),
    (50, 5, 7.122145, 7.432923, 7.500000, 5.305),
    (50, 10, 13.452079, 14.229141, 14.730599, 11.507),
    (60, 8, 11.189039, 11.671384, 11.937970, 7.248),
    (80, 10, 14.051248, 14.522794, 14.832180, 6.752),
    (100, 10, 14.244289, 14.619062, 14.865845, 5.305),
    (100, 25, 32.569391, 33.687154, 34.646117, 15.139),
]


@pytest.mark.parametrize(("d", "e", "narrow", "five", "ten", "error"), TABLE)
def test_packing_table(d, e, narrow, five, ten, error):
    assert narrow_jaw_packing(d, e) == pytest.approx(narrow, abs=5.1e-7)
    assert wide_jaw_packing(d, e, 5) == pytest.approx(five, abs=5.1e-7)
    assert wide_jaw_packing(d, e, 10) == pytest.approx(ten, abs=5.1e-7)
    assert flat_jaw_packing(e) == 1.5 * e
    assert 100 * (flat_jaw_packing(e) / narrow_jaw_packing(d, e) - 1) == pytest.approx(error, abs=6e-4)
    assert jaw_packing(d, e, 10) == (narrow_jaw_packing(d, e), 1.5 * e, wide_jaw_packing(d, e, 10), 10)


def test_thibault():
    """R. Thibault, 'Turning an eccentric hole in a 3-jaw chuck' (2000): R 1.6875, e 0.313, block 0.448 in."""
    assert narrow_jaw_packing(2 * 1.6875, 0.313) == pytest.approx(0.448, abs=5e-4)
    assert narrow_jaw_packing(2 * 1.6875, 0.313) == pytest.approx(0.447587, abs=5e-7)


def test_turners_table():
    """A turners' table k(e / D) reproduced by three trade pages; it agrees with narrow jaws within 2 % up to 0.17."""
    for a, k in ((0.10, 0.143), (0.125, 0.176), (0.15, 0.208)):
        assert narrow_jaw_packing(1, a) == pytest.approx(k, rel=0.02)
    assert narrow_jaw_packing(1, 0.20) != pytest.approx(0.276, rel=0.02)  # the table drifts high there


def test_wrong_rules_are_not_ours():
    """Section 12: 1.5 e (1 - 0.125 e / D) of a web calculator, and 1.5 e (1 + e / 2D) for one packing."""
    d, e = 50, 10
    calculator = 1.5 * e * (1 - 0.125 * e / d)
    assert calculator == pytest.approx(14.625)
    for ours in (narrow_jaw_packing(d, e), wide_jaw_packing(d, e, 10), flat_jaw_packing(e)):
        assert abs(ours - calculator) > 0.1
    assert abs(narrow_jaw_packing(d, e) - 1.5 * e * (1 + e / (2 * d))) > 2


@given(st.floats(5, 300), st.floats(0.001, 0.28))
def test_three_contact_points_make_the_circle(d, share):
    """Brute geometry: the circle through the three contacts has the work's radius and lies off by e."""
    e, r = d * share, d / 2
    x = narrow_jaw_packing(d, e)
    reach = e / 2 + math.sqrt(r * r - 0.75 * e * e)  # jaws 2 and 3 have closed this far
    contacts = [(reach - x) * 1.0, reach, reach]
    points = np.array(
        [[c * math.cos(t), c * math.sin(t)] for c, t in zip(contacts, (0, 2.0943951, -2.0943951), strict=True)]
    )
    # Perpendicular bisectors.
    a = 2 * (points[1:] - points[0])
    b = (points[1:] ** 2).sum(axis=1) - (points[0] ** 2).sum()
    centre = np.linalg.solve(a, b)
    assert np.hypot(*centre) == pytest.approx(e, rel=1e-6, abs=1e-6)
    assert centre[0] < 0, "the work moves away from the packed jaw"
    assert np.hypot(*(points[0] - centre)) == pytest.approx(r, rel=1e-6)
    # The inverse of references section 4.1.
    assert (3 * (r + x) - math.sqrt(9 * (r + x) ** 2 - 12 * (x * x + 2 * r * x))) / 6 == pytest.approx(e, rel=1e-9)


def test_limits():
    assert frictionless_offset_limit(100) == pytest.approx(28.87, abs=5e-3)
    assert narrow_jaw_packing(50, 25) == pytest.approx(25)  # x = R at e = R, references section 4.1
    with pytest.raises(FoldsketchError):
        narrow_jaw_packing(50, 30)
    with pytest.raises(FoldsketchError):
        four_jaw_settings(20, 12, 0.0)


def test_indicator_readings():
    """Section 4.3: R 25, e 5 reads 30, 24.494897, 20 at 0, 90, 180 degrees; TIR 2 e [P, D]."""
    right = math.pi / 2
    assert [indicator_reading(25, 5, k * right) for k in range(3)] == pytest.approx([30, 24.494897, 20], abs=5e-7)
    assert full_indicator_reading(5) == stroke(5) == 10
    turn = [k * math.pi / 180 for k in range(360)]
    found = [indicator_reading(25, 5, t) for t in turn]
    assert max(found) - min(found) == pytest.approx(10)


def test_four_jaws():
    """Along the offset the jaws stand at R + e and R - e; across it both at sqrt(R2 - e2)."""
    settings = four_jaw_settings(50, 5, 0.0)
    assert [s.contact_radius for s in settings] == pytest.approx([30, math.sqrt(600), 20, math.sqrt(600)])
    assert [s.moved for s in settings] == pytest.approx([5, -0.505103, -5, -0.505103], abs=1e-6)
    for s in settings:  # every contact lies on the round
        x, y = s.contact_radius * math.cos(s.angle), s.contact_radius * math.sin(s.angle)
        assert math.hypot(x - 5, y) == pytest.approx(25)


def test_try_and_correct():
    """Lathe-trade textbook rule in vocational question banks: x = 1.5 e +- 1.5 times the error of the first trial."""
    assert corrected_packing(3, 2.92) == pytest.approx(4.62)
    assert corrected_packing(2, 2.06) == pytest.approx(2.91)
    assert corrected_packing(2, 2.05) == pytest.approx(2.925)
