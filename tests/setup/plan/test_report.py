"""The set-up report: its keys, rounding, and figures that follow from each other."""

import dataclasses
import json

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.setup.formulas.cycle_time import OperationTimes, compare_cycle_times
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.castings_and_time import check_castings
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.setup.plan.report import plan_report
from setup_parts import COVER, ECCENTRIC, ONE_SPINDLE, ROOT, part_of, planned

SAMPLES = sorted((ROOT / "samples").glob("*.toml"))

KEYS = {"number", "spindle", "from_end", "on_centreline", "held_on", "held_axis", "way", "features", "offset", "orient",
        "shift", "by_hand", "indicator", "stroke", "swing", "unbalance", "unbalance_angle", "offset_angle", "speed",
        "force", "counterweight", "packing", "four_jaw", "contacts", "centre_holes", "grip", "sweep", "profile",
        "reach", "findings"}  # fmt: skip
"""Of a set-up, as docs/set-up-report.md lists them."""


@pytest.mark.parametrize("machine", [DEFAULT_MACHINE, ONE_SPINDLE], ids=lambda m: m.kind)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples(path, machine):
    r = json.loads(json.dumps(plan_report(plan(read_part(path)[0], machine))))
    assert r["format"] == "foldsketch-setups 1"
    assert r["cautions"] == list(CAUTIONS)
    assert r["complete"] == (not r["left"])
    for s in r["setups"]:
        assert s.keys() == KEYS
        assert s["indicator"] == s["stroke"] == pytest.approx(2 * s["offset"], abs=2e-6)
        assert max(w["outer"] for w in s["sweep"]) * 2 == pytest.approx(s["swing"], abs=2e-6)
        assert max(row[2] for row in s["profile"]) == pytest.approx(s["swing"] / 2, abs=2e-6)


def test_times_in_the_report():
    times = OperationTimes(cut=2.0, load=1.5, transfer=2.5, queue=0.0, setting=30.0, batch=40)
    made = compare_cycle_times([1, 1], ["main", "sub"], times)
    tree = plan_report(planned(), (), made)["time"]
    assert tree["cuts"] == [2.0, 2.0]
    assert tree["separate"] == {"part": 7.0, "batch": 60 + 40 * 7}
    assert tree["one_machine"] == {"part": 6.0, "batch": 60 + 8 + 39 * 6}
    assert (tree["overlapped"], tree["break_even"]) == (True, 2)  # 8 > 7, and 8 + 6 <= 14


def test_castings_in_the_report():
    features = (dataclasses.replace(ECCENTRIC[0], stock=2.0), ECCENTRIC[1])
    made = planned(features)
    (cast,) = plan_report(made, check_castings(part_of(features, B=(6.0, 0.0)), made, 1.0, 0.8))["castings"]
    assert cast == {
        "feature": "body", "set_up": cast["set_up"], "stock": 2.0, "least": 0.6, "most": 3.4, "cleans_up": True,
        "take_up": 1.4, "yield": 1.0, "yield_error": 1e-6, "parts": 1_000_000,
    }  # fmt: skip


def test_four_jaws_in_the_report():
    """A spigot 20 mm off on a flange of 90: toward the offset 45 + 20, away from it 25, across sqrt(45^2 - 20^2)."""
    s = next(s for s in plan_report(plan(COVER, DEFAULT_MACHINE))["setups"] if s["way"] == "four-jaw")
    assert {j["angle"] for j in s["four_jaw"]} == {0, 90, 180, 270}
    assert sorted(j["from_centre"] for j in s["four_jaw"]) == pytest.approx([25, 40.311289, 40.311289, 65])
    assert s["contacts"] == 4


def test_what_cannot_be_done_has_its_reason():
    r = plan_report(plan(COVER, dataclasses.replace(DEFAULT_MACHINE, swing=120.0)))
    assert {entry["feature"] for entry in r["left"]} == {"inlet", "outlet"}
    assert all(entry["why"] for entry in r["left"])
    assert {entry["what"] for entry in r["refused"]} >= {"axis B on the spindle", "axis C on the spindle"}
    assert all(entry["why"] and not entry["why"].startswith(entry["what"]) for entry in r["refused"])
