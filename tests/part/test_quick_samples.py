"""Quick models of the samples, built to the end: quicker by far, and as sound."""

from pathlib import Path

import pytest

from foldsketch.assembly.work_time import measure_work, work_minutes
from foldsketch.job import pipeline
from foldsketch.part.detail_removal import remove_details
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part
from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

SAMPLES = Path(__file__).parents[2] / "samples"
PARTS = [p for p in sorted(SAMPLES.rglob("*.toml")) if p.parent.name != "machines"]


@pytest.mark.parametrize("path", PARTS, ids=lambda p: p.stem)
def test_a_quick_model_takes_less_than_half_the_time(path):
    part, _ = read_part(path)
    quick = pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice()))
    whole, less = pipeline.make_model(part), pipeline.make_model(part, quick)
    assert less.nets.checks.passed()
    assert work_minutes(measure_work(less.nets)) < 0.5 * work_minutes(measure_work(whole.nets))
    assert not [f for f in less.findings if f.code == "TODO"]
    if path.stem == "bilge-pump-cover":
        assert work_minutes(measure_work(less.nets)) < 0.2 * work_minutes(measure_work(whole.nets))
        assert any(f.code == "details-left-out" for f in less.findings)


@pytest.mark.parametrize("tapers", [1, 2])
def test_what_stood_on_a_taper_is_still_joined(tapers):
    levels = [100 + k * 5 / tapers for k in range(tapers + 1)]
    features = (
        Feature("thick", "A", Cylinder(40), 0, 100),
        *(Feature(f"taper {k}", "A", Cone(40 - k, 39 - k), *levels[k : k + 2]) for k in range(tapers)),
        Feature("thin", "A", Cylinder(30), 105, 205),
    )
    less, _ = remove_details(Part("p", (Axis("A"), Axis("B", (3.0, 0.0, 0.0))), features))
    assert not [f for f in pipeline.make_model(less).findings if f.code == "bodies-apart"]
