"""Findings: the text comes from code and values, alike ones come as one, worst first."""

import json
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.findings import (
    LEVELS,
    Finding,
    FoldsketchError,
    Message,
    Quantity,
    mm,
    percent,
    quoted,
    worst_first,
)

LONG = Message("too-long", "warning", "is {length} long", "make it shorter than {most}")
HOLES = Message("holes-open", "note", "{count:hole is|holes are} open in {names}")


def test_a_finding_reads_as_place_wording_and_cure():
    f = LONG.at("feature 'boss'", length=mm(30), most=mm(25.4))
    assert (f.code, f.level, f.where) == ("too-long", "warning", "feature 'boss'")
    assert f.wording() == ("is 30 mm long", "make it shorter than 25.4 mm")
    assert str(f) == "warning: feature 'boss': is 30 mm long; make it shorter than 25.4 mm"
    assert f.value("length").value == 30
    with pytest.raises(KeyError):
        f.value("width")


def test_without_place_or_cure_nothing_dangles():
    assert HOLES.at(count=1, names="a").text == "1 hole is open in a"


@pytest.mark.parametrize(
    ("unit", "value", "inches"),
    # 1 in = 25.4 mm: lengths by 25.4, areas by 25.4 squared, volumes by 25.4 cubed; all else is left alone.
    [
        ("mm", 25.4, "1 in"),
        ("mm2", 645.16, "1 in2"),
        ("mm3", 16387.064, "1 in3"),
        ("kg", 2, "2 kg"),
        ("deg", 30, "30°"),
    ],
)
def test_lengths_areas_and_volumes_turn_to_inches(unit, value, inches):
    assert Quantity(value, unit).text("in") == inches


@given(st.floats(0.01, 1e5))
def test_inches_are_as_fine_as_millimetres(value):
    shown = float(Quantity(value, "mm").text("in").removesuffix(" in"))
    assert shown * 25.4 == pytest.approx(value, abs=0.005)


def test_an_inch_text_converts_cure_and_wording():
    assert LONG.at("x", length=mm(50.8), most=mm(25.4)).text_in("in") == "x: is 2 in long; make it shorter than 1 in"


@pytest.mark.parametrize(("count", "text"), [(0, "0 holes are"), (1, "1 hole is"), (7, "7 holes are")])
def test_whole_numbers_make_the_noun_agree(count, text):
    assert HOLES.at(count=count, names="a").text == f"{text} open in a"


def test_whole_numbers_may_be_shown_bare_or_with_a_noun_alone():
    assert Message("c", "note", "{n} of {m:box}").at(n=3, m=2).text == "3 of 2 boxes"


def test_names_are_quoted_and_long_lists_cut():
    assert HOLES.at(count=2, names=("web", "boss")).text == "2 holes are open in 'web' and 'boss'"
    assert quoted("abcdefgh") == "'a', 'b', 'c', 'd', 'e', 'f' and 2 more"
    assert quoted([]) == "" and quoted(["a"]) == "'a'"


def test_braces_in_a_value_are_only_text():
    assert HOLES.at(count=2, names="{count}").text == "2 holes are open in {count}"


def test_the_report_has_values_with_units():
    f = LONG.at("rib", length=mm(30), most=percent(0.5))
    assert json.loads(json.dumps(f.as_dict("in"))) == {
        "code": "too-long",
        "level": "warning",
        "where": "rib",
        "text": "rib: is 1.1811 in long; make it shorter than 50 %",
        "values": {"length": {"value": 30, "unit": "mm"}, "most": {"value": 50.0, "unit": "%"}},
    }


def test_an_error_is_one_of_level_error_whatever_its_message():
    with pytest.raises(FoldsketchError, match="is 3 mm long") as caught:
        raise LONG.error("rib", length=mm(3), most=mm(2))
    (f,) = caught.value.findings
    assert (f.level, f.code) == ("error", "too-long")


def test_errors_hold_several_findings_and_pass_between_processes():
    two = FoldsketchError(f for f in (LONG.at("a", length=mm(3), most=mm(2)), HOLES.at(count=1, names="b")))
    again = pickle.loads(pickle.dumps(two))
    assert again.findings == two.findings
    assert str(again).splitlines() == [str(f) for f in two.findings]


THIN = Message("thin", "note", "is {gap} thick", "make it thicker")


def thin(name, gap, kind="feature"):
    return THIN.at(f"{kind} {name}", gap=mm(gap))


def test_alike_findings_come_as_one():
    (f,) = worst_first([thin("'rib'", 1), thin("'web'", 1), thin("'rib'", 1)])
    assert f.text == "2 features ('rib' and 'web'): is 1 mm thick; make it thicker"
    assert f.count == 2
    (f,) = worst_first([thin("A", 1, "axis"), thin("B", 1, "axis")])
    assert f.text.startswith("2 axes ('A' and 'B')")


def test_alike_findings_with_other_values_show_the_first():
    (f,) = worst_first([thin("'rib'", 1), thin("'web'", 2), thin("'boss'", 3)])
    assert f.text == "feature 'rib' (similar: 'web' and 'boss'): is 1 mm thick; make it thicker"
    assert f.count == 3


@pytest.mark.parametrize(
    "pair",
    [
        (thin("'rib'", 1), thin("'rib'", 1, "block")),  # about things of another kind
        (thin("'rib'", 1), LONG.at("feature 'web'", length=mm(1), most=mm(1))),  # of another code
        (THIN.at("p.toml line 3, feature 'a'", gap=mm(1)), THIN.at("p.toml line 9, feature 'b'", gap=mm(1))),
    ],
)
def test_what_is_not_alike_stays_apart(pair):
    assert sorted(f.text for f in worst_first(pair)) == sorted(f.text for f in pair)


FINDINGS = st.lists(
    st.builds(
        lambda level, code, where, gap: Finding(code, level, where, "is {gap}", "", (("gap", mm(gap)),)),
        st.sampled_from(LEVELS),
        st.sampled_from(["one", "two"]),
        st.sampled_from(["feature 'a'", "feature 'b'", "axis A", "panels", ""]),
        st.integers(1, 2),
    ),
    max_size=12,
)


@given(FINDINGS)
def test_merging_loses_none_and_puts_the_worst_first(findings):
    merged = worst_first(findings)
    assert sum(f.count for f in merged) == len(set(findings))
    ranks = [LEVELS.index(f.level) for f in merged]
    assert ranks == sorted(ranks)
