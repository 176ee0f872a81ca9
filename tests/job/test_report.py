"""The model report and the summary say the same as the model."""

import json
from math import cos, pi, sin, sqrt

import pytest

import parts
from foldsketch.assembly.work_time import Pace
from foldsketch.base.card import Card
from foldsketch.base.findings import Message
from foldsketch.job.choices import Choices
from foldsketch.job.pipeline import make_model
from foldsketch.job.report import model_report
from foldsketch.job.summary import summary
from foldsketch.part.model import Feature, PrismShape
from foldsketch.solid.faceting.sides import FacetChoice


@pytest.fixture(scope="module")
def made():
    return make_model(parts.OFFSET_SLEEVE, Choices(scale=0.5, facets=FacetChoice(sides=8)))


def test_what_is_made(made):
    report = model_report(made)
    assert (report["part"], report["scale"], report["paper"], report["join"]) == ("offset sleeve", 0.5, "A4", "faces")
    assert report["nets"] == len(made.nets.pieces) and report["sheets"] == len(made.sheets)
    assert report["least_sheets"] <= report["sheets"] and report["blocks"] == 1
    assert [(f["name"], f["axis"], f["cut"], f["sides"]) for f in report["features"]] == [
        ("body", "A", False, 8),
        ("bore", "B", True, 8),
    ]
    assert report["fold_up"] == "passed" and report["checks"]["refold_gap"] < 1e-6


def test_the_chord_error_of_an_octagon_of_equal_area(made):
    """A regular octagon with corners at R has the area 4 R^2 sin 45°: a circle's for R = r sqrt(pi / (4 sin 45°)).

    Its corners are R - r outside, the middles of its flats r - R cos 22.5° inside; a body of 60 mm at 1:2: r = 15.
    """
    r = 15.0
    corner = r * sqrt(pi / (4 * sin(pi / 4)))
    off = max(corner - r, r - corner * cos(pi / 8))
    assert model_report(made)["features"][0]["chord_error"] == pytest.approx(off, abs=1e-4)
    assert f"{off:.2f} mm" in summary(made)


def test_the_working_time_is_at_the_users_pace(made):
    folds = model_report(made)["work"]["folds"]
    pace = Pace(cut=0, fold=60, glue=0, joint=0, tooth=0)
    assert model_report(made, pace)["work"]["minutes"] == folds
    assert f"about {folds} minutes at your pace" in summary(made, pace)


def test_findings_come_first_once_and_with_their_codes(made):
    own = Message("odd", "note", "is odd")
    listed = model_report(made, findings=[own.at("bore"), own.at("bore")])["findings"]
    assert [f["code"] for f in listed][:1] == ["odd"] and len(listed) == 1 + len(set(made.findings))
    assert json.loads(json.dumps(listed)) == listed


def test_card_and_rolled_walls_and_flats():
    """0.3 mm of card: each face 0.15 mm inside; a square crease adds 2 T tan 45°/2 - pi/4 T = 0.0644 mm, shown as 0.06.

    (Bend allowance at the middle of the sheet, Machinery's Handbook: angle x thickness / 2.)
    """
    card = make_model(parts.ECCENTRIC, Choices(scale=1.0, card=Card(0.3)))
    assert "0.15 mm" in summary(card) and f"{0.3 - pi / 2 * 0.15:.2f} mm" in summary(card)
    assert model_report(card)["card"] == 0.3
    rolled = make_model(parts.ECCENTRIC, Choices(scale=1.0, facets=FacetChoice(walls="rolled")))
    assert "rolled" in summary(rolled) and all(f["rolled"] for f in model_report(rolled)["features"])
    square = make_model(parts.part([Feature("head", "A", PrismShape(4, 30), 0, 20)]))
    assert model_report(square)["features"][0]["chord_error"] == 0
