"""Cuts of the worked parts from their states and machine files alone: the minutes and speeds worked by hand [D; cutting
figures M: set-up reference, section 7]."""

from dataclasses import replace

import pytest

import parts
from foldsketch.part.cutting import CUTTING_DATA
from foldsketch.part.model import Axis, Cylinder, Feature, Ring
from foldsketch.setup.formulas.turning_time import CENTRE_MIN, TOOL_CALL_MIN, highest_speed
from foldsketch.setup.work.clamping_limits import ClampingLimits, grip_of, limits_of_clamping
from foldsketch.setup.work.holding import held_surfaces
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import WorkStates
from foldsketch.setup.work.surface_cuts import SurfaceCuts
from setup_works import (
    COVER,
    COVER_RUN_1,
    COVER_TURNED_1,
    COVER_TURNED_B,
    HOLES,
    RAW,
    SHAFT,
    SHAFT_B,
    SHAFT_DRIVE,
    SHAFT_JOURNALS,
    SMALL,
    TWIN,
    A,
    B,
    C,
    everything,
)  # fmt: skip

IRON, STEEL = CUTTING_DATA["grey cast iron"], CUTTING_DATA["steel"]


def clamped(states, before, after, spindle, held, grip, end, at=A, centre=False, weighted=False):
    """Limits of a clamping on the surface of a name, gripped between two heights."""
    surface = next(h for h in held_surfaces(states, before) if h.name == held)
    found = limits_of_clamping(states, before, after, at, spindle, 16)
    u = states.rotor(before, at).unbalance
    return ClampingLimits(end, grip, found.cap(weighted), grip_of(spindle, surface, grip[1] - grip[0], u, centre))


def minutes(cuts):
    """With a call of every tool."""
    return sum(c.time.minutes for c in cuts) + TOOL_CALL_MIN * len({c.tool for c in cuts})


@pytest.fixture(scope="module")
def cover():
    return WorkStates(COVER)


@pytest.fixture(scope="module")
def shaft():
    return WorkStates(SHAFT)


def test_cover_on_the_main_spindle(cover):
    """3.12 min with 4 tools; d8 beside the neighbour, d12 for ends and bore, drill 16; 284 to 566 r/min, 12.9 kN."""
    work = SurfaceCuts(cover, TWIN, IRON)
    limits = clamped(cover, RAW, COVER_RUN_1, TWIN.spindle("main"), "flange", (-2, 4), "+z")
    flange = work.turned(RAW, Band("flange", 4.5, 12), limits)
    done, cuts = RAW, list(flange)
    for name in ("inlet spigot +z", "outlet spigot +z"):
        cuts += work.milled_face(done, name)
        done |= {name}
    for name in ("inlet bore", "outlet bore", "inlet spigot", "outlet spigot"):
        cuts += work.milled_round(done, name, "+z")
        done |= {name}
    assert done | {Band("flange", 4.5, 12)} == COVER_RUN_1
    assert {(c.tool.kind, c.tool.diameter) for c in cuts} == {
        ("outside", 0), ("cutter", 12), ("drill", 16), ("cutter", 8),
    }  # fmt: skip
    assert minutes(cuts) == pytest.approx(3.12, abs=0.0051)
    fastest = highest_speed(c.time for c in flange)
    assert (fastest.speed, fastest.limit) == (pytest.approx(566, abs=0.5), "cut")
    assert fastest.grip == pytest.approx(12_900, abs=50)


def test_cover_on_the_sub_spindle(cover):
    """1.49 min with 2 tools; cap of the face 1625 r/min, 14.0 kN."""
    work = SurfaceCuts(cover, TWIN, IRON)
    limits = clamped(cover, COVER_RUN_1, everything(cover), TWIN.spindle("sub"), "flange", (6, 12), "-z")
    joint = work.faced(COVER_RUN_1, "flange -z", A, limits)
    done = COVER_RUN_1 | {"flange -z"}
    cuts = [*joint, *work.turned(done, "flange", limits), *work.drilled_holes(done, tuple(HOLES))]
    assert minutes(cuts) == pytest.approx(1.49, abs=0.0051)
    fastest = highest_speed(c.time for c in cuts[:2])
    assert (fastest.speed, fastest.limit) == (pytest.approx(1625, abs=0.5), "cut")
    assert max(c.time.grip for c in cuts[:2]) == pytest.approx(14_000, abs=50)


@pytest.mark.parametrize(("weighted", "expected"), [(False, (2.25, 1.18)), (True, (1.34, 0.80))])
def test_cover_turned_off_centre(cover, weighted, expected):
    """B: end, spigot with an axial tool, drill 20, bar; C: end, axial tool, drill 16; balance limits both as loaded.

    The figures by hand let a weight take the force off the spindle; we do not, so that the spindle here bears 6000 N.
    """
    work, main = SurfaceCuts(cover, TWIN, IRON), replace(TWIN.spindle("main"), force=6000.0)
    found = []
    for before, spigot, bore, at in (
        (COVER_TURNED_1, "inlet spigot", "inlet bore", B),
        (COVER_TURNED_B, "outlet spigot", "outlet bore", C),
    ):
        after = before | {spigot, f"{spigot} +z", bore}
        limits = clamped(cover, before, after, main, "flange", (0, 6), "+z", at, weighted=weighted)
        done, cuts = before | {f"{spigot} +z"}, list(work.faced(before, f"{spigot} +z", at, limits))
        cuts += work.turned(done, spigot, limits, "axial")
        cuts += work.turned(done, bore, limits)
        found.append(minutes(cuts))
        assert {c.time.limit for c in cuts if c.time.limit != "cut"} <= {"machine" if weighted else "balance"}
    assert found == pytest.approx(expected, abs=0.0081)


def test_shaft(shaft):
    """2.77, 3.17 and 3.30 min with a centre; 25.0 and 24.7 of 25 kN; 1800, 1800 and 1314 r/min."""
    work, main = SurfaceCuts(shaft, SMALL, STEEL), SMALL.spindle("main")
    faced = SHAFT_DRIVE - {"drive journal"}
    first = clamped(shaft, RAW, SHAFT_DRIVE, main, "bar", (76, 106), "-z", centre=True)
    cuts = [*work.faced(RAW, "drive journal -z", A, first), *work.turned(faced, "drive journal", first)]
    assert minutes(cuts) + TOOL_CALL_MIN + CENTRE_MIN == pytest.approx(2.77, abs=0.0051)
    assert max(c.time.grip for c in cuts) == pytest.approx(25_000, abs=50)
    tail = SHAFT_DRIVE | {"tail journal +z"}
    second = clamped(shaft, SHAFT_DRIVE, SHAFT_JOURNALS, main, "drive journal", (0, 40), "+z", centre=True)
    cuts = [*work.faced(SHAFT_DRIVE, "tail journal +z", A, second), *work.turned(tail, "tail journal", second)]
    assert minutes(cuts) + TOOL_CALL_MIN + CENTRE_MIN == pytest.approx(3.17, abs=0.0051)
    third = clamped(
        shaft, SHAFT_JOURNALS, everything(shaft), main, "drive journal", (0, 40), "+z", SHAFT_B, centre=True
    )
    cuts = work.turned(SHAFT_JOURNALS, "eccentric", third)
    assert minutes(cuts) + TOOL_CALL_MIN + CENTRE_MIN == pytest.approx(3.30, abs=0.0051)
    fastest = highest_speed(c.time for c in cuts)
    assert (fastest.speed, fastest.limit) == (pytest.approx(1314, abs=0.6), "balance")
    assert fastest.grip == pytest.approx(24_700, abs=50)


def test_without_a_centre_the_shaft_is_not_held(shaft):
    limits = clamped(shaft, RAW, SHAFT_DRIVE, SMALL.spindle("main"), "bar", (76, 106), "-z")
    deep = SurfaceCuts(shaft, SMALL, STEEL).turned(RAW, "drive journal", limits)
    assert deep is None or deep[0].time.depth < 1.0  # 16.7 of the 37 kN that 2 mm would need


def test_nothing_left_is_nothing_to_do(cover):
    work, done = SurfaceCuts(cover, TWIN, IRON), everything(cover)
    limits = clamped(cover, done, done, TWIN.spindle("main"), "flange", (0, 6), "+z")
    assert work.turned(done, "flange", limits) == work.faced(done, "flange -z", A, limits) == ()
    assert work.milled_round(done, "inlet spigot", "+z") == work.milled_face(done, "flange -z") == ()


def test_a_ring_is_bored_too():
    sleeve = replace(parts.part([Feature("sleeve", "A", Ring(60, 20), 0, 40)]), density=7850.0)
    states = WorkStates(sleeve)
    limits = clamped(states, RAW, everything(states), TWIN.spindle("main"), "bar", (-2, 6), "+z")
    cuts = SurfaceCuts(states, TWIN, STEEL).turned(RAW, "sleeve", limits)
    assert [(c.tool.kind, c.tool.diameter) for c in cuts] == [("outside", 0), ("drill", 18), ("bar", 0)]


def test_a_gap_too_narrow_for_any_cutter():
    """Two pins of d20, 23 mm apart: 3 mm between them, the smallest cutter is 4."""
    pins = [Feature("b", "B", Cylinder(20), 10, 40, stock=1), Feature("c", "C", Cylinder(20), 10, 40, stock=1)]
    disc = Feature("disc", "A", Cylinder(80), 0, 10)
    states = WorkStates(parts.part([disc, *pins], Axis("B", (11.5, 0.0, 0.0)), Axis("C", (-11.5, 0.0, 0.0))))
    work = SurfaceCuts(states, TWIN, STEEL)
    assert work.gap("b") == pytest.approx(3)
    assert work.milled_round(RAW, "b", "+z") is None


def test_depth_of_a_blind_bore():
    states = WorkStates(parts.BLIND)
    assert SurfaceCuts(states, TWIN, STEEL).depth(RAW, "pocket") == pytest.approx((4, 14))
