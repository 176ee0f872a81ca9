"""The quick model: what is left out, and that the axes stay."""

from pathlib import Path

from foldsketch import job
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.part.quick import quick
from foldsketch.part.read import read_part
from foldsketch.solid.sides import FacetChoice
from foldsketch.worktime import minutes, work_of

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
    less, told = quick(part)
    assert [f.name for f in less.features] == ["flange", "spigot", "big bore"]
    assert "'chamfer', 'bolt hole', 'groove'" in told[0].text
    same, none = quick(less)
    assert same == less and none == ()


def test_a_part_that_would_vanish_is_kept():
    part = Part("p", (Axis("A"),), (Feature("dish", "A", Cone(60, 50), 0, 4),))
    assert quick(part) == (part, ())


def test_the_cover_is_quicker():
    part, _ = read_part(SAMPLES / "bilge-pump-cover.toml")
    whole = job.model(part)
    less = job.model(part, job.Choices(quick=True, facets=FacetChoice(1.5, 9.0)))
    assert less.nets.checks.passed()
    assert minutes(work_of(less.nets)) < 0.4 * minutes(work_of(whole.nets))
    assert any("leaves out" in f.text for f in less.findings)
