"""Plans: what does not depend on how the part lies, figures worked out by hand, other orders and what is left."""

import dataclasses
import json
import math
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, PrismShape
from foldsketch.setup import messages as m
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import clamping_text, plan, rejection_reason
from foldsketch.setup.plan.report import plan_report
from setup_parts import COVER, ECCENTRIC, ROOT, SINGLE, findings, planned, reasons

SAMPLES = sorted((ROOT / "samples").glob("*.toml"))


def turned_by(part, t, mirror=False):
    def place(p):
        x, y = (p[0], -p[1]) if mirror else (p[0], p[1])
        return (x * math.cos(t) - y * math.sin(t), x * math.sin(t) + y * math.cos(t), p[2])

    return dataclasses.replace(part, axes=tuple(dataclasses.replace(a, point=place(a.point)) for a in part.axes))


def bare(made):
    """The report without angles."""
    r = plan_report(made)
    for s in r["setups"]:
        for key in ("orient", "offset_angle", "unbalance_angle"):
            s.pop(key)
        s["findings"] = [f for f in s["findings"] if f["code"] != m.SPINDLE_ANGLE_LEFT.code]
        for hole in s["centre_holes"]:
            hole.pop("at")
        if s["counterweight"]:
            s["counterweight"].pop("angle")
    return json.loads(json.dumps(r, default=str), parse_float=lambda v: round(float(v), 4))


@settings(deadline=None, max_examples=15)
@given(st.floats(0, 2 * math.pi))
def test_turning_the_part_changes_only_the_orientation(t):
    straight, turned = plan(COVER, DEFAULT_MACHINE), plan(turned_by(COVER, t), DEFAULT_MACHINE)
    assert bare(straight) == bare(turned)
    for a, b in zip(straight.setups, turned.setups, strict=True):
        if a.clamping.offset or a.shift:
            assert math.remainder(b.orientation - a.orientation - t, 2 * math.pi) == pytest.approx(0, abs=1e-9)


@settings(deadline=None, max_examples=10)
@given(st.floats(0, 2 * math.pi))
def test_mirrored_parts_mirror(t):
    straight, mirrored = (
        plan(turned_by(COVER, t), DEFAULT_MACHINE),
        plan(turned_by(COVER, -t, mirror=True), DEFAULT_MACHINE),
    )
    assert bare(straight) == bare(mirrored)
    for a, b in zip(straight.setups, mirrored.setups, strict=True):
        if a.clamping.offset or a.shift:
            assert math.remainder(a.orientation + b.orientation, 2 * math.pi) == pytest.approx(0, abs=1e-9)


def test_figures_of_the_cover_by_hand():
    """Everything below is worked out on paper: masses pi/4 d2 l, lever arms about axis B, and so on."""
    made = plan(COVER, DEFAULT_MACHINE)
    assert not made.unturned
    s = next(s for s in made.setups if s.clamping.on_centreline == "B")
    assert s.features == ("inlet",)
    assert s.clamping.held_on == "flange"
    assert s.clamping.offset == pytest.approx(20)
    assert s.indicator == pytest.approx(40)
    # The flange's far edge: 20 + 45 from axis B.
    assert s.swing == pytest.approx(130)
    flange, spigot = math.pi / 4 * 90**2 * 12 * 7.85e-6, math.pi / 4 * 30**2 * 20 * 7.85e-6
    assert s.mass == pytest.approx(flange + 2 * spigot)
    # About B: the flange at 20, one spigot at 0, the other at 40.
    assert s.unbalance == pytest.approx(1000 * (flange * 20 + spigot * 40))
    assert s.packing[1] == pytest.approx(30)
    outlet = next(w for w in s.sweep if w.feature == "outlet")
    assert (outlet.inner, outlet.outer) == pytest.approx((25, 55))
    reach = s.reach[0]
    # Between the inlet (radius 15) and the ring that the outlet sweeps (from 25): 10 mm; both are 20 mm high.
    assert reach.radial_clearance == pytest.approx(10)
    assert reach.overhang == pytest.approx(20)
    assert reach.open_length == pytest.approx(20)
    # An axial tool 4 wide and 12 high: 200 N at 20 mm, E 210 000: F L3 / (3 E b h3 / 12).
    assert (reach.tool, reach.size) == ("axial", 4)
    assert reach.deflection == pytest.approx(200 * 20**3 / (3 * 210_000 * 4 * 12**3 / 12))
    both = {x.clamping.on_centreline: x for x in made.setups if x.features}
    assert both.keys() == {"B", "C"}


def test_balanced_about_the_centre_of_mass():
    features = (Feature("disc", "A", Cylinder(60), 0, 30), Feature("hub", "A", Cylinder(30), 30, 50))
    part = Part("disc", (Axis("A"),), features, density=7850.0)
    made = plan(part, DEFAULT_MACHINE)
    assert all(s.unbalance == pytest.approx(0, abs=1e-9) for s in made.setups)
    assert all(s.speed_limit is None and s.counterweight is None for s in made.setups)


def test_the_orientation_step_leaves_something():
    """30.4 degrees in steps of 1: 0.4 are left; over 20 mm that is 20 sin 0.4 = 0.140 mm beside the centreline."""
    made = plan(turned_by(COVER, math.radians(30.4)), DEFAULT_MACHINE)
    left = [(f.value("angle").value, f.value("beside").value) for f in findings(made, m.SPINDLE_ANGLE_LEFT)]
    assert left
    assert all(angle == pytest.approx(0.4) for angle, _ in left)
    assert any(beside == pytest.approx(0.1396, abs=1e-4) for _, beside in left)
    straight = plan(turned_by(COVER, math.radians(30.0)), DEFAULT_MACHINE)
    assert not findings(straight, m.SPINDLE_ANGLE_LEFT)


def test_no_density_gives_no_mass_figures():
    made = plan(dataclasses.replace(COVER, density=None), DEFAULT_MACHINE)
    assert made.mass is None
    assert all(s.unbalance is None and s.force is None and s.speed_limit is None for s in made.setups)
    assert findings(made, m.NO_DENSITY)


def test_nothing_to_turn():
    part = Part("cast", (Axis("A"),), (Feature("lump", "A", Cylinder(60), 0, 30, finish="cast"),))
    with pytest.raises(FoldsketchError) as refused:
        plan(part, DEFAULT_MACHINE)
    assert [f.code for f in refused.value.findings] == [m.NOTHING_TO_TURN.code]


def test_the_orientation_is_from_centreline_to_centreline():
    """Two throws of 6 mm, 90 degrees apart: from (6, 0) to (0, 6) is 6 sqrt 2 at 135 degrees, by hand."""
    crank = Part(
        "crank",
        (Axis("A"), Axis("B", (6.0, 0.0, 0.0)), Axis("C", (0.0, 6.0, 0.0))),
        (
            Feature("drive", "A", Cylinder(30), 0, 50),
            Feature("first", "B", Cylinder(44), 50, 72),
            Feature("second", "C", Cylinder(44), 72, 94),
            Feature("tail", "A", Cylinder(25), 94, 126),
        ),
        density=7850.0,
    )
    made = plan(crank, DEFAULT_MACHINE)
    pairs = list(zip(made.setups, made.setups[1:], strict=False))
    between = [s for b, s in pairs if {b.clamping.on_centreline, s.clamping.on_centreline} == {"B", "C"}]
    assert between
    for s in between:
        assert s.shift == pytest.approx(6 * math.sqrt(2))
        assert math.degrees(s.orientation) % 180 == pytest.approx(135)
        assert math.degrees(s.angle) in (pytest.approx(0), pytest.approx(90)), "from the held axis"


def test_a_sleeve_held_in_its_bore_turns_outside():
    sleeve = Part(
        "sleeve",
        (Axis("A"),),
        (Feature("body", "A", Cylinder(60), 0, 60), Feature("bore", "A", Cylinder(30), -1, 61, cut=True)),
        density=7850.0,
    )
    made = plan(sleeve, DEFAULT_MACHINE)
    assert not made.unturned
    outside = next(s for s in made.setups if "body" in s.features)
    assert outside.clamping.held_on == "bore"


def test_the_lower_limit_governs():
    made = plan(COVER, DEFAULT_MACHINE)
    s = made.setups[0]
    assert s.speed == (s.speed_limit, "balance, G 16")
    light = dataclasses.replace(s, speed_limit=99_999.0)
    assert light.speed == (s.machine_limit, "spindle and chuck")


def test_a_bore_in_the_air():
    part = dataclasses.replace(
        COVER,
        axes=(*COVER.axes, Axis("D", (58.0, 0.0, 0.0))),
        features=(*COVER.features, Feature("stray", "D", Cylinder(10), -5, 40, cut=True, finish="machined")),
    )
    made = plan(part, dataclasses.replace(DEFAULT_MACHINE, swing=1000.0))
    assert reasons(made)["stray"] == {m.BORE_CUTS_NOTHING.code}
    assert [f.where for f in findings(made, m.FEATURE_NOT_TURNED)] == ["feature 'stray'"]


def test_too_large_for_the_swing():
    made = plan(turned_by(COVER, 0.0), dataclasses.replace(DEFAULT_MACHINE, swing=120.0))
    assert reasons(made) == {"inlet": {m.SWING_TOO_LARGE.code}, "outlet": {m.SWING_TOO_LARGE.code}}
    assert all(f.value("swing").value == pytest.approx(130) for _, found in made.unturned for f in found)
    assert not made.setups


def test_a_neighbour_too_near_is_named():
    near = dataclasses.replace(
        COVER,
        axes=(Axis("A"), Axis("B", (17.0, 0.0, 0.0)), Axis("C", (-17.0, 0.0, 0.0))),
    )
    made = plan(near, DEFAULT_MACHINE)
    assert reasons(made).keys() == {"inlet", "outlet"}
    near = next(f for f in dict(made.unturned)["inlet"] if f.code == m.NO_CLEARANCE.code)
    assert (near.value("neighbour"), near.value("clearance").value) == ("outlet", pytest.approx(4))


@pytest.mark.parametrize("machine", [DEFAULT_MACHINE, SINGLE], ids=lambda m: m.kind)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples(path, machine):
    part, _ = read_part(path)
    made = plan(part, machine)
    assert len(made.setups) >= made.lower_bound[0]
    done = [n for s in made.setups for n in s.features]
    assert len(done) == len(set(done)), "nothing is turned twice"
    assert not set(done) & {name for name, _ in made.unturned}
    assert all(found for _, found in made.unturned), "a reason for each"
    for s in made.setups:
        assert s.indicator == 2 * s.clamping.offset
        assert s.swing == 2 * max(w.outer for w in s.sweep) <= machine.swing


def test_others_are_different_beginnings_each_with_its_reason():
    made = planned()
    assert len(made.alternatives) == len({a.steps[0] for a in made.alternatives}) > 0
    assert clamping_text(made.setups[0].clamping) not in {a.steps[0] for a in made.alternatives}
    assert all(a.reason.code.startswith("order-") for a in made.alternatives)


def test_holes_left_to_a_drill_and_what_crosses():
    hole = Feature("hole", "C", Cylinder(8), -1, 41, cut=True)
    axis = Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0))
    cross = Feature("cross", "X", Cylinder(20), -40, 40, cut=True)
    flat = Feature("flat", "X", PrismShape(4, 10), -40, 40, cut=True)
    part = Part("p", (Axis("A"), Axis("C", (20.0, 0.0, 0.0)), axis), (ECCENTRIC[0], hole, cross, flat), density=1000.0)
    made = plan(part, DEFAULT_MACHINE)
    assert [f.where for f in findings(made, m.NOT_ALONG_SPINDLE)] == ["feature 'cross'"]
    (drilled,) = findings(made, m.DRILLED)
    assert (drilled.where, drilled.value("most").value) == ("feature 'hole'", 16)
    cast = dataclasses.replace(part, features=(ECCENTRIC[0], dataclasses.replace(hole, finish="cast")))
    assert not findings(plan(cast, DEFAULT_MACHINE), m.DRILLED)
    bossed = dataclasses.replace(
        part, features=(ECCENTRIC[0], Feature("peg", "C", Cylinder(16), 40, 50, finish="cast"))
    )
    assert not findings(plan(bossed, DEFAULT_MACHINE), m.DRILLED)


def test_alike_findings_are_one():
    """Two holes that are drilled alike."""
    holes = [Feature(n, axis, Cylinder(8), -1, 13, cut=True) for n, axis in (("left", "B"), ("right", "C"))]
    drilled = findings(planned((ECCENTRIC[0], *holes), B=(20.0, 0.0), C=(-20.0, 0.0)), m.DRILLED)
    assert [(f.count, f.where) for f in drilled] == [(2, "2 features ('left' and 'right')")]


def sequence(done, *cost):
    return SimpleNamespace(done=frozenset(done), cost=cost)


@pytest.mark.parametrize(
    ("cost", "message", "values"),
    [
        ((3, 0, 0.0, 0), m.ORDER_MORE_SET_UPS, {"count": 1}),
        ((4, 0, 0.0, 0), m.ORDER_MORE_SET_UPS, {"count": 2}),
        ((2, 3, 0.0, 0), m.ORDER_MORE_OFF_CENTRE, {"count": 2}),
        ((2, 1, 150.0, 0), m.ORDER_MORE_UNBALANCE, {"more": "50 % more"}),
        ((2, 1, 100.0, 5), m.ORDER_MORE_TO_SET, {}),
        ((2, 1, 100.0, 2), m.ORDER_EQUALLY_GOOD, {}),
    ],
)
def test_why_another_sequence_was_not_chosen(cost, message, values):
    reason = rejection_reason(sequence(["body", "pin"], *cost), sequence(["body", "pin"], 2, 1, 100.0, 2))
    assert (reason.code, dict(reason.values)) == (message.code, values)


def test_more_unbalance_than_none_has_no_percentage():
    reason = rejection_reason(sequence(["body"], 1, 0, 5.0, 0), sequence(["body"], 1, 0, 0.0, 0))
    assert dict(reason.values) == {"more": "more"}


def test_a_sequence_that_leaves_something_says_what():
    reason = rejection_reason(sequence(["body"], 1, 0, 0.0, 0), sequence(["body", "pin"], 2, 1, 100.0, 2))
    assert (reason.code, reason.value("features")) == (m.ORDER_LEAVES_FEATURES.code, "pin")


def test_only_slant_axes_make_the_mass_less_than_exact():
    assert not findings(planned(), m.MASS_APPROXIMATE)
    slant = Part(
        "p",
        (Axis("A"), Axis("S", (0.0, 0.0, 40.0), (0.6, 0.0, 0.8))),
        (ECCENTRIC[0], Feature("arm", "S", Cylinder(16), 0, 40)),
        density=7850.0,
    )
    assert findings(plan(slant, DEFAULT_MACHINE), m.MASS_APPROXIMATE)
