"""Warnings of single set-ups: thin walls under jaws, and drills too large for the driven tool."""

import dataclasses

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.part.model import Blank, Cylinder, Feature, Ring
from foldsketch.setup import messages as m
from foldsketch.setup.machine_file.read import parse_machine
from foldsketch.setup.plan.plan import plan
from setup_parts import MACHINES, ROOT, SMALL, findings, part_of

TWIN = MACHINES["twin"]


def tube(bore):
    """A cast tube of 60 x 60 with 1 mm of stock inside and out: 62 raw, held in hard jaws first, then in soft ones."""
    made = part_of((Feature("tube", "A", Ring(60, bore), 0, 60, stock=1.0),))
    return dataclasses.replace(made, blank=Blank("casting"))


@pytest.mark.parametrize(
    ("bore", "told"),
    [
        (40.0, []),  # 12 of 62 raw, 10 of 60 finished: above 1/15
        (56.0, [(4.0, 62.0, "soft jaws all round")]),  # 4 of 62 is below 1/15; soft jaws then hold 2 of 60, just 1/30
        (57.0, [(3.5, 62.0, "soft jaws all round"), (1.5, 60.0, "along the axis")]),  # 1.5 of 60 is below 1/30
    ],
)
def test_a_thin_wall_under_the_jaws_is_told(bore, told):
    """Below 1/15 of the diameter soft jaws, below 1/30 clamping along the axis [set-up reference, section 4, M]."""
    found = findings(plan(tube(bore), SMALL, batch=50), m.THIN_WALL)
    values = [(f.value("wall").value, f.value("diameter").value, f.value("cure")) for f in found]
    assert len(values) == len(told)
    for (wall, diameter, cure), expected in zip(values, told, strict=True):
        assert (wall, diameter) == pytest.approx(expected[:2])
        assert expected[2] in cure


def test_a_bolt_hole_near_the_rim_is_no_thin_wall():
    """A solid disc of 140 with a hole of 11 whose edge is 4.5 from the rim: the section around it carries the jaws."""
    disc, hole = Feature("disc", "A", Cylinder(140), 0, 40), Feature("hole", "B", Cylinder(11), -1, 41, cut=True)
    made = plan(part_of((disc, hole), B=(60.0, 0.0)), MACHINES["twin"], batch=50)
    assert made.setups and not findings(made, m.THIN_WALL)


def test_no_centre_is_advised_where_there_is_no_tailstock():
    """A bar of 20 that stands out 150: seven times its diameter."""
    shaft = part_of((Feature("a", "A", Cylinder(20), 0, 150), Feature("b", "A", Cylinder(30), 150, 190)))
    for machine in (dataclasses.replace(SMALL, tailstock=False), TWIN):
        assert not machine.tailstock
        told = findings(plan(shaft, machine, batch=1), m.SLENDER_WORK)
        assert all(f.value("support") == "a steady" for f in told)


def test_a_groove_outside_leaves_no_thin_wall():
    """A pin of 24 with a clip groove down to 20, held on the pin off centre."""
    head, pin = Feature("head", "B", Cylinder(40), 0, 15), Feature("pin", "A", Cylinder(24), 15, 60)
    groove = Feature("groove", "A", Ring(24, 20), 50, 53, cut=True)
    made = plan(part_of((head, pin, groove), B=(5.0, 0.0)), SMALL, batch=50)
    assert any(s.clamping.held_on == "pin" for s in made.setups)
    assert not findings(made, m.THIN_WALL)


def test_a_drill_that_the_driven_tool_cannot_turn():
    """In steel k_c f d2 / 8 = 2200 x 0.013 x 16 x 256 / 8 = 14.6 N m for a drill of 16 [D]: 15 are enough, 10 not."""
    hole = Feature("hole", "B", Cylinder(16), -1, 31, cut=True)
    part = part_of((Feature("body", "A", Cylinder(80), 0, 30), hole), B=(25.0, 0.0))
    assert not findings(plan(part, TWIN, batch=50), m.DRIVEN_TORQUE)
    weak = dataclasses.replace(TWIN, driven_torque=10.0)
    (found,) = findings(plan(part, weak, batch=50), m.DRIVEN_TORQUE)
    assert (found.value("tool"), found.value("names")) == ("drill", ("hole",))
    assert found.value("needed").value == pytest.approx(14.64, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(("power", "most"), [(False, 50), (True, 100)])
def test_no_cut_asks_for_a_grip_that_is_not_usual(power, most):
    """A disc of 100 turned 6 off a journal of 24: 2 mm deep at 0.25 a turn in steel pulls 2200 x 2 x 0.25 = 1100 N, and
    at 50 mm that asks for 1.5 x 2 x 1100 x 100 / (0.15 x 24) = 92 kN at rest [VDI 3106, as quoted], more where the bar
    is still around it. A chuck of 250 that a man tightens gives some 50 kN, one with a cylinder 100 [M]."""
    part = part_of((Feature("journal", "A", Cylinder(24), 0, 40), Feature("disc", "B", Cylinder(100), 40, 60)),
                   B=(6.0, 0.0))  # fmt: skip
    lathe = MACHINES["single-spindle"]
    unknown = dataclasses.replace(lathe, spindles=(dataclasses.replace(lathe.spindles[0], power=power),))
    made = plan(part, unknown, batch=1)
    assert made.setups and all((s.clamping_force or 0) <= 1000 * most for s in made.setups)
    told = findings(made, m.GRIP_UNKNOWN)
    assert told and all(f.value("given").value == most for f in told)


@pytest.mark.parametrize(("machine", "clear"), [("small", 2.0), ("single-spindle", 0.5)])
def test_a_long_journal_is_held_over_its_length(machine, clear):
    """Where a longer grip keeps no tool away, jaws hold a journal 36 long up to their clearance [C], and not the least
    that the chuck must have (5 and 8): with more length the work tilts less and nothing takes longer."""
    part = part_of((Feature("body", "A", Cylinder(40), 0, 36), Feature("pin", "B", Cylinder(20), 36, 56)), B=(6.0, 0.0))
    made = plan(part, MACHINES[machine], batch=10)
    (held,) = (s for s in made.setups if s.clamping.held_on == "body")
    assert held.clamping.grip_range == (0, 36 - clear)


@pytest.mark.slow
def test_long_bar_is_not_held_by_its_end_even_with_a_centre():
    """A bar of 60 and 130 long: less than a third of the diameter in the jaws holds nothing that stands out more
    than three quarters of it [one chuck maker's text], with a tailstock centre no more than without."""
    shaft = (Feature("a", "A", Cylinder(25), 0, 40), Feature("b", "B", Cylinder(44), 40, 70),
             Feature("c", "A", Cylinder(25), 70, 126))  # fmt: skip
    made = plan(part_of(shaft, B=(6.0, 0.0)), SMALL, batch=50)
    for s in made.setups:
        low, high = s.clamping.grip_range
        assert high - low >= min(s.held_diameter / 3, 30) - 1e-9


@pytest.mark.slow
def test_centre_holes_that_are_cut_away_are_not_told():
    """Two long pins on a flange, 24 apart: whatever centre stands on the axis of one pin, its own end keeps the hole;
    there is none at that axis in the end of the other pin, where the stock between is cut away [D]."""
    finished = part_of(
        (Feature("long", "A", Cylinder(20), 0, 90), Feature("web", "A", Cylinder(60), 90, 100),
         Feature("pin", "B", Cylinder(14), 100, 130)), B=(20.0, 0.0)
    )  # fmt: skip
    made = plan(finished, SMALL, batch=10)
    told = {f.where for f in findings(made, m.CENTRE_HOLE_STAYS)}
    with_centre = [s for s in made.setups if s.clamping.centre]
    assert with_centre
    for s in with_centre:
        # At +z only the pin on B is left, at -z only the shaft on A.
        stays = (s.clamping.on_centreline, s.clamping.from_end) in (("A", "-z"), ("B", "+z"))
        assert (f"set-up {s.number}" in told) == stays


ROCKER = read_part(ROOT / "samples" / "three-boss-rocker.toml")[0]


def test_a_face_plate_has_a_speed_limit_of_its_own():
    """10 m/s at a rim of 210 mm [C]: 60000 x 10 / (pi 210) = 909.5 r/min [D]; a key of the machine file goes first."""
    made = plan(ROCKER, TWIN, batch=1)
    v = made.setups[0].speeds
    assert made.setups[0].clamping.way == "face_plate"
    assert (v.recommended, v.machine) == pytest.approx((909.457, 909.457), abs=1e-3)
    assert v.limit == "face plate"
    assert [f.value("key") for f in findings(made, m.HOLDER_SPEED_USUAL)] == ["face_plate_speed"]
    text = (ROOT / "samples" / "machines" / "twin.toml").read_text(encoding="utf-8")
    own = parse_machine(text.replace("speed = 4000", "speed = 4000\nface_plate_speed = 600"), "toml", "m.toml")
    made = plan(ROCKER, own, batch=1)
    assert made.setups[0].clamping.way == "face_plate" and made.setups[0].speeds.recommended == 600
    assert not findings(made, m.HOLDER_SPEED_USUAL)


def test_what_is_milled_is_told_and_a_finer_round_is_turned():
    """The eccentric of the sample on the twin: milled under C and Y, 0.02 out of round [M]; asked for rounder it is
    turned. The journals on the datum axis are turned in any case [C]."""
    shaft = read_part(ROOT / "samples" / "eccentric-shaft.toml")[0]
    for roundness, how in ((None, "driven"), (0.03, "driven"), (0.01, "turned")):
        features = tuple(
            dataclasses.replace(f, roundness=roundness) if f.name == "eccentric" else f for f in shaft.features
        )
        for batch in (1, 5000):
            made = plan(dataclasses.replace(shaft, features=features), TWIN, batch=batch)
            cuts = {t.surface: t.how for s in made.setups for t in s.cuts}
            assert {cuts[n] for n in ("drive journal", "tail journal")} == {"turned"}
            assert cuts["eccentric"] == how
            assert bool(findings(made, m.MILLED_ROUND)) == (how == "driven")
