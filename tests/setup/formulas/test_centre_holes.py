"""Centre holes: where they lie, and whether their mouths keep a wall."""

import pytest

from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.setup.formulas.centre_holes import (
    CENTRE_HOLE_SIZES_MM,
    MIN_CENTRE_HOLE_WALL_MM,
    centre_hole_findings,
    centre_holes,
)
from foldsketch.setup.messages import CENTRE_HOLE_NEAR_EDGE


def shaft(offset, diameter=50.0):
    return Part(
        "shaft",
        (Axis("A"), Axis("B", (0.0, offset, 0.0))),
        (Feature("bar", "A", Cylinder(diameter), 0, 120), Feature("eccentric", "B", Cylinder(60), 40, 80)),
    )


def test_rule_of_the_shop_text():
    """'Machine Shop Work', eccentric turning: both holes fit inside the end only while the offset is below the radius,
    with room for the drill [P]."""
    for offset in (0.0, 10.0, 24.0, 30.0):
        holes = centre_holes(shaft(offset), ("B",))
        assert {h.end for h in holes} == {"-z", "+z"}
        for h in holes:
            assert h.at == (0.0, offset)
            room = 25.0 - offset
            assert h.edge_distance == pytest.approx(max(room, 0.0), abs=1e-6)
            assert h.fits == (room >= h.mouth / 2 + MIN_CENTRE_HOLE_WALL_MM)
    assert all(not h.fits for h in centre_holes(shaft(24.0), ("B",)))


def test_size_by_the_face():
    for across, pilot, mouth in CENTRE_HOLE_SIZES_MM:
        h = centre_holes(shaft(0.0, across), ("A",))[0]
        assert (h.pilot, h.mouth) == (pilot, mouth)


def test_a_hole_needs_material_where_it_is_drilled():
    """A bore of 20 at the middle of d60: nothing on A; 17 mm off, 17 - 10 = 7 mm are left to it and 13 to the rim."""
    bored = Part(
        "bored",
        (Axis("A"), Axis("B", (17.0, 0.0, 0.0))),
        (Feature("bar", "A", Cylinder(60), 0, 40), Feature("bore", "A", Cylinder(20), 20, 41, cut=True)),
    )
    distances = {(h.end, h.axis): h.edge_distance for h in centre_holes(bored, ("A", "B"))}
    assert distances == pytest.approx({("-z", "A"): 30, ("-z", "B"): 13, ("+z", "A"): 0, ("+z", "B"): 7})


def test_the_worked_shaft_has_room_for_its_centres():
    """On the end of d25 the axis 6 mm off has 6.50 mm, which is enough [D: set-up reference, section 7]."""
    end = Part("end", (Axis("A"), Axis("B", (6.0, 0.0, 0.0))), (Feature("tail", "A", Cylinder(25), 0, 32),))
    for h in centre_holes(end, ("B",)):
        assert h.edge_distance == pytest.approx(6.5)
        assert h.fits


def test_a_bored_face_has_no_middle():
    part = Part("tube", (Axis("A"),), (Feature("tube", "A", Ring(60, 20), 0, 40),))
    holes = centre_holes(part, ("A",))
    assert not any(h.fits for h in holes)
    found = centre_hole_findings(holes)
    assert [f.code for f in found] == 2 * [CENTRE_HOLE_NEAR_EDGE.code]
    assert [f.where for f in found] == ["centre hole on axis A, -z end", "centre hole on axis A, +z end"]


def test_an_end_that_is_all_holes_has_no_face():
    part = Part("air", (Axis("A"),), (Feature("bore", "A", Cylinder(20), 0, 40, cut=True),))
    assert not any(h.fits for h in centre_holes(part, ("A",)))
