"""A part written as a part file reads back to the same part."""

import dataclasses
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from foldsketch.part.file.read import parse_part, read_part
from foldsketch.part.file.wording import normalize_name
from foldsketch.part.file.write import part_to_toml
from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part
from strategies import parts

SAMPLES = sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))


def numbers(value):
    """A frozen part as nested tuples, for comparison within rounding."""
    if dataclasses.is_dataclass(value):
        return [numbers(getattr(value, f.name)) for f in dataclasses.fields(value) if not f.name.startswith("_")]
    if isinstance(value, tuple):
        return [numbers(v) for v in value]
    return value


def same(a, b):
    if isinstance(a, list):
        return len(a) == len(b) and all(same(x, y) for x, y in zip(a, b, strict=True))
    if isinstance(a, float):
        return abs(a - b) < 1e-7
    return a == b


@given(parts(), st.sampled_from(["mm", "in"]))
def test_round_trip(part, units):
    assume(len({(a.point, a.direction) for a in part.axes}) == len(part.axes))  # an axis written twice becomes one
    part = dataclasses.replace(part, units=units)
    again, _ = parse_part(part_to_toml(part, "two\nlines"), "toml", "x")
    assert same(numbers(part), numbers(again))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples_round_trip(path):
    part, _ = read_part(path)
    again, _ = parse_part(part_to_toml(part), "toml", "x")
    assert same(numbers(part), numbers(again))


PRINTED = st.text(
    st.characters(exclude_categories=["Cc", "Cf", "Cs", "Co", "Zl", "Zp", "Cn"]) | st.sampled_from("\n\t")
)


@given(PRINTED)
def test_any_note_that_may_be_read_is_written_so_that_it_reads_back(note):
    part = Part("p", (Axis("A"),), (Feature("f", "A", Cylinder(3), 0, 4, note=note),))
    again, _ = parse_part(part_to_toml(part), "toml", "x")
    assert again.features[0].note == note


@given(PRINTED.map(normalize_name).filter(lambda t: 0 < len(t) <= 60 and not set("\n\t") & set(t)))
def test_any_name_that_may_be_read_is_written_so_that_it_reads_back(name):
    part = Part(name, (Axis(name),), (Feature(name, name, Cylinder(3), 0, 4),), material=name, density=7.25)
    again, _ = parse_part(part_to_toml(part), "toml", "x")
    assert again == part


sizes = st.none() | st.floats(0.5, 500)
names = st.none() | st.lists(st.sampled_from(["f -z", "f +z"]), unique=True).map(tuple)
blanks = st.one_of(
    st.builds(Blank, st.just("bar"), sizes),
    st.builds(Blank, st.just("sawn"), sizes, sizes),
    st.builds(lambda faces, cores: Blank("casting", faces=faces, cores=cores), names, st.none() | st.just(("b",))),
)


@given(blanks, sizes, sizes, st.booleans(), st.booleans(), st.sampled_from(["mm", "in"]))
def test_blank_and_keys_for_set_ups_round_trip(blank, location, roundness, together, turned, units):
    disc = Feature(
        "f", "A", Cylinder(30), 0, 4, location=location, roundness=roundness, together=together, turned=turned
    )
    bore = Feature("b", "A", Cylinder(9), -1, 5, cut=True)
    part = Part("p", (Axis("A"),), (disc, bore), units, blank=blank)
    again, _ = parse_part(part_to_toml(part), "toml", "x")
    assert same(numbers(again), numbers(part))
