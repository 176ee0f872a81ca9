"""What is drawn instead of built, level by level, and that no axis that carries the point is lost."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given

from foldsketch.part.details import axis_lines
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Ring
from foldsketch.part.reduction import join_extents, split_part, touch_end_to_end
from strategies import parts

SAMPLES = Path(__file__).parents[2] / "samples"
NO_DETAILS, NO_BORES = "no details", "no shown bores"


def names(features):
    return [f.name for f in features]


def drawn(part, level):
    return names(split_part(part, level).drawn)


def on_flange(*features, axes=()):
    """Features on a flange of 100 mm."""
    flange = Feature("flange", "A", Cylinder(100), 0, 12)
    return Part("p", (Axis("A"), Axis("B", (20.0, 0.0, 0.0)), *axes), (flange, *features))


SPIGOT = Feature("spigot", "B", Cylinder(30), 12, 60)


def bore(d, axis="B", name="bore", start=-1.0, end=63.0):
    return Feature(name, axis, Cylinder(d), start, end, cut=True)


def test_the_cover_gives_up_its_bolt_holes_first_and_then_its_bores():
    cover = read_part(SAMPLES / "bilge-pump-cover.toml")[0]
    holes = [f"bolt hole {k}" for k in (1, 2, 3, 4)]
    assert split_part(cover, "all").built is cover
    assert drawn(cover, NO_DETAILS) == holes
    assert drawn(cover, NO_BORES) == ["inlet bore", "outlet bore", *holes]


def test_chamfers_and_narrow_grooves_are_details():
    part = on_flange(
        SPIGOT,
        Feature("chamfer", "B", Cone(30, 26), 60, 62),
        bore(6, "A", "oil hole", end=13),
        bore(25),
        Feature("groove", "B", Ring(30, 26), 40, 43, cut=True),
    )
    reduced = split_part(part, NO_DETAILS)
    assert names(reduced.built.features) == ["flange", "spigot", "bore"]
    assert (reduced.built.features[1].start, reduced.built.features[1].end) == (12, 62), "as long as with its chamfer"
    assert names(reduced.drawn) == ["chamfer", "oil hole", "groove"]
    assert reduced.drawn[0] == part.features[2], "with its own ends"


@pytest.mark.parametrize(("d", "small"), [(7.4, True), (7.6, False)])
def test_a_hole_in_a_spigot_is_small_below_a_quarter_of_the_spigot(d, small):
    """Of 30 mm, not of the flange of 100."""
    assert drawn(on_flange(SPIGOT, bore(d)), NO_DETAILS) == (["bore"] if small else [])


@pytest.mark.parametrize(("d", "small"), [(24.9, True), (25.1, False)])
def test_a_hole_on_an_axis_of_its_own_is_small_below_a_quarter_of_the_widest(d, small):
    part = on_flange(SPIGOT, bore(d, "C", end=13), axes=(Axis("C", (-30.0, 0.0, 0.0)),))
    assert drawn(part, NO_DETAILS) == (["bore"] if small else [])


@pytest.mark.parametrize(
    ("wide", "bottom", "more", "small"),
    [
        (10, 11, (), True),  # about 10 x 5 of a disc of 804 mm2
        (20, 0, (), False),  # 300 of them
        (10, 11, (Feature("key", "A", Plate(((-5, 11), (5, 11), (5, 20), (-5, 20))), 0, 20),), False),
        (10, 17, (), False),  # it takes nothing
    ],
)
def test_a_keyway_is_a_detail(wide, bottom, more, small):
    slot = Plate(((-wide / 2, bottom), (wide / 2, bottom), (wide / 2, 20), (-wide / 2, 20)))
    keyway = Feature("keyway", "A", slot, -1, 32, cut=True)
    part = Part("p", (Axis("A"),), (Feature("journal", "A", Cylinder(32), 0, 45), keyway, *more))
    assert drawn(part, NO_DETAILS) == (["keyway"] if small else [])


def test_a_bore_that_is_its_axiss_only_feature_is_built():
    sleeve = read_part(SAMPLES / "offset-bore-sleeve.toml")[0]
    assert drawn(sleeve, NO_BORES) == []


def test_of_a_stepped_bore_with_nothing_else_on_its_axis_the_largest_is_built():
    part = on_flange(bore(30, name="narrow", end=13), bore(40, name="counterbore", start=8, end=13))
    assert drawn(part, NO_BORES) == ["counterbore"], "30 x 30 x 14 is more than 40 x 40 x 5"


def test_the_bore_of_a_ring_is_drawn_under_the_rings_name():
    part = on_flange(Feature("sleeve", "B", Ring(40, 20), 12, 60))
    reduced = split_part(part, NO_BORES)
    assert reduced.built.features[1].shape == Cylinder(40)
    assert reduced.drawn == (Feature("sleeve", "B", Cylinder(20), 12, 60, cut=True),)
    assert drawn(part, NO_DETAILS) == []
    rod = Feature("rod", "B", Cylinder(20), 0, 80)
    assert drawn(part.with_features((*part.features, rod)), NO_BORES) == [], "filled it would be one body with its rod"


@pytest.mark.parametrize(("holes", "kept"), [(1, True), (2, True), (3, False), (6, False)])
def test_small_holes_that_are_all_there_is_off_the_datum_are_built_unless_they_are_a_pattern(holes, kept):
    axes = tuple(Axis(f"H{k}", (9.0 * k - 22.0, 30.0, 0.0)) for k in range(holes))
    own = [bore(8, a.name, f"hole {a.name}", end=13) for a in axes]
    assert len(drawn(on_flange(*own, axes=axes), NO_DETAILS)) == (0 if kept else holes)


def test_letters_for_one_line_are_one_axis():
    part = on_flange(SPIGOT, bore(20, "B2"), axes=(Axis("B2", (20.0, 0.0, 7.0), (0.0, 0.0, -1.0)),))
    assert axis_lines(part) == {"A": "A", "B": "B", "B2": "B"}
    assert drawn(part.with_features((*part.features[:2], bore(20, "B2", start=-60, end=10))), NO_BORES) == ["bore"]


def test_what_is_no_plain_bore_is_built():
    """A cut through an outer wall, and a recess with a boss in it."""
    scallop = on_flange(SPIGOT, bore(60, "B", end=30))
    assert drawn(scallop, NO_BORES) == [], "it is wider than the spigot that it cuts"
    recess = on_flange(bore(60, "A", "recess", 6, 13), Feature("boss", "A", Cylinder(20), 6, 30))
    assert drawn(recess, NO_BORES) == []
    assert drawn(recess.with_features(recess.features[:2]), NO_BORES) == ["recess"]


@pytest.mark.parametrize(("r", "inside"), [(9.0, True), (11.0, False)])
def test_a_bore_in_a_web_lies_within_its_outline(r, inside):
    """The web is 20 mm wide; the pin on the axis would show it."""
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 10.0), (40.0, 0.0, 10.0))), 0, 10)
    pin = Feature("pin", "B", Cylinder(30), 10, 40)
    part = Part("p", (Axis("A"), Axis("B", (20.0, 0.0, 0.0))), (web, pin, bore(2 * r, end=41)))
    assert drawn(part, NO_BORES) == (["bore"] if inside else [])
    slab = replace(web, shape=Plate(outline=((-10.0, -10.0), (50.0, -10.0), (50.0, 10.0), (-10.0, 10.0))))
    assert drawn(part.with_features((slab, *part.features[1:])), NO_BORES) == (["bore"] if inside else [])


def test_a_part_that_would_vanish_is_kept():
    part = Part("p", (Axis("A"),), (Feature("dish", "A", Cone(60, 50), 0, 4),))
    assert split_part(part, NO_BORES).built == part


def shaft(*middle):
    """Rounds of 40 and 30 mm on one axis, 100 mm each, with something 5 mm long between them."""
    ends = (Feature("thick", "A", Cylinder(40), 0, 100), Feature("thin", "A", Cylinder(30), 105, 205))
    axes = (Axis("A"), Axis("B", (3.0, 0.0, 0.0)))
    return Part("p", axes, (ends[0], *middle, ends[1]))


@pytest.mark.parametrize("parts", [1, 2])
def test_no_gap_is_left_where_a_taper_stood(parts):
    """A neighbour takes its place, of one taper and of two that stand on each other; the part stays as long."""
    long = 5 / parts
    levels = [100 + k * long for k in range(parts + 1)]
    tapers = [Feature(f"taper {k}", "A", Cone(40 - k, 39 - k), *levels[k : k + 2]) for k in range(parts)]
    reduced = split_part(shaft(*tapers), NO_DETAILS)
    assert [(f.name, f.start, f.end) for f in reduced.built.features] == [("thick", 0, 105), ("thin", 105, 205)]
    assert names(reduced.drawn) == names(tapers)


def test_a_taper_that_nothing_can_replace_stays():
    part = shaft(Feature("taper", "B", Cone(34, 30), 100, 105))
    assert split_part(part, NO_DETAILS).built == part


def groove(length, axis="A"):
    """A shaft of two parts on axes 5 mm apart, 100 mm from end to end, with a groove in it."""
    return Part(
        "p",
        (Axis("A"), Axis("B", (5.0, 0.0, 30.0), (0.0, 0.0, -1.0)), Axis("C", (2.0, 0.0, 0.0))),
        (
            Feature("shaft", "A", Cylinder(20), 30, 80),
            Feature("eccentric", "B", Cylinder(30), 0, 50),
            Feature("groove", axis, Ring(30, 16), 60, 60 + length, cut=True),
        ),
    )


def test_a_groove_is_compared_with_the_whole_part():
    """A tenth of 100 mm, though no feature is longer than 50."""
    assert [len(split_part(groove(length), NO_DETAILS).drawn) for length in (9.9, 10.1)] == [1, 0]


def test_a_groove_off_centre_is_built():
    assert drawn(groove(5, "C"), NO_BORES) == []


def test_features_touch_at_either_end_and_join():
    low, high = Feature("low", "A", Cylinder(9), 0, 10), Feature("high", "A", Cylinder(9), 10, 25)
    assert touch_end_to_end(low, high) and touch_end_to_end(high, low) and not touch_end_to_end(low, low)
    assert (join_extents(high, low).start, join_extents(high, low).end, join_extents(high, low).name) == (0, 25, "high")


@given(parts())
def test_each_level_draws_what_the_one_before_draws(part):
    levels = [split_part(part, level) for level in ("all", NO_DETAILS, NO_BORES)]
    for before, after in pairwise(levels):
        assert {*names(before.drawn)} <= {*names(after.drawn)}
        assert {*names(before.built.features)} >= {*names(after.built.features)}
    for one in levels:
        rings = {f.name for f in part.features if isinstance(f.shape, Ring) and not f.cut}
        assert {*names(one.built.features), *names(one.drawn)} == {*names(part.features)}
        assert {*names(one.built.features)} & {*names(one.drawn)} <= rings
        assert one.built.axes == part.axes


@given(parts())
def test_no_axis_off_the_datum_is_lost_but_those_of_small_holes(part):
    lines = axis_lines(part)
    built = {lines[f.axis] for f in split_part(part, NO_BORES).built.features}
    for f in part.features:
        if lines[f.axis] not in built | {"A"}:
            assert f.cut and isinstance(f.shape, Cylinder)
            assert 2 * f.radius < 0.25 * max(2 * g.radius for g in part.features if not g.cut)


@given(parts())
def test_material_is_never_lengthened_beyond_the_part(part):
    """A neighbour takes up the length of a chamfer; it goes no farther than features did before."""
    less = split_part(part, NO_BORES).built
    for axis in part.axes:
        ends = [part.extent(f, axis) for f in part.features]
        assert all(
            min(low for low, _ in ends) <= low and high <= max(high for _, high in ends)
            for low, high in (less.extent(f, axis) for f in less.features)
        )
