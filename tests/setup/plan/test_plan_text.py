"""The printed plan: it fits a screen, names what it must, and its figures are those of the set-ups."""

import dataclasses
import re

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.part.model import Cylinder, Feature, Plate
from foldsketch.setup import messages as m
from foldsketch.setup.plan.limit_text import grip_rows, weight_text
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS, IN_ROWS, break_even_text, plan_table, way_text
from setup_parts import COVER, ECCENTRIC, SMALL, part_of, planned
from setup_parts import MACHINES as M
from setup_works import COVER as PUMP_COVER
from setup_works import SAMPLES, TWIN

WORK_SMALL, LARGE, SINGLE = M["small"], M["large"], M["single-spindle"]


@pytest.fixture(scope="module")
def cover():
    return plan(PUMP_COVER, TWIN, batch=50)


@pytest.mark.slow
def test_the_cover_fits_a_screen_and_reads_as_the_reference_prints_it(cover):
    """Set-up reference, section 8: 6.2 min each, setting 88, 280 rough, 560 finish, 12.9 of 45 kN, 311 min."""
    text = plan_table(cover)
    lines = text.splitlines()
    assert len(lines) - len(CAUTIONS) <= 40
    assert all(len(line) <= 80 for line in lines[: -len(CAUTIONS) - 1])
    for words in (
        *("BILGE PUMP COVER", "1.15 kg, 0.70 done", "50: 6.2 min each", "setting 88, cycle 4.4", "1 MAIN hard jaws"),
        *("raw flange d94, grip 6", "2 SUB  soft jaws, flange d90, grip 6", "280 to 560 r/min, the cut decides"),
        *("12.9 of 45 kN", "14.0 of 30 kN", "50 parts 311 min", "pays from 6", "main binds", "bolt hole 1 to 4"),
    ):
        assert words in text, words
    assert all(c in text for c in CAUTIONS)


def test_every_set_up_has_its_line_and_every_surface_its_name():
    made = planned(machine=SMALL, batch=10)
    text = re.sub(r"\s+", " ", plan_table(made))
    for s in made.setups:
        assert f"{s.number} {s.clamping.spindle.upper()} {weight_text(s)}{way_text(s)}" in text
        assert all(c.surface in text for c in s.cuts)
    assert all(c in text for c in CAUTIONS)


def test_a_speed_that_hangs_on_a_counterweight_says_so_before_all_else():
    """Both speeds in the set-up's first words: without the weight, and with it."""
    plate = Feature("flange", "A", Plate(outline=((-80, -45), (80, -45), (80, 45), (-80, 45))), 0, 16, finish="cast")
    made = planned((plate, Feature("spigot", "B", Cylinder(48), 16, 50, stock=2.5)), SMALL, batch=50, B=(-31.0, 0.0))
    text = plan_table(made)
    weighted = [s for s in made.setups if s.weighted]
    assert weighted
    assert text.count("NEEDS A COUNTERWEIGHT") == len(weighted)
    for s in weighted:
        low, high = 10 * int(s.speeds.balance / 10), 10 * int(s.speeds.recommended / 10)
        first = next(line for line in text.splitlines() if line.startswith(f"{s.number} {s.clamping.spindle.upper()}"))
        found = re.search(r"NEEDS A COUNTERWEIGHT \((\d+) r/min of (\d+) without\):", first)
        assert found and abs(int(found[1]) - low) <= 10 and abs(int(found[2]) - high) <= 10


def test_a_grip_with_less_than_a_tenth_in_hand_is_told():
    made = planned(machine=SMALL, batch=10)
    s = next(s for s in made.setups if s.clamping_force)
    tight, easy = (dataclasses.replace(s, grip_force=s.clamping_force * k) for k in (1.05, 1.2))
    assert f"less than a tenth in hand in {s.number}" in grip_rows([tight])[0]
    assert "tenth" not in grip_rows([easy])[0]
    assert "safety 2 on the cut and 1.5 on the chuck" in grip_rows([easy])[0]


def test_packing_is_printed_with_the_jaw_that_it_is_under():
    made = planned(machine=dataclasses.replace(SMALL, max_offsets=(("packed three-jaw", 10.0),)), batch=10)
    s = next(s for s in made.setups if s.packed)
    text = re.sub(r"\s+", " ", plan_table(made))
    assert f"packing under jaw 1 {s.packing.for_chuck_jaws:g} for these jaws" in text
    assert "jaw 1 on B's side" in text


def test_lengths_are_in_the_parts_unit():
    """6 mm off is 0.2362 in and reads 0.4724 in."""
    part = part_of(ECCENTRIC, B=(6.0, 0.0))
    inches = re.sub(r"\s+", " ", plan_table(plan(dataclasses.replace(part, units="in"), SMALL)))
    assert "0.2362 off A" in inches and "indicator reading 0.4724" in inches
    assert "mm" not in inches.replace("g mm", "")


def test_a_plan_without_set_ups_says_so():
    text = plan_table(plan(COVER, dataclasses.replace(SMALL, swing=10.0)))
    assert "nothing can be cut on this machine" in text
    assert "NOT CUT" in text and "swings" in text


def test_a_part_without_a_density_has_no_speed_off_centre():
    made = plan(dataclasses.replace(part_of(ECCENTRIC, B=(6.0, 0.0)), density=None), SMALL)
    assert "mass unknown: no speed can be recommended" in re.sub(r"\s+", " ", plan_table(made))


def test_break_even_in_words():
    made = planned(machine=SMALL, batch=10)
    assert break_even_text(made) in ("less for small batches", "never pays in time", "pays for any batch") or re.match(
        r"pays from \d+ parts", break_even_text(made)
    )


def test_what_lies_on_a_fixture_has_no_diameter_and_no_grip():
    """A lever clamped by its arm: not "raw arm d6.0157", and rocking jaws help nobody on a fixture."""
    lever = read_part(SAMPLES / "valve-lever.toml")[0]
    text = re.sub(r"\s+", " ", plan_table(plan(lever, WORK_SMALL, batch=50)))
    assert re.search(r"fixture, raw arm [\d. ]*lying on its -z face, centred on A", text)
    assert "the cast face of 'arm' lies on the fixture; seat it on three points" in text
    assert "'arm'; use rocking" not in text


def test_a_plan_that_leaves_something_says_how_much_it_cuts():
    made = plan(PUMP_COVER, LARGE, batch=50)
    left = len(made.unturned)
    assert left and f"cuts {8 - left} of 8 surfaces" in plan_table(made)


def test_what_the_rows_say_is_not_printed_below_them_again():
    made = plan(PUMP_COVER, WORK_SMALL, batch=50)
    codes = {f.code for f in made.findings}
    assert {m.DRILLED.code, m.SURFACE_IN_TWO_SETUPS.code} <= codes & IN_ROWS
    text = re.sub(r"\s+", " ", plan_table(made))
    assert "made elsewhere: bolt hole 1 to 4" in text and "expect a line at 2 mm" in text


def test_set_ups_with_the_same_need_share_a_line():
    made = plan(PUMP_COVER, SINGLE, batch=50)
    text = re.sub(r"\s+", " ", plan_table(made))
    assert text.count("where one can be bolted on, give force, weight_radius") == 1
    assert text.count("no grip_force in the machine file") == 1
