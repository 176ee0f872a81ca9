"""Machine files: every error with its line, nothing guessed."""

import json
import tomllib
from pathlib import Path

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup import messages as m
from foldsketch.setup.machine import DEFAULT_MACHINE, parse_machine, read_machine

MACHINES = Path(__file__).parents[2] / "samples" / "machines"
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
        ("grip       = 8 ", 'grip = "much"', 15),
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
        ("batch    = 50", "batch = 2.5", m.MACHINE_BATCH),
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
    assert (f.code, f.value("key")) == (m.MACHINE_NOT_A_TABLE.code, key)


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
