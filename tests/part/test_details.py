"""What counts as a detail of a part: what shows its axes does not, what fastens or stiffens it does."""

from math import cos, sin

import pytest

from foldsketch.part.details import axis_lines, find_details
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate
from foldsketch.part.reduction import split_part

PAD_AXES = tuple(Axis(x, (60 * cos(t), 60 * sin(t), 0.0)) for x, t in zip("CDE", (1.0, 3.0, 5.0), strict=True))
FLANGE = Feature("flange", "A", Cylinder(150), 0, 16)
SPIGOT = Feature("spigot", "B", Cylinder(40), 16, 60)
PADS = tuple(Feature(f"pad {x}", x, Cylinder(20), 16, 20) for x in "CDE")
HOLES = tuple(Feature(f"hole {x}", x, Cylinder(11), 0, 20, cut=True) for x in "CDE")
RIB = Feature("rib", "A", Plate(((-30.0, -3.0), (10.0, -3.0), (10.0, 3.0), (-30.0, 3.0))), 16, 30)


def part(*features):
    return Part("p", (Axis("A"), Axis("B", (25.0, 0.0, 0.0)), *PAD_AXES), (FLANGE, SPIGOT, *features))


def details(made):
    return [f.name for f in find_details(made, axis_lines(made))]


def test_pads_around_fastening_holes_and_ribs_on_a_face_are_details_with_their_holes():
    assert details(part(*PADS, RIB, *HOLES)) == [f.name for f in (*PADS, RIB, *HOLES)]
    reduced = split_part(part(*PADS, RIB, *HOLES), "no details")
    assert [f.name for f in reduced.built.features] == ["flange", "spigot"]


@pytest.mark.parametrize(
    ("features", "why"),
    [
        (PADS[:2], "two are no pattern"),
        (tuple(Feature(f.name, f.axis, Cylinder(20), 16, 40) for f in PADS), "bosses of that height are turned"),
        (tuple(Feature(f.name, f.axis, Cylinder(40), 16, 20) for f in PADS), "wide enough to be the point"),
        (
            (*PADS, *(Feature(f"pin {x}", x, Cylinder(12), 20, 50) for x in "CDE")),
            "what stands on them is on their axis",
        ),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_bosses_that_may_be_what_the_part_is_about_are_built(features, why):
    assert not [name for name in details(part(*features)) if name.startswith("pad")], why


def test_pads_half_over_the_rim_are_built():
    off = tuple(Axis(x, (75 * cos(t), 75 * sin(t), 0.0)) for x, t in zip("CDE", (1.0, 3.0, 5.0), strict=True))
    made = Part("p", (Axis("A"), Axis("B", (25.0, 0.0, 0.0)), *off), (FLANGE, SPIGOT, *PADS))
    assert details(made) == []


def test_a_rib_that_carries_something_is_built():
    roof = Feature("roof", "A", Cylinder(30), 30, 40)
    assert "rib" not in details(part(RIB, roof))
    wide = Feature("web", "A", Plate(((-40.0, -20.0), (10.0, -20.0), (10.0, 20.0), (-40.0, 20.0))), 16, 30)
    assert details(part(wide)) == []


def test_a_groove_of_tapers_leaves_one_round_where_two_were():
    z = (-8.0, -6.0, -5.0, -4.0, -3.0, -2.0, 0.0)
    d = (70.0, 70.0, 68.0, 67.0, 68.0, 70.0, 70.0)
    pieces = [
        Feature(f"piece {k}", "A", Cylinder(d[k]) if d[k] == d[k + 1] else Cone(d[k], d[k + 1]), z[k], z[k + 1])
        for k in range(6)
    ]
    reduced = split_part(part(*pieces), "no details")
    (one,) = [f for f in reduced.built.features if f.name.startswith("piece")]
    assert (one.shape, one.start, one.end) == (Cylinder(70.0), -8.0, 0.0)


def test_a_taper_between_different_rounds_joins_only_one():
    pieces = (
        Feature("neck", "A", Cylinder(30), -20, -10),
        Feature("taper", "A", Cone(30, 50), -10, -5),
        Feature("collar", "A", Cylinder(50), -5, 0),
    )
    built = split_part(part(*pieces), "no details").built
    assert {f.name: (f.start, f.end) for f in built.features if f.axis == "A" and f.name != "flange"} == {
        "neck": (-20, -5),
        "collar": (-5, 0),
    }
