"""The quick model: what is left out, and that the axes stay."""

from pathlib import Path

import pytest

from foldsketch.assembly.work_time import measure_work, work_minutes
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.part.quick import remove_details
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

SAMPLES = Path(__file__).parents[2] / "samples"


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
    less, told = remove_details(part)
    assert [f.name for f in less.features] == ["flange", "spigot", "big bore"]
    assert (less.features[1].start, less.features[1].end) == (12, 62), "as long as with its chamfer"
    assert told[0].value("features") == ("chamfer", "bolt hole", "groove")
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
    less, told = remove_details(shaft(*tapers))
    assert [(f.name, f.start, f.end) for f in less.features] == [("thick", 0, 105), ("thin", 105, 205)]
    assert told[0].value("features") == tuple(t.name for t in tapers)
    assert not [f for f in pipeline.make_model(less).findings if f.code == "bodies-apart"]


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


def test_a_groove_is_held_against_the_whole_part():
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
    less, told = remove_details(hubs[19])
    assert less.features[1].shape == Cylinder(40) and (less.features[1].start, less.features[1].end) == (10, 30)
    assert [(f.code, f.value("features")) for f in told] == [("bores-filled", ("hub",))]
    assert remove_details(hubs[21]) == (hubs[21], ())
    assert remove_details(less) == (less, ())
    assert remove_details(groove(20))[0] == groove(20)


def test_the_cover_is_quicker():
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    whole = pipeline.make_model(part)
    less = pipeline.make_model(part, pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice())))
    assert less.nets.checks.passed()
    assert work_minutes(measure_work(less.nets)) < 0.2 * work_minutes(measure_work(whole.nets))
    assert any(f.code == "details-left-out" for f in less.findings)


PARTS = [p for p in sorted(SAMPLES.rglob("*.toml")) if p.parent.name != "machines"]


@pytest.mark.parametrize("path", PARTS, ids=lambda p: p.stem)
def test_a_quick_model_takes_less_than_half_the_time(path):
    part, _ = read_part(path)
    whole, less = (
        pipeline.make_model(part),
        pipeline.make_model(part, pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice()))),
    )
    assert work_minutes(measure_work(less.nets)) < 0.5 * work_minutes(measure_work(whole.nets))
    assert not [f for f in less.findings if "no tab fits" in f.text]
