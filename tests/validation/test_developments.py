"""Frustum and cone developments, prism volumes and areas, from sheet-metal and machinery handbooks, through real nets.

A frustum's net of many sides approaches the ring sector of the development: its slant, radii and angle are measured on
the unfolded panels and held against the published figures.
"""

import math

import numpy as np
import pytest

from foldsketch.net.build import build_nets
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, PrismShape
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join

N = 120


def strip(shape, height, sides=N):
    part = Part("p", (Axis("A"),), (Feature("p", "A", shape, 0, height),))
    faceted = facet(part, 1.0, FacetChoice(sides=sides, radius_rule="inside"))
    made = join(faceted)
    return made.blocks[0], build_nets(faceted, made, 1.0)


def area(panel):
    x, y = panel.outline.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def sector(nets):
    """Outer and inner radius and angle (degrees) of a frustum's row of sides, from the panels as they lie on paper."""
    sides = [p for p in nets.pieces[0].panels if p.kind == "side"]
    turns = []
    edges = []
    for p in sides:
        lengths = [np.linalg.norm(p.outline[i] - p.outline[i - 1]) for i in range(len(p.outline))]
        edges.append(sorted(lengths))
        # The two slanted edges of a trapezium meet at the centre of the development.
        q = p.outline
        long = [i for i in range(len(q)) if abs(lengths[i] - max(lengths)) < 1e-6]
        u, v = (q[i] - q[i - 1] for i in long[:2])
        turns.append(math.acos(min(1.0, abs(u @ v) / np.linalg.norm(u) / np.linalg.norm(v))))
    slant = edges[0][-1]
    chord_small, chord_large = edges[0][0], edges[0][1]
    half = turns[0] / 2
    outer = chord_large / 2 / math.sin(half)
    inner = chord_small / 2 / math.sin(half) if len(sides[0].outline) == 4 else 0.0
    return outer, inner, math.degrees(sum(turns)), slant


# (source, large diameter, small diameter, height, slant, outer radius, inner radius, sector angle in degrees)
FRUSTA = [
    ("Geometry 2, 'The Net of a Frustum', duct adapter, published", 80, 50, 40, 42.72002, 113.92005, 71.20003, 126.404),
    ("Math Central, U. of Regina, question; figures derived", 550, 290, 250, 281.780, 596.073, 314.293, 166.087),
    ("Longfield, Sheet Metal Drafting, p. 128, in x 25.4", 152.4, 76.2, 76.2, 85.194, 170.388, 85.194, 160.997),
]  # fmt: skip


@pytest.mark.parametrize(("source", "large", "small", "height", "slant", "outer", "inner", "angle"), FRUSTA)
def test_frustum_developments(source, large, small, height, slant, outer, inner, angle):
    """With 120 sides the polygon's development lies within 1 part in 1000 of the cone's; the error falls as 1/n2."""
    _, nets = strip(Cone(large, small), height)
    got = sector(nets)
    assert got[3] == pytest.approx(slant, rel=1e-3), source
    assert got[0] == pytest.approx(outer, rel=1e-3), source
    assert got[1] == pytest.approx(inner, rel=1e-3), source
    assert got[2] == pytest.approx(angle, rel=1e-3), source


def test_lateral_area_of_longfields_frustum():
    """Longfield, Sheet Metal Drafting, p. 128: upper 6, lower 3, altitude 3 in: lateral surface 47.42 sq in."""
    _, nets = strip(Cone(152.4, 76.2), 76.2)
    total = sum(area(p) for p in nets.pieces[0].panels if p.kind == "side")
    assert total / 25.4**2 == pytest.approx(47.42, rel=1e-3)


def test_cone_of_the_handbook():
    """Machinery's Handbook 31, p. 90: cone d 6, h 4: slant 5, volume 37.7, conical surface 47.124."""
    block, nets = strip(Cone(60, 0), 40)
    total = sum(area(p) for p in nets.pieces[0].panels if p.kind == "side")
    assert block.skin.volume / 1000 == pytest.approx(37.7, rel=1e-3)
    assert total / 100 == pytest.approx(47.124, rel=1e-3)


def test_cylinder_of_the_handbook():
    """Machinery's Handbook 31, p. 89: cylinder d 2.5, h 20: volume 98.17, open surface 157.08."""
    block, nets = strip(Cylinder(25), 200)
    total = sum(area(p) for p in nets.pieces[0].panels if p.kind == "side")
    assert block.skin.volume / 1000 == pytest.approx(98.17, rel=1e-3)
    assert total / 100 == pytest.approx(157.08, rel=1e-3)


def test_regular_frustum_formulas():
    """n-gon frustum: slant edge sqrt(h2 + (R-r)2), trapezium parallel sides 2R sin(pi/n), 2r sin(pi/n) [D]."""
    n, R, r, h = 8, 40.0, 25.0, 30.0
    _, nets = strip(Cone(2 * R, 2 * r), h, sides=n)
    p = next(p for p in nets.pieces[0].panels if p.kind == "side")
    lengths = sorted(float(np.linalg.norm(p.outline[i] - p.outline[i - 1])) for i in range(4))
    expected = sorted([math.hypot(h, R - r)] * 2 + [2 * R * math.sin(math.pi / n), 2 * r * math.sin(math.pi / n)])
    assert lengths == pytest.approx(expected, rel=1e-12)


def test_handbook_hexagonal_prism_surface():
    """Machinery's Handbook 31, p. 88: hexagonal prism s 7.5, h 25 cm: end 146.14 cm2."""
    _, nets = strip(PrismShape(6, 75 * math.sqrt(3)), 250)
    ends = [area(p) for p in nets.pieces[0].panels if p.kind == "end"]
    assert [round(a / 100, 2) for a in ends] == [146.14, 146.14]
