"""Orders: brute force over all sequences of small parts, and what may never make a plan dearer (or cheaper)."""

import dataclasses
from itertools import pairwise
from math import inf
from random import Random

import pytest

from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part
from foldsketch.setup.plan.clamping_cuts import ClampingCuts
from foldsketch.setup.plan.options import OptionFinder
from foldsketch.setup.plan.order import OrderSearch
from foldsketch.setup.plan.plan import asked_for, plan
from foldsketch.setup.work.states import WorkStates
from setup_parts import MACHINES
from setup_works import COVER, SHAFT, SMALL, TWIN

DISC = Part("disc", (Axis("A"),), (Feature("disc", "A", Cylinder(60), 0, 20),), density=7850.0, material="steel")
STEPPED = Part(
    "stepped",
    (Axis("A"),),
    (Feature("head", "A", Cylinder(60), 0, 20), Feature("stem", "A", Cylinder(40), 20, 50)),
    density=7850.0,
    material="steel",
)
PIN = Part(
    "pin",
    (Axis("A"), Axis("B", (6.0, 0.0, 0.0))),
    (Feature("body", "A", Cylinder(60), 0, 30), Feature("pin", "B", Cylinder(24), 30, 50)),
    density=7850.0,
    material="steel",
)
CAST = Part(
    "cast",
    (Axis("A"), Axis("B", (12.0, 0.0, 0.0))),
    (Feature("plate", "A", Cylinder(80), 0, 20, stock=2.0), Feature("boss", "B", Cylinder(30), 20, 40, stock=2.0)),
    density=7150.0,
    material="grey cast iron",
    blank=Blank("casting"),
)


def search_of(part, machine):
    states = WorkStates(part)
    finder = OptionFinder(
        states, machine, ClampingCuts(states, machine, machine.cutting_data(part.material)),
        frozenset(asked_for(part, machine, states)),
    )  # fmt: skip
    return finder, OrderSearch(finder, machine, machine.times)


def all_sequences(finder, search, machine, batch, done=frozenset(), raw=frozenset(), chuck=None, tools=frozenset()):
    """Minutes a part of every sequence that cuts all, by the published sums: (S + T1 - C) / b + C of each run."""
    chuck = chuck or machine.spindles[0].chuck
    if not finder.left(done):
        yield 0.0
        return
    t = machine.times
    for a in finder.options(done, raw, machine.spindles[0]):
        runs = [(a,)]
        if len(machine.spindles) > 1:
            runs += [
                (a, b) for b in finder.options(a.after, a.raw_after, machine.spindles[1]) if search._hands_over(a, b)
            ]
        for run in runs:
            called = {(o.place.spindle.name, tool) for o in run for tool in o.tools}
            wanted = a.holding.chuck or chuck
            setting = sum(o.setting for o in run) + 3 * len(called - tools) + t.chuck_change * (wanted != chuck)
            if len(run) == 1:
                through = cycle = t.load + a.each + a.minutes
            else:
                b = run[1]
                setting += 10
                over = t.transfer + b.each
                through = t.load + a.each + a.minutes + over + b.minutes
                lanes = max(a.minutes, b.minutes) if machine.turrets > 1 else a.minutes + b.minutes
                cycle = t.load + a.each + over + lanes
            last = run[-1]
            rest = all_sequences(finder, search, machine, batch, last.after, last.raw_after, wanted, tools | called)
            for other in rest:
                yield (setting + through - cycle) / batch + cycle + other


@pytest.mark.slow
@pytest.mark.parametrize("machine", [SMALL, TWIN], ids=["small", "twin"])
@pytest.mark.parametrize("part", [DISC, STEPPED], ids=lambda p: p.name)
def test_brute_force_over_all_sequences(part, machine):
    finder, search = search_of(part, machine)
    for batch in (1, 20, 1000):
        found = search.best(batch)
        assert found.exact and not found.left
        assert found.cost == pytest.approx(min(all_sequences(finder, search, machine, batch)))


@pytest.mark.slow
def test_brute_force_off_centre():
    finder, search = search_of(PIN, SMALL)
    for batch in (1, 50):
        assert search.best(batch).cost == pytest.approx(min(all_sequences(finder, search, SMALL, batch)))


def minutes(part, machine, batches):
    """Minutes a part of the cheapest order for each batch; infinite where something is left."""
    _, search = search_of(part, machine)
    found = [search.best(b) for b in batches]
    return [f.cost if f is not None and not f.left else inf for f in found]


def spindles(machine, **changes):
    return dataclasses.replace(
        machine,
        spindles=tuple(dataclasses.replace(s, **{k: f(s) for k, f in changes.items()}) for s in machine.spindles),
    )


EASIER = {
    "heavier rotor": lambda m: spindles(m, rotating_mass=lambda s: 2 * s.rotating_mass),
    "force": lambda m: spindles(m, force=lambda s: None if s.force is None else 2 * s.force),
    "grip": lambda m: spindles(m, grip_force=lambda s: None if s.grip_force is None else 1.5 * s.grip_force),
    "less loss": lambda m: spindles(m, grip_loss=lambda s: None if s.grip_loss is None else s.grip_loss / 2),
    "travel": lambda m: spindles(m, x_axis=lambda s: s.x_axis + 30, y_axis=lambda s: s.y_axis + 30),
    "queue": lambda m: dataclasses.replace(m, times=dataclasses.replace(m.times, queue=9000.0)),
}


@pytest.mark.slow
@pytest.mark.parametrize("machine", [SMALL, TWIN], ids=["small", "twin"])
@pytest.mark.parametrize("part", [DISC, PIN, CAST, SHAFT], ids=lambda p: p.name)
def test_what_never_makes_a_plan_dearer(part, machine):
    """A larger batch, a heavier rotor, more force, grip or travel, less loss of grip; the queue changes nothing."""
    known = minutes(part, machine, (1, 2, 4, 8, 64, 512))
    assert all(b <= a + 1e-9 for a, b in pairwise(known))
    for what, change in EASIER.items():
        one, many = minutes(part, change(machine), (1, 64))
        assert one <= known[0] + 1e-9 and many <= known[4] + 1e-9, what
        if what == "queue":
            assert [one, many] == [known[0], known[4]]


@pytest.mark.slow
@pytest.mark.parametrize("part", [DISC, STEPPED, PIN, COVER], ids=lambda p: p.name)
def test_a_twin_is_never_dearer_than_its_main_spindle(part):
    alone = dataclasses.replace(TWIN, kind="single", spindles=TWIN.spindles[:1])
    batches = (1, 30, 3000)
    assert all(a <= b + 1e-9 for a, b in zip(minutes(part, TWIN, batches), minutes(part, alone, batches), strict=True))


@pytest.mark.slow
@pytest.mark.parametrize("part", [PIN, CAST], ids=lambda p: p.name)
def test_a_way_more_is_never_dearer(part):
    fewer = dataclasses.replace(SMALL, max_offsets=SMALL.max_offsets[:1])
    batches = (1, 100)
    assert all(a <= b + 1e-9 for a, b in zip(minutes(part, SMALL, batches), minutes(part, fewer, batches), strict=True))


def random_part(rng):
    """A disc or a shaft with one or two bosses or eccentrics off its axis, from bar or as a casting."""
    cast, radius = rng.random() < 0.5, rng.uniform(25, 45)
    stock = {"stock": 2.0} if cast else {}
    thick = rng.uniform(12, 30)
    axes, features = [Axis("A")], [Feature("base", "A", Cylinder(2 * radius), 0, thick, **stock)]
    for k in range(rng.choice((1, 2))):
        name, r = "BC"[k], rng.uniform(6, 0.42 * radius)
        e = rng.uniform(3, radius - r - 1) * (1, -1)[k]
        if k and abs(e) + abs(axes[1].point[0]) < r + features[1].radius + 14:
            break
        axes.append(Axis(name, (e, 0.0, 0.0)))
        features.append(Feature(f"boss {k}", name, Cylinder(2 * r), thick, thick + rng.uniform(8, 25), **stock))
    material = rng.choice((("steel", 7850.0), ("grey cast iron", 7150.0), ("bronze", 8700.0)))
    blank = Blank("casting") if cast else None
    return Part("random", tuple(axes), tuple(features), density=material[1], material=material[0], blank=blank)


DOUBLED = {
    "rotating mass": lambda m: spindles(m, rotating_mass=lambda s: 2 * s.rotating_mass),
    "travel": lambda m: dataclasses.replace(
        spindles(m, x_axis=lambda s: 2 * s.x_axis, y_axis=lambda s: 2 * s.y_axis, x_below=lambda s: 2 * s.x_below),
        cross_travel=2 * m.cross_travel,
    ),
}
FOUR_MACHINES = [MACHINES[name] for name in ("single-spindle", "twin-spindle", "small", "twin")]


def ranked(part, machine, batches):
    """What is left and minutes a part of the best order for each batch: the less of both, the better."""
    _, search = search_of(part, machine)
    found = [search.best(b) for b in batches]
    assert all(f is None or f.exact for f in found)
    return [(inf, inf) if f is None else (len(f.left), f.cost) for f in found]


def no_worse(new, old):
    return new[0] < old[0] or (new[0] == old[0] and new[1] <= old[1] + 1e-9)


def check_doubling(part, machine):
    small, large = ranked(part, machine, (25, 50))
    assert no_worse(large, small), "batch"
    for what, change in DOUBLED.items():
        (new,) = ranked(part, change(machine), (25,))
        assert no_worse(new, small), what


@pytest.mark.parametrize("machine", FOUR_MACHINES, ids=lambda m: m.name.split()[0])
def test_doubling_never_makes_a_plan_worse(machine):
    check_doubling(random_part(Random(7)), machine)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("machine", FOUR_MACHINES, ids=lambda m: m.name.split("(")[0].strip())
def test_doubling_never_makes_a_hundred_random_plans_worse(machine, seed):
    """Batch, rotating mass of the spindles, and travel: each twice as large, on four machine files."""
    check_doubling(random_part(Random(f"{machine.name} {seed}")), machine)


def test_a_single_disc_needs_two_clampings_and_no_excuse():
    made = plan(DISC, SMALL, batch=10)
    assert len(made.setups) == 2
    assert not made.unturned
    assert made.setups[0].clamping.raw and not made.setups[1].clamping.raw
