"""Machine files: every fault with its line, nothing guessed."""

from pathlib import Path

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup.machine import DEFAULT_MACHINE, parse_machine, read_machine

MACHINES = Path(__file__).parents[2] / "samples" / "machines"
TWIN = (MACHINES / "twin-spindle.toml").read_text()


def test_the_sample_is_the_machine_that_stands_in():
    assert read_machine(MACHINES / "twin-spindle.toml") == DEFAULT_MACHINE


def test_inches():
    text = TWIN.replace('"mm"', '"in"').replace("swing        = 300", "swing = 11.811")
    assert parse_machine(text, "toml", "m.toml").swing == pytest.approx(300, abs=0.01)
    assert parse_machine(text, "toml", "m.toml").spindles[0].speed == 4000


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('kind         = "twin"', 'kind = "tvin"', "line 5.*did you mean 'twin'"),
        ("swing        = 300", "swong = 300", "line 6.*unknown key 'swong'.*did you mean 'swing'"),
        ("swing        = 300", "swing = -3", "line 6.*swing = -3: expected"),
        ("cross_travel = 60", "", "cross_travel is missing"),
        ('units        = "mm"', "", "units = null: expected"),
        ("largest    = 210", "largest = 10", "smallest is not below largest"),
        ("grip       = 8 ", 'grip = "much"', "expected a number"),
        ('name       = "sub"', 'name = "other"', "spindles main and sub"),
        ("packed_three_jaw = 10", "packed = 10", "unknown key 'packed'"),
        ("force           = 200", "", "force is missing"),
        ("speed      = 4500", "speed = nan", "expected a finite number"),
    ],
)
def test_faults(old, new, told):
    assert old in TWIN
    with pytest.raises(FoldsketchError, match=told):
        parse_machine(TWIN.replace(old, new, 1), "toml", "m.toml")


def test_empty_and_broken():
    with pytest.raises(FoldsketchError):
        parse_machine("", "toml", "m.toml")
    with pytest.raises(FoldsketchError):
        parse_machine("kind = [", "toml", "m.toml")
