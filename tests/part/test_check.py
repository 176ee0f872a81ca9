"""Checks of a part: each finding on a part that has it and not on one that has not."""

import pytest
from hypothesis import given

import parts
from examples import examples
from foldsketch.part.check import check_part
from foldsketch.part.mass.mass_properties import mass_properties
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Ring
from strategies import parts as random_parts

DISC = Feature("disc", "A", Cylinder(40), 0, 20)
DOWN = Axis("down", (0.0, 0.0, 20.0), (0.0, 0.0, -1.0))
AXES = (Axis("A"), Axis("B", (10.0, 0.0, 0.0)), Axis("X", (0.0, 0.0, 10.0), (1.0, 0.0, 0.0)), DOWN)


def found(*features, axes=AXES):
    """Code and place of every finding, notes about axes apart."""
    findings = check_part(Part("p", axes, features))
    return [(f.code, f.where) for f in findings if not f.code.startswith("ax")]


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_good_parts_have_no_finding(part):
    """But for bosses that are interlocked by design, which is worth a note."""
    assert [f for f in check_part(part) if f.code != "bosses-merge"] == []
    assert bool(check_part(part)) == (part.name in {"interlocked"})


def test_an_axis_without_a_feature():
    findings = check_part(Part("p", (Axis("A"), Axis("B", (9.0, 0.0, 0.0))), (DISC,)))
    assert [(f.code, f.where) for f in findings] == [("axis-unused", "axis B")]


@pytest.mark.parametrize("other", [Axis("B", (0.0, 0.0, 7.0)), Axis("B", (0.0, 0.0, 3.0), (0.0, 0.0, -1.0))])
def test_two_axes_on_one_line(other):
    findings = check_part(Part("p", (Axis("A"), other), (DISC, Feature("top", "B", Cylinder(9), 20, 30))))
    assert [(f.code, f.where) for f in findings] == [("axes-on-one-line", "axes A and B")]


@pytest.mark.parametrize(("size", "codes"), [(1.5, ["part-very-small"]), (40, []), (2500, ["part-very-large"])])
def test_sizes_that_suggest_other_units(size, codes):
    findings = check_part(Part("p", (Axis("A"),), (Feature("disc", "A", Cylinder(size), 0, size / 2),)))
    assert [f.code for f in findings] == codes
    assert all(f.value("size").value == size for f in findings)


def cut(axis="A", d=10.0, low=-1.0, high=21.0, shape=None):
    return Feature("cut", axis, shape or Cylinder(d), low, high, True)


@pytest.mark.parametrize(
    ("features", "code"),
    [
        ((cut(), DISC), "cut-before-material"),
        ((DISC, cut(low=20.0, high=30.0)), "cut-misses-material"),  # begins where the disc ends
        ((DISC, cut(low=-9.0, high=0.0)), "cut-misses-material"),
        ((DISC, cut("down", low=20.0, high=30.0)), "cut-misses-material"),  # from the other side
        ((DISC, Feature("boss", "B", Cylinder(4), 20, 30), cut("B", 2, 31, 40)), "cut-misses-material"),
        ((DISC, cut(d=40.0)), "cut-removes-feature"),
        ((DISC, cut("B", d=60.0)), "cut-removes-feature"),  # 10 mm off centre, 10 mm wider a side
        ((Feature("disc", "A", Cone(20, 40), 0, 20), cut(d=40.0)), "cut-removes-feature"),
        ((Feature("disc", "A", Ring(40, 20), 0, 20), cut(d=40.0)), "cut-removes-feature"),
    ],
)
def test_cuts_that_do_nothing_or_too_much(features, code):
    assert found(*features) == [(code, "feature 'cut'")]


@pytest.mark.parametrize(
    "last",
    [
        cut(),
        cut("B", d=59.0),  # leaves a sickle
        cut(d=39.8),  # leaves a wall of 0.1 mm
        cut(d=50.0, high=19.0),  # leaves a disc of 1 mm
        cut("X", low=-30.0, high=30.0),  # across: not judged
        cut("down", low=-1.0, high=21.0),
        cut(d=41.0, shape=Plate(hull=((0, 0, 30),))),  # not round: not judged
    ],
)
def test_cuts_that_may_be_meant(last):
    assert found(DISC, last) == []


@pytest.mark.parametrize(
    ("last", "place", "thickness"),
    [
        (cut(d=39.998), "wall", 0.001),
        (cut("B", d=19.999), "wall", 0.0005),
        (cut("down", low=-1.0, high=19.999), "floor", 0.001),
        (cut(low=0.05), "floor", 0.05),
    ],
)
def test_a_wall_or_floor_as_thin_as_foil_is_told(last, place, thickness):
    (finding,) = (f for f in check_part(Part("p", AXES, (DISC, last))) if not f.code.startswith("ax"))
    assert (finding.code, finding.where) == ("wall-very-thin", "feature 'cut'")
    assert (finding.value("place"), finding.value("feature")) == (place, "disc")
    assert finding.value("thickness").value == pytest.approx(thickness)


@pytest.mark.parametrize(
    "other", [Feature("sleeve", "A", Ring(60, 40), 0, 20), Feature("bar", "X", Cylinder(8), -30, 30)]
)
def test_a_thin_wall_with_material_around_it_is_none(other):
    assert found(DISC, other, cut(d=39.998)) == []


def test_a_thin_floor_with_material_below_it_is_none():
    assert found(DISC, Feature("base", "A", Cylinder(60), -5, 0), cut(low=0.001)) == []


def test_a_cut_of_material_across_is_not_judged():
    assert found(Feature("bar", "X", Cylinder(8), -30, 30), cut()) == []


@pytest.mark.parametrize(
    ("inner", "hidden"),
    [
        (Feature("inner", "B", Cylinder(20), 5, 15), True),
        (Feature("inner", "B", Cylinder(20), 0, 20), True),
        (Feature("inner", "down", Cylinder(20), 0, 20), True),
        (Feature("inner", "B", Cylinder(21), 5, 15), False),  # half a millimetre beyond the rim
        (Feature("inner", "B", Cylinder(20), 5, 21), False),
        (Feature("inner", "X", Cylinder(5), -5, 5), False),  # across: not judged
        (Feature("inner", "B", Ring(20, 5), 5, 15), False),  # no cylinder: not judged
    ],
)
def test_cylinders_inside_others(inner, hidden):
    assert [f for f in found(DISC, inner) if f[0] != "bosses-merge"] == (
        [("feature-hidden", "feature 'inner'")] if hidden else []
    )


def test_a_cylinder_put_back_into_a_cut_is_not_hidden():
    inner = Feature("inner", "A", Cylinder(20), 5, 15)
    assert found(DISC, cut(d=30.0), inner) == []
    assert found(DISC, cut(d=30.0), DISC, inner) == [("feature-hidden", "feature 'inner'")]


@examples(30)
@given(random_parts())
def test_what_is_said_to_be_nothing_changes_no_volume(part):
    """The outside judge is the volume: hidden features and cuts that miss can go without changing it."""
    findings = check_part(part)
    useless = {f.where for f in findings if f.code in ("feature-hidden", "cut-misses-material", "cut-before-material")}
    kept = tuple(f for f in part.features if f"feature '{f.name}'" not in useless)
    slanted = any(0 < abs(part.axis(f.axis).direction[2]) < 1 for f in part.features)
    if useless and kept and not slanted:
        less = mass_properties(part.with_features(kept)).volume
        assert less == pytest.approx(mass_properties(part).volume, rel=1e-7, abs=1e-3)
