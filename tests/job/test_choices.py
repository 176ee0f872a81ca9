"""Choices: one clear error for each wrong value, and none for any value within the documented bounds."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.assembly.work_time import Pace
from foldsketch.base.card import Card
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.choices import Choices
from foldsketch.solid.faceting.sides import FacetChoice


def wrong(**values):
    """The findings that values are refused with."""
    with pytest.raises(FoldsketchError) as caught:
        Choices(**values)
    return caught.value.findings


NUMBERS = {"scale": (1e-4, 100), "least_step": (0, 20), "seconds": (0, 86_400)}
"""Bounds as the docstring and the command line state them."""


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, -2.0, 1e9])
@pytest.mark.parametrize("name", NUMBERS)
def test_a_number_out_of_bounds(name, value):
    (finding,) = wrong(**{name: value})
    assert (finding.code, finding.where, finding.level) == ("choice-out-of-range", name, "error")
    least, most = NUMBERS[name]
    assert (finding.value("least").value, finding.value("most").value) == (least, most)


@given(st.sampled_from(list(NUMBERS)), st.floats(0, 1))
def test_every_number_within_bounds_is_taken(name, share):
    least, most = NUMBERS[name]
    value = least + share * (most - least)
    assert getattr(Choices(**{name: value}), name) == value


@pytest.mark.parametrize("value", [0, -1, 201])
def test_sheets_out_of_bounds(value):
    (finding,) = wrong(sheets=value)
    assert (finding.code, finding.where) == ("choice-out-of-range", "sheets")


@pytest.mark.parametrize(
    "values",
    [
        {"sheets": 2.5},
        {"sheets": True},
        {"sheets": "6"},
        {"scale": "1:2"},
        {"scale": True},
        {"least_step": None},
        {"seconds": "long"},
        {"paper": 4},
        {"minutes": "ten"},
        {"card": "160gsm"},
        {"pace": 3.0},
        {"facets": 12},
        {"tolerance": 1e-6},
    ],
    ids=str,
)
def test_a_value_of_another_kind(values):
    (finding,) = wrong(**values)
    ((name, value),) = values.items()
    assert (finding.code, finding.where) == ("choice-wrong-type", name)
    assert repr(value) in finding.text


@pytest.mark.parametrize("value", ["nonsense", "FACES", "", None, 3, ["faces"]])
def test_an_unknown_join(value):
    (finding,) = wrong(join=value)
    assert (finding.code, finding.where) == ("choice-unknown", "join")
    assert all(word in finding.text for word in ("auto", "faces", "fuse"))


@pytest.mark.parametrize("value", ["A9", "", "210x", "1x1", "1e9x10"])
def test_an_unknown_paper(value):
    (finding,) = wrong(paper=value)
    assert finding.where == "paper"


@pytest.mark.parametrize(
    ("values", "where"),
    [
        ({"radius_rule": "middle"}, "--radius"),
        ({"radius_rule": "equal-perimeter"}, "--radius"),
        ({"walls": "glued"}, "--walls"),
        ({"min_side_width": math.nan}, "--smallest"),
        ({"min_sides": 2}, "min_sides"),
        ({"sides": 8.5}, "--sides"),
        ({"rotation": math.inf}, "rotation"),
    ],
)
def test_a_wrong_value_of_the_facets(values, where):
    with pytest.raises(FoldsketchError) as caught:
        Choices(facets=FacetChoice(**values))
    (finding,) = caught.value.findings
    assert finding.where == where


@pytest.mark.parametrize("value", [-1.0, math.nan, 3601.0])
@pytest.mark.parametrize("name", [f.name for f in fields(Pace)])
def test_a_wrong_pace(name, value):
    (finding,) = wrong(pace=replace(Pace(), **{name: value}))
    assert (finding.code, finding.where) == ("choice-out-of-range", f"pace.{name}")


@pytest.mark.parametrize("thickness", [-0.1, 0.01, 2.0, math.nan])
def test_a_card_that_cannot_be_folded(thickness):
    (finding,) = wrong(card=Card(thickness))
    assert finding.where == "card.thickness"
    assert Choices(card=Card(0.0)) and Choices(card=Card(0.25))


def test_every_wrong_value_is_listed_once():
    found = wrong(join="nonsense", sheets=0, scale=-2, least_step=math.nan, paper="A9")
    assert sorted(f.where for f in found) == ["join", "least_step", "paper", "scale", "sheets"]
    assert len({str(f) for f in found}) == 5


def test_numbers_of_numpy_are_numbers():
    assert Choices(scale=np.float64(0.5), sheets=np.int64(3)).scale == 0.5


@pytest.mark.parametrize("value", ["staples", None, "Glue"])
def test_an_unknown_hold(value):
    (finding,) = wrong(hold=value)
    assert (finding.code, finding.where) == ("choice-unknown", "hold")
    assert "glue, tape or tuck" in finding.text


@pytest.mark.parametrize("value", ["wheels", None, "Glued"])
def test_unknown_feet(value):
    (finding,) = wrong(feet=value)
    assert (finding.code, finding.where) == ("choice-unknown", "feet")
    assert "glued or tongues" in finding.text


def test_tape_does_not_go_with_rolled_walls():
    (finding,) = wrong(hold="tape", facets=FacetChoice(walls="rolled"))
    assert finding.code == "tape-and-rolled-walls"
    assert Choices(hold="tape").facets.walls == "folded" and Choices(facets=FacetChoice(walls="rolled")).hold == "glue"
