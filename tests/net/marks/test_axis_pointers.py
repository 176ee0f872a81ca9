"""Axes that go through no panel are pointed to: folded up, the arrow and the axis are on lines that meet."""

import math

import numpy as np
import pytest
import shapely

import parts
from foldsketch.job import pipeline
from foldsketch.net.marks.axis_pointers import is_pointer
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.sides import FacetChoice
from on_paper import in_space, marked, shape

BODY = Feature("body", "A", Cylinder(70), 0, 50)


def bored(axis, diameter=16):
    bore = Feature("bore", axis.name, Cylinder(diameter), -80, 80, cut=True)
    return Part("bored", (Axis("A"), axis), (BODY, bore))


def unit(*v):
    return tuple(c / math.hypot(*v) for c in v)


PARTS = [
    bored(Axis("D", (0.0, 0.0, 25.0), (1.0, 0.0, 0.0))),
    bored(Axis("D", (0.0, 10.0, 20.0), unit(1, 0.5, 0)), 14),
    bored(Axis("T", (0.0, 0.0, 20.0), unit(0.3, 0, 1))),
    bored(Axis("T", (5.0, 5.0, 25.0), unit(1, 0.2, 0.4)), 20),
    parts.CROSS,
]


@pytest.mark.parametrize("sides", [None, 8, 24])
@pytest.mark.parametrize("part", PARTS, ids=lambda p: f"{p.name} {p.axes[1].direction}")
def test_every_axis_with_a_feature_is_marked(part, sides):
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0, facets=FacetChoice(sides=sides)))
    marks = [m for p in made.nets.pieces for m in p.marks if m.kind == "centre"]
    assert {m.axis for m in marks if m.paths} == {m.text for m in marks if m.text} == {f.axis for f in part.features}


@pytest.mark.parametrize("part", PARTS, ids=lambda p: f"{p.name} {p.axes[1].direction}")
def test_an_arrow_points_to_its_axis_from_each_end(part):
    axis = part.axes[1]
    point, direction = np.array(axis.point), np.array(axis.direction)
    _, every = marked(part)
    ends = []
    for _, panel, m in every:
        if not is_pointer(m):
            continue
        assert m.axis == axis.name
        (tail, tip), head = m.paths
        assert head[1] == tip
        assert shape(panel).contains(shapely.MultiLineString(m.paths))
        assert 2 - 1e-9 <= math.dist(tail, tip) <= 4 + 1e-9
        assert 0.5 < shape(panel).boundary.distance(shapely.Point(tip)) <= 0.6 + 1e-9
        a, b = in_space(panel, tail), in_space(panel, tip)
        square = np.cross(b - a, direction)
        assert abs((point - a) @ square) < 1e-9 * np.linalg.norm(square), "the two lines meet"
        assert math.dist(m.at, tip) < math.dist(m.at, tail), "ahead of the arrow"
        letters = [w for _, p, w in every if p is panel and w.text == axis.name]
        assert min(math.dist(w.at, tail) for w in letters) < 4.5
        ends.append(float((b - point) @ direction))
    assert len(ends) == 2 and ends[0] * ends[1] < 0


def test_axes_that_have_a_cross_have_no_arrow():
    for part in (parts.BORED, parts.ECCENTRIC, parts.SLEEVE, parts.ROCKER):
        assert not [m for _, _, m in marked(part)[1] if is_pointer(m)]


def test_a_pin_hole_on_a_slant_has_its_letter():
    """A tilted axis that carries a boss pierces the end of the body: there is room for a letter."""
    tilted = Axis("T", (0.0, 0.0, 50.0), unit(0.3, 0, 1))
    part = Part(
        "p",
        (Axis("A", (-20.0, 0.0, 0.0)), tilted),
        (Feature("disc", "A", Cylinder(120), 0, 10), Feature("boss", "T", Cylinder(10), 0, 9)),
    )
    _, every = marked(part)
    pins = [(panel, m) for _, panel, m in every if m.kind == "pin" and m.axis == "T" and shape(panel).area > 2000]
    letters = {(panel.id, m.text) for _, panel, m in every if m.kind == "centre"}
    assert pins and all((panel.id, "T") in letters for panel, _ in pins)
