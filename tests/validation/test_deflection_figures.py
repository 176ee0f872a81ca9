"""Cantilever deflection against references section 8; sources beside each check."""

import math

import pytest

from foldsketch.setup.formulas.bar_deflection import bar_type_for, deflection, second_moment_of_area

IN, LBF, PSI = 25.4, 4.4482216152605, 0.006894757293168


def test_second_moment():
    """E. Isakov, 'Boring: calculating deflection' (2019): 1 in bar 0.0491 in4, 25.4 mm bar 20 432 mm4."""
    assert second_moment_of_area(1) == pytest.approx(0.0491, abs=5e-5)
    assert second_moment_of_area(25.4) == pytest.approx(20432, abs=0.5)


def test_isakov_examples():
    """Examples 1 and 2 of the same article."""
    assert deflection(207.8, 4, 1, 30e6) == pytest.approx(0.003, abs=5e-5)
    assert deflection(207.8, 4, 1, 30e6) == pytest.approx(0.0030103, abs=5e-8)
    assert deflection(911.1, 101.6, 25.4, 206_000) == pytest.approx(0.0757, abs=5e-5)


def test_beam_example():
    """Steel d 5 in, L 15 in, F 20 lbf, E 30e6 psi: 2.44462e-5 in [P: beam example, verified]."""
    assert deflection(20, 15, 5, 30e6) == pytest.approx(2.44462e-5, rel=1e-5)
    metric = deflection(20 * LBF, 15 * IN, 5 * IN, 30e6 * PSI) / IN
    assert metric == pytest.approx(2.44462e-5, rel=1e-5)


@pytest.mark.parametrize(
    ("d", "length", "force", "expected"),
    [(20, 60, 200, 0.0087308), (20, 80, 200, 0.0206952), (25, 100, 500, 0.0413904), (12, 60, 100, 0.0336836)],
)
def test_steel_bars(d, length, force, expected):
    """E 210 GPa [D]."""
    assert deflection(force, length, d) == pytest.approx(expected, abs=5.1e-8)


def test_laws():
    """Twice the overhang, eight times the deflection; twice the bar, a sixteenth."""
    assert deflection(1, 80, 10) / deflection(1, 40, 10) == pytest.approx(8)
    assert deflection(1, 40, 10) / deflection(1, 40, 20) == pytest.approx(16)
    assert [bar_type_for(r) for r in (3, 5, 7, 9)] == ["solid steel", "heavy metal", "carbide", "damped"]
    assert bar_type_for(math.nextafter(10, 11)) is None
