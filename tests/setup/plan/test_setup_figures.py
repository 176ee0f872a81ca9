"""Figures of a set-up by hand, and what is reported about it."""

import dataclasses
import math

import pytest

from foldsketch.part.model import Blank, Cylinder, Feature
from foldsketch.setup import messages as m
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.plan.plan import plan
from setup_parts import COVER, ECCENTRIC, SMALL, TWIN, findings, part_of, planned


@pytest.fixture(scope="module")
def eccentric():
    """The body of 60 x 40 with its pin 6 off, on the small lathe, for ten."""
    return planned(machine=SMALL, batch=10)


def off_centre(made):
    return next(s for s in made.setups if s.clamping.offset)


def test_figures_by_hand(eccentric):
    """Body and pin in steel; the last cut leaves a body of pi/4 60^2 40 at 6 mm from the pin's axis."""
    s = off_centre(eccentric)
    assert s.clamping.offset == 6
    assert s.indicator == 12
    body = math.pi / 4 * 60**2 * 40 * 7.85e-6
    pin = math.pi / 4 * 20**2 * 20 * 7.85e-6
    assert eccentric.mass == pytest.approx(body + pin)
    assert s.unbalance >= 1000 * body * 6 * (1 - 1e-9)


def test_force_and_moment_are_those_at_the_recommended_speed(eccentric):
    """F = U w2 and M = D w2, with U and D in kg m and kg m2."""
    s = off_centre(eccentric)
    w = 2 * math.pi * s.speeds.recommended / 60
    share = 0.05 if s.weighted else 1.0
    assert s.force == pytest.approx(share * s.unbalance * 1e-6 * w**2)
    assert s.moment == pytest.approx(math.hypot(*s.couple) * 1e-9 * w**2)


def test_balance_is_of_the_whole_rotor(eccentric):
    """n_G = 9549.3 G (45 kg + m) / U [ISO 21940-11], at the worse of beginning and end."""
    s = off_centre(eccentric)
    at_begin = 9549.297 * 16 * (45 + s.mass) / s.unbalance
    assert s.speeds.balance == pytest.approx(at_begin, rel=0.02)


def test_jaws_swing_wider_than_the_work():
    """Ø60 held 6 off in four jaws 35 high: the far one's outer end is 71 from the centre, the work's side 36."""
    spindle = dataclasses.replace(SMALL.spindles[0], chuck="four-jaw", chucks=())
    independent = dataclasses.replace(SMALL, spindles=(spindle,), max_offsets=(("four-jaw", 40.0),))
    s = off_centre(planned(machine=independent))
    assert s.clamping.way == "four_jaw" and s.swing < 80
    assert s.jaw_swing == s.widest_circle == pytest.approx(142)


def test_jaws_touch_the_held_round(eccentric):
    """Every narrow jaw's face is on the circle of the held surface, 6 mm off the chuck's centre towards 180 degrees."""
    s = off_centre(eccentric)
    assert [j.number for j in s.jaws] == list(range(1, len(s.jaws) + 1))
    for j in s.jaws:
        x, y = j.from_centre * math.cos(j.angle), j.from_centre * math.sin(j.angle)
        away = math.hypot(x + 6, y)
        assert away == pytest.approx(30, abs=0.9), "wide jaws touch beside their middle"


def test_weights_take_resultant_and_couple_away():
    """On the twin's two planes, 15 and 60 behind the face: sums of m r and of m r z against U and U z + D."""
    features = (ECCENTRIC[0], dataclasses.replace(ECCENTRIC[1], turned=True))
    s = next(s for s in planned(features, TWIN, batch=2).setups if s.clamping.offset and s.clamping.spindle == "main")
    assert len(s.weights) == 2 and {w.radius for w in s.weights} == {95}
    pull = [sum(1000 * w.mass * w.radius * f(w.angle) for w in s.weights) for f in (math.cos, math.sin)]
    assert math.hypot(*pull) == pytest.approx(s.unbalance, rel=1e-6)
    assert pull[0] == pytest.approx(-s.unbalance * math.cos(s.unbalance_angle), rel=1e-6)


def test_a_weight_that_would_lift_the_speed_and_no_place_for_one():
    nowhere = dataclasses.replace(SMALL, spindles=(dataclasses.replace(SMALL.spindles[0], weight_radius=None),))
    with_place, without = planned(machine=SMALL, batch=2), planned(machine=nowhere, batch=2)
    assert findings(with_place, m.WEIGHT_WOULD_LIFT) and not findings(with_place, m.NO_PLACE_FOR_WEIGHT)
    assert findings(without, m.NO_PLACE_FOR_WEIGHT) and not findings(without, m.WEIGHT_WOULD_LIFT)
    (f,) = findings(without, m.NO_PLACE_FOR_WEIGHT)
    assert f.value("amount").value == off_centre(without).unbalance


def test_an_unknown_grip_is_told_and_taken_as_usual():
    unknown = dataclasses.replace(SMALL, spindles=(dataclasses.replace(SMALL.spindles[0], grip_force=None),))
    made = planned(machine=unknown, batch=10)
    assert findings(made, m.GRIP_UNKNOWN)
    assert all(s.grip_force is None and s.clamping_force <= 200 * SMALL.spindles[0].largest for s in made.setups)


def test_a_cast_surface_that_is_held():
    made = plan(COVER, TWIN)
    assert {f.value("feature") for f in findings(made, m.CAST_SURFACE_HELD)} <= {"flange", "inlet", "outlet"}
    assert findings(made, m.CAST_SURFACE_HELD)


@pytest.mark.parametrize(("deep", "bar"), [(30, None), (60, "heavy metal"), (75, "carbide")])
def test_the_bar_that_an_overhang_needs(deep, bar):
    """A bar of 10 in a bore of 15: sticks out 3, 6.2 and 7.7 times; solid steel to 4, heavy metal to 6 and 7 [C]."""
    features = (
        Feature("body", "A", Cylinder(60), 0, deep),
        Feature("bore", "A", Cylinder(15), -1, deep + 1, cut=True, finish="machined", stock=1.0),
    )
    made = plan(
        dataclasses.replace(part_of(features), blank=Blank("casting", cores=("bore",), faces=())),
        dataclasses.replace(
            SMALL,
            tools=dataclasses.replace(SMALL.tools, overhang=200.0),
            cutters=(*SMALL.cutters, Cutter("bar", 10.0, 10.0, 200.0, 10.0)),
        ),
    )
    found = findings(made, m.OVERHANG_NEEDS_BAR)
    assert [f.value("bar") for f in found] in ([bar] if bar else [], [] if bar is None else [bar])


def test_a_heavy_part_asks_for_a_lift():
    made = planned((Feature("drum", "A", Cylinder(180), 0, 110),), SMALL)
    heavy = [s for s in made.setups if s.mass > 20]
    assert len(findings(made, m.USE_A_LIFT)) == len(heavy) > 0


def test_an_eccentric_is_told_from_the_finished_part():
    """The work on the pin's axis is a whole bar at first: heavier, and more out of balance, than the finished part."""
    s = off_centre(planned((*ECCENTRIC,), SMALL, batch=1))
    assert s.mass > planned(machine=SMALL, batch=1).mass
