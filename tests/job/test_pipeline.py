"""One run: the scale that fits, what is refused, and what a model says about itself."""

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.base.findings import FoldsketchError
from foldsketch.base.progress import Deadline
from foldsketch.job import pipeline
from foldsketch.job.choices import Choices
from foldsketch.job.messages import DOES_NOT_FOLD, NAMES_NOT_PRINTABLE, WRONG_TYPE
from foldsketch.job.model import Model
from foldsketch.job.pipeline import (
    first_fitting_model,
    make_model,
    scales_for_area,
    scales_for_part,
    unprintable_name_findings,
)
from foldsketch.part.model import Cylinder, Feature, Ring
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.sheet.messages import FITS_NO_PAGE

A4 = parse_paper("A4")
ISO_5455 = [*(a * b for a in (1, 2, 5) for b in (1, 10)), *(1 / (a * 10**b) for a in (1, 2, 5, 10) for b in range(4))]
"""Enlargements 2:1 … 50:1, full size, reductions 1:2 … 1:10000 [ISO 5455:1979, table]."""


@given(st.floats(10, 1e7), st.floats(1, 3000), st.integers(1, 30))
def test_scales_are_standard_ones_largest_first(surface, size, sheets):
    scales = scales_for_area(surface, size, A4, sheets)
    assert scales == sorted(set(scales), reverse=True)
    assert all(any(math.isclose(s, iso) for iso in ISO_5455) for s in scales)
    assert max(scales) <= 1 or size <= 40, "only small parts are enlarged"


@given(st.floats(100, 1e6), st.floats(41, 1000), st.integers(1, 10))
def test_more_sheets_never_make_it_smaller(surface, size, sheets):
    one, more = (scales_for_area(surface, size, A4, n)[0] for n in (sheets, sheets + 5))
    assert more >= one


def test_a_part_that_fits_is_shown_at_full_size():
    """A flange of 90 mm with two spigots: some 300 cm2 of paper, half an A4 page of 624 cm2."""
    assert scales_for_part(parts.TWO_SPIGOTS, A4, 6)[0] == 1
    made = make_model(parts.TWO_SPIGOTS)
    assert made.nets.scale == 1 and len(made.sheets) <= 6


def test_fewer_sheets_make_it_smaller_until_it_fits():
    made = make_model(parts.TWO_SPIGOTS, Choices(sheets=1))
    assert len(made.sheets) == 1 and made.nets.scale < 1


@pytest.fixture
def model():
    return make_model(parts.ECCENTRIC, Choices(scale=0.5))


def test_a_scale_at_which_a_net_fits_no_page_is_passed_over(model):
    asked = []

    def at(scale):
        asked.append(scale)
        if scale > 0.2:
            raise FITS_NO_PAGE.error("net 1", paper="A4")
        return model

    note = NAMES_NOT_PRINTABLE.at("names", characters="x")
    made = first_fitting_model([1.0, 0.5, 0.2, 0.1], at, 6, (note,), Deadline(60))
    assert asked == [1.0, 0.5, 0.2] and made.findings == (note, *model.findings)


def test_any_other_error_and_the_last_scale_end_the_search(model):
    asked = []

    def at(error):
        def build(scale):
            asked.append(scale)
            raise error

        return build

    for error, tried in (
        (WRONG_TYPE.error(value="x", expected="y"), [1.0]),
        (FITS_NO_PAGE.error("net 1", paper="A4"), [1.0, 0.5]),
    ):
        asked.clear()
        with pytest.raises(FoldsketchError) as caught:
            first_fitting_model([1.0, 0.5], at(error), 6, (), Deadline(60))
        assert caught.value is error and asked == tried


def test_the_last_scale_is_taken_however_many_sheets_it_needs(model):
    many = replace(model, sheets=model.sheets * 9)
    assert len(first_fitting_model([1.0, 0.5], lambda scale: many, 6, (), Deadline(60)).sheets) == len(many.sheets)


def test_time_that_is_over_ends_the_search(model):
    with pytest.raises(FoldsketchError):
        first_fitting_model([1.0], lambda scale: model, 6, (), Deadline(1.0, started=-math.inf))


def test_a_part_with_errors_is_refused():
    """A bore that removes the whole of a boss: an error of the part, found before anything is built."""
    swallowed = parts.part(
        [Feature("pin", "A", Cylinder(20), 0, 10), Feature("bore", "A", Cylinder(30), -1, 11, cut=True)]
    )
    with pytest.raises(FoldsketchError) as caught:
        make_model(swallowed)
    assert all(f.level == "error" for f in caught.value.findings)


def test_nets_that_do_not_fold_back_are_never_printed(monkeypatch):
    """The fold-up check says that edges are 0.3 mm apart: no sheet is made."""
    build = pipeline.build_nets

    def bent(*arguments):
        nets = build(*arguments)
        return replace(nets, checks=replace(nets.checks, refold_gap=0.3))

    monkeypatch.setattr(pipeline, "build_nets", bent)
    monkeypatch.setattr(pipeline, "letter_nets", lambda *arguments: pytest.fail("captions are set"))
    with pytest.raises(FoldsketchError) as caught:
        make_model(parts.ECCENTRIC)
    (finding,) = caught.value.findings
    assert finding.code == DOES_NOT_FOLD.code and finding.value("gap").value == 0.3


@pytest.mark.parametrize("where", ["part", "axis", "feature"])
def test_a_character_that_no_font_has_is_reported(where):
    """U+10FFFD is a private-use character: no font has to have it."""
    odd, part = "x\U0010fffd", parts.ECCENTRIC
    if where == "part":
        part = replace(part, name=odd)
    elif where == "feature":
        part = replace(part, features=(replace(part.features[0], name=odd), *part.features[1:]))
    else:
        axes = (part.axes[0], replace(part.axes[1], name=odd))
        part = replace(part, axes=axes, features=tuple(replace(f, axis="A") for f in part.features))
    (finding,) = unprintable_name_findings(part)
    assert finding.code == NAMES_NOT_PRINTABLE.code and "\U0010fffd" in finding.value("characters")
    assert unprintable_name_findings(parts.ECCENTRIC) == ()


def test_small_steps_are_merged_when_asked():
    """A step of 0.4 mm at half size is 0.2 mm on paper: below 0.5 mm it goes."""
    stepped = parts.part([Feature("disc", "A", Cylinder(40), 0, 10), Feature("lip", "A", Cylinder(39.2), 10, 30)])
    as_is = make_model(stepped, Choices(scale=0.5))
    merged = make_model(stepped, Choices(scale=0.5, least_step=0.5))
    assert len(merged.part.features) < len(as_is.part.features) and len(merged.findings) > 0


def widest_circle(panel):
    """Diameter of the largest circle in a panel, mm."""
    return 2 * shapely.maximum_inscribed_circle(shapely.Polygon(panel.outline, panel.holes), 1e-5).length


@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("slip", few([1e-12, 1e-9, 1e-6, 1e-4, 1e-3, 0.01], 1, every=6))
def test_panels_without_width_are_never_printed(rule, slip):
    """Two sizes or places that were meant to be equal: a step, a ledge, a disc, a wall, an offset."""
    disc, boss = Feature("disc", "A", Cylinder(40), 0, 20), Feature("boss", "A", Cylinder(40 + slip), 20, 50)
    slips = {
        "step": [disc, boss],
        "short": [disc, Feature("lip", "A", Cylinder(60), 20, 20 + slip)],
        "wall": [disc, Feature("bore", "A", Cylinder(40 - slip), -1, 21, cut=True)],
        "beside": [disc, Feature("boss", "B", Cylinder(40), 10, 50)],
        "floor": [disc, Feature("bore", "A", Cylinder(30), slip, 21, cut=True)],
        "groove": [disc, Feature("groove", "A", Ring(50, 40 - slip), 5, 10, cut=True)],
    }
    refusals = {"panels-without-width", "cut-removes-feature", "feature-cut-away"}
    made = {name: made_or_refused(features, slip, rule) for name, features in slips.items()}
    for result in made.values():
        if isinstance(result, Model):
            assert min(widest_circle(p) for piece in result.nets.pieces for p in piece.panels) >= 1e-3
        else:
            assert {f.code for f in result} <= refusals
    assert all(isinstance(made[name], Model) for name in ("step", "short", "floor"))


def made_or_refused(features, offset, rule):
    """The model at full size, with an axis B at an offset of a micrometre or more, or why there is none."""
    try:
        return make_model(parts.part(features, parts.at("B", max(offset, 1e-3), 0)), Choices(scale=1.0, join=rule))
    except FoldsketchError as why:
        return why.findings


def test_equal_diameters_end_to_end_stay_two_features():
    """A step of nothing is no step, and is not merged unasked."""
    two = [Feature("disc", "A", Cylinder(40), 0, 20), Feature("boss", "A", Cylinder(40), 20, 50)]
    made = make_model(parts.part(two), Choices(scale=1.0))
    assert (len(made.part.features), made.findings) == (2, ())


def test_every_stage_is_reported():
    seen = []
    make_model(parts.ECCENTRIC, None, lambda stage, done: seen.append((stage, done)))
    assert {"facet", "pack"} <= {stage for stage, _ in seen} and all(0 <= done <= 1 for _, done in seen)
