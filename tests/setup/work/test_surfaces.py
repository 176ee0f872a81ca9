"""Rounds and faces of parts, by hand."""

import math

import pytest

import parts
from foldsketch.part.model import Axis, Cylinder, Feature, Ring
from foldsketch.setup.work.surfaces import faces_of, rounds_of
from setup_works import COVER, SHAFT


def by_name(part):
    return {f.name: f for f in faces_of(part)}


def test_faces_of_the_cover():
    """d90 with d36 and d30 on it: the flange's face is 45^2 - 18^2 - 15^2 = 1476 pi mm2."""
    found = by_name(COVER)
    assert set(found) == {"flange -z", "flange +z", "inlet spigot +z", "outlet spigot +z"}
    shoulder = found["flange +z"]
    assert shoulder.area == pytest.approx(1476 * math.pi)
    assert (shoulder.carries, shoulder.free, shoulder.height) == (("inlet spigot", "outlet spigot"), False, 12)
    joint = found["flange -z"]
    assert (joint.free, joint.height, joint.radius, joint.end) == (True, 0, 45, "-z")


def test_an_eccentric_shoulder():
    """d44 over d30, 6 mm off: the journal reaches 21 of 22 mm, so the shoulder is 22^2 - 15^2 all around."""
    found = by_name(SHAFT)
    assert found["eccentric -z"].area == pytest.approx((22**2 - 15**2) * math.pi)
    assert found["eccentric -z"].carries == ("drive journal",)
    assert "drive journal +z" not in found


def test_a_covered_end_is_no_face():
    inside = parts.part([Feature("body", "A", Cylinder(40), 0, 50), Feature("core", "A", Cylinder(20), 10, 30)])
    assert set(by_name(inside)) == {"body -z", "body +z"}


def test_only_along_z():
    assert set(by_name(parts.CROSS)) == {"boss -z", "boss +z"}
    assert [r.feature for r in rounds_of(parts.CROSS)] == ["boss"]


def test_rounds():
    sleeve, bore = rounds_of(
        parts.part([Feature("sleeve", "A", Ring(60, 20), 0, 40), Feature("bore", "B", Cylinder(8), -1, 41, cut=True)],
                   Axis("B", (20.0, 0.0, 3.0)))
    )  # fmt: skip
    assert (sleeve.radius, sleeve.bore, sleeve.low, sleeve.high, sleeve.cut) == (30, 10, 0, 40, False)
    assert (bore.radius, bore.low, bore.high, bore.cut) == (4, 2, 44, True)


def test_an_axis_that_points_down():
    part = parts.part([Feature("pin", "D", Cylinder(10), 0, 30)], Axis("D", (0.0, 0.0, 5.0), (0.0, 0.0, -1.0)))
    assert {n: f.height for n, f in by_name(part).items()} == {"pin -z": -25, "pin +z": 5}
