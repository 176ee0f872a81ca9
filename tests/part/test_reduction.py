"""Details that a quick model leaves out, and that the axes stay."""

import pytest
from foldsketch.part.detail_removal import join_extents, remove_details, touch_end_to_end
from hypothesis import given

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from strategies import parts


def test_what_is_left_out():
    part = Part(
        "p",
        (Axis("A"), Axis("B", (20.0, 0.0, 0.0))),
        (
            Feature("flange", "A", Cylinder(100), 0, 12),
            Feature("spigot", "B", Cylinder(30), 12, 60),
            Feature("chamfer", "B", Cone(30, 26), 60, 62),
            Feature("bolt hole", "A", Cylinder(9), -1, 13, cut=True),
            Feature("big bore", "B", Cylinder(25), -1, 63, cut=True),
            Feature("groove", "B", Ring(30, 26), 40, 43, cut=True),
        ),
    )
    less, notes = remove_details(part)
    assert [f.name for f in less.features] == ["flange", "spigot", "big bore"]
    assert (less.features[1].start, less.features[1].end) == (12, 62), "as long as with its chamfer"
    assert [(n.code, n.value("features")) for n in notes] == [("details-left-out", ("chamfer", "bolt hole", "groove"))]
    same, none = remove_details(less)
    assert same == less and none == ()


def test_a_part_that_would_vanish_is_kept():
    part = Part("p", (Axis("A"),), (Feature("dish", "A", Cone(60, 50), 0, 4),))
    assert remove_details(part) == (part, ())


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
    less, notes = remove_details(shaft(*tapers))
    assert [(f.name, f.start, f.end) for f in less.features] == [("thick", 0, 105), ("thin", 105, 205)]
    assert notes[0].value("features") == tuple(t.name for t in tapers)


def test_a_taper_that_nothing_can_replace_stays():
    assert remove_details(shaft(Feature("taper", "B", Cone(34, 30), 100, 105))) == (
        shaft(Feature("taper", "B", Cone(34, 30), 100, 105)),
        (),
    )


def test_a_ring_with_a_shaft_in_it_stays_a_ring():
    """Filled it would be one body with its shaft."""
    ring, rod = Feature("ring", "A", Ring(50, 10), 0, 25), Feature("rod", "A", Cylinder(10), -20, 40)
    assert remove_details(Part("p", (Axis("A"),), (ring, rod)))[0].features == (ring, rod)
    beyond = Feature("rod", "A", Cylinder(10), 25, 60)
    assert remove_details(Part("p", (Axis("A"),), (ring, beyond)))[0].features[0].shape == Cylinder(50)


def groove(length):
    """A shaft of two parts on axes 5 mm apart, 100 mm from end to end, with a groove in it."""
    return Part(
        "p",
        (Axis("A"), Axis("B", (5.0, 0.0, 30.0), (0.0, 0.0, -1.0))),
        (
            Feature("shaft", "A", Cylinder(20), 30, 80),
            Feature("eccentric", "B", Cylinder(30), 0, 50),
            Feature("groove", "A", Ring(20, 16), 60, 60 + length, cut=True),
        ),
    )


def test_a_groove_is_compared_with_the_whole_part():
    """A tenth of 100 mm, though no feature is longer than 50."""
    assert [len(remove_details(groove(length))[0].features) for length in (9.9, 10.1)] == [2, 3]


def test_the_small_bore_of_a_ring_is_filled():
    """Below a quarter of the widest: 19 of 80 mm, not 21; the ring stays, and a groove stays a groove."""
    hubs = {
        bore: Part(
            "p",
            (Axis("A"),),
            (Feature("foot", "A", Cylinder(80), 0, 10), Feature("hub", "A", Ring(40, bore), 10, 30)),
        )
        for bore in (19, 21)
    }
    less, notes = remove_details(hubs[19])
    assert less.features[1].shape == Cylinder(40) and (less.features[1].start, less.features[1].end) == (10, 30)
    assert [(n.code, n.value("features")) for n in notes] == [("bores-filled", ("hub",))]
    assert remove_details(hubs[21]) == (hubs[21], ())
    assert remove_details(less) == (less, ())
    assert remove_details(groove(20))[0] == groove(20)


def test_features_touch_at_either_end_and_join():
    low, high = Feature("low", "A", Cylinder(9), 0, 10), Feature("high", "A", Cylinder(9), 10, 25)
    assert touch_end_to_end(low, high) and touch_end_to_end(high, low) and not touch_end_to_end(low, low)
    assert (join_extents(high, low).start, join_extents(high, low).end, join_extents(high, low).name) == (0, 25, "high")


@given(parts())
def test_each_feature_stays_or_is_named_in_the_note(part):
    less, notes = remove_details(part)
    left_out = next((n.value("features") for n in notes if n.code == "details-left-out"), ())
    assert {f.name for f in part.features} == {*left_out, *(f.name for f in less.features)}
    assert not {*left_out} & {f.name for f in less.features}
    assert less.axes == part.axes
    assert not any(f.cut for f in part.features) or any(not f.cut for f in less.features) or less == part


@given(parts())
def test_material_is_never_lengthened_beyond_the_part(part):
    """A neighbour takes up the length of a chamfer; it goes no farther than features did before."""
    less, _ = remove_details(part)
    for axis in part.axes:
        ends = [part.extent(f, axis) for f in part.features]
        assert all(
            min(low for low, _ in ends) <= low and high <= max(high for _, high in ends)
            for low, high in (less.extent(f, axis) for f in less.features)
        )
