"""Blanks: as said in the part file, and as usual [C: set-up reference, section 3]."""

import math
from dataclasses import replace

import pytest

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Axis, Blank, Cylinder, Feature, PrismShape
from foldsketch.setup import messages as m
from foldsketch.setup.work.blank import lathe_form, work_blank
from setup_works import COVER, SHAFT


def codes(blank):
    return {f.code for f in blank.findings}


def test_a_casting_has_stock_on_free_ends_and_small_bores_solid():
    blank = work_blank(replace(COVER, blank=None))
    assert blank.kind == "casting"
    assert {n: s for n, s in blank.rounds.items() if s} == {"flange": 2, "inlet spigot": 2, "outlet spigot": 2}
    assert blank.faces == {"flange -z": 2, "inlet spigot +z": 2, "outlet spigot +z": 2}
    assert blank.cores == frozenset()
    assert codes(blank) == {m.BLANK_ASSUMED_CASTING.code}
    assert not work_blank(COVER).findings


def test_faces_and_cores_as_said():
    said = Blank("casting", faces=("flange +z",), cores=("inlet bore",))
    blank = work_blank(replace(COVER, blank=said))
    assert blank.faces == {"flange +z": 2}
    assert (blank.cores, blank.rounds["inlet bore"]) == ({"inlet bore"}, 2)
    assert codes(blank) == {m.CORE_STOCK_ASSUMED.code}


def test_large_bores_are_cast_in():
    body = Feature("body", "A", Cylinder(80), 0, 30, stock=3)
    bores = [Feature(f"b{d}", "A", Cylinder(d), -1, 31, cut=True, stock=2) for d in (24.9, 25)]
    assert work_blank(parts.part([body, *bores])).cores == {"b25"}
    assert work_blank(parts.part([body, replace(bores[1], stock=0)])).rounds["b25"] == 3


def test_a_shaft_is_sawn_from_the_smallest_bar():
    """d44, 6 off: 56 mm around A, and 2; 104 mm and 2 on each end."""
    blank = work_blank(replace(SHAFT, blank=None))
    assert (blank.kind, blank.axis, blank.diameter, blank.low, blank.high) == ("sawn", "A", 58, -2, 106)
    assert codes(blank) == {m.BLANK_ASSUMED_SAWN.code}
    assert blank.faces == {"drive journal -z": 2, "tail journal +z": 2}


def test_bars_come_in_steps():
    odd = parts.part([Feature("pin", "A", Cylinder(40.3), 0, 30)])
    assert work_blank(odd).diameter == 43
    assert work_blank(replace(odd, units="in")).diameter == pytest.approx(27 / 16 * 25.4)


def test_a_length_is_shared_between_the_ends():
    blank = work_blank(replace(SHAFT, blank=Blank("sawn", 60, 110)))
    assert (blank.low, blank.high, blank.faces["drive journal -z"]) == (-3, 107, 3)
    assert work_blank(replace(SHAFT, blank=Blank("bar", 60))).faces["tail journal +z"] == 0.5


@pytest.mark.parametrize(
    ("blank", "message"), [(Blank("bar", 50), m.BAR_TOO_SMALL), (Blank("sawn", 60, 90), m.BAR_TOO_SHORT)]
)
def test_a_bar_that_cannot_hold_the_part_is_refused(blank, message):
    with pytest.raises(FoldsketchError) as refused:
        work_blank(replace(SHAFT, blank=blank))
    assert [f.code for f in refused.value.findings] == [message.code]


def test_a_bar_lies_around_the_first_upright_axis():
    slanted = parts.part([Feature("pin", "B", Cylinder(20), 0, 30)], Axis("B", (5.0, 0.0, 0.0)))
    across = replace(slanted, axes=(Axis("X", (0.0, 0.0, 0.0), (1.0, 0.0, 0.0)), *slanted.axes[1:]))
    assert work_blank(across).axis == "B"


def test_what_is_left_around_a_feature_lies_in_the_bar():
    blank = work_blank(replace(SHAFT, blank=Blank("sawn", 57)))
    assert blank.rounds["eccentric"] == pytest.approx(0.5)


@pytest.mark.parametrize(("bar", "turned"), [(60.0, False), (61.7, False), (61.8, True), (80.0, True)])
def test_a_hexagon_is_turned_round_where_deep_stock_lies_around_it(bar, turned):
    """Across corners 50 / cos 30 = 57.74 [D]; 2 mm a side is what is left beside anyway [M]: 61.74."""
    bolt = parts.part([Feature("head", "A", PrismShape(6, 50.0), 0, 16), Feature("shank", "A", Cylinder(24), 16, 60)])
    (head, shank) = lathe_form(replace(bolt, blank=Blank("sawn", bar))).features
    assert shank == bolt.features[1]
    if turned:
        assert head.shape.diameter == pytest.approx(50 / math.cos(math.pi / 6))
    else:
        assert head == bolt.features[0]


def test_a_cast_square_stays_a_square():
    cast = parts.part([Feature("end", "A", PrismShape(4, 14.0), 0, 16, stock=3)])
    assert lathe_form(replace(cast, blank=Blank("casting"))).features == cast.features
