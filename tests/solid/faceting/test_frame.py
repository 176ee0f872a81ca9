"""The model frame: which way sides and datum line point."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.frame import align_datum_to_z
from foldsketch.solid.faceting.sides import FacetChoice
from solids import single, solids_of

A = Axis("A")


def spigots_on(*axes, more=()):
    """A part with a spigot on every axis."""
    own = tuple(Feature(f"on {a.name}", a.name, Cylinder(10), 0, 20) for a in axes)
    return Part("p", (A, *axes, *more), (Feature("body", "A", Cylinder(100), -10, 0), *own))


def direction(part):
    """Where the datum line points, degrees."""
    d = facet(part, 1.0, FacetChoice()).datum_direction
    return math.degrees(math.atan2(d[1], d[0]))


@pytest.mark.parametrize(
    ("offsets", "angle"),
    [
        ([], 0.0),
        ([(20, 35)], 35.0),
        ([(20, 35), (24, 215)], 35.0),  # opposite: symmetric about the first
        ([(20, 10), (20, 70)], 40.0),  # equal: the bisector
        ([(20, 10), (30, 40), (20, 70)], 40.0),
        ([(30, 90), (20, 150), (20, 30)], 90.0),
        ([(20, 10), (30, 70), (25, 200)], 10.0),  # no symmetry: the first
        ([(30, 70), (20, 10), (25, 200)], 70.0),
    ],
)
def test_the_datum_line_is_the_symmetry_line_of_the_offsets(offsets, angle):
    axes = [parts.polar(name, *where) for name, where in zip("BCD", offsets, strict=False)]
    assert direction(spigots_on(*axes)) == pytest.approx(angle, abs=1e-9)


@pytest.mark.parametrize("angle", [0.3, -0.5])
def test_a_rotation_turns_sides_and_datum_line_together(angle):
    """Every corner of a feature along the datum turns about its own axis; the axes stay."""
    part = spigots_on(parts.polar("B", 20, 35), parts.polar("C", 30, 160))
    plain, turned = (facet(part, 1.0, FacetChoice(rotation=a)) for a in (0.0, angle))
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c, -s], [s, c]])
    assert turned.datum_direction[:2] == pytest.approx(turn @ plain.datum_direction[:2])
    for p, q in zip(plain.prisms, turned.prisms, strict=True):
        middle = np.array(part.axis(p.feature.axis).point[:2])
        want = (p.corners[:, :2] - middle) @ turn.T + middle
        assert q.corners[:, :2] == pytest.approx(want) and q.corners[:, 2] == pytest.approx(p.corners[:, 2])


def test_axes_without_features_and_cross_axes_do_not_count():
    spare, cross = parts.polar("S", 30, 80), Axis("X", (0.0, 5.0, -5.0), (1.0, 0.0, 0.0))
    part = spigots_on(parts.polar("B", 20, 35), more=(spare, cross))
    hole = Feature("hole", "X", Cylinder(4), -60, 60, True)
    assert direction(part.with_features((*part.features, hole))) == pytest.approx(35)


def test_an_offset_is_measured_from_the_datum_axis_wherever_that_is():
    axes = (Axis("A", (7.0, 3.0, 0.0)), Axis("B", (7.0, 23.0, 0.0)))
    part = Part("p", axes, (Feature("body", "A", Cylinder(80), 0, 10), Feature("spigot", "B", Cylinder(20), 10, 30)))
    assert direction(part) == pytest.approx(90)


def test_a_flat_of_a_cross_bore_faces_along_the_datum_axis():
    for k in (0.0, 25.0, 90.0):
        a = math.radians(k)
        cross = Axis("X", (0.0, 0.0, 20.0), (math.cos(a), math.sin(a), 0.0))
        body, hole = Feature("body", "A", Cylinder(60), 0, 40), Feature("hole", "X", Cylinder(16), -40, 40, True)
        hole = facet(Part("p", (A, cross), (body, hole)), 1.0, FacetChoice()).prisms[1]
        assert max(f.normal[2] for f in hole.faces if f.kind == "side") == pytest.approx(1, abs=1e-12)


def test_an_axis_counts_when_a_feature_is_on_it():
    alone = direction(spigots_on(parts.polar("B", 20, 50)))
    assert alone == pytest.approx(50)
    # With a feature on it the line between the two would be the mirror.
    both = (parts.polar("B", 20, 50), parts.polar("C", 20, 110))
    assert direction(spigots_on(*both)) == pytest.approx(80)
    assert direction(spigots_on(both[0], more=both[1:])) == pytest.approx(alone)
    crossed = Axis("X", (7.0, 3.0, -5.0), (1.0, 0.0, 0.0))
    part = spigots_on(parts.polar("B", 20, 50), more=(crossed,))
    bore = Feature("bore", "X", Cylinder(4), -60, 60, True)
    assert direction(part.with_features((*part.features, bore))) == pytest.approx(alone)


def test_a_side_of_every_prism_faces_along_the_offset():
    faceted = facet(parts.ECCENTRIC, 1.0, FacetChoice())
    d = faceted.datum_direction
    assert d == pytest.approx([math.cos(math.pi / 6), 0.5, 0], abs=1e-12)
    for p in faceted.prisms:
        sides = [f.normal for f in p.faces if f.kind == "side"]
        assert max(float(n @ d) for n in sides) == pytest.approx(1.0, abs=1e-12)


def test_datum_may_point_anywhere():
    _, made = solids_of(single(Cylinder(50), axis=Axis("A", (3.0, 4.0, 5.0), (0.6, 0.0, 0.8))))
    assert made.blocks[0].skin.volume == pytest.approx(math.pi / 4 * 50**2 * 20, rel=1e-12)


@given(st.floats(0.01, 3.1), st.floats(-3.1, 3.1), st.tuples(*[st.floats(-50, 50)] * 3))
def test_the_datum_axis_is_brought_to_z_and_back_by_a_rotation(tilt, about, point):
    """The matrix is orthogonal with determinant 1, and takes every axis back to where it was in the part."""
    datum = (math.sin(tilt) * math.cos(about), math.sin(tilt) * math.sin(about), math.cos(tilt))
    part = Part("p", (Axis("A", (0.0, 0.0, 0.0), datum), Axis("B", point, (0.6, 0.0, 0.8))), ())
    upright, rotation = align_datum_to_z(part)
    assert rotation.T @ rotation == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(rotation) == pytest.approx(1)
    assert upright.datum.direction == pytest.approx((0, 0, 1), abs=1e-12)
    for before, after in zip(part.axes, upright.axes, strict=True):
        assert rotation @ after.direction == pytest.approx(before.direction, abs=1e-9)
        assert rotation @ after.point == pytest.approx(before.point, abs=1e-9)
