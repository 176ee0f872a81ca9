"""Sections of features: every shape square to its axis, on level axes and on slanted ones."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.mass.moments import section_moments
from foldsketch.part.mass.section import has_exact_sections, section_at_height, transverse_section
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring

TRIANGLE = Plate(outline=((0.0, 0.0), (30.0, 0.0), (0.0, 20.0)))
SHAPES = [
    # area: pi r2, of a ring pi (R2 - r2), of a hexagon s2 sqrt(3)/2, of a triangle half base times height [M]
    (Cylinder(30), math.pi * 225),
    (Ring(30, 10), math.pi * 200),
    (Cone(30, 10), math.pi * 100),  # half way: 20 mm across
    (PrismShape(6, 20), 400 * math.sqrt(3) / 2),
    (TRIANGLE, 300),
    (Plate(hull=((0, 0, 5), (20, 0, 5))), math.pi * 25 + 200),
]
UPRIGHT, DOWN = Axis("U", (3.0, 4.0, 5.0)), Axis("D", (3.0, 4.0, 25.0), (0.0, 0.0, -1.0))


def cut(axis, shape, z, start=0.0, end=20.0):
    part = Part("p", (axis,), (Feature("f", axis.name, shape, start, end),))
    return section_at_height(part, part.features[0], z)


def moments(region):
    return section_moments([(region, False)])


@pytest.mark.parametrize(("shape", "area"), SHAPES, ids=lambda v: type(v).__name__)
def test_sections_square_to_the_axis(shape, area):
    assert moments(transverse_section(Feature("f", "A", shape, 0, 20), 10))[0] == pytest.approx(area)


def test_a_prism_has_the_middle_of_a_flat_where_it_is_turned_to():
    hexagon = transverse_section(Feature("f", "A", PrismShape(6, 20, math.radians(40)), 0, 9), 0)
    x, y = math.cos(math.radians(40)), math.sin(math.radians(40))
    assert hexagon.distance_to_edge(0, 0) == pytest.approx(10)
    assert hexagon.contains(9.99 * x, 9.99 * y) and not hexagon.contains(10.01 * x, 10.01 * y)


@pytest.mark.parametrize(("shape", "area"), SHAPES, ids=lambda v: type(v).__name__)
@pytest.mark.parametrize("axis", [UPRIGHT, DOWN], ids=["up", "down"])
def test_sections_of_upright_axes_lie_where_the_axis_does(shape, area, axis):
    """Seen from the axis's other end a feature is mirrored: its centre has the other sign in y."""
    own = moments(transverse_section(Feature("f", "A", shape, 0, 20), 10))
    got = moments(cut(axis, shape, 15.0))
    sense = axis.direction[2]
    assert got[0] == pytest.approx(area)
    assert got[1] / got[0] == pytest.approx(3 + own[1] / own[0], abs=1e-9)
    assert got[2] / got[0] == pytest.approx(4 + sense * own[2] / own[0], abs=1e-9)


@pytest.mark.parametrize("axis", [UPRIGHT, DOWN], ids=["up", "down"])
@pytest.mark.parametrize(("z", "hit"), [(4.9, False), (5.1, True), (24.9, True), (25.1, False)])
def test_a_plane_beside_a_feature_meets_nothing(axis, z, hit):
    assert (cut(axis, Cylinder(9), z) is not None) == hit


@given(st.floats(-0.99, 0.99))
def test_a_level_bar_is_cut_into_a_rectangle(share):
    """A chord of a circle of radius r at a height h is 2 sqrt(r2 - h2) long [M]."""
    axis = Axis("X", (0.0, 0.0, 7.0), (0.6, 0.8, 0.0))
    got = moments(cut(axis, Cylinder(20), 7 + 10 * share))
    assert got[0] == pytest.approx(20 * 2 * math.sqrt(100 - (10 * share) ** 2))
    assert (got[1] / got[0], got[2] / got[0]) == pytest.approx((6, 8)), "its middle, 10 mm along the axis"
    assert cut(axis, Cylinder(20), 17.1) is None


def test_a_level_tube_is_cut_into_two_rectangles():
    axis = Axis("X", direction=(1.0, 0.0, 0.0))
    assert moments(cut(axis, Ring(20, 12), 0.0))[0] == pytest.approx(20 * 8)
    assert len(cut(axis, Ring(20, 12), 0.0).edges) == 8


SLANT = Axis("S", (1.0, 2.0, 3.0), (0.6, 0.0, 0.8))


@pytest.mark.parametrize("shape", [Cylinder(10), Cone(10, 10), Plate(hull=((0, 0, 5),)), PrismShape(60, 10)])
def test_a_slanted_bar_is_cut_into_an_ellipse(shape):
    """A plane at an angle cuts an area larger by 1 over the cosine of the slant: pi 25 / 0.8 [M]."""
    assert moments(cut(SLANT, shape, 11.0, -20, 40))[0] == pytest.approx(math.pi * 25 / 0.8, rel=2e-3)


def test_a_slanted_tube_has_a_hole():
    region = cut(SLANT, Ring(20, 10), 11.0, -20, 40)
    assert len(region.holes) == 1
    assert moments(region)[0] == pytest.approx(math.pi * 75 / 0.8, rel=2e-3)
    assert not cut(SLANT, Ring(20, 10), 3 + 0.8 * 40 + 5.5, -20, 40).holes, "only the rim is met"
    assert cut(SLANT, Ring(20, 10), 99.0, -20, 40) is None


def test_a_slanted_cone_tapers():
    """At the height where its axis is half way, a plane of the same slant to a thin cone's axis: about r2 pi / 0.8."""
    assert moments(cut(SLANT, Cone(10, 8), 3 + 0.8 * 100, 0, 200))[0] == pytest.approx(math.pi * 4.5**2 / 0.8, rel=0.01)
    assert cut(SLANT, Cone(10, 0), 3 + 0.8 * 20 + 5, 0, 20) is None


def test_an_outline_on_a_slanted_axis_is_refused():
    with pytest.raises(FoldsketchError) as caught:
        cut(SLANT, TRIANGLE, 11.0, -20, 40)
    (f,) = caught.value.findings
    assert (f.code, f.where) == ("outline-slanted", "feature 'f'")


@pytest.mark.parametrize(
    ("axis", "shape", "exact"),
    [
        (UPRIGHT, Cone(9, 5), True),
        (DOWN, Cylinder(9), True),
        (Axis("X", direction=(1.0, 0.0, 0.0)), Cylinder(9), True),
        (Axis("X", direction=(1.0, 0.0, 0.0)), Cone(9, 5), False),
        (SLANT, Cylinder(9), False),
    ],
)
def test_what_is_exact_says_so(axis, shape, exact):
    part = Part("p", (axis,), (Feature("f", axis.name, shape, 0, 9),))
    assert has_exact_sections(part, part.features[0]) == exact
