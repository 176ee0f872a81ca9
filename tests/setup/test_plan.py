"""Plans: what does not depend on how the part lies, what is balanced, and figures worked out by hand."""

import dataclasses
import json
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.setup.machine import DEFAULT_MACHINE, read_machine
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS, explain_figures, figure_rows, plan_table
from foldsketch.setup.plan.report import plan_report, plan_report_json

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "samples").glob("*.toml"))
SINGLE = read_machine(ROOT / "samples" / "machines" / "single-spindle.toml")

# A flange of 90 x 12 with two spigots of 30 x 20 on its +z face, 40 mm apart, in steel.
COVER = Part(
    "cover",
    (Axis("A"), Axis("B", (20.0, 0.0, 0.0)), Axis("C", (-20.0, 0.0, 0.0))),
    (
        Feature("flange", "A", Cylinder(90), 0, 12, finish="cast"),
        Feature("inlet", "B", Cylinder(30), 12, 32),
        Feature("outlet", "C", Cylinder(30), 12, 32),
    ),
    density=7850.0,
)


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
        s["findings"] = [f for f in s["findings"] if "orients in steps" not in f["text"]]
        for hole in s["centre_holes"]:
            hole.pop("at")
        if s["counterweight"]:
            s["counterweight"].pop("angle")
    return json.loads(json.dumps(r, default=str), parse_float=lambda v: round(float(v), 4))


@settings(deadline=None, max_examples=40)
@given(st.floats(0, 2 * math.pi))
def test_turning_the_part_changes_only_the_orientation(t):
    straight, turned = plan(COVER, DEFAULT_MACHINE), plan(turned_by(COVER, t), DEFAULT_MACHINE)
    assert bare(straight) == bare(turned)
    for a, b in zip(straight.setups, turned.setups, strict=True):
        if a.clamping.offset or a.shift:
            assert math.remainder(b.orientation - a.orientation - t, 2 * math.pi) == pytest.approx(0, abs=1e-9)


@settings(deadline=None, max_examples=20)
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
    # The bar is as thick as the room: 200 N on 10 mm at 20 mm, E 210 000: F L3 / (3 E pi d4 / 64).
    assert reach.deflection == pytest.approx(200 * 20**3 / (3 * 210_000 * math.pi * 10**4 / 64))
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
    told = [f.text for s in made.setups for f in s.findings if "orients in steps" in f.text]
    assert told
    assert any("0.40 are left" in t and "0.140 mm beside" in t for t in told)
    straight = plan(turned_by(COVER, math.radians(30.0)), DEFAULT_MACHINE)
    assert not any("orients in steps" in f.text for s in straight.setups for f in s.findings)


def test_no_density_gives_no_mass_figures():
    made = plan(dataclasses.replace(COVER, density=None), DEFAULT_MACHINE)
    assert made.mass is None
    assert all(s.unbalance is None and s.force is None and s.speed_limit is None for s in made.setups)
    assert any("no density" in f.text for f in made.findings)
    json.loads(plan_report_json(made))


def test_nothing_to_turn():
    part = Part("cast", (Axis("A"),), (Feature("lump", "A", Cylinder(60), 0, 30, finish="cast"),))
    with pytest.raises(FoldsketchError, match="no feature to turn"):
        plan(part, DEFAULT_MACHINE)


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
    assert f"{s.machine_limit:.0f} r/min" in "".join(v for _, _, v in figure_rows(light))


def test_a_bore_in_the_air_is_told():
    part = dataclasses.replace(
        COVER,
        axes=(*COVER.axes, Axis("D", (58.0, 0.0, 0.0))),
        features=(*COVER.features, Feature("stray", "D", Cylinder(10), -5, 40, cut=True, finish="machined")),
    )
    made = plan(part, dataclasses.replace(DEFAULT_MACHINE, swing=1000.0))
    assert "cuts nothing" in dict(made.unturned)["stray"]


def test_too_large_is_told():
    made = plan(turned_by(COVER, 0.0), dataclasses.replace(DEFAULT_MACHINE, swing=120.0))
    assert {name for name, _ in made.unturned} == {"inlet", "outlet"}
    assert all("swings 130.0 mm" in why for _, why in made.unturned)
    assert not made.setups


def test_a_neighbour_too_near_is_named():
    near = dataclasses.replace(
        COVER,
        axes=(Axis("A"), Axis("B", (17.0, 0.0, 0.0)), Axis("C", (-17.0, 0.0, 0.0))),
    )
    made = plan(near, DEFAULT_MACHINE)
    assert dict(made.unturned).keys() == {"inlet", "outlet"}
    assert "only 4.0 mm are free beside 'outlet', a tool needs 6" in dict(made.unturned)["inlet"]


@pytest.mark.parametrize("machine", [DEFAULT_MACHINE, SINGLE], ids=lambda m: m.kind)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples(path, machine):
    part, _ = read_part(path)
    made = plan(part, machine)
    r = json.loads(plan_report_json(made))
    assert r["format"] == "foldsketch-setups 1"
    keys = {"number", "spindle", "from_end", "on_centreline", "held_on", "held_axis", "features", "offset", "orient",
            "shift", "indicator", "swing", "unbalance", "speed", "packing", "sweep", "reach", "findings"}  # fmt: skip
    for s in r["setups"]:
        assert keys <= s.keys()
        assert s["indicator"] == pytest.approx(2 * s["offset"], abs=2e-6)
        assert s["swing"] <= machine.swing
        assert max(w["outer"] for w in s["sweep"]) * 2 == pytest.approx(s["swing"], abs=2e-6)
    words = plan_table(made) + explain_figures(made)
    assert all(c in words for c in CAUTIONS)
    done = [n for s in made.setups for n in s.features]
    assert len(done) == len(set(done)), "nothing is turned twice"
    assert len(made.setups) >= made.lower_bound[0]


def test_explained_figures_come_out():
    """The diameter that --explain puts into the packing formula is the held one, found back from the packing."""
    made = plan(COVER, DEFAULT_MACHINE)
    for s in made.setups:
        if s.packing:
            text = next(formula for name, formula, _ in figure_rows(s) if name == "packing, narrow")
            assert "D 90.000" in text


def test_no_packing_is_told_where_three_jaws_cannot_hold():
    """By hand: D / (2 sqrt 3) of 62 mm is 17.898 mm. An offset of 18 lies beyond it, one of 17.8 does not."""
    for offset, holds in ((18.0, False), (17.8, True)):
        shaft = (Feature("journal", "A", Cylinder(62), 0, 30), Feature("pin", "B", Cylinder(20), 30, 50))
        part = Part("crank", (Axis("A"), Axis("B", (offset, 0.0, 0.0))), shaft, density=7850.0)
        made = plan(part, DEFAULT_MACHINE)
        s = next(s for s in made.setups if s.clamping.held_on == "journal" and s.clamping.offset > 1)
        assert s.packable is holds
        assert plan_report(made)["setups"][s.number - 1]["packing"]["holds"] is holds
        row = next(line for line in plan_table(made).splitlines() if line.startswith(f"{s.number}: "))
        assert ("packing" in row) is holds
        assert ("do not pack" in explain_figures(made)) is not holds
