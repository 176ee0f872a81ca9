"""Polygons one inside another: what room is left, judged by shapely, and rounds of a part that nest on paper."""

import math

import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.solid.facet import facet
from foldsketch.solid.polygon import Polygon
from foldsketch.solid.sides import FacetChoice, quicker

sides = st.integers(3, 24)
angles = st.floats(-7, 7)


@given(sides, sides, st.floats(1, 60), st.floats(0.5, 40), st.floats(-50, 50), angles, angles)
def test_the_room_around_a_polygon_is_what_shapely_finds(n, m, large, small, distance, bearing, turn):
    """Inside, the least distance from its corners to the sides; outside, less than nothing, wherever the two turn."""
    outer, inner = Polygon.of(n, large, "equal-area"), Polygon.of(m, small, "equal-area")
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
    disc, pin = facet(part, scale, quicker(choice) if quick else choice).prisms
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
    made = facet(Part("p", axes, (journal, eccentric)), 1.0, quicker(FacetChoice()))
    assert [p.sides for p in made.prisms] == [6, 6]
