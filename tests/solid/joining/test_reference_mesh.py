"""The whole part as a mesh with many sides: closed, of its own volume, near to its circles."""

import dataclasses
import math
from collections import Counter

import numpy as np
import pytest

import parts
from foldsketch.part.model import Axis, Cylinder, Feature, Plate, PrismShape
from foldsketch.solid.joining.reference_mesh import tessellate_part
from solids import single
from volumes import enclosed


@pytest.mark.parametrize(
    ("part", "volume"),
    [
        (parts.BORED, math.pi / 4 * ((90**2 - 20**2) * 12 + (36**2 - 20**2) * 30 + 24**2 * 24)),
        (parts.BLIND, math.pi / 4 * (90**2 * 12 - 30**2 * 8)),
        (parts.SLEEVE, math.pi / 4 * (60**2 - 20**2) * 40),
        (parts.TAPER, math.pi / 4 * 90**2 * 12 + math.pi / 12 * 30 * (40**2 + 40 * 28 + 28**2)),
        (parts.HEX, 2 * math.sqrt(3) * 23**2 * 14 + math.pi * 15**2 * 30),
    ],
    ids=lambda v: getattr(v, "name", ""),
)
def test_it_is_closed_and_has_the_volume_of_the_part(part, volume):
    """Cylinders pi d2 h / 4, the frustum pi h (D2 + D d + d2) / 12, the hexagon 2 sqrt(3) r2 h; the sides are of equal
    area."""
    corners, faces = tessellate_part(part)
    edges = Counter((int(a), int(b)) for f in faces for a, b in zip(f, np.roll(f, -1), strict=True))
    assert set(edges.values()) == {1}
    assert all((b, a) in edges for a, b in edges)
    assert enclosed(corners, faces) == pytest.approx(volume, rel=1e-6)


def flats(part):
    """Distances from the axis: corners of the lowest end of a mesh, and middles of its sides."""
    corners, faces = tessellate_part(part)
    low = np.abs(corners[:, 2] - corners[:, 2].min()) < 1e-9
    rim = {
        frozenset((int(a), int(b)))
        for f in faces
        for a, b in zip(f, np.roll(f, -1), strict=True)
        if low[a] and low[b] and not low[f].all()
    }
    ends = np.array([sorted(e) for e in rim])
    middle = (corners[ends[:, 0]] + corners[ends[:, 1]]) / 2
    return np.hypot(*corners[low][:, :2].T), np.hypot(*middle[:, :2].T)


@pytest.mark.parametrize(("radius", "sides"), [(0.05, 24), (0.2, 24), (10, 160), (40, 316), (500, 360)])
def test_its_24_to_360_sides_are_within_two_microns_of_the_circle(radius, sides):
    """The sagitta of a corner on the circle, R (1 - cos(pi/n)), is 2 microns at n = pi / acos(1 - 0.002/R), which is
    22.2, 157.1 and 314.2 for a radius of 0.2, 10 and 40: rounded up to a multiple of four."""
    out, middle = flats(single(Cylinder(2 * radius)))
    assert len(out) == len(middle) == sides
    if radius < 50:
        assert abs(out - radius).max() <= 0.002
        assert abs(middle - radius).max() <= 0.002


def test_sides_that_are_given_are_kept():
    assert len(flats(single(Cylinder(40), sides=7))[0]) == 7
    assert len(flats(single(PrismShape(6, 40)))[0]) == 6


def test_it_is_in_the_frame_of_the_part():
    """A disc about an axis that points along x, 20 mm up."""
    corners, faces = tessellate_part(single(Cylinder(40), 5.0, Axis("A", (3.0, 4.0, 20.0), (1.0, 0.0, 0.0))))
    assert corners.min(axis=0) == pytest.approx([3, -16, 0], abs=0.01)
    assert corners.max(axis=0) == pytest.approx([8, 24, 40], abs=0.01)
    assert enclosed(corners, faces) == pytest.approx(math.pi * 400 * 5, rel=1e-6)


@pytest.mark.parametrize("turn", [(0.3, 0.0), (1.2, 0.7), (math.pi / 2, 0.4), (2.5, -1.0)])
def test_a_part_that_is_turned_and_moved_has_the_same_mesh(turn):
    """A boss with a cross bore and a peg beside it, turned about two axes and moved: turned back its corners have the
    same bounds, and its volume is the same."""
    t, u = turn
    rot = np.array([[1, 0, 0], [0, math.cos(t), -math.sin(t)], [0, math.sin(t), math.cos(t)]])
    rot = np.array([[math.cos(u), -math.sin(u), 0], [math.sin(u), math.cos(u), 0], [0, 0, 1]]) @ rot
    away = np.array([7.0, -5.0, 3.0])
    cross = Axis("D", (0.0, 0.0, 30.0), (0.6, 0.8, 0.0))
    peg = Feature("peg", "D", Cylinder(12), 20, 45)
    upright = parts.part([*parts.CROSS.features, peg], cross)
    axes = tuple(
        Axis(a.name, tuple((rot @ a.point + away).tolist()), tuple((rot @ a.direction).tolist())) for a in upright.axes
    )
    one, two = tessellate_part(upright), tessellate_part(dataclasses.replace(upright, axes=axes))
    assert enclosed(*two) == pytest.approx(enclosed(*one), rel=1e-5)
    back = (two[0] - away) @ rot
    assert back.min(axis=0) == pytest.approx(one[0].min(axis=0), abs=0.01)
    assert back.max(axis=0) == pytest.approx(one[0].max(axis=0), abs=0.01)


def test_a_web_has_the_area_of_its_circles_and_tangents():
    """Equal circles: 2 R L + pi R2, and the hull of a circle and a point is that of the two tangents: with
    cos t = R / L it is R2 (pi - t + tan t)."""
    corners, faces = tessellate_part(single(Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 20.0))), 10.0))
    assert enclosed(corners, faces) == pytest.approx((40 * 60 + math.pi * 400) * 10, rel=1e-4)
    corners, faces = tessellate_part(single(Plate(hull=((0.0, 0.0, 20.0), (60.0, 0.0, 0.0))), 10.0))
    t = math.acos(20 / 60)
    assert enclosed(corners, faces) == pytest.approx(400 * (math.pi - t + math.tan(t)) * 10, rel=1e-4)


def test_a_later_cut_removes_and_later_material_fills():
    plug = Feature("plug", "A", Cylinder(20), 0, 40)
    filled = parts.part([*parts.SLEEVE.features, plug])
    # Plug and bore have different numbers of sides, which leave a gap of microns between them.
    assert enclosed(*tessellate_part(filled)) == pytest.approx(math.pi / 4 * 60**2 * 40, rel=1e-4)
    bore = Feature("bore", "A", Cylinder(10), -1, 41, True)
    bored = parts.part([*filled.features, bore])
    assert enclosed(*tessellate_part(bored)) == pytest.approx(math.pi / 4 * (60**2 - 10**2) * 40, rel=1e-4)
