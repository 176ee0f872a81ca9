"""Machinery's Handbook, 31st ed. (Industrial Press 2020), p. 82: regular polygons, the 15 printed rows.

Rows for n = 3..10, 12, 16, 20, 24 as transcribed in the project's reference list, which found every one of the 135
printed entries to be the exact value rounded to the printed digits. The rows 32, 48 and 64 are not transcribed there:
they are formed here by doubling the square and the hexagon, as Archimedes did, in fifty digits.
"""

import math
from decimal import Decimal, localcontext

import pytest

from foldsketch.solid.faceting.polygon import RegularPolygon
from foldsketch.solid.faceting.sides import FacetChoice, side_count

COLUMNS = ("A/S2", "A/R2", "A/r2", "R/S", "R/r", "S/R", "S/r", "r/R", "r/S")
PRINTED = """
3 0.4330 1.2990 5.1962 0.5774 2.0000 1.7321 3.4641 0.5000 0.2887
4 1.0000 2.0000 4.0000 0.7071 1.4142 1.4142 2.0000 0.7071 0.5000
5 1.7205 2.3776 3.6327 0.8507 1.2361 1.1756 1.4531 0.8090 0.6882
6 2.5981 2.5981 3.4641 1.0000 1.1547 1.0000 1.1547 0.8660 0.8660
7 3.6339 2.7364 3.3710 1.1524 1.1099 0.8678 0.9631 0.9010 1.0383
8 4.8284 2.8284 3.3137 1.3066 1.0824 0.7654 0.8284 0.9239 1.2071
9 6.1818 2.8925 3.2757 1.4619 1.0642 0.6840 0.7279 0.9397 1.3737
10 7.6942 2.9389 3.2492 1.6180 1.0515 0.6180 0.6498 0.9511 1.5388
12 11.196 3.0000 3.2154 1.9319 1.0353 0.5176 0.5359 0.9659 1.8660
16 20.109 3.0615 3.1826 2.5629 1.0196 0.3902 0.3978 0.9808 2.5137
20 31.569 3.0902 3.1677 3.1962 1.0125 0.3129 0.3168 0.9877 3.1569
24 45.575 3.1058 3.1597 3.8306 1.0086 0.2611 0.2633 0.9914 3.7979
"""
ROWS = [line.split() for line in PRINTED.split("\n") if line]


def measures(n):
    """The columns of the Handbook's table from our own polygon: A area, S side, R circumradius, r inradius."""
    p = RegularPolygon.of(n, 1.0, "inside")
    sizes = {"A": n / 2 * p.side * p.inradius, "S": p.side, "R": p.circumradius, "r": p.inradius}
    return {c: sizes[c[0]] / sizes[c[2]] ** (2 if c[0] == "A" else 1) for c in COLUMNS}


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"n{r[0]}")
def test_handbook_table(row):
    table = measures(int(row[0]))
    for column, printed in zip(COLUMNS, row[1:], strict=True):
        digits = len(printed.split(".")[1])
        assert f"{table[column]:.{digits}f}" == printed, column


def doubled(n, side, times):
    """Side of the inscribed polygon in the unit circle after doubling: s' = sqrt(2 - sqrt(4 - s2)) [Archimedes]."""
    for _ in range(times):
        side, n = (2 - (4 - side * side).sqrt()).sqrt(), 2 * n
    return n, side


@pytest.mark.parametrize(
    ("n", "side", "times"), [(4, Decimal(2).sqrt(), 3), (6, Decimal(1), 3), (4, Decimal(2).sqrt(), 4)], ids=str
)
def test_handbook_rows_by_doubling(n, side, times):
    with localcontext() as context:
        context.prec = 50
        n, s = doubled(n, side if n == 6 else Decimal(2).sqrt(), times)
        r = (1 - s * s / 4).sqrt()  # inradius, by Pythagoras
        area = n * s * r / 2
        exact = (area / s**2, area, area / r**2, 1 / s, 1 / r, s, s / r, r, r / s)
    table = measures(n)
    for column, value in zip(COLUMNS, exact, strict=True):
        digits = 4 if value < 10 else 3 if value < 100 else 2
        assert f"{table[column]:.{digits}f}" == f"{value:.{digits}f}", column


# [D] derived list of the project's references, 6 decimals: n, sagitta/R, (1/cos a)-1, equal-area factor of R.
DERIVED = [
    (3, 0.500000, 1.000000, 1.555120),
    (5, 0.190983, 0.236068, 1.149481),
    (7, 0.099031, 0.109916, 1.071481),
    (11, 0.040507, 0.042217, 1.027872),
    (13, 0.029058, 0.029928, 1.019814),
    (17, 0.017027, 0.017322, 1.011502),
    (24, 0.008555, 0.008629, 1.005741),
]


@pytest.mark.parametrize(("n", "sagitta", "proud", "factor"), DERIVED)
def test_radius_rules(n, sagitta, proud, factor):
    assert RegularPolygon.of(n, 1.0, "inside").chord_error == pytest.approx(sagitta, abs=5e-7)
    assert RegularPolygon.of(n, 1.0, "outside").chord_error == pytest.approx(proud, abs=5e-7)
    assert RegularPolygon.of(n, 1.0, "equal-area").circumradius == pytest.approx(factor, abs=5e-7)


# References section 10 [D]: sides for a radius and a tolerance (inscribed), exact quotient pi / acos(1 - d/R).
COUNTS = [(5, 0.5, 7), (10, 0.5, 10), (25, 0.5, 16), (50, 0.5, 23), (10, 0.1, 23), (25, 0.1, 36), (50, 1, 16)]


@pytest.mark.parametrize(("radius", "error", "fewest"), COUNTS)
def test_sides_from_chord_error(radius, error, fewest):
    """The inside rule takes the tabulated count, rounded up to an even one so that the model can be symmetric."""
    n = side_count(radius, radius, FacetChoice(chord_error=error, min_side_width=0.1, radius_rule="inside"))
    assert n == fewest + fewest % 2


def test_handbook_worked_hexagonal_prism():
    """Machinery's Handbook 31, p. 88: hexagonal prism, s = 7.5 cm, h = 25 cm: end 146.14 cm2, volume 3653.5 cm3."""
    from foldsketch.part.model import Axis, Feature, Part, PrismShape
    from foldsketch.solid.faceting.facet import facet
    from foldsketch.solid.joining.blocks import join

    across = 75 * math.sqrt(3)
    part = Part("hex", (Axis("A"),), (Feature("hex", "A", PrismShape(6, across), 0, 250),))
    solids = join(facet(part, 1.0, FacetChoice()))
    assert solids.blocks[0].skin.volume / 1000 == pytest.approx(3653.5, abs=0.05)
    assert solids.blocks[0].skin.volume / 25 / 1000 * 10 == pytest.approx(1461.4, abs=0.05)
