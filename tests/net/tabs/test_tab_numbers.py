"""Tabs have their number wherever a legible one fits, inside their outline; those without one are counted."""

from math import cos, sin

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.lettering import UNDERLINE_DROP_SHARE, text_width
from foldsketch.net.tabs.tab_numbers import UNDERLINE_CLEARANCE_MM, place_tab_number
from foldsketch.part.model import Cylinder, Ring
from nets import finding, nets_of, nets_or_reject, one, shape_of, some_examples
from strategies import parts as any_part


def test_a_tab_too_short_for_large_figures_has_small_ones():
    # Five millimetres wide and eight long: "120" at 2.5 mm is 6 mm long and does not fit, at 1.8 mm and across it does.
    assert text_width("120", 2.5) + 0.6 > 8 - 2 * 2.7 / 2
    _, _, size, _ = place_tab_number(120, 8.0, (5.2, 2.7, 2.7))
    assert size == 1.8


@pytest.mark.parametrize("number", [7, 42, 120, 1204])
def test_figures_are_never_smaller_than_can_be_read(number):
    for length in (2.0, 4.0, 6.0, 9.0, 20.0):
        for deep in (1.0, 2.0, 3.0, 7.0):
            assert place_tab_number(number, length, (deep, 0.2 * length, 0.2 * length))[2] in (0.0, 1.8, 2.5)


@pytest.mark.parametrize("number", [66, 68, 89, 99])
def test_what_is_underlined_across_a_tab_stands_in_its_middle_together_with_its_line(number):
    """Tabs just too short for it along the root: the figures and the line beside them are as far from both sides."""
    seen = 0
    for length in np.linspace(2.5, 4.0, 16):
        x, _, size, turn = place_tab_number(number, length, (8.0, 0.0, 0.0))
        if turn:
            seen += 1
            bar = UNDERLINE_DROP_SHARE * size + UNDERLINE_CLEARANCE_MM
            assert x - size / 2 == pytest.approx(length - (x + size / 2 + bar))
    assert seen


@pytest.mark.slow
@some_examples(20)
@given(any_part(), st.sampled_from([0.2, 1.0, 2.0]))
def test_the_number_of_every_tab_of_any_part_lies_on_that_tab(part, scale):
    for piece in nets_or_reject(part, scale=scale).pieces:
        for t in piece.tabs:
            if t.label_size:
                # The middle line of the figures, shorter by the round shoulders of the outer two.
                half = text_width(str(t.number), t.label_size) / 2 - 0.35
                (x, y), c, s = t.label_at, cos(t.label_angle) * half, sin(t.label_angle) * half
                line = shapely.LineString([(x - c, y - s), (x + c, y + s)])
                assert shape_of(t).buffer(1e-6).contains(line), (piece.id, t.number)


def test_tabs_without_a_number_are_counted():
    # A tube of paper one millimetre high: its tabs are as narrow.
    nets = nets_of(one(Ring(40, 36), 1, sides=8))
    bare = sum(not t.label_size for p in nets.pieces for t in p.tabs)
    assert bare
    note = finding(nets, "tab-numbers-omitted")
    assert note.level == "note" and note.value("count") == bare


def test_nothing_is_reported_where_all_have_their_number():
    nets = nets_of(one(Cylinder(60), 40))
    assert all(t.label_size for p in nets.pieces for t in p.tabs)
    assert nets.findings == ()


@pytest.mark.parametrize("number", [6, 9, 16, 86])
def test_the_line_under_a_number_keeps_off_the_root_and_the_sides(number):
    """Wherever it fits: a number that reads as another one upside down is of no use without its line."""
    seen = 0
    for length in (3.0, 4.0, 6.0, 9.0, 20.0):
        for deep in (2.0, 2.6, 3.0, 3.4, 5.0, 7.0):
            shape = (deep, 0.2 * length, 0.25 * length)
            x, y, size, turn = place_tab_number(number, length, shape)
            if not size:
                continue
            seen += 1
            half, down = text_width(str(number), size) / 2 - 0.35, size / 2 + UNDERLINE_DROP_SHARE * size
            c, s = cos(turn), sin(turn)
            middle = (x + s * down, y - c * down)
            line = shapely.LineString(
                [(middle[0] - c * half, middle[1] - s * half), (middle[0] + c * half, middle[1] + s * half)]
            )
            flap = shapely.Polygon([(0, 0), (length, 0), (length - shape[2], deep), (shape[1], deep)])
            if turn:
                low, high = (shape[1] * y / deep, length - shape[2] * y / deep)
                assert abs((x - size / 2 - low) - (high - x - down - 0.2)) < 0.75, "as far from one side as the other"
            assert flap.contains(line) and line.distance(flap.exterior) > 0.02
            assert line.distance(shapely.LineString([(0, 0), (length, 0)])) > 0.19
    assert seen > 8
