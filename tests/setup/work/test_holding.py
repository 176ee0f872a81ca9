"""What may be held at a moment, and what length jaws find on it."""

from dataclasses import replace
from math import inf

import pytest

import parts
from foldsketch.base.findings import Finding
from foldsketch.part.model import Axis, Cylinder, Feature, Plate, PrismShape, Ring
from foldsketch.setup import messages as m
from foldsketch.setup.formulas.jaws import narrow_jaw_packing, wide_jaw_packing
from foldsketch.setup.work.holding import as_plate, held_surfaces, length_for_jaws, on_fixture_face
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import WorkStates
from setup_works import COVER, COVER_RUN_1, RAW, SHAFT, SHAFT_JOURNALS, SMALL, TWIN, everything

MAIN = TWIN.spindle("main")
NONE = frozenset()


def surfaces(states, done):
    return {(h.name, h.kind): h for h in held_surfaces(states, done)}


@pytest.fixture(scope="module")
def cover():
    return WorkStates(COVER)


@pytest.fixture(scope="module")
def shaft():
    return WorkStates(SHAFT)


def test_a_raw_flange_is_held_as_raw(cover):
    flange = surfaces(cover, RAW)["flange", "outside"]
    assert (flange.diameter, flange.low, flange.high, flange.raw) == (94, -2, 12, True)
    assert flange.ways(0.0, NONE) == ("hard_jaws",)
    assert flange.ways(20.0, NONE) == ()  # raw surfaces are held centred
    assert length_for_jaws(cover, RAW, flange, "+z", MAIN) == (-2, 12)


def test_raw_is_held_once_in_any_band(cover):
    found = surfaces(cover, COVER_RUN_1)
    band = found["flange (raw)", "outside"]
    assert (band.of, band.high, band.raw) == ("flange", 4.5, True)
    assert band.ways(0.0, frozenset(["flange"])) == ()


def test_turned_surfaces_take_pads_soft_jaws_and_all_ways_off_centre(cover):
    flange = surfaces(cover, COVER_RUN_1)["flange", "outside"]
    assert (flange.diameter, flange.raw) == (90, False)
    assert flange.ways(0.0, frozenset(["flange"])) == ("pads", "soft_jaws")
    assert {"packed_three_jaw", "four_jaw", "bored_jaws"} <= set(flange.ways(20.0, NONE))


def test_jaws_of_the_sub_spindle_pass_the_spigots(cover):
    """Held on d90 from z 4.5, 7.5 long; the spigots sweep to 38 of 45 mm and go into the chuck."""
    flange = surfaces(cover, COVER_RUN_1)["flange", "outside"]
    assert length_for_jaws(cover, COVER_RUN_1, flange, "-z", TWIN.spindle("sub")) == (4.5, 12)


def test_what_is_in_front_of_the_jaws(cover):
    spigot = surfaces(cover, RAW)["inlet spigot", "outside"]
    by_hand = replace(MAIN, jaw_stroke=inf)
    refused = length_for_jaws(cover, RAW, spigot, "+z", by_hand)
    assert (refused.code, refused.value("feature")) == (m.BLOCKS_JAWS.code, "flange")
    assert length_for_jaws(cover, RAW, spigot, "-z", MAIN) == (38, 44)  # beside the outlet spigot, 36 + 2 high


def test_the_open_jaws_pass_what_goes_by(cover):
    """About B the raw flange of 94 sweeps 2 (47 + 20) = 134: jaws on the raw spigot of 40 open by 47, and 2 to load."""
    spigot = surfaces(cover, RAW)["inlet spigot", "outside"]
    refused = length_for_jaws(cover, RAW, spigot, "+z", MAIN)
    assert (refused.code, refused.value("feature")) == (m.STROKE_TOO_SHORT.code, "flange")
    assert (refused.value("needed").value, refused.value("stroke").value) == pytest.approx((49, 5))
    flange = surfaces(cover, RAW)["flange", "outside"]
    assert length_for_jaws(cover, RAW, flange, "+z", replace(MAIN, jaw_stroke=2.0)) == (-2, 12)
    refused = length_for_jaws(cover, RAW, flange, "+z", replace(MAIN, jaw_stroke=1.9))
    assert (refused.code, refused.value("feature")) == (m.STROKE_TOO_SHORT.code, "flange")


def test_the_bar_and_what_is_left_of_it(shaft):
    bar = surfaces(shaft, RAW)["bar", "outside"]
    assert (bar.of, bar.diameter, bar.raw) == ("", 60, True)
    assert length_for_jaws(shaft, RAW, bar, "-z", SMALL.spindle("main")) == (-2, 106)
    assert bar.ways(0.0, frozenset([""])) == ()
    found = surfaces(shaft, SHAFT_JOURNALS)
    assert (found["bar", "outside"].low, found["bar", "outside"].high) == (50, 72)
    assert length_for_jaws(shaft, SHAFT_JOURNALS, found["drive journal", "outside"], "+z", SMALL.spindle("main")) == (
        0,
        50,
    )


def test_packing_is_for_what_is_there(shaft):
    """The finished d30 is packed: 8.071 narrow, 9.000 for jaws of 28; the raw 60 would take another packing."""
    held = surfaces(shaft, SHAFT_JOURNALS)["drive journal", "outside"].diameter
    assert narrow_jaw_packing(held, 6) == pytest.approx(8.071, abs=5e-4)
    assert wide_jaw_packing(held, 6, SMALL.spindle("main").jaw_width) == pytest.approx(9.0, abs=5e-4)


def test_a_surface_not_yet_made_is_not_there(cover):
    assert ("inlet bore", "bore") not in surfaces(cover, RAW)
    assert ("inlet bore", "bore") in surfaces(cover, COVER_RUN_1)


def test_bores_must_open_at_the_chuck(cover):
    done = everything(cover)
    bore = surfaces(cover, done)["outlet bore", "bore"]
    assert length_for_jaws(cover, done, bore, "+z", MAIN) == (0, 37)
    refused = length_for_jaws(cover, done, bore, "-z", MAIN)
    assert refused.code == m.BORE_CLOSED_AT_CHUCK.code
    assert bore.ways(5.0, NONE) == ("offset_fixture",)


def test_flats_and_plates():
    states = WorkStates(parts.HEX)
    done = frozenset(states.to_machine)
    head = surfaces(states, done)["head", "flats"]
    assert (head.diameter, head.flats) == (46, 6)
    assert "packed_three_jaw" not in head.ways(4.0, NONE)
    rocker = WorkStates(parts.ROCKER)
    web = surfaces(rocker, frozenset(rocker.to_machine))["web", "plate"]
    assert web.ways(0.0, NONE) == ("offset_fixture", "face_plate")
    assert length_for_jaws(rocker, frozenset(rocker.to_machine), web, "+z", MAIN) == (0, 10)


def test_too_short_and_too_deep():
    short = WorkStates(parts.part([Feature("disc", "A", Ring(60, 20), 0, 4), Feature("pin", "A", Cylinder(40), 4, 90)]))
    done = frozenset(short.to_machine)
    disc = surfaces(short, done)["disc", "outside"]
    refused = length_for_jaws(short, done, disc, "+z", MAIN)
    assert isinstance(refused, Finding) and refused.code == m.GRIP_TOO_SHORT.code
    deep = length_for_jaws(short, done, disc, "-z", MAIN)
    assert deep.code == m.TOO_LONG_FOR_CHUCK.code


def test_a_neighbour_leaves_too_little():
    """A web of d60 beside a journal of d20, 3 mm from its end."""
    crank = WorkStates(
        parts.part([Feature("pin", "A", Cylinder(20), 0, 20), Feature("web", "B", PrismShape(4, 60), 3, 20)],
                   Axis("B", (20.0, 0.0, 0.0)))
    )  # fmt: skip
    done = frozenset(crank.to_machine)
    refused = length_for_jaws(crank, done, surfaces(crank, done)["pin", "outside"], "+z", MAIN)
    assert (refused.code, refused.value("feature")) == (m.GRIP_BLOCKED.code, "web")


def test_a_disc_that_jaws_do_not_find_lies_on_its_face(cover):
    """Nothing else of the cover is as low as the flange; what stands on it does not lie on a fixture."""
    found = surfaces(cover, RAW)
    lying = as_plate(cover, RAW, found["flange", "outside"], "+z")
    assert (lying.kind, lying.raw, lying.of) == ("plate", True, "flange")
    assert lying.ways(20.0, frozenset(["flange"])) == ()  # a raw face is used once
    assert as_plate(cover, RAW, found["flange", "outside"], "-z") is None
    assert as_plate(cover, RAW, found["inlet spigot", "outside"], "-z") is None  # the flange is wider
    jointed = frozenset([Band("flange", 0.0, 3.5), "flange -z"])
    band = next(h for h in held_surfaces(cover, jointed) if not h.raw)
    assert not as_plate(cover, jointed, band, "+z").raw


def test_a_sawn_end_is_no_face_to_lie_on(shaft):
    assert as_plate(shaft, RAW, surfaces(shaft, RAW)["bar", "outside"], "+z") is None


def test_plates_side_by_side_have_one_raw_face():
    """Two arms of one casting: whoever has held the one by its raw face has held the other."""
    arms = [
        Feature(name, "A", Plate(hull=((0, 0, 20), (x, 0, 12))), 0, 10, finish="cast")
        for name, x in (("left", -50), ("right", 50))
    ]
    states = WorkStates(parts.part([*arms, Feature("hub", "A", Cylinder(40), 10, 30, stock=2.0)]))
    found = surfaces(states, RAW)
    assert {on_fixture_face(states, RAW, found[name, "plate"], "+z").of for name in ("left", "right")} == {"left"}


def test_a_pin_needs_less_of_a_bore_than_jaws_of_a_rim():
    """5 mm of bore: enough for the pin of a fixture, not for jaws that need 6."""
    rim, eye = Feature("rim", "A", Cylinder(60), 0, 5), Feature("eye", "A", Cylinder(20), 0, 5, cut=True)
    states = WorkStates(parts.part([rim, eye]))
    done = frozenset(states.to_machine)
    found = surfaces(states, done)
    assert length_for_jaws(states, done, found["rim", "outside"], "+z", MAIN).code == m.GRIP_TOO_SHORT.code
    assert length_for_jaws(states, done, found["eye", "bore"], "+z", MAIN) == (0, 5)
