"""Machine files: every error with its line, nothing guessed."""

import json
import tomllib
from pathlib import Path

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.file import messages as p
from foldsketch.setup import messages as m
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.machine_file.read import parse_machine, read_machine

MACHINES = Path(__file__).parents[3] / "samples" / "machines"
TWIN = (MACHINES / "twin-spindle.toml").read_text()


def test_the_sample_is_the_default_machine():
    assert read_machine(MACHINES / "twin-spindle.toml") == DEFAULT_MACHINE


def test_inches():
    text = TWIN.replace('"mm"', '"in"').replace("swing        = 300", "swing = 11.811")
    assert parse_machine(text, "toml", "m.toml").swing == pytest.approx(300, abs=0.01)
    assert parse_machine(text, "toml", "m.toml").spindles[0].speed == 4000


def faults(text):
    with pytest.raises(FoldsketchError) as refused:
        parse_machine(text, "toml", "m.toml")
    return refused.value.findings


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("swing        = 300", "swong = 300", 6),
        ("swing        = 300", "swing = -3", 6),
        ("cross_travel = 60", "", 1),
        ("grip       = 5 ", 'grip = "much"', 15),
        ("packed_three_jaw = 10", "packed = 10", 32),
        ("force           = 200", "", 37),
        ("speed      = 4500", "speed = nan", 29),
        ('name         = "', 'nome = "', 3),
    ],
)
def test_every_value_is_checked_and_its_line_named(old, new, line):
    assert old in TWIN
    found = faults(TWIN.replace(old, new, 1))
    assert all(f.level == "error" for f in found)
    assert found[0].where.split(",")[0] == f"m.toml line {line}"


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('kind         = "twin"', 'kind = "tvin"', m.MACHINE_KIND),
        ('units        = "mm"', "", m.MACHINE_UNITS),
        ('units        = "mm"', 'units = "ell"', m.MACHINE_UNITS),
        ("largest    = 210", "largest = 10", m.CHUCK_RANGE_REVERSED),
        ('name       = "sub"', 'name = "other"', m.MACHINE_SPINDLES),
        ("[tool]", "[tools]", m.MACHINE_NO_TOOL),
        ("batch    = 50", "batch = 2.5", p.VALUE_TYPE),
    ],
)
def test_what_only_a_machine_file_has(old, new, message):
    assert old in TWIN
    assert message.code in {f.code for f in faults(TWIN.replace(old, new, 1))}


@pytest.mark.parametrize("key", ["holding", "time"])
def test_tables_are_tables(key):
    tree = tomllib.loads(TWIN) | {key: 3}
    with pytest.raises(FoldsketchError) as refused:
        parse_machine(json.dumps(tree), "json", "m.json")
    (f,) = refused.value.findings
    assert (f.code, f.value("key")) == (p.TABLE_NOT_TABLE.code, key)


def test_the_meant_kind_is_suggested():
    (f,) = faults(TWIN.replace('kind         = "twin"', 'kind = "tvin"'))
    assert "'twin'" in f.value("hint")


def test_times_and_holding_are_optional():
    tree = tomllib.loads(TWIN)
    del tree["time"], tree["holding"]
    bare = parse_machine(json.dumps(tree), "json", "m.json")
    assert (bare.times, bare.max_offsets) == (None, ())


def test_a_time_that_is_missing():
    tree = tomllib.loads(TWIN)
    del tree["time"]["queue"]
    with pytest.raises(FoldsketchError):
        parse_machine(json.dumps(tree), "json", "m.json")


def test_a_spindle_by_its_name():
    assert DEFAULT_MACHINE.spindle("sub").largest == 165
    with pytest.raises(KeyError):
        DEFAULT_MACHINE.spindle("third")


def test_empty_and_broken():
    with pytest.raises(FoldsketchError):
        parse_machine("", "toml", "m.toml")
    with pytest.raises(FoldsketchError):
        parse_machine("kind = [", "toml", "m.toml")


FULL = (MACHINES / "twin.toml").read_text()


def full(old, new):
    assert old in FULL, old
    return parse_machine(FULL.replace(old, new, 1), "toml", "m.toml")


def test_every_key_of_a_spindle_arrives():
    main, sub = read_machine(MACHINES / "twin.toml").spindles
    assert (main.chuck, main.chucks, main.power) == ("three-jaw", ("four-jaw", "face plate"), True)
    assert (main.soft_jaw_width, main.jaw_stroke, main.rotating_mass, main.force) == (60, 5, 85, 1500)
    assert (main.grip_force, main.grip_loss, main.weight_radius, main.weight_planes) == (45000, 20000, 95, (15, 60))
    assert (main.part_weight, main.bar, main.c_axis, main.c_torque, main.x_below, main.y_axis) == (
        15, 65, True, 100, 30, 40,
    )  # fmt: skip
    assert (main.x_axis, sub.x_axis, sub.bar) == (0, 60, 0)


def test_every_other_key_arrives():
    machine = read_machine(MACHINES / "twin.toml")
    assert (machine.turrets, machine.load_while_cutting, machine.tailstock) == (2, False, False)
    assert (machine.driven_speed, machine.driven_torque, machine.tools.accel) == (6000, 15, 5000)
    assert (machine.driven, machine.interpolated) == (60, 40)
    assert dict(machine.max_offsets)["face plate"] == 60
    assert machine.times.chuck_change == 30
    large = read_machine(MACHINES / "large.toml")
    assert large.tailstock
    assert (large.spindle("main").chuck, large.spindle("main").power, large.times.batch) == ("four-jaw", False, 5)


def test_ways_and_cutting_data_are_overruled_key_by_key():
    text = FULL + '[way.pads]\neach = 0.5\n\n[cut."grey cast iron"]\nrough_speed = 90\n'
    machine = parse_machine(text, "toml", "m.toml")
    assert machine.way_minutes["pads"] == (5, 10, 0.5)
    assert machine.way_minutes["four_jaw"] == (0, 15, 6)
    data = machine.cutting_data("Grey cast  iron")
    assert (data.rough_speed, data.finish_speed) == (90, 160)
    assert machine.cutting_data("unobtainium") is None


def test_another_material_needs_every_figure():
    with pytest.raises(FoldsketchError) as refused:
        parse_machine(FULL + "[cut.titanium]\nrough_speed = 40\n", "toml", "m.toml")
    (f,) = refused.value.findings
    assert f.code == m.MACHINE_NO_CUTTING_DATA.code
    assert "drill_feed" in f.value("keys") and "rough_speed" not in f.value("keys")
    keys = "finish_speed rough_feed finish_feed depth force drill_speed drill_feed mill_speed mill_feed"
    rows = "".join(f"{k} = 1\n" for k in keys.split())
    machine = parse_machine(FULL + "[cut.titanium]\nrough_speed = 40\n" + rows, "toml", "m.toml")
    assert machine.cutting_data("titanium").rough_speed == 40


def test_cutters():
    rows = """
[[cutter]]
kind = "cutter"
diameter = 8
overhang = 40

[[cutter]]
kind = "axial"
width = 4
shank = 10
overhang = 35

[[cutter]]
kind = "blade"
width = 6
shank = 32
overhang = 60
depth = 55
"""
    machine = parse_machine(FULL + rows, "toml", "m.toml")
    assert machine.cutters == (
        ("cutter", 8, 8, 40, 8, 0),
        ("axial", 4, 10, 35, 0, 0),
        ("blade", 6, 32, 60, 0, 55),
    )
    assert [c.diameter for c in machine.cutters_of("cutter")] == [8]
    assert read_machine(MACHINES / "twin.toml").cutters == DEFAULT_MACHINE.cutters != ()


def test_inches_of_the_new_keys():
    """12 in/s2 are 304.8 mm/s2, 0.01 in 0.254 mm, 400 ft/min 121.92 m/min; kg, N and r/min stay."""
    tree = tomllib.loads(FULL) | {"units": "in"}
    tree["tool"]["accel"] = 12
    tree["cut"] = {"steel": {"rough_speed": 400, "rough_feed": 0.01, "depth": 0.1, "force": 2000, "drill_feed": 0.02}}
    machine = parse_machine(json.dumps(tree), "json", "m.json")
    assert machine.tools.accel == pytest.approx(304.8)
    steel = machine.cutting_data("steel")
    assert (steel.rough_speed, steel.rough_feed, steel.depth) == pytest.approx((121.92, 0.254, 2.54))
    assert (steel.force, steel.drill_feed) == (2000, 0.02)
    main = machine.spindle("main")
    assert main.weight_planes == pytest.approx((15 * 25.4, 60 * 25.4))
    assert (main.rotating_mass, main.grip_force, main.speed) == (85, 45000, 4000)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('chuck = "three-jaw"', 'chuck = "tree-jaw"', p.VALUE_UNKNOWN),
        ("power = true", 'power = "yes"', p.VALUE_TYPE),
        ("weight_planes = [15, 60]", "weight_planes = 15", p.VALUE_TYPE),
        ("turrets = 2", "turrets = 1.5", p.VALUE_TYPE),
        ("[holding]", "[way]\npads = 3\n[holding]", p.TABLE_NOT_TABLE),
        ("[holding]", "[cut]\nsteel = 3\n[holding]", p.TABLE_NOT_TABLE),
    ],
)
def test_errors_of_the_new_keys(old, new, message):
    with pytest.raises(FoldsketchError) as refused:
        full(old, new)
    assert [f.code for f in refused.value.findings] == [message.code]
    assert refused.value.findings[0].where.startswith("m.toml line ")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("rotating_mass = 85", "rotating_mas = 85"),
        ("rotating_mass = 85", "rotating_mass = 0"),
        ("grip_loss = 20000", "grip_loss = -1"),
        ("[holding]", "[way.pad]\nset = 1\n[holding]"),
        ("[holding]", "[way.pads]\nsett = 1\n[holding]"),
        ("[holding]", '[[cutter]]\nkind = "bar"\noverhang = 3\n[holding]'),
        ("[holding]", "[[cutter]]\noverhang = 3\n[holding]"),
        ("[holding]", '[[cutter]]\nkind = "lathe"\n[holding]'),
        ("accel = 5000", "accel = true"),
        ("chuck_change = 30", 'chuck_change = "long"'),
    ],
)
def test_bad_values_are_refused(old, new):
    with pytest.raises(FoldsketchError):
        full(old, new)
