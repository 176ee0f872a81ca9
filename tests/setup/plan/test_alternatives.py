"""Printed plans have numbers, and each can be worked out."""

import re

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup import messages as m
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import plan_table
from tests.setup_works import SHAFT, SMALL, planned_cover

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def plans():
    """All printed plans of the cover, by number."""
    first = planned_cover()
    return {1: first} | {a.number: planned_cover(a.number) for a in first.alternatives}


def test_numbers_go_on_from_the_cheapest(plans):
    first = plans[1]
    assert first.number == 1 and [a.number for a in first.alternatives] == list(range(2, len(plans) + 1))
    assert [a.minutes for a in first.alternatives] == sorted(a.minutes for a in first.alternatives)
    assert all(f"plan {k}: " in plan_table(first) for k in plans if k > 1)


def test_each_plan_is_what_its_row_said(plans):
    for a in plans[1].alternatives:
        made = plans[a.number]
        assert made.number == a.number
        assert made.minutes.a_part(made.batch) == pytest.approx(a.minutes)
        assert tuple(s.clamping.way for s in made.setups) == a.ways
        assert all(s.clamping.held_on in step for s, step in zip(made.setups, a.steps, strict=True))


def test_a_dearer_plan_lists_the_cheapest(plans):
    (last,) = (plans[k] for k in plans if k == max(plans))
    assert [a.number for a in last.alternatives] == [k for k in plans if k != last.number]
    assert last.alternatives[0].reason.code == m.ORDER_COSTS_LESS.code
    assert re.search(r"plan 1: .*: takes less", plan_table(last)) and f"plan {last.number}, 50:" in plan_table(last)


def test_bored_jaws_are_among_the_plans_where_they_can_be():
    """For ten shafts packing is the cheapest; a plan with bored jaws is printed all the same."""
    made = plan(SHAFT, SMALL, batch=10)
    assert "packed_three_jaw" in [s.clamping.way for s in made.setups]
    assert any("bored_jaws" in a.ways for a in made.alternatives)


@pytest.mark.parametrize("number", [0, -1, 9])
def test_a_plan_that_is_not_printed(number):
    with pytest.raises(FoldsketchError) as error:
        plan(SHAFT, SMALL, number=number)
    assert error.value.findings[0].code == m.NO_SUCH_PLAN.code
