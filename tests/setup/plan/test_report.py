"""The set-up report: its keys, rounding, and figures that follow from each other."""

import dataclasses
import json

import pytest

from foldsketch.setup.plan.castings_and_time import check_castings, time_comparison
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.setup.plan.report import plan_report
from setup_parts import COVER, ECCENTRIC, SMALL, TWIN, part_of, planned

KEYS = {"number", "run", "spindle", "from_end", "on_centreline", "held_on", "held_axis", "way", "jaw_kind", "features",
        "faces", "cut_by", "cuts", "state", "minutes", "offset", "orient", "shift", "by_hand", "indicator", "stroke",
        "swing", "unbalance", "unbalance_angle", "offset_angle", "speed", "speeds", "force", "pull", "couple",
        "weighted", "counterweight", "packing", "jaws", "clamping_force", "contacts", "centre_holes", "grip", "sweep",
        "profile", "reach", "findings"}  # fmt: skip
"""Of a set-up, as docs/file-formats.md lists them."""


@pytest.fixture(scope="module")
def made():
    return planned(machine=SMALL, batch=10)


def test_keys_and_figures(made):
    r = json.loads(json.dumps(plan_report(made)))
    assert r["format"] == "foldsketch-setups 2"
    assert r["cautions"] == list(CAUTIONS)
    assert r["complete"] == (not r["left"])
    assert r["minutes"]["a_part"] == pytest.approx(made.minutes.a_part(10), abs=2e-6)
    assert [n for run in r["runs"] for n in run["setups"]] == [s["number"] for s in r["setups"]]
    for s in r["setups"]:
        assert s.keys() == KEYS
        assert s["indicator"] == s["stroke"] == pytest.approx(2 * s["offset"], abs=2e-6)
        assert max(w["outer"] for w in s["sweep"]) * 2 == pytest.approx(s["swing"], abs=2e-6)
        assert s["cut_by"].keys() == {*s["features"], *s["faces"]} == {c["surface"] for c in s["cuts"]}
        assert sum(c["minutes"] for c in s["cuts"]) <= s["minutes"]


def test_jaws_in_the_report(made):
    """Body of 60 held 6 off: 24 on the pin's side."""
    s = next(s for s in plan_report(made)["setups"] if s["offset"])
    assert s["jaws"][0]["from_centre"] == pytest.approx(24)
    assert s["jaws"][0]["angle"] == 0
    assert s["clamping_force"]["available"] == 25000


def test_times_in_the_report():
    made = plan(COVER, TWIN, batch=50)
    time = plan_report(made, (), time_comparison(made, TWIN))["time"]
    assert time["one_machine"]["batch"] == pytest.approx(made.minutes.batch(50), abs=1e-5)
    assert time["separate"]["batch"] == pytest.approx(made.separate.batch(50), abs=1e-5)


def test_castings_in_the_report():
    """2 mm of stock, 1 mm of location and 0.4 of radius: 0.6 to 3.4 a side, so all clean up."""
    features = (dataclasses.replace(ECCENTRIC[0], stock=2.0), ECCENTRIC[1])
    made = planned(features, SMALL)
    casts = plan_report(made, check_castings(part_of(features, B=(6.0, 0.0)), made, 1.0, 0.8))["castings"]
    assert casts
    for cast in casts:
        assert (cast["feature"], cast["least"], cast["most"], cast["cleans_up"]) == ("body", 0.6, 3.4, True)


def test_what_cannot_be_done_has_its_reason():
    r = plan_report(plan(COVER, dataclasses.replace(SMALL, swing=100.0)))
    assert {entry["feature"] for entry in r["left"]} >= {"inlet", "outlet"}
    assert all(entry["why"] for entry in r["left"])
    assert all(entry["why"] and not entry["why"].startswith(entry["what"]) for entry in r["refused"])
