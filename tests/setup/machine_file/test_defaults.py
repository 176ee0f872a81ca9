"""Defaults: those of the set-up reference, section 1, and every one that is used is told."""

import math
import tomllib

import pytest

from foldsketch.setup.machine_file.defaults import default_findings
from foldsketch.setup.machine_file.read import parse_machine
from foldsketch.setup.machine_file.spindles import SPINDLE_KEYS
from foldsketch.setup.spindle import Spindle, chucks_for

PLAIN = """
name = "m"
units = "mm"
kind = "twin"
swing = 300
cross_travel = 60
orient_step = 1

[[spindle]]
name = "main"
smallest = 15
largest = 200
grip = 8
depth = 80
jaw_width = 25
jaw_height = 30
speed = 4000

[[spindle]]
name = "sub"
smallest = 15
largest = 160
grip = 8
depth = 70
jaw_width = 20
jaw_height = 25
speed = 4500

[holding]
packed_three_jaw = 10
four_jaw = 40
face_plate = 60
driven = 60
interpolated = 40

[tool]
room = 6
overhang = 90
driven_diameter = 12
drill = 16
force = 200

[time]
cut = 2
load = 1
transfer = 0.3
queue = 240
setting = 35
batch = 50
"""


def machine(old="", new=""):
    assert old in PLAIN
    return parse_machine(PLAIN.replace(old, new, 1) if old else PLAIN, "toml", "m.toml")


def test_defaults_of_a_spindle():
    main, sub = machine().spindles
    assert main == Spindle(
        *("main", 15, 200, 8, 80, 25, 30, 4000),
        chuck="three-jaw",
        chucks=("four-jaw", "face plate"),
        power=True,
        soft_jaw_width=25,
        jaw_stroke=4,
        rotating_mass=30,
        x_axis=0,
        four_jaw_speed=pytest.approx(60000 * 20 / (math.pi * 200)),  # 20 and 10 m/s at a rim of 200 mm [C]
        face_plate_speed=pytest.approx(60000 * 10 / (math.pi * 200)),
    )
    assert (sub.x_axis, sub.rotating_mass, sub.c_torque) == (60, 24, 60)
    assert main.force is main.grip_force is main.grip_loss is main.weight_radius is main.part_weight is None


def test_defaults_that_hang_on_other_keys():
    by_hand = machine("speed = 4000", "speed = 4000\npower = false\ngrip_force = 30000")
    assert by_hand.spindle("main").jaw_stroke == math.inf
    assert (by_hand.spindle("main").jaw_clearance, machine().spindle("main").jaw_clearance) == (2.0, 0.5)
    assert by_hand.spindle("main").grip_loss == pytest.approx(20100)
    assert by_hand.times.chuck_change == 10
    assert machine().times.chuck_change == 30
    assert chucks_for(("bored_jaws",), "four-jaw") == ("three-jaw",)


def test_defaults_of_the_machine():
    m = machine()
    assert (m.grade, m.turrets, m.load_while_cutting, m.driven_speed, m.driven_torque) == (16, 1, False, 6000, 15)
    assert (m.tailstock, m.tools.accel) == (False, None)


def test_every_default_is_told():
    """Every optional key of a spindle is either given or in the list, and a key that is given is not in it."""
    given = set(tomllib.loads(PLAIN)["spindle"][0])
    told = {d.key for d in machine().defaults if d.where == "main spindle"}
    assert given | told | {"c_torque", "grip_loss", "three_jaw_speed", "fixture_speed"} == set(SPINDLE_KEYS)
    assert not given & told
    assert {d.key for d in machine().defaults if not d.where} == {
        *("grade", "turrets", "load_while_cutting", "tailstock", "chuck_change", "cutter", "way", "cut"),
        *("driven_speed", "driven_torque", "accel"),
    }


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("swing = 300", "swing = 300\ngrade = 6.3", "grade"),
        ("swing = 300", "swing = 300\nturrets = 2", "turrets"),
        ("force = 200", "force = 200\naccel = 5000", "accel"),
        ("batch = 50", "batch = 50\nchuck_change = 20", "chuck_change"),
        ("driven = 60", "", "driven_speed"),
        ("interpolated = 40", "", "accel"),
        ("batch = 50", "batch = 50\n[way.pads]\nset = 9", "way"),
    ],
)
def test_what_is_given_or_not_needed_is_not_told(old, new, key):
    assert key in {d.key for d in machine().defaults}
    assert key not in {d.key for d in machine(old, new).defaults}


def test_without_times_no_chuck_change_is_told():
    text = PLAIN[: PLAIN.index("[time]")]
    assert "chuck_change" not in {d.key for d in parse_machine(text, "toml", "m.toml").defaults}


def test_one_note_for_each_place():
    found = default_findings(machine())
    assert [f.where for f in found] == ["machine 'm'", "main spindle", "sub spindle"]
    assert {f.level for f in found} == {"note"}
    assert "rotating_mass 30 kg" in found[1].text
    assert "soft_jaw_width 0.9843 in" in default_findings(machine(), "in")[1].text
