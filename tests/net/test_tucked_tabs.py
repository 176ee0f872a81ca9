"""Tucked together: sizes as the prototype had them, a rim that cannot give, and a check that finds what is wrong."""

from dataclasses import replace
from itertools import pairwise
from math import cos, dist, pi, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from foldsketch.net import foot_tongues
from foldsketch.net.refold import check_nets
from foldsketch.net.tuck_check import tuck_faults
from foldsketch.net.unfolding import tucked_prisms
from foldsketch.net.unfolding.tucked_prisms import CAP_SIDES, FLAP_SIDES
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from nets import finding, nets_of, nets_or_reject, one, some_examples
from strategies import parts as any_part

COVER = Part(
    "cover",
    (Axis("A"), Axis("B", (20.0, 0.0, 0.0)), Axis("C", (-22.0, 0.0, 0.0))),
    (
        Feature("flange", "A", Cylinder(90), 0, 12),
        Feature("inlet", "B", Cylinder(36), 12, 42),
        Feature("outlet", "C", Cylinder(30), 12, 36),
    ),
)
A4 = (190.0, 257.0)


def tucked(part=COVER, sides=8, page=None, **choice):
    """Octagons with their flats on the round, tucked together."""
    choice = {"sparse": True, "sides": sides, "radius_rule": "outside", **choice}
    return nets_of(part, open_feet=True, tongues=True, hold="tuck", page=page, **choice)


def tabs(nets, part=None):
    return [(p, t) for p in nets.pieces for t in p.tabs if t.part and part in (None, t.part)]


def deep(t):
    """How far a tab reaches from its root, mm."""
    a, b = np.array(t.line)
    u = (b - a) / dist(*t.line)
    return float(((t.outline - a) @ (u[1], -u[0])).max())


@pytest.mark.parametrize(("sides", "per_end"), [(6, 0), (8, 2)])
def test_the_cover_has_the_parts_of_the_prototype(sides, per_end):
    """15 flaps, tongues and slits with eight sides, 7 flaps and 13 of the others with six [prototype]."""
    nets = tucked(sides=sides)
    assert nets.checks.passed() and finding(nets, "not-tucked") is None
    assert len(tabs(nets, "flap")) == 4 * per_end and len(tabs(nets, "lip")) == len(tabs(nets, "lock")) == 4
    assert len(tabs(nets, "land")) == len(tabs(nets, "hook")) == 3
    assert sum(t.slit is not None for p in nets.pieces for t in p.tabs) == {6: 6, 8: 8}[sides]
    assert not any(t.glued for p in nets.pieces for t in p.tabs) and not any(
        b.strips for p in nets.pieces for b in p.butts
    )
    # One end of the flange alone has ears; all others are bent over.
    assert sum(t.bend is None for _, t in tabs(nets, "lock")) == 1


def test_sizes_of_an_octagon():
    """Side 14.9 mm, apothem 18: lip 7 deep, flaps 8, a land of 12 less its crease, a neck of 14.9 - 3.6 - 0.6."""
    nets = tucked()
    side = 36 * tan(pi / 8)
    own = {t.part: t for p, t in tabs(nets) if p.panel(t.panel).feature == "inlet"}
    assert deep(own["lip"]) == pytest.approx(7.0) and deep(own["flap"]) == pytest.approx(8.0)
    inside = 0.2 / sin(pi / 4)
    assert own["land"].crease_shift == pytest.approx(inside)
    assert deep(own["land"]) + inside == pytest.approx(12.0)
    assert dist(*own["lock"].line) == pytest.approx(side - 3.6 - 0.6)
    assert dist(*own["lip"].openings[0]) == pytest.approx(dist(*own["lock"].line) + 0.6)
    assert dist(*own["hook"].line) == pytest.approx(12.0)
    assert dist(*own["land"].openings[0]) == pytest.approx(12.0 + 2.5 + 0.6)


@pytest.mark.parametrize(("sides", "diameter"), [(6, 90), (8, 90), (10, 100), (12, 100)])
def test_a_wall_too_long_for_the_page_is_hooked_together_from_two(sides, diameter):
    """With six or ten sides the second half begins with an odd wall; tongue and hook behind it keep clear."""
    nets = tucked(one(Cylinder(diameter), 15), sides=sides, page=A4)
    assert nets.checks.passed() and len(nets.pieces) == 2 and len(tabs(nets, "land")) == 2
    assert len(tucked(page=A4).pieces) == 4


def test_a_long_wall_has_two_hooks_and_its_lid_has_ears():
    """70 mm deep nobody bends a tongue over; a land of more than 40 mm is held twice."""
    part = Part(
        "p",
        (Axis("A"),),
        (Feature("disc", "A", Cylinder(60), 0, 20), Feature("pin", "A", Cylinder(30), 20, 90)),
    )
    nets = tucked(part)
    own = [t for p, t in tabs(nets) if p.panel(t.panel).feature == "pin"]
    assert nets.checks.passed() and sum(t.part == "hook" for t in own) == 2
    assert [t.bend for t in own if t.part == "lock"] == [None]


@pytest.mark.parametrize(
    ("size", "height", "sides", "told"),
    [(40, 11, 8, True), (40, 12, 8, False), (12, 30, 8, True), (12, 30, 6, False), (9, 30, 6, True), (20, 30, 7, True)],
)
def test_below_its_sizes_a_block_is_taped_and_it_is_told(size, height, sides, told):
    """12 mm of height, 5.4 of side, an even number of them [prototype, section 2]."""
    nets = tucked(one(Cylinder(size), height), sides=sides)
    note = finding(nets, "not-tucked")
    assert nets.checks.passed() and (note is not None) == told == (not tabs(nets))
    assert any(b.strips for p in nets.pieces for b in p.butts) == told


def without(part):
    return lambda t: None if t.part == part else t


def moved(t, x, y):
    return t._replace(openings=tuple(tuple((a + x, b + y) for a, b in o) for o in t.openings))


def turned_slit(t, angle):
    (x0, y0), (x1, y1) = t.openings[0]
    mx, my, c, s = (x0 + x1) / 2, (y0 + y1) / 2, cos(angle), sin(angle)
    line = tuple((mx + c * (x - mx) - s * (y - my), my + s * (x - mx) + c * (y - my)) for x, y in t.openings[0])
    return t._replace(openings=(line, *t.openings[1:]))


def longer(t, times):
    """A tab so many times as deep."""
    a, b = np.array(t.line)
    u = (b - a) / dist(a, b)
    out = np.array((u[1], -u[0]))
    return t._replace(outline=t.outline + np.outer((t.outline - a) @ out * (times - 1), out))


def straight_sided(t):
    p, *_, q = t.outline
    a, b = np.array(t.line)
    u = (b - a) / dist(a, b)
    out = np.array((u[1], -u[0])) * deep(t)
    return t._replace(outline=np.array((p, p + out, q + out, q)))


FAULTS = {
    "a flap less": without("flap"),
    "no hook": without("hook"),
    "no tongue": without("lock"),
    "slits half a millimetre off": lambda t: moved(t, 0.5, 0.5),
    "slits turned by three degrees": lambda t: turned_slit(t, 3 * pi / 180) if t.openings else t,
    "slits as short as the necks": lambda t: t._replace(
        openings=tuple((tuple(np.add(p, np.subtract(q, p) * 0.06)), q) for p, q in t.openings)
    ),
    "ends not drawn in": lambda t: t._replace(crease_shift=0.0) if t.part == "lock" else t,
    "the land creased at the corner": lambda t: t._replace(crease_shift=0.0) if t.part == "land" else t,
    "flaps 16 deep": lambda t: longer(t, 2.0) if t.part == "flap" else t,
    "flaps with straight sides as wide as the edge": lambda t: straight_sided(t) if t.part == "flap" else t,
    "a tongue bent the other way": lambda t: t._replace(angle=-t.angle) if t.part == "lock" else t,
    "nothing to bend over": lambda t: longer(t, 0.3) if t.bend else t,
    "a hook without an ear": lambda t: straight_sided(t) if t.part == "hook" else t,
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_check_finds_what_is_wrong(fault):
    nets = tucked()
    changed = [replace(p, tabs=tuple(u for t in p.tabs if (u := FAULTS[fault](t)))) for p in nets.pieces]
    assert not check_nets(replace(nets, pieces=tuple(changed))).passed()


def test_it_finds_a_lip_under_the_slits_of_what_stands_there(monkeypatch):
    """The hinge on the line of the offset puts the lip under a slit of a spigot [prototype]: so it is square to it."""
    chosen = tucked_prisms._choose_start
    monkeypatch.setattr(tucked_prisms, "_choose_start", lambda *given: (chosen(*given) + 2) % 8)
    monkeypatch.setattr(foot_tongues, "_behind", lambda *given: [])
    assert not tucked().checks.passed()


def gives(n, flaps, locked):
    """Whether the rim of a prism of n sides can move at first order: a linear programme over the corners' velocities.

    Sides keep their length, the first one is held by the hinge; a wall cannot go inwards where a flap is behind it, at
    both ends of the flap; the lock holds the wall opposite both ways, and its tongue is in a slit.
    """
    corners = np.array([(cos(2 * pi * k / n), sin(2 * pi * k / n)) for k in range(n)])
    equal, least = [], []
    for k, (p, q) in enumerate(pairwise([*corners, corners[0]])):
        j = (k + 1) % n
        row = np.zeros((n, 2))
        row[k], row[j] = p - q, q - p
        equal.append(row.ravel())
        u = (q - p) / np.hypot(*(q - p))
        out = np.array((u[1], -u[0]))
        for share in (0.2, 0.8):
            row = np.zeros((n, 2))
            row[k], row[j] = out * (1 - share), out * share
            if k == 0 or (k == n // 2 and locked):
                equal.append(row.ravel())
            elif k in flaps:
                least.append(-row.ravel())
        if k == 0 or (k == n // 2 and locked):
            row = np.zeros((n, 2))
            row[k] = u
            equal.append(row.ravel())
    for v in (*np.eye(2 * n), *-np.eye(2 * n)):
        found = linprog(
            v,
            np.array(least) if least else None,
            np.zeros(len(least)) if least else None,
            equal,
            np.zeros(len(equal)),
            (-1, 1),
        )
        if found.fun < -1e-6:
            return True
    return False


@pytest.mark.parametrize("n", FLAP_SIDES)
def test_hinge_lock_and_flaps_make_a_rim_rigid(n):
    assert not gives(n, FLAP_SIDES[n], True)
    if FLAP_SIDES[n]:
        assert gives(n, FLAP_SIDES[n][:-1], True), "none of them too many"


@pytest.mark.parametrize("n", CAP_SIDES)
def test_flaps_alone_make_a_rim_rigid(n):
    assert not gives(n, CAP_SIDES[n], False)
    assert n != 8 or gives(8, (3, 4, 5), False), "[prototype]"


@pytest.mark.slow
@some_examples(25)
@given(any_part(), st.sampled_from([6, 8, 10, 12]))
def test_any_part_is_tucked_together_or_says_what_is_taped(part, sides):
    nets = nets_or_reject(part, page=A4, sparse=True, sides=sides, open_feet=True, tongues=True, hold="tuck")
    assert nets.checks.passed() and not tuck_faults(nets)
    note = finding(nets, "not-tucked")
    whole = {p.block for p, _ in tabs(nets)}
    assert len(nets.blocks) - len(whole) == (note.value("count") if note else 0)
