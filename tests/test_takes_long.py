"""What a model that takes long is told, and what a quick one changes by itself to come down to ten minutes."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from foldsketch.assembly.build_warnings import narrow_bridge_widths
from foldsketch.assembly.work_time import Pace, measure_work, work_minutes
from foldsketch.cli import main
from foldsketch.commands import time_warning
from foldsketch.job import pipeline, quick_model
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.sheet.layout.paper import parse_scale
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

SAMPLES = Path(__file__).parents[1] / "samples"
QUICK = pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice()))

TEN_MINUTES = [
    "bilge-pump-cover",
    "cross-drilled-boss",
    "eccentric-shaft",
    "hex-eccentric",
    "offset-bore-sleeve",
    "tapered-spigot",
    "valve-lever",
    "lessons/1-one-offset-spigot",
    "lessons/2-offset-bore",
    "lessons/3-eccentric",
    "lessons/4-two-spigots",
]
LONGER = {
    "three-boss-rocker": 14,
    "single-throw-crank": 12,
    "double-throw-crank": 18,
    "lessons/5-double-throw-crank": 18,
}


def sample(name):
    return read_part(SAMPLES / f"{name}.toml")[0]


def told(made):
    """What the notes of the quick model say of scale and joints, with their cures."""
    notes = [f for f in made.findings if f.where == "the quick model" and "takes about" in f.what]
    return [(f.what, f.cure) for f in notes]


@pytest.mark.parametrize("name", TEN_MINUTES)
def test_the_quick_model_of_a_sample_takes_ten_minutes_at_an_ordinary_pace(name):
    made = quick_model.model(sample(name), QUICK)
    assert round(work_minutes(measure_work(made.nets))) <= 10
    assert made.nets.scale >= 0.5 and len(made.sheets) <= 2
    assert not any(not b.bare for p in made.nets.pieces for b in p.butts)
    assert time_warning.build_time_findings(made, QUICK) == ()


@pytest.mark.parametrize("name", LONGER)
def test_that_of_a_crank_or_rocker_takes_longer_and_says_so(name):
    """Five or seven rounds, each with its strip and its two rims, two to three minutes each; three bosses on arms."""
    made = quick_model.model(sample(name), QUICK)
    (note,) = time_warning.build_time_findings(made, QUICK)
    assert 10 < round(work_minutes(measure_work(made.nets))) <= LONGER[name]
    assert note.what.startswith("building it takes about")


def test_sides_are_turned_where_else_little_would_be_left_beside_an_opening():
    """The pins of a double-throw crank are 2 mm from the rims of its webs, and on paper half of that at most: less,
    where flats lie along flats. Where corners point towards the rim there is more."""
    part = sample("double-throw-crank")
    made = quick_model.model(part, QUICK)
    straight = quick_model.model(part, replace(QUICK, scale=0.5, join="fuse"))
    assert len(narrow_bridge_widths(straight.nets.pieces)) == 4 and narrow_bridge_widths(made.nets.pieces) == []
    assert (made.nets.scale, made.join) == (0.5, "fuse")
    ((what, _),) = told(made)
    assert what.startswith(
        "is made at 1:2 and built as one body, the sides of its rounds turned by 30 degrees, which takes about"
    )
    off = np.angle(complex(*made.faceted.datum_direction[:2]) / complex(*straight.faceted.datum_direction[:2]))
    assert off == pytest.approx(np.pi / 6)
    webs = [p for p in made.faceted.prisms if p.feature.name == "web 1"]
    corners = webs[0].corners[:, :2]
    assert np.hypot(*corners.T)[np.argmax(corners[:, 1])] == pytest.approx(corners[:, 1].max()), "one points to the pin"


def test_a_net_that_is_glued_in_more_goes_is_no_gain():
    """The rocker in one net at half size would take ten minutes by the count, with its arms closing all at once; two
    who followed its booklet would rather have had the four blocks."""
    rocker = sample("three-boss-rocker")
    blocks = pipeline.make_model(rocker, replace(QUICK, scale=0.5, join="faces"))
    facets = replace(QUICK.facets, turned=np.pi / 18)
    one = pipeline.make_model(rocker, replace(QUICK, scale=0.5, join="fuse", facets=facets))
    assert round(work_minutes(measure_work(one.nets))) <= 10 and narrow_bridge_widths(one.nets.pieces) == []
    assert not any(not b.bare for p in one.nets.pieces for b in p.butts) and len(one.sheets) <= len(blocks.sheets)
    assert not quick_model.is_acceptable(one, blocks)
    made = quick_model.model(rocker, QUICK)
    assert (made.nets.scale, made.join, len(made.nets.pieces)) == (0.5, "faces", 4)


def test_sides_are_turned_only_for_what_would_tear(monkeypatch):
    """The single-throw crank in one body tears nowhere: nothing else is tried. At a given scale the double-throw crank
    is turned too."""
    tried = []
    plain = pipeline.make_model
    monkeypatch.setattr(
        pipeline, "model", lambda part, choices, listener: tried.append(choices) or plain(part, choices)
    )
    quick_model.model(sample("single-throw-crank"), QUICK)
    assert len(tried) == 4 and not any(c.facets.turned for c in tried)
    tried.clear()
    made = quick_model.model(sample("double-throw-crank"), replace(QUICK, scale=0.5))
    assert (made.nets.scale, made.join, narrow_bridge_widths(made.nets.pieces)) == (0.5, "fuse", [])
    assert "turned by 30 degrees" in told(made)[0][0]
    assert [c.facets.turned for c in tried[:2]] == [0.0, 0.0] and all(c.facets.turned for c in tried[2:])


def test_what_was_changed_is_told_and_taken_back_as_it_says():
    made = quick_model.model(sample("offset-bore-sleeve"), QUICK)
    ((what, cure),) = told(made)
    after = work_minutes(measure_work(made.nets))
    assert what == f"is made at 1:2 and built as one body, which takes about {after:.0f} minutes"
    back = quick_model.model(sample("offset-bore-sleeve"), replace(QUICK, scale=1.0, join="faces"))
    assert cure == f"--scale 1:1 --join faces takes about {work_minutes(measure_work(back.nets)):.0f}"
    assert (made.nets.scale, made.join, back.nets.scale, back.join) == (0.5, "fuse", 1.0, "faces")
    assert told(back) == []


def test_the_kindest_change_that_comes_down_to_ten_is_taken(monkeypatch):
    """Smaller alone does it for the boss; in one body at full size it would take longer."""
    made = quick_model.model(sample("cross-drilled-boss"), QUICK)
    assert (made.nets.scale, made.join) == (0.5, "faces") and len(made.nets.joints) == 1
    fused = quick_model.model(sample("cross-drilled-boss"), replace(QUICK, scale=1.0, join="fuse"))
    assert round(work_minutes(measure_work(fused.nets))) > 10
    both = quick_model.model(sample("cross-drilled-boss"), replace(QUICK, scale=0.5, join="fuse"))
    monkeypatch.setattr(quick_model, "MIN_SAVING_MINUTES", 0.1)
    assert work_minutes(measure_work(both.nets)) < work_minutes(measure_work(made.nets)) - 0.1, (
        "both changes would save a little more"
    )
    again = quick_model.model(sample("cross-drilled-boss"), QUICK)
    assert (again.nets.scale, again.join) == (0.5, "faces"), "but one will do"


@pytest.mark.parametrize(("own", "wanted"), [({"scale": 1.0}, (1.0, "fuse")), ({"join": "faces"}, (0.5, "faces"))])
def test_what_the_user_chose_stays(own, wanted):
    made = quick_model.model(sample("double-throw-crank"), replace(QUICK, **own))
    assert (made.nets.scale, made.join) == wanted
    both = quick_model.model(sample("double-throw-crank"), replace(QUICK, scale=1.0, join="faces"))
    assert (both.nets.scale, both.join) == (1.0, "faces") and told(both) == []


def test_only_a_quick_model_is_changed_and_only_when_it_takes_longer_than_ten_minutes():
    plain = quick_model.model(sample("double-throw-crank"), pipeline.Choices())
    assert plain.join == "faces" and told(plain) == []
    swift = quick_model.model(sample("double-throw-crank"), replace(QUICK, pace=Pace(0.0, 0.1, 1.0, 1.0)))
    assert (swift.nets.scale, swift.join) == (1.0, "faces") and told(swift) == [], "ten minutes at the user's own pace"
    first = quick_model.model(sample("lessons/1-one-offset-spigot"), QUICK)
    assert first.nets.scale == 1.0 and told(first) == []


def test_a_change_that_makes_trouble_or_saves_no_minute_is_not_taken(monkeypatch):
    at_first = quick_model.model(sample("eccentric-shaft"), replace(QUICK, scale=1.0, join="faces"))
    monkeypatch.setattr(quick_model, "is_acceptable", lambda other, made: False)
    made = quick_model.model(sample("eccentric-shaft"), QUICK)
    assert (made.nets.scale, made.join, told(made)) == (at_first.nets.scale, "faces", [])
    monkeypatch.undo()
    monkeypatch.setattr(quick_model, "MIN_SAVING_MINUTES", 100.0)
    assert told(quick_model.model(sample("eccentric-shaft"), QUICK)) == []
    monkeypatch.undo()
    monkeypatch.setattr(quick_model, "MAX_PANELS_FOR_VARIANTS", 3)
    assert told(quick_model.model(sample("eccentric-shaft"), QUICK)) == []


def test_no_worse_counts_taped_edges_warnings_and_sheets():
    made = quick_model.model(sample("eccentric-shaft"), replace(QUICK, scale=1.0))
    warned = replace(made, findings=(*made.findings, replace(made.findings[0], level="warning")))
    more = replace(made, sheets=(*made.sheets, *made.sheets))
    first = made.nets.pieces[0]
    bare = next(b for p in made.nets.pieces for b in p.butts)
    taped = replace(first, butts=(*first.butts, replace(bare, bare=False)))
    untabbed = replace(made, nets=replace(made.nets, pieces=(taped, *made.nets.pieces[1:])))
    assert quick_model.is_acceptable(made, made)
    for worse in (warned, more, untabbed):
        assert not quick_model.is_acceptable(worse, made) and quick_model.is_acceptable(made, worse)


def test_the_command_takes_the_pace_that_it_was_given(tmp_path, capsys):
    """Who glues a tab in two seconds needs no smaller model; the booklet says whose pace it counts with."""
    part = str(SAMPLES / "eccentric-shaft.toml")
    assert main(["make", part, "--quick", "--out", str(tmp_path), "--pace", "glue=2 joint=5"]) == 0
    out, err = capsys.readouterr()
    assert "scale 1:1" in out and "takes about" not in err
    assert re.search(r"glue joints?: about \d minutes at your pace", out)
    assert main(["make", part, "--quick", "--out", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    changed = re.search(r"is made at 1:2, which takes about (\d+) minutes; --scale 1:1 --join faces takes", err)
    assert f"about {changed[1]} minutes at an ordinary pace" in out and int(changed[1]) <= 10


def test_only_what_was_not_asked_for_is_named_and_nothing_is_tried_on_a_giant(monkeypatch):
    part, slow = sample("bilge-pump-cover"), Pace(glue=60)
    facets = coarsen_facets(FacetChoice(walls="rolled"))
    choices = pipeline.Choices(quick=True, facets=facets, join="fuse", scale=1.0, pace=slow)
    made = quick_model.model(part, choices)
    (note,) = time_warning.build_time_findings(made, choices)
    assert note.cure.startswith("--scale 1:2 --join fuse takes about")
    assert "rolled" not in note.cure and "faces" not in note.cure
    assert note.what.endswith("at your pace")
    assert time_warning.build_time_findings(made, replace(choices, pace=Pace()))[0].what.endswith("at an ordinary pace")
    monkeypatch.setattr(time_warning, "MAX_SEARCH_SECONDS", -1.0)
    assert time_warning.build_time_findings(made, choices)[0].cure == "a part with less on it is quicker"
    monkeypatch.setattr(time_warning, "MAX_SEARCH_SECONDS", 60.0)
    monkeypatch.setattr(time_warning, "MOST_PANELS", 3)
    cure = "with more than 3 panels none is tried; a smaller --scale or another --join may be quicker"
    assert time_warning.build_time_findings(made, choices)[0].cure == cure


def test_what_leaves_more_edges_to_tape_is_no_cure():
    """For slow creasers rolled walls would save a third of the time at half size, but their teeth find no room there:
    they are not named."""
    facets, pace = coarsen_facets(FacetChoice()), Pace(cut=0.01, fold=20.0)
    folded, rolled = (
        pipeline.Choices(quick=True, facets=replace(facets, walls=w), scale=0.5, join="faces", pace=pace)
        for w in ("folded", "rolled")
    )
    made, other = (
        quick_model.model(sample("double-throw-crank"), folded),
        quick_model.model(sample("double-throw-crank"), rolled),
    )
    assert work_minutes(measure_work(other.nets), pace) < work_minutes(measure_work(made.nets), pace) - 10
    assert any("no tab fits" in f.what for f in other.findings) and not any(
        "no tab fits" in f.what for f in made.findings
    )
    cure = time_warning.build_time_findings(made, folded)[0].cure
    assert "rolled" not in cure


def test_flat_panels_all_round_are_told_of_panels():
    from foldsketch.job.mesh_pipeline import model_from_panels
    from foldsketch.mesh.features.recognise import read_mesh
    from foldsketch.mesh.panels.simplify import simplify

    reading = read_mesh(SAMPLES / "pipe-bracket.stl", "mm", False, None)[0]
    for quick in (False, True):
        choices = pipeline.Choices(quick=quick)
        made = model_from_panels(simplify(reading, 120), "bracket", choices)
        assert time_warning.build_time_findings(made, choices) == (), (
            "ten minutes or so are not long for what knows no quicker way"
        )
        (note,) = time_warning.build_time_findings(made, replace(choices, pace=Pace(glue=600)))
        assert note.cure == "fewer --panels give a quicker one"


def test_of_two_options_that_take_the_same_the_one_that_asks_for_less_is_named():
    assert time_warning._asks_less((8.2, "--scale 1:5"), (7.9, "--join fuse --scale 1:5"))
    assert not time_warning._asks_less((9.4, "--scale 1:5"), (7.9, "--join fuse --scale 1:5"))
    assert not time_warning._asks_less((8.0, "--scale 1:5"), (8.0, "--walls rolled"))


def shaft(*more):
    axes = (Axis("A"), Axis("B", (20.0, 0.0, 0.0)))
    own = (Feature("flange", "A", Cylinder(80), 0, 10), Feature("spigot", "A", Cylinder(40), 10, 40))
    return Part("p", axes, (*own, *more))


def test_a_smaller_model_that_lacks_a_feature_or_makes_a_round_a_bar_is_worse():
    whole = quick_model.model(shaft(Feature("pin", "B", Cylinder(9), 40, 50)), replace(QUICK, scale=1.0))
    assert quick_model.is_acceptable(whole, whole)
    less = quick_model.model(shaft(), replace(QUICK, scale=1.0))
    assert not quick_model.is_acceptable(less, whole), "the pin and its axis would be lost"
    bar = replace(
        whole, faceted=replace(whole.faceted, prisms=tuple(replace(p, sides=4) for p in whole.faceted.prisms))
    )
    assert not quick_model.is_acceptable(bar, whole)


@pytest.mark.parametrize("name", ["eccentric-shaft", "valve-lever", "three-boss-rocker", "lessons/3-eccentric"])
@pytest.mark.parametrize("walls", ["folded", "rolled"])
def test_what_takes_a_change_back_takes_the_time_that_is_named(name, walls):
    choices = replace(QUICK, facets=replace(QUICK.facets, walls=walls))
    for _, cure in told(quick_model.model(sample(name), choices)):
        scale, rule, takes = re.fullmatch(r"--scale (\S+) --join (\w+) takes about (\d+)", cure).groups()
        back = quick_model.model(sample(name), replace(choices, scale=parse_scale(scale), join=rule))
        assert round(work_minutes(measure_work(back.nets))) == int(takes)
