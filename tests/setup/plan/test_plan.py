"""Plans: what does not depend on how the part lies, what every plan keeps, other orders and what is left."""

import dataclasses
import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples import examples
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part, Plate, PrismShape
from foldsketch.setup import messages as m
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.report import plan_report
from setup_parts import COVER, ECCENTRIC, MACHINES, ROOT, SMALL, TWIN, findings, part_of, planned, reasons

SAMPLES = [*sorted((ROOT / "samples").glob("*.toml")), *sorted((ROOT / "samples" / "lessons").glob("*.toml"))]
PIN = part_of(ECCENTRIC, B=(6.0, 0.0))


def turned_by(part, t, mirror=False):
    def place(p):
        x, y = (p[0], -p[1]) if mirror else (p[0], p[1])
        return (x * math.cos(t) - y * math.sin(t), x * math.sin(t) + y * math.cos(t), p[2])

    return dataclasses.replace(part, axes=tuple(dataclasses.replace(a, point=place(a.point)) for a in part.axes))


def bare(made):
    """The report without angles and products of inertia."""
    r = plan_report(made)
    for s in r["setups"]:
        for key in ("orient", "offset_angle", "unbalance_angle", "couple"):
            s.pop(key)
        for hole in s["centre_holes"]:
            hole.pop("at")
        for weight in s["counterweight"]:
            weight.pop("angle")
    return json.loads(json.dumps(r, default=str), parse_float=lambda v: round(float(v), 3))


@examples(5)
@given(st.floats(0, 2 * math.pi))
def test_turning_the_part_changes_only_angles(t):
    straight, turned = plan(PIN, SMALL), plan(turned_by(PIN, t), SMALL)
    assert bare(straight) == bare(turned)
    for a, b in zip(straight.setups, turned.setups, strict=True):
        if a.clamping.offset:
            assert math.remainder(b.orientation - a.orientation - t, 2 * math.pi) == pytest.approx(0, abs=1e-9)


def test_mirrored_parts_mirror():
    assert bare(plan(turned_by(PIN, 0.7), SMALL)) == bare(plan(turned_by(PIN, -0.7, mirror=True), SMALL))


@pytest.mark.slow
@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples(path, machine):
    part, _ = read_part(path)
    made = plan(part, MACHINES[machine])
    raw = [s.clamping.held_on.removesuffix(" (raw)") for s in made.setups if s.clamping.raw]
    assert len(raw) == len(set(raw)), "a raw surface is held once"
    assert all(found for _, found in made.unturned), "a reason for each"
    for s in made.setups:
        spindle = MACHINES[machine].spindle(s.clamping.spindle)
        assert s.cuts
        assert s.indicator == 2 * s.clamping.offset
        assert s.swing <= MACHINES[machine].swing
        assert not set(s.features) & {s.clamping.held_on} or any(c.band for c in s.cuts)
        if s.grip_force is not None and s.clamping_force is not None:
            assert s.clamping_force <= s.grip_force * (1 + 1e-9)
        if s.speeds.recommended:
            assert s.speeds.recommended <= spindle.speed
            limits = [v for v in (s.speeds.balance_weighted if s.weighted else s.speeds.balance, s.speeds.force) if v]
            assert all(s.speeds.recommended <= v * (1 + 1e-9) for v in limits)
    cut = [(c.surface, c.band) for s in made.setups for c in s.cuts]
    assert len(cut) == len(set(cut)), "nothing is cut twice"


def test_about_the_centre_of_mass_there_is_no_unbalance():
    made = planned((Feature("disc", "A", Cylinder(60), 0, 30), Feature("hub", "A", Cylinder(30), 30, 50)), SMALL)
    assert all(s.unbalance == pytest.approx(0, abs=1e-6) for s in made.setups)
    assert all(s.speeds.balance is None and not s.weights for s in made.setups)


def test_no_density_gives_no_mass_figures_and_no_speed_off_centre():
    made = plan(dataclasses.replace(PIN, density=None), SMALL)
    assert made.mass is None
    assert findings(made, m.NO_DENSITY)
    off = [s for s in made.setups if s.clamping.offset]
    assert off
    assert all(s.unbalance is None and s.speeds.recommended is None for s in off)
    assert all("mass unknown" in s.speeds.limit for s in off)


def test_a_material_without_cutting_data_has_no_cutting_speed():
    made = plan(dataclasses.replace(PIN, material="whalebone", density=2000.0), SMALL)
    assert findings(made, m.NO_CUTTING_DATA)
    assert all(s.speeds.recommended is None for s in made.setups)
    assert {c.minutes for s in made.setups for c in s.cuts} == {SMALL.times.cut}


def test_nothing_to_turn():
    part = Part("cast", (Axis("A"),), (Feature("lump", "A", Cylinder(60), 0, 30, finish="cast"),))
    with pytest.raises(FoldsketchError) as refused:
        plan(part, SMALL)
    assert [f.code for f in refused.value.findings] == [m.NOTHING_TO_TURN.code]


def test_too_large_for_the_swing():
    made = plan(COVER, dataclasses.replace(SMALL, swing=50.0))
    assert not made.setups
    assert {name for name, _ in made.unturned} >= {"flange", "inlet", "outlet"}
    assert any(f.code == m.SWING_TOO_LARGE.code for f in made.rejected)


def test_a_bore_in_the_air():
    holes = (*ECCENTRIC, Feature("stray", "C", Cylinder(10), -5, 70, cut=True, finish="machined"))
    made = plan(part_of(holes, B=(6.0, 0.0), C=(80.0, 0.0)), dataclasses.replace(SMALL, swing=1000.0))
    assert reasons(made)["stray"] == {m.BORE_CUTS_NOTHING.code}
    assert [f.where for f in findings(made, m.FEATURE_NOT_TURNED)] == ["feature 'stray'"]


def test_others_have_their_minutes_and_reasons():
    made = planned(machine=SMALL, batch=30)
    assert made.alternatives
    for a in made.alternatives:
        assert a.steps and a.reason.code.startswith("order-")
        if a.reason.code != m.ORDER_LEAVES_FEATURES.code:
            assert a.minutes >= made.minutes.a_part(30) - 1e-9


def test_holes_left_to_a_drill_what_crosses_and_what_is_flat():
    hole = Feature("hole", "C", Cylinder(8), -1, 41, cut=True)
    axis = Axis("X", (0.0, 0.0, 20.0), (1.0, 0.0, 0.0))
    cross = Feature("cross", "X", Cylinder(20), -40, 40, cut=True)
    flat = Feature("flat", "X", PrismShape(4, 10), -40, 40, cut=True)
    part = Part("p", (Axis("A"), Axis("C", (20.0, 0.0, 0.0)), axis), (ECCENTRIC[0], hole, cross, flat), density=1000.0)
    made = plan(part, SMALL)
    assert [f.where for f in findings(made, m.NOT_ALONG_SPINDLE)] == ["feature 'cross'"]
    (drilled,) = findings(made, m.DRILLED)
    assert (drilled.where, drilled.value("most").value) == ("feature 'hole'", 16)
    assert {"hole", "cross", "flat"} <= set(made.elsewhere) and "hole" not in reasons(made)
    assert not made.as_it_comes  # a bar: its shoulders come with what stands on them


def test_driven_tools_drill_holes_where_the_spindle_indexes():
    hole = Feature("hole", "C", Cylinder(8), -1, 13, cut=True)
    disc = Feature("disc", "A", Cylinder(60), 0, 12)
    made = planned((disc, hole), TWIN, C=(20.0, 0.0))
    assert {c.how for s in made.setups for c in s.cuts if c.surface == "hole"} == {"drilled"}
    assert not findings(made, m.DRILLED)


def test_alike_findings_are_one():
    """Two holes that are drilled alike."""
    holes = [Feature(n, axis, Cylinder(8), -1, 41, cut=True) for n, axis in (("left", "B"), ("right", "C"))]
    drilled = findings(planned((ECCENTRIC[0], *holes), SMALL, B=(20.0, 0.0), C=(-20.0, 0.0)), m.DRILLED)
    assert [(f.count, f.where) for f in drilled] == [(2, "2 features ('left' and 'right')")]


def test_only_slant_axes_make_the_mass_less_than_exact():
    assert not findings(planned(machine=SMALL), m.MASS_APPROXIMATE)
    slant = Part(
        "p",
        (Axis("A"), Axis("S", (0.0, 0.0, 40.0), (0.6, 0.0, 0.8))),
        (ECCENTRIC[0], Feature("arm", "S", Cylinder(16), 0, 40)),
        density=7850.0,
    )
    assert findings(plan(slant, SMALL), m.MASS_APPROXIMATE)


def test_a_location_that_the_set_ups_do_not_keep_is_named():
    """Pads, or a packed or bored chuck, add 0.05 to 0.1 [M]: 0.01 is not kept, 1 is."""
    for location, named in ((0.01, True), (1.0, False)):
        features = (ECCENTRIC[0], dataclasses.replace(ECCENTRIC[1], location=location))
        assert bool(findings(planned(features, SMALL), m.LOCATION_NOT_KEPT)) == named


def test_why_the_jaws_do_not_hold_a_raw_surface_twice():
    made = plan(COVER, dataclasses.replace(SMALL, max_offsets=()))
    assert {name for name, _ in made.unturned} >= {"inlet", "outlet"}
    codes = {f.code for f in made.rejected}
    assert {m.RAW_HELD_TWICE.code, m.RAW_OFF_CENTRE.code} & codes


def test_where_jaws_find_too_little_the_cover_lies_on_a_fixture():
    """The small lathe's jaws need 8 mm of a flange of 12 that is turned in two parts: they find 2 of the first.

    Joint face and rim first, then the spigots on the joint face, and nothing is left.
    """
    part = read_part(ROOT / "samples" / "bilge-pump-cover.toml")[0]
    made = plan(part, SMALL, batch=50)
    assert not made.unturned
    first, *others = made.setups
    assert "flange -z" in first.faces and first.clamping.way == "hard_jaws"
    assert others[0].lies_flat
    assert all(not s.clamping.raw and s.clamping.way == "offset_fixture" for s in others)
    (halves,) = findings(made, m.SURFACE_IN_TWO_SETUPS)
    assert (halves.where, halves.value("height").value) == ("feature 'flange'", 2.0)
    assert made.elsewhere == tuple(f"bolt hole {k}" for k in (1, 2, 3, 4)) and made.as_it_comes == ("flange +z",)


def test_clamps_of_a_fixture_hold_the_whole_pull():
    """A casting 31 mm off on a fixture with a counterweight: its own pull stays within the 1000 N of the default."""
    plate = Feature("flange", "A", Plate(outline=((-80, -45), (80, -45), (80, 45), (-80, 45))), 0, 16, finish="cast")
    features = (plate, Feature("spigot", "B", Cylinder(48), 16, 50, stock=2.5))
    made = planned(features, SMALL, batch=50, B=(-31.0, 0.0))
    clamped = [s for s in made.setups if s.clamping.way == "offset_fixture"]
    assert any(s.weighted for s in clamped)
    for s in clamped:
        assert s.unbalance * 1e-6 * (s.speeds.recommended * math.pi / 30) ** 2 <= 1000.5


CRANK = part_of(
    (
        Feature("square", "A", PrismShape(4, 14.0), -30, -12),
        Feature("journal", "A", Cylinder(22), -12, 0),
        Feature("web", "A", Plate(hull=((0.0, 0.0, 16.0), (38.0, 0.0, 11.0))), 0, 10),
        Feature("pin", "B", Cylinder(12), 10, 42),
    ),
    B=(38.0, 0.0),
)
"""A hand crank from the solid: a square of 14 behind a journal of 22, a web, and a pin 38 off."""


def test_a_square_is_turned_to_its_corners_before_its_flats_are_milled():
    """A bar of 100 over the square leaves the journal behind a wall 39 high and nothing to hold: the square is turned
    to its corners first, 14 sqrt 2 = 19.80 [D], and square and journal come in one set-up from that end [C]."""
    made = plan(CRANK, SMALL, batch=50)
    first = made.setups[0]
    assert {"square", "journal"} <= set(first.features) and first.clamping.from_end == "-z"
    square = next(f for f in first.work.features if f.name == "square")
    assert square.shape.diameter == pytest.approx(14 * math.sqrt(2))
    assert not made.unturned
    assert "square flats" in made.elsewhere and "square" not in made.elsewhere
    # What turns the journal alone, one of three surfaces, is no plan to be numbered.
    assert not any(a.reason.code == m.ORDER_LEAVES_FEATURES.code for a in made.alternatives)
    (told,) = findings(made, m.TURNED_TO_CORNERS)
    assert dict(told.values)["diameter"].value == pytest.approx(14 * math.sqrt(2))
    # The finished part is lighter by the four segments outside the flats.
    segments = (math.pi * 9.8995**2 - 14**2) * 18
    rounded = CRANK.with_features((Feature("square", "A", Cylinder(19.799), -30, -12), *CRANK.features[1:]))
    assert plan(rounded, SMALL, batch=50).mass - made.mass == pytest.approx(segments * 7850e-9, rel=1e-3)


def test_a_neck_behind_stock_that_no_tool_passes_is_told():
    """On the finished part the discs sweep 4 mm over the neck of 20; but nothing here holds them 4 off, so the bar of
    100 stays around them, and the blade would have to stick out (100 - 20) / 2 = 40, not 15 [D]."""
    neck = part_of(
        (
            Feature("disc", "B", Cylinder(20), 0, 30),
            Feature("neck", "A", Cylinder(20), 30, 42),
            Feature("far disc", "B", Cylinder(20), 42, 72),
        ),
        B=(4.0, 0.0),
    )
    neck = dataclasses.replace(neck, blank=Blank("sawn", 100.0))
    listed = (Cutter("outside", 20.0, 20.0, 40.0), Cutter("blade", 3.0, 20.0, 15.0))
    made = plan(neck, dataclasses.replace(SMALL, cutters=listed, max_offsets=()), batch=1)
    assert not made.setups
    told = dict(made.unturned)["neck"]
    assert [(f.where, f.code) for f in told] == [(f"from {end}", m.OVERHANG_TOO_LONG.code) for end in ("+z", "-z")]
    for f in told:
        values = {name: getattr(v, "value", v) for name, v in f.values}
        assert (values["needed"], values["allowed"]) == (pytest.approx(40, abs=0.02), 15)


def test_a_casting_without_stock_has_nothing_to_cut():
    """Rounds as cast are as large as they are to be: no plan, one line that says what is missing."""
    flange = dataclasses.replace(part_of((Feature("flange", "A", Cylinder(90), 0, 12),)), blank=Blank("casting"))
    with pytest.raises(FoldsketchError) as refused:
        plan(flange, TWIN)
    assert [f.code for f in refused.value.findings] == [m.CASTING_WITHOUT_STOCK.code]


def test_location_from_a_datum_that_stays_as_cast_is_told():
    """A cast plate on the datum axis, a spigot off it to 0.05: nothing is machined on the datum, so the spigot's place
    hangs on the casting, right to some 0.4 mm [M], whatever the set-ups add. On the datum axis it is itself the datum.
    """
    outline = ((-45, -45), (45, -45), (45, 45), (-45, 45))
    plate = Feature("plate", "A", Plate(outline=outline), 0, 12, finish="cast", stock=2.0)
    spigot = Feature("spigot", "B", Cylinder(30), 12, 32, stock=2.0, location=0.05)
    cast = dataclasses.replace(part_of((plate, spigot), B=(8.0, 0.0)), blank=Blank("casting", faces=()))
    made = plan(cast, SMALL, batch=1)
    assert any("spigot" in s.features for s in made.setups)
    (told,) = findings(made, m.LOCATION_FROM_CAST)
    assert (told.where, told.value("axis")) == ("feature 'spigot'", "A")
    on_datum = dataclasses.replace(spigot, axis="A")
    assert not findings(plan(cast.with_features((plate, on_datum)), SMALL, batch=1), m.LOCATION_FROM_CAST)


@pytest.mark.slow
def test_a_journal_turned_and_milled_has_its_line_told():
    """What one set-up turns and another one mills round meets in a line too: it is told wherever the jaws end."""
    made = plan(part_of(ECCENTRIC, B=(6.0, 0.0)), TWIN, batch=50)
    cuts = [(c.surface, s.number, c.band) for s in made.setups for c in s.cuts]
    split = {a[0] for a in cuts for b in cuts if a[0] == b[0] and a[1] < b[1] and (a[2] or b[2])}
    assert {f.where for f in findings(made, m.SURFACE_IN_TWO_SETUPS)} == {f"feature '{name}'" for name in split}


@pytest.mark.slow
def test_what_is_turned_in_part_is_not_milled_for_the_rest():
    """A journal that runs in a bearing: its rest is turned too, a milled one would not run true with it [C]."""
    three = tuple(Feature(f"eccentric {k}", a, Cylinder(50.8), 44.45 + 19.05 * k, 63.5 + 19.05 * k)
                  for k, a in enumerate("BCD"))  # fmt: skip
    ends = (Feature("drive", "A", Cylinder(31.75), 0, 44.45), Feature("tail", "A", Cylinder(25.4), 101.6, 133.35))
    made = planned((ends[0], *three, ends[1]), MACHINES["twin-spindle"], 50,
                   B=(6.35, 0.0), C=(-3.175, 5.499), D=(-3.175, -5.499))  # fmt: skip
    assert not made.unturned
    in_part = {c.surface for s in made.setups for c in s.cuts if c.band}
    assert not in_part & {c.surface for s in made.setups for c in s.cuts if c.how == "driven"}


@pytest.mark.parametrize("clearance", [0.5, 3.0])
def test_jaws_stay_clear_of_the_shoulder_that_is_turned(clearance):
    """A boss off the centre of a flange of 16, turned to its foot: the jaws on the flange end that much below [C]."""
    features = (Feature("flange", "A", Cylinder(80), 0, 16), Feature("boss", "B", Cylinder(30), 16, 36))
    lathe = MACHINES["single-spindle"]
    spindles = tuple(dataclasses.replace(s, jaw_clearance=clearance) for s in lathe.spindles)
    made = planned(features, dataclasses.replace(lathe, spindles=spindles), batch=50, B=(8.0, 0.0))
    (held,) = [s for s in made.setups if "boss" in s.features and s.clamping.held_on == "flange"]
    assert held.clamping.grip_range == (0, 16 - clearance)


def test_the_bore_of_an_eccentric_bush_is_no_drilled_hole():
    """[C] A bore two thirds of the part's width, off centre, is what the part is made for; drills reach Ø40 here."""
    bush = Feature("bush", "A", Cylinder(60), 0, 45)
    bore = Feature("bore", "B", Cylinder(40), -1, 46, cut=True)
    part = Part("Bush", (Axis("A"), Axis("B", (3.0, 0.0, 0.0))), (bush, bore), material="bronze")
    made = plan(part, MACHINES["large"])
    (last,) = (s for s in made.setups if s.clamping.on_centreline == "B")
    assert last.features == ("bore",) and not made.elsewhere and not made.unturned
    # A hole a sixth of the width stays with the drill.
    small = dataclasses.replace(part, features=(bush, dataclasses.replace(bore, shape=Cylinder(10))))
    assert plan(small, MACHINES["large"]).elsewhere == ("bore",)


def test_a_face_between_two_spigots_is_not_turned_and_the_plan_says_why():
    """The spigots reach from 1 to 61 from the axis of the flange: a tool at rest meets one in every turn."""
    flange = Feature("flange", "A", Cylinder(140), 0, 16, stock=2)
    spigots = [Feature(f"spigot {a}", a, Cylinder(30), 16, 60, stock=2) for a in "BC"]
    axes = (Axis("A"), Axis("B", (16.0, 0.0, 0.0)), Axis("C", (-46.0, 0.0, 0.0)))
    blank = Blank("casting", faces=("flange +z",))
    made = plan(Part("Cover", axes, (flange, *spigots), material="cast iron", blank=blank), SMALL)
    why = {name: [(f.code, f.values) for f in found] for name, found in made.unturned}
    assert why["flange +z"] == [("stands-on-face", (("features", ("spigot B", "spigot C")),))]
