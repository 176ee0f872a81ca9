"""Prisms for features: true flats, plates, shared planes, and chord errors that are reported."""

import math

import numpy as np
import pytest

from foldsketch.base.findings import mm
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from solids import single

A = Axis("A")


@pytest.mark.parametrize("turn", [0.0, 10.0, 30.0])
@pytest.mark.parametrize("scale", [1.0, 0.5])
def test_true_flats_keep_their_size_and_their_angle(turn, scale):
    (prism,) = facet(single(PrismShape(6, 46.0, math.radians(turn))), scale, FacetChoice(sides=12)).prisms
    sides = [f for f in prism.faces if f.kind == "side"]
    assert len(sides) == 6
    for f in sides:
        assert float(f.normal @ prism.corners[f.loops[0][0]]) == pytest.approx(23 * scale)
    bearings = sorted(round(math.degrees(math.atan2(f.normal[1], f.normal[0])) % 60, 6) % 60 for f in sides)
    assert bearings == pytest.approx([turn % 60] * 6, abs=1e-5)


def test_features_on_axes_with_other_origins_share_their_planes_to_the_last_bit():
    """0.1 + 0.2 is not 0.3 in binary; 50 - 49.7 is not either."""
    axes = (A, Axis("B", (20.0, 0.0, 0.1)), Axis("C", (-20.0, 0.0, 50.0), (0.0, 0.0, -1.0)))
    own = (
        Feature("body", "A", Cylinder(100), -10, 0.3),
        Feature("up", "B", Cylinder(10), 0.2, 30),
        Feature("down", "C", Cylinder(10), 20, 49.7),
    )
    faceted = facet(Part("p", axes, own), 1.0, FacetChoice())
    body, up, down = faceted.prisms
    assert body.high[2] == up.low[2] == down.low[2]
    assert [j.blocks for j in join(faceted).joints] == [(0, 1), (0, 2)]
    assert up.high[2] == pytest.approx(30.1)
    assert down.high[2] == pytest.approx(30)


@pytest.mark.parametrize("scale", [1.0, 0.5, 2.0])
def test_a_plate_of_straight_edges_has_its_own_corners(scale):
    outline = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (20.0, 20.0), (20.0, 40.0), (0.0, 40.0))
    part = Part("p", (Axis("A", (5.0, 7.0, 0.0)),), (Feature("plate", "A", Plate(outline=outline), 2, 12),))
    (prism,) = facet(part, scale, FacetChoice(sides=8)).prisms
    (top,) = [f for f in prism.faces if f.side == 1]
    own = prism.corners[list(top.loops[0])]
    wanted = (np.array(outline) + np.array([5.0, 7.0])) * scale
    assert own[:, :2] == pytest.approx(wanted)
    assert own[:, 2] == pytest.approx(np.full(6, 12 * scale))


def test_a_chord_error_above_the_one_asked_for_is_reported_unless_the_sides_were_given():
    """Radius 40, sides of 9 mm: 2 * 40 sin(pi/n) >= 0.9 * 9 allows 30 sides, whose sagitta 40 (1 - cos(pi/30)) is
    0.219 mm."""
    part = single(Cylinder(80))
    choice = {"chord_error": 0.1, "min_side_width": 9.0, "radius_rule": "inside"}
    (found,) = facet(part, 1.0, FacetChoice(**choice)).findings
    assert (found.code, found.level, found.where) == ("chord-error-exceeded", "note", "feature 'p'")
    assert found.value("sides") == 30
    assert found.value("deviation").value == pytest.approx(40 * (1 - math.cos(math.pi / 30)))
    assert found.value("asked") == mm(0.1)
    assert not facet(part, 1.0, FacetChoice(**choice, sides=12)).findings
    assert not facet(single(Cylinder(80), sides=12), 1.0, FacetChoice(**choice)).findings
    assert not facet(part, 1.0, FacetChoice()).findings
