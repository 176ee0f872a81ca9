"""States of the work: stock on surfaces, what is left, and figures of each state; the worked parts' own figures are in
tests/validation/test_worked_set_ups.py."""

from dataclasses import replace

import pytest

import parts
from foldsketch.part.model import Axis, Blank, Cylinder, Feature
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import WorkStates
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
    A,
    B,
    C,
    everything,
)  # fmt: skip


@pytest.fixture(scope="module")
def cover():
    return WorkStates(COVER)


@pytest.fixture(scope="module")
def shaft():
    return WorkStates(SHAFT)


def test_what_is_to_be_machined(cover, shaft):
    rounds = {"flange", "inlet spigot", "outlet spigot", "inlet bore", "outlet bore", *HOLES}
    assert set(cover.to_machine) == rounds | {"flange -z", "inlet spigot +z", "outlet spigot +z"}
    assert set(cover.left(COVER_RUN_1)) == {"flange", "flange -z", *HOLES}
    assert cover.left(everything(cover)) == ()
    journals = {"drive journal", "drive journal -z", "tail journal", "tail journal +z"}
    assert set(shaft.to_machine) == journals | {"eccentric"}


def test_a_casting_keeps_what_stays_as_cast():
    cast = [replace(f, stock=0.0) if f.name == "flange" else f for f in COVER.features]
    states = WorkStates(COVER.with_features(tuple(cast)))
    assert not {"flange", "flange -z"} & set(states.to_machine)


def test_stock_on_a_cast_round(cover):
    assert cover.round_stock(RAW, "flange")[:5] == (47, 45, False, True, 0)
    rest = cover.round_stock(COVER_RUN_1, "flange")
    assert (rest.low, rest.high) == (0, 4.5)
    assert cover.round_stock(COVER_TURNED_1, "flange") is None
    assert cover.round_stock(RAW, "inlet bore")[:4] == (0, 11, False, False)


def test_stock_of_a_bar_lies_off_centre(shaft):
    """From R + e = 36 down to 22, from the bar of 60 around A."""
    assert shaft.round_stock(SHAFT_JOURNALS, "eccentric") == (36, 22, True, False, 50, 72)
    assert shaft.round_stock(RAW, "drive journal") == (30, 15, False, False, 0, 50)


def test_stock_on_faces(cover, shaft):
    joint = cover.face_stock(RAW, "flange -z", A)
    assert (joint.outer, joint.inner, joint.depth, joint.uneven, joint.skin) == (47, 0, 2, False, True)
    assert cover.face_stock(RAW, "inlet spigot +z", B)[:3] == (20, 0, 2)
    assert cover.face_stock(everything(cover), "flange -z", A) is None
    assert cover.face_stock(RAW, "flange +z", A) is None
    end = shaft.face_stock(RAW, "drive journal -z", A)
    assert (end.outer, end.inner, end.skin) == (30, 0, False)


def test_a_face_beside_what_stands_in_front_of_it():
    """d90 with stock on its shoulder and a raw spigot of d40 at 20: about A the spigot sweeps to 40, so 40 to 47 are
    left."""
    states = WorkStates(replace(COVER, blank=Blank("casting", faces=("flange +z",))))
    ring = states.face_stock(RAW, "flange +z", A)
    assert (ring.outer, ring.inner) == (47, 40)


def test_an_off_centre_face_is_interrupted(cover):
    assert cover.face_stock(RAW, "inlet spigot +z", A).uneven
    assert not cover.face_stock(RAW, "inlet spigot +z", B).uneven


def test_bands_that_cover_a_round_are_the_round(cover):
    lower, upper = Band("flange", -3, 4.5), Band("flange", 4.5, 12)
    assert cover.settled(frozenset([lower, upper])) == {"flange"}
    assert cover.settled(frozenset([upper, "flange -z"])) == {upper, "flange -z"}
    assert cover.settled(frozenset([upper, Band("flange", 6, 10)])) == {upper}
    assert cover.settled(frozenset(["flange", upper])) == {"flange"}
    both = cover.mass(frozenset(["flange -z", lower, upper]))
    assert both.volume == pytest.approx(cover.mass(frozenset(["flange -z", "flange"])).volume)


def test_turning_concentric_stock_leaves_the_unbalance(cover, shaft):
    """U about the centreline of a round does not change when that round is turned from a casting [D]."""
    for name, at in (("flange", A), ("inlet spigot", B), ("outlet spigot", C)):
        before, after = cover.unbalance(RAW, at), cover.unbalance(frozenset([name]), at)
        assert after.amount == pytest.approx(before.amount, rel=1e-9)
    assert shaft.unbalance(SHAFT_DRIVE, A).amount == pytest.approx(0, abs=1e-6)
    eccentric = shaft.unbalance(everything(shaft), SHAFT_B).amount
    assert eccentric < shaft.unbalance(SHAFT_JOURNALS, SHAFT_B).amount


def test_swing_of_the_work_at_that_moment(cover, shaft):
    """Raw flange of 94 about A; about B its far side at 20 + 47; the bar of 60 about B at 6 + 30."""
    assert cover.swing(RAW, A) == pytest.approx(94)
    assert cover.swing(RAW, B) == pytest.approx(134)
    assert cover.swing(COVER_TURNED_B, B) == pytest.approx(130)
    assert shaft.swing(RAW, SHAFT_B) == pytest.approx(72)


def test_a_state_is_worked_out_once(cover):
    assert cover.mass(RAW) is cover.mass(frozenset())
    assert cover.solid(RAW) is cover.solid(frozenset())


def test_without_a_density_there_is_no_rotor():
    states = WorkStates(parts.part([Feature("pin", "B", Cylinder(20), 0, 30)], Axis("B", (5.0, 0.0, 0.0))))
    assert states.rotor(RAW, A) is None


def test_the_rotor_of_a_state(cover):
    rotor = cover.rotor(RAW, A)
    assert rotor.mass == cover.mass(RAW).mass
    assert rotor.unbalance == cover.unbalance(RAW, A).amount
