"""Polygons one inside another: what room is left, judged by shapely, and rounds of a part that nest on paper."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.polygon import RegularPolygon
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

sides = st.integers(3, 24)
angles = st.floats(-7, 7)


@given(sides, sides, st.floats(1, 60), st.floats(0.5, 40), st.floats(-50, 50), angles, angles)
def test_the_room_around_a_polygon_is_what_shapely_finds(n, m, large, small, distance, bearing, turn):
    """Inside, the least distance from its corners to the sides; outside, less than nothing, wherever the two turn."""
    outer, inner = RegularPolygon.of(n, large, "equal-area"), RegularPolygon.of(m, small, "equal-area")
    room = outer.room_around(inner, distance, bearing)
    place = (distance * math.cos(turn + bearing), distance * math.sin(turn + bearing))
    round_, within = shapely.Polygon(outer.corners(turn)), shapely.Polygon(inner.corners(turn) + place)
    assume(abs(room) > 1e-9)
    assert round_.contains(within) == (room > 0)
    if room > 0:
        assert math.isclose(room, round_.exterior.distance(within), rel_tol=1e-6, abs_tol=1e-9)


@settings(deadline=None)
@given(
    st.floats(10, 60),
    st.floats(4, 40),
    st.floats(0.5, 20),
    st.floats(0, 6.2),
    st.booleans(),
    st.sampled_from([(1.0, False), (0.5, False), (1.0, True), (0.5, True)]),
)
def test_what_lies_inside_a_round_keeps_half_of_its_room_on_paper(large, small, offset, angle, upside_down, way):
    """An eccentric and the journal beside it: the journal's outline lies on the eccentric's end, wherever its axis
    points; half of the room between them is left unless it is a hair's breadth."""
    scale, quick = way
    own = (large - small - offset) * scale
    assume(own > 0.05)
    axes = (
        Axis("A"),
        Axis(
            "B",
            (offset * math.cos(angle), offset * math.sin(angle), 0.0),
            (0.0, 0.0, -1.0 if upside_down else 1.0),
        ),
    )
    span = (-40.0, -20.0) if upside_down else (20.0, 40.0)
    part = Part(
        "p", axes, (Feature("disc", "A", Cylinder(2 * large), 0, 20), Feature("pin", "B", Cylinder(2 * small), *span))
    )
    choice = FacetChoice()
    disc, pin = facet(part, scale, coarsen_facets(choice) if quick else choice).prisms
    outlines = []
    for p in (disc, pin):
        end = next(f for f in p.faces if f.kind == "end")
        outlines.append(shapely.Polygon(p.corners[list(end.loops[0])][:, :2]))
    assert outlines[0].buffer(1e-6).contains(outlines[1])
    if own > 0.02 * large * scale:
        assert outlines[0].exterior.distance(outlines[1]) >= 0.5 * own - 1e-6


def test_an_eccentric_of_a_quick_model_has_six_sides_like_its_journals():
    """30 within 44, 6 mm off centre: the hexagons turn alike, so 5 % of both radii's difference is all that is lost."""
    axes = (Axis("A"), Axis("B", (6.0, 0.0, 0.0)))
    journal, eccentric = Feature("journal", "A", Cylinder(30), 0, 50), Feature("eccentric", "B", Cylinder(44), 50, 72)
    made = facet(Part("p", axes, (journal, eccentric)), 1.0, coarsen_facets(FacetChoice()))
    assert [p.sides for p in made.prisms] == [6, 6]


@settings(deadline=None)
@given(st.floats(12, 40), st.floats(4, 30), st.floats(0.5, 15), angles, st.floats(0.2, 1.3), st.floats(-3, 3))
def test_rounds_on_parallel_cross_axes_nest_as_well(large, small, offset, bearing, tilt, about):
    """Two axes that lean over, side by side: a disc and a pin beside it whose outline lies within the disc's."""
    own = large - small - offset
    assume(own > 0.05)
    d = np.array([math.sin(tilt) * math.cos(about), math.sin(tilt) * math.sin(about), math.cos(tilt)])
    x = np.cross(d, (0.0, 0.0, 1.0))
    x /= np.linalg.norm(x)
    y = np.cross(d, x)
    at = offset * (math.cos(bearing) * x + math.sin(bearing) * y)
    axes = (Axis("A"), Axis("B", (0.0, 0.0, 0.0), tuple(d)), Axis("C", tuple(at), tuple(d)))
    base = Feature("base", "A", Cylinder(200), -300, -250)
    disc, pin = Feature("disc", "B", Cylinder(2 * large), 0, 20), Feature("pin", "C", Cylinder(2 * small), 20, 40)
    _, one, two = facet(Part("p", axes, (base, disc, pin)), 1.0, coarsen_facets(FacetChoice())).prisms
    outlines = []
    for p in (one, two):
        end = next(f for f in p.faces if f.kind == "end")
        outlines.append(shapely.Polygon(p.corners[list(end.loops[0])] @ np.column_stack((x, y))))
    assert outlines[0].buffer(1e-6).contains(outlines[1])
    if own > 0.02 * large:
        assert outlines[0].exterior.distance(outlines[1]) >= 0.5 * own - 1e-6


@pytest.mark.parametrize("bearing", [0.0, 180.0])
def test_where_a_disc_of_five_sides_leaves_more_room_a_pin_needs_fewer(bearing):
    """Towards the corner opposite the first flat there is more room than towards the flat: 3.45 mm against 2.47 for
    a hexagon of 12 mm, 14 mm off the centre of 30."""
    a = math.radians(bearing)
    axes = (Axis("A"), Axis("B", (14 * math.cos(a), 14 * math.sin(a), 0.0)))
    disc = Feature("disc", "A", Cylinder(60), 0, 20, sides=5)
    pin = Feature("pin", "B", Cylinder(26), 20, 40)
    made = facet(Part("p", axes, (disc, pin)), 1.0, coarsen_facets(FacetChoice())).prisms
    outlines = []
    for p in made:
        end = next(f for f in p.faces if f.kind == "end")
        outlines.append(shapely.Polygon(p.corners[list(end.loops[0])][:, :2]))
    assert outlines[0].contains(outlines[1])
    assert outlines[0].exterior.distance(outlines[1]) >= 0.5 * (30 - 13 - 14) - 1e-6
