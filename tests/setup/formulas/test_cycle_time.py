"""Time: worked examples, and batches counted part by part."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldsketch.setup.formulas.cycle_time import OperationTimes, compare_cycle_times

TIMES = OperationTimes(cut=2.0, load=1.5, transfer=0.25, queue=240.0, setting=30.0, batch=40)


def test_two_set_ups_by_hand():
    """3 and 1 features: cuts 6 and 2; separate 8 + 3 = 11 a part; one machine max(6 + 1.5, 2) + 0.25 = 7.75."""
    c = compare_cycle_times([3, 1], ["main", "sub"], TIMES)
    assert c.overlapped
    assert c.cuts == (6.0, 2.0)
    assert c.separate_part == 11.0
    assert c.one_part == 7.75
    assert c.separate_batch == 60 + 240 + 40 * 11
    assert c.one_batch == 60 + (8 + 1.5 + 0.25) + 39 * 7.75
    assert c.break_even == 1


def test_a_part_that_comes_back_overlaps_nothing():
    c = compare_cycle_times([1, 0, 1], ["main", "sub", "main"], TIMES)
    assert not c.overlapped
    assert c.one_part == 4 + 1.5 + 0.5


@given(st.floats(0.1, 20), st.floats(0, 10), st.floats(0, 30), st.floats(0, 500))
def test_break_even_is_where_the_lines_cross(cut, load, transfer, queue):
    for batch in (1, 2, 7, 50):
        c = compare_cycle_times([2, 1], ["main", "sub"], OperationTimes(cut, load, transfer, queue, 20.0, batch))
        first = c.one_batch <= c.separate_batch + 1e-6
        if c.break_even is None:
            assert not first or batch == 1 or c.one_part == pytest.approx(c.separate_part)
        elif batch >= c.break_even and c.one_part <= c.separate_part:
            assert first


def slow(features, load, transfer, queue, parts):
    """Minutes for so many parts, one after another: on two machines, and on one with two spindles that overlap."""
    first, second = (2.0 * k for k in features)
    apart = (first + load) * parts + queue + (load + second) * parts
    at = first + load + transfer + second  # the first part comes through
    for _ in range(parts - 1):
        at += max(first + load, second) + transfer
    return apart, at


@settings(max_examples=60)
@given(st.integers(1, 4), st.integers(1, 4), st.integers(0, 8), st.integers(0, 20), st.integers(0, 40))
def test_break_even_by_counting(first, second, load, transfer, queue):
    found = compare_cycle_times([first, second], ["main", "sub"], OperationTimes(2.0, load, transfer, queue, 0.0, 10))
    apart, one = slow([first, second], load, transfer, queue, 10)
    assert (found.separate_batch, found.one_batch) == (apart, one)
    by_count = next(
        (b for b in range(1, 80) if (v := slow([first, second], load, transfer, queue, b))[1] <= v[0]), None
    )
    assert found.break_even == by_count


@pytest.mark.parametrize(
    ("queue", "load", "text"),
    [(0, 1.5, "from 2 parts on"), (100, 1.5, "for any batch size"), (0, 0, "for no batch size")],
)
def test_break_even_in_words(queue, load, text):
    """Cuts of 2 and 2. Loads of 1.5 and a transfer of 2.5: 7 a part apart, 8 and then 6 in one; without loads 4 and 4.5
    in one, the first 6.5."""
    made = compare_cycle_times([1, 1], ["main", "sub"], OperationTimes(2.0, load, 2.5, queue, 30.0, 40))
    assert made.break_even_text == text
