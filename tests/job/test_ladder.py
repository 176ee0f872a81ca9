"""The ladder: its order, what is never given up, and that more minutes never give a poorer model."""

import random
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import examples, few
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.budget import build_minutes, model
from foldsketch.job.choices import Choices
from foldsketch.job.ladder import Ladder, full_size, ladder_steps
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate
from foldsketch.solid.faceting.sides import FacetChoice
from strategies import random_part

ROOT = Path(__file__).parents[2] / "samples"
SAMPLES = sorted([*ROOT.glob("*.toml"), *(ROOT / "lessons").glob("*.toml")])
COVER = read_part(ROOT / "bilge-pump-cover.toml")[0]


def step(made):
    return made.step.value("step")


def test_the_order_is_that_of_the_documentation():
    codes = [s.code for s in ladder_steps(COVER, Choices(), 1.0)]
    assert codes == [
        "everything",
        "details-drawn",
        "bores-drawn",
        "tabs-spared",
        "twelve-sides",
        "octagons",
        "taped",
        "hexagons",
        "smaller",
    ]


def test_each_step_gives_up_one_thing_more():
    for before, after in pairwise(ladder_steps(COVER, Choices(), 1.0)):
        changed = [
            before.level != after.level,
            before.spare_tabs != after.spare_tabs,
            before.facets != after.facets,
            before.scale != after.scale,
            before.hold != after.hold,
        ]
        assert sum(changed) == 1


@pytest.mark.parametrize(
    ("choices", "kept"),
    [
        ({"facets": FacetChoice(sides=10)}, {10}),
        ({"facets": FacetChoice(chord_error=0.1)}, None),
        ({"fixed": frozenset({"chord_error"})}, None),
    ],
)
def test_sides_that_the_user_chose_stay(choices, kept):
    ladder = Ladder(COVER, Choices(**choices), 1.0)
    everything, least = (ladder.faceted(k)[0].prisms_by_name["flange"].sides for k in (0, 7))
    assert everything == least and (kept is None or {least} == kept)


@pytest.mark.parametrize("rule", ["inside", "equal-area"])
def test_a_radius_rule_that_the_user_chose_stays(rule):
    chosen = Choices(facets=FacetChoice(radius_rule=rule), fixed=frozenset({"radius_rule"}))
    assert {s.facets.radius_rule for s in ladder_steps(COVER, chosen, 1.0)} == {rule}
    assert {s.facets.radius_rule for s in ladder_steps(COVER, Choices(), 1.0)} == {"equal-area", "outside"}


def test_a_scale_that_the_user_chose_stays():
    assert {s.scale for s in ladder_steps(COVER, Choices(scale=1.0), 1.0)} == {1.0}
    assert model(COVER, Choices(scale=1.0, minutes=1)).nets.scale == 1.0


@pytest.mark.parametrize(("diameter", "scale"), [(15, 1), (90, 1), (14.9, 2), (7.5, 2), (7, 5), (3, 5), (2.9, 10)])
def test_full_size_is_one_to_one_or_brings_the_largest_end_face_to_15_mm(diameter, scale):
    part = parts.part([Feature("pin", "A", Cylinder(diameter), 0, 30)])
    assert full_size(part) == scale


def test_no_end_face_gets_below_15_mm():
    """Spigots of 36 and 30 mm may be halved, one of 29 may not; a web by its largest circle."""
    small = COVER.with_features(
        tuple(replace(f, shape=Cylinder(29)) if f.name == "outlet spigot" else f for f in COVER.features)
    )
    assert min(s.scale for s in ladder_steps(COVER, Choices(), 1.0)) == 0.5
    assert min(s.scale for s in ladder_steps(small, Choices(), 1.0)) == 1.0
    arm = Part("p", (Axis("A"),), (Feature("arm", "A", Plate(hull=((0, 0, 20), (60, 0, 5))), 0, 8),))
    assert min(s.scale for s in ladder_steps(arm, Choices(), 1.0)) == 0.5


@pytest.mark.parametrize("path", few(SAMPLES, 2), ids=lambda p: p.stem)
def test_the_estimate_of_a_sample_is_near_what_comes_out(path):
    """The closed form counts folds, tabs and joints of separate prisms; only the cut is rounded."""
    part = read_part(path)[0]
    ladder = Ladder(part, Choices(), 1.0)
    for minutes in (15, 30, None):
        choices = Choices(minutes=minutes, scale=1.0)
        made = model(part, choices)
        k = next(k for k, s in enumerate(ladder.steps) if s.code == step(made))
        assert ladder.minutes(k) == pytest.approx(build_minutes(made, choices), rel=0.15, abs=1.2)


@pytest.mark.parametrize("path", few(SAMPLES, 3), ids=lambda p: p.stem)
def test_the_estimate_of_a_taped_sample_is_near_what_comes_out(path):
    """Only where features go into one another it is rough, and too high."""
    part = read_part(path)[0]
    choices = Choices(minutes=15, scale=1.0, hold="tape")
    ladder = Ladder(part, choices, 1.0)
    made = model(part, choices)
    k = next(k for k, s in enumerate(ladder.steps) if s.code == step(made))
    assert ladder.minutes(k) == pytest.approx(build_minutes(made, choices), rel=0.15, abs=2.5)


@pytest.mark.slow
@pytest.mark.parametrize("minutes", [15, None])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_the_estimate_of_a_sample_with_rolled_walls_is_near_what_comes_out(path, minutes):
    """Rolled walls have no creases and one number a rim; where features go into one another it is rough."""
    part = read_part(path)[0]
    choices = Choices(minutes=minutes, scale=1.0, facets=FacetChoice(walls="rolled"))
    ladder = Ladder(part, choices, 1.0)
    made = model(part, choices)
    k = next(k for k, s in enumerate(ladder.steps) if s.code == step(made))
    assert ladder.minutes(k) == pytest.approx(build_minutes(made, choices), rel=0.25, abs=4)


@pytest.mark.slow
@pytest.mark.parametrize("hold", ["glue", "tape"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_the_estimate_of_a_sample_on_tongues_is_near_what_comes_out(path, hold):
    """Where tongues do not fit it takes them to be there all the same."""
    part = read_part(path)[0]
    choices = Choices(minutes=15, scale=1.0, hold=hold, feet="tongues")
    ladder = Ladder(part, choices, 1.0)
    made = model(part, choices)
    k = next(k for k, s in enumerate(ladder.steps) if s.code == step(made))
    assert ladder.minutes(k) == pytest.approx(build_minutes(made, choices), rel=0.15, abs=2.5)


@pytest.mark.parametrize("path", few(SAMPLES), ids=lambda p: p.stem)
def test_fifteen_minutes_are_kept_at_full_size_or_a_line_says_why_not(path):
    part = read_part(path)[0]
    choices = Choices()
    made = model(part, choices)
    told = [f for f in made.findings if f.code == "over-budget"]
    assert (build_minutes(made, choices) <= 15.5) != bool(told)
    assert all("\n" not in f.text and f.cure for f in told)


@pytest.mark.slow
@examples(40)
@given(st.integers(0, 10**6))
def test_fifteen_minutes_are_kept_for_any_part_of_five_features_or_a_line_says_why_not(seed):
    """On up to three axes; full size is given up only with a line that names it."""
    part = random_part(random.Random(seed))
    if len(part.features) > 5 or len(part.axes) > 3:
        return
    choices = Choices()
    try:
        made = model(part, choices)
    except FoldsketchError:
        return
    told = {f.code: f for f in made.findings if f.code in ("over-budget", "smaller-for-the-minutes")}
    over = build_minutes(made, choices) > 15.5
    assert over == ("over-budget" in told)
    assert (made.nets.scale < full_size(part)) <= bool(told)
    assert all("\n" not in f.text and f.cure for f in told.values())


def richness(made):
    """What must not get less with more minutes: features built, sides of each, scale."""
    sides = {p.feature.name: p.sides for p in made.faceted.prisms}
    return sides, made.nets.scale


def assert_no_poorer(more, less):
    """Of two models of one part."""
    (more_sides, more_scale), (less_sides, less_scale) = richness(more), richness(less)
    assert more_sides.keys() >= less_sides.keys()
    assert more_scale >= less_scale
    assert all(more_sides[name] >= n for name, n in less_sides.items())


BUDGETS = (5, 8, 10, 15, 20, 30, 60, None)


@pytest.mark.parametrize("path", few(SAMPLES, 2, every=6), ids=lambda p: p.stem)
def test_more_minutes_never_give_a_poorer_sample(path):
    part = read_part(path)[0]
    made = [model(part, Choices(minutes=m)) for m in BUDGETS]
    for less, more in pairwise(made):
        assert_no_poorer(more, less)


@pytest.mark.slow
@examples(25)
@given(st.integers(0, 10**6), st.sampled_from(list(pairwise(BUDGETS))))
def test_more_minutes_never_give_a_poorer_model(seed, budgets):
    part = random_part(random.Random(seed))
    try:
        less, more = (model(part, Choices(minutes=m)) for m in budgets)
    except FoldsketchError:
        return
    assert_no_poorer(more, less)


@examples(100)
@given(st.integers(0, 10**6))
def test_the_steps_of_a_random_part_never_give_more_sides_or_features(seed):
    part = random_part(random.Random(seed))
    ladder = Ladder(part, Choices(), 1.0)
    prisms = [{p.feature.name: p.sides for p in ladder.faceted(k)[0].prisms} for k in range(len(ladder.steps))]
    for before, after in pairwise(prisms):
        assert before.keys() >= after.keys()
        assert all(n <= before[name] for name, n in after.items())
        assert all(n >= 6 for n in after.values() if n), "a square is no round"


def test_the_next_steps_are_named_with_their_minutes():
    made = model(read_part(ROOT / "eccentric-shaft.toml")[0])
    assert step(made) == "octagons" and made.step_up.value("step") == "twelve-sides"
    assert made.step_down.code == "step-down" and made.step_down.value("step") == "taped"
    assert made.step_up.value("minutes") > 0 < made.step_down.value("minutes")
    assert model(COVER, Choices(minutes=None)).step_up is None
    assert model(COVER, Choices(minutes=1)).step_down is None


@pytest.mark.slow
def test_tape_is_named_where_it_keeps_to_the_minutes_and_glue_does_not():
    axes = (Axis("A"), Axis("B", (5.0, 0.0, 0.0)), Axis("C", (0.0, 8.0, 0.0)))
    sizes = [("A", 32, 0, 45), ("B", 50, 45, 63), ("A", 36, 63, 73), ("C", 54, 73, 91), ("A", 28, 91, 131)]
    shaft = Part(
        "Shaft", axes, tuple(Feature(f"round {k}", a, Cylinder(d), z, e) for k, (a, d, z, e) in enumerate(sizes))
    )
    glued, taped = model(shaft, Choices(fixed=frozenset({"hold"}))), model(shaft, Choices(hold="tape"))
    (note,) = (f for f in glued.findings if f.code == "over-budget")
    assert f"--hold tape builds it in {round(build_minutes(taped, Choices()))} minutes" in note.text
    assert build_minutes(taped, Choices()) <= 15 < build_minutes(glued, Choices())
    assert not [f for f in taped.findings if f.code == "over-budget"]
    free = model(shaft)
    assert free.nets.hold == "tape" and build_minutes(free, Choices()) <= 15
    (note,) = (f for f in free.findings if f.code == "taped-for-the-minutes")
    assert note.value("minutes") == round(build_minutes(glued, Choices()))


@pytest.mark.slow
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_sample_is_built_in_fifteen_minutes_at_full_size(path):
    """Glue gives way to tape before sides and scale do."""
    made = model(read_part(path)[0])
    assert round(build_minutes(made, Choices())) <= 15 and made.nets.scale == 1.0
    taped = [f for f in made.findings if f.code == "taped-for-the-minutes"]
    assert len(taped) == (made.nets.hold == "tape")


@pytest.mark.parametrize("minutes", [10, None])
def test_glue_that_was_asked_for_stays(minutes):
    made = model(COVER, Choices(minutes=minutes, fixed=frozenset({"hold"})))
    assert made.nets.hold == "glue" and {s.hold for s in made.ladder.steps} == {"glue"}
    rolled = Choices(minutes=10, facets=FacetChoice(walls="rolled"))
    assert {s.hold for s in ladder_steps(COVER, rolled, 1.0)} == {"glue"}
