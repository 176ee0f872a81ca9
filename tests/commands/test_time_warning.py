"""A model that takes long to build: how long, and which options were tried and are quicker."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from foldsketch.assembly.work_time import Pace, measure_work, work_minutes
from foldsketch.commands import time_warning
from foldsketch.commands.messages import (
    LONG,
    LONG_PANELS,
    LONG_QUICK_MANY_PANELS,
    LONG_QUICK_NO_OPTION,
    LONG_QUICK_OPTIONS,
)
from foldsketch.commands.time_warning import build_time_findings
from foldsketch.job.choices import Choices
from foldsketch.job.inputs import model_from_mesh
from foldsketch.job.quick_model import model
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.paper import parse_scale
from foldsketch.solid.faceting.sides import FacetChoice

SAMPLES = Path(__file__).parents[2] / "samples"
QUICK = Choices(quick=True)


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """What is tried does not depend on how busy this machine is."""
    monkeypatch.setattr(time_warning, "MAX_SEARCH_SECONDS", 600.0)


def sample(name):
    return read_part(SAMPLES / f"{name}.toml")[0]


def minutes(made, pace=None):
    return work_minutes(measure_work(made.nets), *([pace] if pace else []))


def test_a_crank_of_seven_blocks_is_quicker_with_quick():
    crank = sample("double-throw-crank")
    (note,) = build_time_findings(made := model(crank), Choices())
    assert note.code == LONG.code and note.value("minutes") == round(minutes(made))
    (note,) = build_time_findings(quick := model(crank, QUICK), QUICK)
    assert note.code == LONG_QUICK_NO_OPTION.code and minutes(quick) < 0.26 * minutes(made)


@pytest.mark.slow
def test_what_is_said_to_be_quicker_is():
    """Each option that the note names takes the time that it names."""
    crank, choices = sample("double-throw-crank"), replace(QUICK, scale=1.0, join="faces")
    (note,) = build_time_findings(made := model(crank, choices), choices)
    assert note.code == LONG_QUICK_OPTIONS.code
    named = re.findall(r"((?:--\S+ \S+ )+)(?:takes )?about (\d+)", note.value("options"))
    assert len(named) >= 2
    for words, takes in named:
        given = dict(re.findall(r"--(\S+) (\S+)", words))
        facets = replace(choices.facets, walls=given.get("walls", "folded"))
        other = replace(choices, scale=parse_scale(given["scale"]), join=given["join"], facets=facets)
        assert round(minutes(model(crank, other))) == int(takes) < minutes(made)


@pytest.mark.parametrize("name", ["eccentric-shaft", "lessons/1-one-offset-spigot"])
def test_a_quick_model_of_ten_minutes_gets_no_note(name):
    made = model(sample(name), QUICK)
    assert build_time_findings(made, QUICK) == ()
    (note,) = build_time_findings(made, replace(QUICK, pace=Pace(glue=60)))
    assert note.value("minutes") == round(minutes(made, Pace(glue=60))) > 10


@pytest.mark.parametrize(("half_hour", "count"), [(29.4, 0), (30.6, 1)])
def test_half_an_hour_is_long(half_hour, count):
    """Seconds for a tab such that the eccentric shaft takes just under or over 30 minutes and a half."""
    made = model(sample("eccentric-shaft"))
    work = measure_work(made.nets)
    pace = Pace(cut=0, fold=0, joint=0, tooth=0, glue=60 * half_hour / work.tabs)
    assert len(build_time_findings(made, Choices(pace=pace))) == count


def test_only_what_was_not_asked_for_is_named_and_nothing_is_tried_on_a_giant(monkeypatch):
    choices = Choices(quick=True, facets=FacetChoice(walls="rolled"), join="fuse", scale=1.0, pace=Pace(glue=60))
    made = model(sample("bilge-pump-cover"), choices)
    (note,) = build_time_findings(made, choices)
    options = note.value("options")
    assert options.startswith("--scale 1:2 --join fuse takes about") and "rolled" not in options
    assert note.value("whose") == "your"
    assert build_time_findings(made, replace(choices, pace=Pace()))[0].value("whose") == "an ordinary"
    monkeypatch.setattr(time_warning, "MAX_SEARCH_SECONDS", -1.0)
    assert build_time_findings(made, choices)[0].code == LONG_QUICK_NO_OPTION.code, "no time, nothing tried"
    monkeypatch.setattr(time_warning, "MAX_PANELS_FOR_VARIANTS", 3)
    (note,) = build_time_findings(made, choices)
    assert (note.code, note.value("most")) == (LONG_QUICK_MANY_PANELS.code, 3)


@pytest.mark.slow
def test_what_leaves_more_edges_to_tape_is_not_suggested():
    """For slow creasers rolled walls would save a third of the time at half size, but no tab fits on their teeth."""
    pace = Pace(cut=0.01, fold=20.0)
    folded, rolled = (
        Choices(quick=True, facets=FacetChoice(walls=w), scale=0.5, join="faces", pace=pace)
        for w in ("folded", "rolled")
    )
    made, other = (model(sample("double-throw-crank"), choices) for choices in (folded, rolled))
    assert minutes(other, pace) < minutes(made, pace) - 10
    taped = [sum(not b.bare for p in m.nets.pieces for b in p.butts) for m in (made, other)]
    assert taped[0] == 0 < taped[1]
    (note,) = build_time_findings(made, folded)
    assert "rolled" not in dict(note.values).get("options", "")


@pytest.mark.parametrize("quick", [False, True])
def test_a_model_of_flat_panels_has_no_quicker_way_but_fewer(quick):
    choices = Choices(quick=quick)
    made = model_from_mesh(SAMPLES / "pipe-bracket.stl", choices, "mm", panels=60)
    assert build_time_findings(made, choices) == ()
    (note,) = build_time_findings(made, replace(choices, pace=Pace(glue=600)))
    assert note.code == LONG_PANELS.code


@pytest.mark.slow
def test_of_two_options_that_take_the_same_the_one_that_asks_for_less_is_named(monkeypatch):
    """With models that all take the same, "--walls rolled" with the same scale and join asks for more."""
    crank, choices = sample("double-throw-crank"), replace(QUICK, scale=1.0, join="faces")
    made = model(crank, choices)
    monkeypatch.setattr(time_warning, "build_minutes", lambda made, choices: 8.0)
    monkeypatch.setattr(time_warning, "is_acceptable", lambda other, made: True)
    found = [words for _, words in time_warning.find_quicker_choices(made, choices, 9.0)]
    assert found and all("rolled" not in words or words.replace("--walls rolled ", "") not in found for words in found)
    assert "--scale 1:1 --join fuse" in found
