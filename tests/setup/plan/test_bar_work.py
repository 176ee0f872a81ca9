"""Bar work: parts from a bar that is fed through the main spindle."""

import dataclasses
from math import pi

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part
from foldsketch.setup import messages as m
from foldsketch.setup.plan.plan import plan
from setup_parts import MACHINES, ROOT, findings
from setup_works import SMALL, TWIN

PIN = Part(
    "pin",
    (Axis("A"), Axis("B", (4.0, 0.0, 0.0))),
    (
        Feature("body", "A", Cylinder(36), 0, 30),
        Feature("journal", "A", Cylinder(24), 30, 60),
        Feature("eccentric", "B", Cylinder(16), -20, 0),
    ),
    density=7850.0,
    material="steel",
    blank=Blank("bar", 40),
)


def parting_minutes(radius):
    """At half of 150 m/min and 0.08 mm, 2 mm of run-in, up to the speed of the machine: the sum of shop practice [M].

    t = pi (r1^2 - rc^2)/(1000 v f) + rc/(f n), rc = 1000 v/(2 pi n), for 4000 r/min.
    """
    v, n = 75.0, 4000.0
    rc = 1000 * v / (2 * pi * n)
    return pi * ((radius + 2) ** 2 - rc**2) / (1000 * v * 0.08) + rc / (0.08 * n)


@pytest.fixture(scope="module")
def fed():
    return plan(PIN, TWIN, batch=50)


def test_the_bar_is_fed_and_parted_off_while_both_spindles_hold_it(fed):
    """Feeding takes 0.15 min and overlaps with the sub-spindle's cuts; the transfer has the parting in it."""
    first, second = fed.setups
    assert (first.clamping.way, first.clamping.held_on, first.by_hand) == ("fed_bar", "bar", False)
    assert not second.by_hand
    (run,) = fed.runs
    lanes = {(v.spindle, v.what): v.end - v.start for v in run.lanes}
    assert lanes["main", "load"] == pytest.approx(0.15)
    assert lanes["main", "transfer"] == pytest.approx(TWIN.times.transfer + parting_minutes(20), rel=1e-6)
    main = lanes["main", "load"] + lanes["main", "cut"]
    assert run.cycle == pytest.approx(lanes["main", "transfer"] + max(main, lanes["sub", "cut"]))


def test_all_of_the_length_is_cut_in_one_set_up(fed):
    """No jaws on the part: body and journal are turned at once, the eccentric milled."""
    assert {c.surface for c in fed.setups[0].cuts} >= {"body", "journal", "eccentric"}
    assert not fed.unturned


@pytest.mark.parametrize(("machine", "way"), [(SMALL, "fed_bar"), (None, "hard_jaws")])
def test_a_bar_too_thick_for_the_spindle_is_sawn(machine, way):
    """The small lathe takes 52 mm; with a bore of 39 mm the bar of 40 is loaded in pieces, and the plan says so."""
    narrow = dataclasses.replace(SMALL.spindle("main"), bar=39.0)
    made = plan(PIN, machine or dataclasses.replace(SMALL, spindles=(narrow,)), batch=10)
    assert made.setups[0].clamping.way == way
    assert bool(findings(made, m.BAR_NOT_FED)) is (way == "hard_jaws")
    assert not made.unturned


@pytest.mark.slow
def test_a_bar_never_leaves_more_than_sawn_pieces():
    """The double-throw crank on the large lathe: turned whole from the bar, no jaws would find its thin ends again."""
    part = read_part(ROOT / "samples" / "double-throw-crank.toml")[0]
    left = [
        len(plan(dataclasses.replace(part, blank=Blank(kind)), MACHINES["large"], batch=5).unturned)
        for kind in ("bar", "sawn")
    ]
    assert left[0] <= left[1]


@pytest.mark.slow
def test_more_parts_never_cost_more_each():
    costs = [plan(PIN, SMALL, batch=b).minutes.a_part(b) for b in (1, 10, 100)]
    assert costs == sorted(costs, reverse=True)
