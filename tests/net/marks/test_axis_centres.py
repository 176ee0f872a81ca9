"""Crosses, pin holes and letters where axes go through panels, folded up and on paper."""

import math
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.job import pipeline
from foldsketch.net.marks.axis_centres import PIN_HOLE_RADIUS_MM
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.solid.faceting.sides import FacetChoice
from nets import coarsen_facets
from on_paper import in_space, marked, shape

SAMPLES = Path(__file__).parents[3] / "samples"
PARTS = sorted(str(p.relative_to(SAMPLES))[:-5] for where in (".", "lessons") for p in (SAMPLES / where).glob("*.toml"))
SCALES = [1.0, 0.5]


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("part", few(parts.ALL, 2), ids=lambda p: p.name)
def test_the_rays_of_a_cross_look_straight_away_from_its_pin_hole_and_stay_on_the_panel(part, scale):
    seen = 0
    _, every = marked(part, scale)
    pins = {(panel.id, piece.id, m.axis): m for piece, panel, m in every if m.kind == "pin"}
    for piece, panel, m in every:
        pin = pins.get((panel.id, piece.id, m.axis))
        if m.kind != "centre" or m.text or pin is None:
            continue
        assert m.at == pin.at == pin.dots[0][:2]
        bearings = []
        for near, far in m.paths:
            assert math.dist(near, m.at) == pytest.approx(PIN_HOLE_RADIUS_MM + 0.3)
            long = 8.0 if min(np.ptp(panel.outline, axis=0)) >= 60 else 4.6
            assert PIN_HOLE_RADIUS_MM + 0.6 <= math.dist(far, m.at) <= long + 1e-9
            assert math.dist(near, far) == pytest.approx(math.dist(far, m.at) - math.dist(near, m.at)), "outwards"
            assert shape(panel).buffer(1e-9).contains(shapely.LineString([near, far]))
            # The strip along an edge is for its number, unless next to nothing would be left of the ray.
            way = np.subtract(far, near) / math.dist(far, near)
            ahead = shapely.LineString([far, np.add(far, way * 3.2)]).intersects(shape(panel).boundary)
            beyond = shapely.LineString([m.at, np.add(m.at, way * (long + 0.3))]).intersects(shape(panel).boundary)
            assert not ahead or beyond or math.dist(far, m.at) == pytest.approx(1.6)
            bearings.append(math.degrees(math.atan2(near[1] - m.at[1], near[0] - m.at[0])) % 90)
            seen += 1
        assert all(abs((b - bearings[0] + 45) % 90 - 45) < 1e-6 for b in bearings), "a cross"
        if shape(panel).boundary.distance(shapely.Point(m.at)) > 6:
            assert len(m.paths) == 4
            square = abs(panel.to_space[2, 2]) > 0.99  # an axis along z on a level panel
            if square and part.axis(m.axis).along_z and shape(panel).boundary.distance(shapely.Point(m.at)) > 12:
                assert [math.dist(far, m.at) for _, far in m.paths] == pytest.approx([long] * 4)
    assert seen or not pins


@pytest.mark.parametrize("part", [parts.BORED, parts.SLEEVE, parts.OFFSET_SLEEVE, parts.ROCKER], ids=lambda p: p.name)
def test_lines_round_a_bore_look_at_the_axis_in_it_from_the_material(part):
    """Each begins half a millimetre beyond a corner of the bore and runs on the panel, away from the axis."""
    seen = 0
    for _, panel, m in marked(part)[1]:
        if m.kind != "centre" or m.text or not m.paths or shape(panel).contains(shapely.Point(m.at)):
            continue
        (hole,) = [h for h in panel.holes if shapely.Polygon(h).contains(shapely.Point(m.at))]
        assert 1 <= len(m.paths) <= 4
        for near, far in m.paths:
            line = shapely.LineString([near, far])
            assert shape(panel).contains(line)
            corner = min(hole, key=lambda c: math.dist(c, near))
            assert math.dist(corner, near) == pytest.approx(0.5)
            assert math.dist(near, m.at) == pytest.approx(math.dist(corner, m.at) + 0.5)
            assert math.dist(far, m.at) == pytest.approx(math.dist(near, m.at) + line.length)
            assert 0.8 - 1e-9 <= line.length <= 2.6 + 1e-9
            seen += 1
    assert seen >= 4


def test_words_along_an_axis_that_slants_through_a_square_are_no_offset():
    """A cross axis pierces sides slanted: a small cross and a pin hole there, and no arrow."""
    cross = Axis("X", (0.0, 0.0, 30.0), (math.cos(0.3), math.sin(0.3), 0.0))
    body = Feature("body", "A", PrismShape(4, 40.0), 0, 60)
    peg = Feature("peg", "X", Cylinder(8), 40, 60)
    _, every = marked(Part("p", (Axis("A"), cross), (body, peg)))
    own = [(panel, m) for _, panel, m in every if m.axis == "X" and panel.feature == "body"]
    assert {m.kind for _, m in own} >= {"pin", "centre"}
    assert not [m for _, m in own if m.kind == "offset"]
    for panel, m in own:
        if m.kind == "pin":
            place = in_space(panel, m.at) - np.array(cross.point)
            assert np.linalg.norm(np.cross(place, cross.direction)) < 1e-6
        if m.kind == "centre" and m.paths:
            assert all(math.dist(far, m.at) <= 2.0 for _, far in m.paths)


def letters(made):
    """The letters on a model's panels: axis, distance to its own centre, and to the nearest other one of the panel."""
    for piece in made.nets.pieces:
        crosses = [m for m in piece.marks if m.kind == "centre" and not m.text]
        for m in piece.marks:
            if m.kind == "centre" and m.text:
                there = [c for c in crosses if c.panel == m.panel]
                own = min(math.dist(m.at, c.at) for c in there if c.axis == m.axis)
                yield m.axis, own, min((math.dist(m.at, c.at) for c in there if c.axis != m.axis), default=math.inf)


@pytest.mark.parametrize("name", few(PARTS, 3))
def test_a_letter_is_nearest_to_its_own_centre(name):
    found = list(letters(pipeline.make_model(read_part(SAMPLES / f"{name}.toml")[0], pipeline.Choices())))
    assert found
    assert all(own < other for _, own, other in found)


def test_a_letter_that_does_not_fit_at_its_centre_is_farther_away():
    """The arm of the quick rocker is narrow where its left boss stands: outline, tick and arrow leave no room."""
    choices = pipeline.Choices(facets=coarsen_facets(FacetChoice()), scale=0.5, join="auto")
    made = pipeline.make_model(read_part(SAMPLES / "three-boss-rocker.toml")[0], choices)
    arms = next(p for p in made.nets.pieces if "left arm" in {q.feature for q in p.panels})
    ends = [p.id for p in arms.panels if p.kind == "end"]
    for axis in "ABC":
        assert sorted(m.panel for m in arms.marks if m.kind == "centre" and m.text == axis) == sorted(ends)
