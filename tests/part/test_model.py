"""The part: frames of axes, distances, extents, and what the features of every shape reach to."""

import math
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from strategies import parts

COORDINATES = st.floats(-50, 50)
POINTS = st.tuples(COORDINATES, COORDINATES, COORDINATES)


@st.composite
def axes(draw):
    v = draw(
        st.sampled_from([(0, 0, 1), (0, 0, -1), (1, 0, 0), (0, -1, 0)]) | POINTS.filter(lambda v: math.hypot(*v) > 1)
    )
    size = math.hypot(*v)
    return Axis("A", draw(POINTS), tuple(c / size for c in v))


@given(axes())
def test_a_frame_is_right_handed_and_its_z_is_the_direction(axis):
    frame = np.array(axis.frame)
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-9)
    assert np.linalg.det(frame) == pytest.approx(1)
    assert frame[2] == pytest.approx(axis.direction)
    assert frame[0][2] == pytest.approx(0, abs=1e-12), "its x is horizontal"


@pytest.mark.parametrize("direction", [(0.0, 0.0, 1.0), (0.0, 0.0, -1.0)])
def test_an_upright_axis_keeps_the_parts_x(direction):
    axis = Axis("A", (1.0, 2.0, 3.0), direction)
    assert axis.frame[0] == (1, 0, 0) and axis.along_z
    assert not Axis("X", direction=(1.0, 0.0, 0.0)).along_z


@given(axes(), POINTS)
def test_points_of_an_axis_keep_their_height_and_distance(axis, p):
    made = axis.to_part_frame(*p)
    assert axis.height_of(made) == pytest.approx(p[2], abs=1e-9)
    assert axis.distance_to(made) == pytest.approx(math.hypot(p[0], p[1]), abs=1e-9)
    assert math.dist(made, axis.point) == pytest.approx(math.hypot(*p), abs=1e-9)


@given(axes(), axes())
def test_parallel_axes_have_no_cross_product(a, b):
    apart = np.linalg.norm(np.cross(a.direction, b.direction))
    assert a.is_parallel_to(a) and a.is_parallel_to(Axis("B", b.point, tuple(-v for v in a.direction)))
    if apart > 1e-5:
        assert not a.is_parallel_to(b)
    assert a.is_parallel_to(b) == b.is_parallel_to(a)


SHAPES = [
    # the radius: of the round, or of the farthest corner or circle
    (Cylinder(30), 15, True),
    (Cone(20, 44), 22, True),
    (Ring(50, 20), 25, True),
    (PrismShape(6, 30), 15 / math.cos(math.pi / 6), False),
    (Plate(outline=((0, 0), (30, 0), (30, 40))), 50, False),
    (Plate(hull=((0, 0, 5), (30, 40, 10))), 60, False),
]


@pytest.mark.parametrize(("shape", "radius", "turned"), SHAPES, ids=lambda v: type(v).__name__)
def test_a_feature_knows_how_far_it_reaches(shape, radius, turned):
    f = Feature("f", "A", shape, 3, 10)
    assert f.radius == pytest.approx(radius)
    assert f.is_round == turned
    assert f.length == 7


def test_offsets_between_axes_are_polar():
    part = Part("p", (Axis("A"), Axis("B", (3.0, 4.0, 9.0)), Axis("C", (3.0, 14.0, 0.0))), ())
    assert part.datum.name == "A" and part.axis("B").point[2] == 9
    assert part.offset("B") == pytest.approx((5, math.atan2(4, 3)))
    assert part.offset("C", "B") == pytest.approx((10, math.pi / 2))
    with pytest.raises(KeyError):
        part.axis("D")


@given(parts())
def test_extents_along_a_parallel_axis_are_those_of_the_ends(part):
    """The outside judge: the hull of points on the rims, projected on the axis."""
    for f in part.features:
        own = part.axis(f.axis)
        rim = [own.to_part_frame(math.cos(t), math.sin(t), h) for t in range(3) for h in (f.start, f.end)]
        hull = np.array(rim)[ConvexHull(rim).vertices]
        for axis in part.axes:
            if axis.is_parallel_to(own):
                heights = (hull - axis.point) @ axis.direction
                assert part.extent(f, axis) == pytest.approx((heights.min(), heights.max()), abs=1e-9)


def test_other_features_leave_the_rest_alone():
    part = Part("p", (Axis("A"),), (Feature("f", "A", Cylinder(3), 0, 9),), "in", "steel", 7850.0)
    other = part.with_features(())
    assert (other.features, other.axes, other.units, other.density) == ((), part.axes, "in", 7850.0)
    assert other.axis("A") is part.axis("A")


def test_a_notebook_shows_plan_and_side_view():
    root = ElementTree.fromstring(Part("p", (Axis("A"),), (Feature("f", "A", Cylinder(3), 0, 9),))._repr_svg_())
    assert root.tag.endswith("}svg") and len(list(root.iter())) > 2
