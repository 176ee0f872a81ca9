"""Fixture plates: size and place of the locator, room of screws and pockets, a balance checked by sampling."""

import dataclasses
import math

import numpy as np
import pytest
import shapely

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part
from foldsketch.setup import messages as m
from foldsketch.setup.plan.fixture_plate import fixture_notes, fixture_plate, has_fixture_plate, plate_fault
from foldsketch.setup.plan.plan import plan
from tests.in_hand_plan import CRANK, crank_in_fixture, three_set_ups
from tests.setup_works import COVER, SAMPLES, SMALL, TWIN

STEEL = 7.85e-3
"""g/mm3 [common practice]."""


VALVE = Part(
    "Valve cover",
    (Axis("A"), Axis("B", (31.0, 0.0, 0.0)), Axis("C", (-36.0, 0.0, 0.0))),
    (
        Feature("register", "A", Cylinder(106), -4, 0, stock=2.5),
        Feature("flange", "A", Cylinder(140), 0, 16, stock=2.5),
        Feature("inlet", "B", Cylinder(50), 16, 46, stock=2.5),
        Feature("outlet", "C", Cylinder(38), 16, 38, stock=2.5),
        Feature("inlet bore", "B", Cylinder(36), -5, 47, cut=True),
        Feature("outlet bore", "C", Cylinder(24), -5, 39, cut=True),
    ),
    material="grey cast iron",
    blank=Blank("casting", faces=("flange +z", "register -z", "inlet +z", "outlet +z"), cores=("inlet bore",)),
)


def plates(part, machine, planned):
    return [fixture_plate(part, machine, s) for s in planned.setups if has_fixture_plate(s)]


@pytest.fixture(scope="module")
def samples():
    """Bores and spigots: the cover's spigot and flange, the rocker's pivot bore, the crank's journal."""
    found = []
    for name in ("three-boss-rocker", "bilge-pump-cover"):
        part = read_part(SAMPLES / f"{name}.toml")[0]
        found += plates(part, SMALL, plan(part, SMALL))
    return found + plates(CRANK, TWIN, crank_in_fixture())


@pytest.mark.slow
def test_the_spigot_of_the_cover_in_a_bore():
    """20 off centre, at 180 degrees from spindle 0 at the hand-over; heavy on the side away from the bore."""
    (p,) = plates(COVER, TWIN, three_set_ups())
    assert (p.locator, p.held, p.offset, p.depth) == ("bore", 36, 20, 16)
    assert p.size == pytest.approx(36.02) and abs(math.degrees(p.angle)) == pytest.approx(180)
    assert p.unbalance[0] < 0 and len(p.pockets) == 1


@pytest.mark.slow
def test_the_pockets_balance_plate_and_work(samples):
    """First moments of every hole by a fine grid of points, not by the formula of a circle."""
    assert {p.locator for p in samples} == {"bore", "spigot"}
    for p in (p for p in samples if p.pockets):
        u = p.setup.unbalance
        at, held = p.setup.clamping.at, p.setup.held_at
        turn = p.setup.unbalance_angle - math.atan2(held[1] - at[1], held[0] - at[0])
        turn = turn if p.setup.clamping.from_end == "+z" else -turn
        total = np.array((u * math.cos(turn), u * math.sin(turn)))
        sign = -1 if p.locator == "bore" else 1
        total += sign * moment((p.offset, 0.0), p.held, p.depth)
        for at in p.screws:
            total -= moment(at, p.values.screw, p.values.screw_depth)
        before = np.hypot(*total)
        for b in p.pockets:
            total -= moment(b.at, b.diameter, b.depth)
        assert before > 1000 and np.hypot(*total) < 0.01 * before


def moment(at, diameter, depth):
    """g mm of a steel cylinder about the origin, by midpoints of a grid."""
    step = diameter / 200
    x = np.arange(-diameter / 2 + step / 2, diameter / 2, step)
    gx, gy = np.meshgrid(x, x)
    inside = np.hypot(gx, gy) <= diameter / 2
    area = step * step
    return STEEL * depth * area * np.array(((gx + at[0])[inside].sum(), (gy + at[1])[inside].sum()))


@pytest.mark.slow
def test_nothing_in_a_plate_meets_anything_else(samples):
    for p in samples:
        rim = shapely.Point(0, 0).buffer(p.radius, quad_segs=64)
        holes = [shapely.Point(p.offset, 0).buffer(p.size / 2)]
        holes += [shapely.Point(at).buffer(p.values.screw / 2) for at in p.screws]
        holes += [shapely.Point(b.at).buffer(b.diameter / 2) for b in p.pockets]
        assert all(rim.exterior.distance(h) >= 4 and rim.contains(h) for h in holes)
        assert all(a.distance(b) >= 2 for k, a in enumerate(holes) for b in holes[k + 1 :])
        assert all(b.depth <= p.thickness - 6 for b in p.pockets)
        assert 2 * p.radius <= p.swing


@pytest.mark.slow
def test_what_has_no_plate_is_said(samples):
    part = read_part(SAMPLES / "three-boss-rocker.toml")[0]
    planned = plan(part, SMALL)
    notes = fixture_notes(planned, tuple(plates(part, SMALL, planned)))
    assert [(f.code, f.where) for f in notes] == [(m.NO_FIXTURE_PLATE.code, "set-up 1")]
    crank = next(p for p in samples if p.held == 24 and p.locator == "bore")
    assert not crank.pockets
    (note,) = fixture_notes(three_set_ups(), (crank,))
    assert note.code == m.PLATE_NOT_BALANCED.code and crank.weight_radius == 80, "the sub chuck's own place"


@pytest.mark.slow
def test_a_plate_that_the_machine_does_not_swing_is_refused():
    from dataclasses import replace

    s = three_set_ups().setups[1]
    with pytest.raises(FoldsketchError) as error:
        fixture_plate(COVER, replace(TWIN, swing=100.0), s)
    assert error.value.findings[0].code == m.NO_SWING_FOR_PLATE.code and "110" in str(error.value)


@pytest.mark.slow
def test_a_plate_has_room_for_what_stands_behind_its_rest_face_and_keeps_its_wall():
    """A flange of 140 with a register of 106 x 4 behind it and a bore of 36, 31 off: the plate turns with the work.

    [D] Room for the register about its own axis, 110 for 106, and a hole of 40 for the bore about the spindle axis: all
    of the bore's wall is left. Swept about the spindle axis the register would take 2 (31 + 53), over half of the wall.
    """
    (p, *_) = [q for q in plates(VALVE, SMALL, plan(VALVE, SMALL, batch=50)) if q.locator == "bore"]
    assert (p.offset, p.through, p.relief, p.behind) == (31, 40, 110, 4) and plate_fault(p) is None
    assert p.thickness - p.depth - p.behind >= 20
    wall = shapely.Point(p.offset, 0).buffer(p.size / 2, 256).exterior
    assert wall.difference(shapely.Point(0, 0).buffer(p.through / 2, 256)).length == pytest.approx(wall.length)
    swept = dataclasses.replace(p, through=2.0 * (31 + 53))
    left = wall.difference(shapely.Point(0, 0).buffer(swept.through / 2, 256))
    assert left.length < wall.length / 2
    assert plate_fault(swept).code == m.PLATE_CUT_AWAY.code and "wall" in plate_fault(swept).text
    # A smaller hole leaves the wall and reaches a screw, 80 from the bore's centre.
    near = min(math.hypot(*at) for at in p.screws)
    assert "screw" in plate_fault(dataclasses.replace(p, through=2 * near - 10)).text
