"""Balance against ISO 21940-11 as quoted in references section 3, and worked examples named beside each check."""

import cmath
import math

import pytest

from foldsketch.setup.formulas.balance import centrifugal_force, counterweight, speed_at_grade, unbalance

SPEEDS = (300, 500, 600, 1000, 1500, 1800, 3000, 3600, 10000, 15000)
TABLE = {
    16: (509.296, 305.577, 254.648, 152.789, 101.859, 84.883, 50.930, 42.441, 15.279, 10.186),
    6.3: (200.535, 120.321, 100.268, 60.161, 40.107, 33.423, 20.054, 16.711, 6.016, 4.011),
    2.5: (79.577, 47.746, 39.789, 23.873, 15.915, 13.263, 7.958, 6.631, 2.387, 1.592),
    1: (31.831, 19.099, 15.915, 9.549, 6.366, 5.305, 3.183, 2.653, 0.955, 0.637),
    0.4: (12.732, 7.639, 6.366, 3.820, 2.546, 2.122, 1.273, 1.061, 0.382, 0.255),
}


@pytest.mark.parametrize("grade", TABLE)
def test_speeds_of_the_permissible_eccentricities(grade):
    """The table of references section 3, um (g mm/kg) at a speed, printed to 0.001 um [D]."""
    for n, e in zip(SPEEDS, TABLE[grade], strict=True):
        assert speed_at_grade(1, e, grade) == pytest.approx(n, rel=5.1e-4 / e)


def test_rotor_of_the_standard():
    """3600 kg at 3000 r/min, G2.5: 28.65e3 g mm [M: worked example of ISO 1940-1]."""
    assert speed_at_grade(3600, 28650, 2.5) == pytest.approx(3000, rel=1e-3)


def test_rim_of_the_handbook():
    """Machinery's Handbook 31st ed. p. 195: 20 lb at 9 in, 800 r/min: 3273.52 lbf (its constant has g = 32.16)."""
    force = centrifugal_force(unbalance(20 * 0.45359237, 9 * 25.4), 800) / 4.4482216152605
    assert force == pytest.approx(3273.52, rel=5e-4)
    assert force == pytest.approx(3272.07, abs=5e-3)


def resultant(masses):
    """Unbalance, g mm, and its angle, radians, of masses in one plane, each (kg, mm, radians)."""
    return cmath.polar(sum(unbalance(m, r) * cmath.exp(1j * a) for m, r, a in masses))


def test_four_masses_in_a_plane():
    """Theory of machines, worked solution (ch. 8, p. 221): balance of 8.1 kg at 267.5 degrees, at 100 mm."""
    deg = math.radians
    amount, angle = resultant([(12, 40, 0), (10, 50, deg(60)), (18, 60, deg(130)), (15, 30, deg(270))])
    mass, at = counterweight(amount, angle, 100)
    assert mass == pytest.approx(8.1, abs=0.05)
    assert mass == pytest.approx(8.11131, abs=5e-6)
    assert math.degrees(at) == pytest.approx(267.4711, abs=5e-5)


def test_khurmi():
    """[M: Khurmi & Gupta, Theory of Machines, ex. 21.1]: 116 kg at 201.48 degrees (rounded parts; exact 201.3119)."""
    deg = math.radians
    amount, angle = resultant([(200, 200, 0), (300, 150, deg(45)), (240, 250, deg(120)), (260, 300, deg(255))])
    mass, at = counterweight(amount, angle, 200)
    assert mass == pytest.approx(116, abs=0.5)
    assert math.degrees(at) == pytest.approx(201.48, abs=0.2)
    assert math.degrees(at) == pytest.approx(201.3119, abs=5e-5)


def test_reference_bodies():
    """Section 7: pin and disc, forces and the G6.3 allowance [D]."""
    assert centrifugal_force(739.845, 500) == pytest.approx(2.02833, rel=1e-5)
    assert centrifugal_force(739.845, 1000) == pytest.approx(8.11331, rel=1e-5)
    assert centrifugal_force(591.876, 1000) == pytest.approx(6.49065, rel=1e-5)
    assert speed_at_grade(0.394584, 23.738, 6.3) == pytest.approx(1000, rel=1e-3 / 23.738)


def test_no_unbalance_has_no_limit():
    assert speed_at_grade(1, 0, 16) == math.inf
