"""The plan in words: every figure in them is that of the set-up, and follows from the others."""

import dataclasses
import math
import re

import pytest

from foldsketch.part.model import Axis, Cylinder, Feature, Part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.plan import _rejection_reason, plan
from foldsketch.setup.plan.plan_text import explain_figures, plan_table

OFFSET = Part(
    "eccentric",
    (Axis("A"), Axis("B", (6.0, 0.0, 0.0))),
    (Feature("body", "A", Cylinder(60), 0, 40), Feature("pin", "B", Cylinder(20), 40, 60)),
    density=7850.0,
)


def test_the_force_follows_from_the_unbalance_at_the_speed_that_is_told():
    """F = U w2, with U in kg m: 10,000 g mm at 500 r/min pull with 27.4 N."""
    planned = plan(OFFSET, DEFAULT_MACHINE)
    lines = re.findall(r"unbalance (\d+) g mm, ([\d.]+) N at (\d+) r/min", plan_table(planned))
    assert len(lines) == len(planned.setups)
    off = [(float(u), float(f), float(n)) for u, f, n in lines]
    assert any(u > 100 for u, _, _ in off)
    for u, force, n in off:
        assert force == pytest.approx(u * 1e-6 * (2 * math.pi * n / 60) ** 2, abs=0.1)
    worked = re.findall(
        r"U/10\^6 \(2 pi n/60\)\^2 = ([\d.]+)/10\^6 x \(2 pi (\d+)/60\)\^2\D+ ([\d.]+) N at (\d+)",
        explain_figures(planned),
    )
    assert worked
    for u, n, force, again in worked:
        assert n == again
        assert float(force) == pytest.approx(float(u) * 1e-6 * (2 * math.pi * float(n) / 60) ** 2, abs=0.01)


def test_a_part_without_a_density_has_no_unbalance_in_its_words():
    light = dataclasses.replace(OFFSET, density=None, material="")
    planned = plan(light, DEFAULT_MACHINE)
    assert planned.setups
    assert "indicator" in plan_table(planned)
    assert "unbalance" not in plan_table(planned).split("instead:")[0]


def test_a_plan_without_set_ups_says_so():
    small = dataclasses.replace(DEFAULT_MACHINE, swing=10.0)
    empty = plan(OFFSET, small)
    assert not empty.setups
    assert "no clamping of this machine turns anything of it" in plan_table(empty)
    assert "no clamping" not in plan_table(plan(OFFSET, DEFAULT_MACHINE))


@dataclasses.dataclass(frozen=True)
class Found:
    """What _why_not reads of a sequence."""

    done: frozenset
    cost: tuple


@pytest.mark.parametrize(
    ("cost", "why"),
    [
        ((3, 0, 0.0, 0), "1 clamping more"),
        ((4, 0, 0.0, 0), "2 clampings more"),
        ((2, 3, 0.0, 0), "as many clampings, 2 more of them off centre"),
        ((2, 1, 150.0, 0), "as many clampings, 50 % more unbalance in all"),
        ((2, 1, 100.0, 5), "as good, but with more to set"),
        ((2, 1, 100.0, 2), "as good; the other comes first in the part file"),
    ],
)
def test_why_another_sequence_was_not_chosen(cost, why):
    both = frozenset({"body", "pin"})
    assert _rejection_reason(Found(both, cost), Found(both, (2, 1, 100.0, 2))) == why


def test_a_sequence_that_leaves_something_says_what():
    chosen = Found(frozenset({"body", "pin"}), (2, 1, 100.0, 2))
    assert _rejection_reason(Found(frozenset({"body"}), (1, 0, 0.0, 0)), chosen) == "leaves pin unturned"
