"""Feet on tongues: every tongue is in its slit, bent in behind the face and clear there; what does not fit is told."""

from dataclasses import replace
from itertools import combinations
from math import cos, dist, hypot, pi, sin

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from foldsketch.base.card import Card
from foldsketch.net.refold import check_nets
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from nets import finding, in_space, nets_of, nets_or_reject, some_examples
from strategies import parts as any_part


def standing(part=parts.TWO_SPIGOTS, **choice):
    """Octagons with their flats on the round, on tongues."""
    choice = {"sparse": True, "sides": 8, "radius_rule": "outside", **choice}
    return nets_of(part, open_feet=True, tongues=True, **choice)


def tongues(nets):
    return [(p, t) for p in nets.pieces for t in p.tabs if t.slit]


def pieces_of(nets):
    return {p.id: p for p in nets.pieces}


def with_tabs(nets, change):
    """Nets with every tongue changed."""
    made = [replace(p, tabs=tuple(change(t) if t.slit else t for t in p.tabs)) for p in nets.pieces]
    return replace(nets, pieces=tuple(made))


def test_both_spigots_of_the_cover_stand_on_four_tongues_each():
    """N / 2 tongues on every other side, as wide as the side less 2 mm but 14 at most; 7 mm long, or a - 1 - w / 2 for
    eight sides, a being half the diameter [tuck.md, section 1]; the first one narrower by 2 mm."""
    nets = standing()
    assert nets.checks.passed() and finding(nets, "no-tongues") is None
    for feature in ("inlet", "outlet"):
        own = [(p, t) for p, t in tongues(nets) if p.panel(t.panel).feature == feature]
        assert len(own) == 4
        diameter = next(f.shape.diameter for f in parts.TWO_SPIGOTS.features if f.name == feature)
        side = diameter * np.tan(pi / 8)
        widths = sorted(dist(*t.line) for _, t in own)
        wide = min(side - 2, 14.0)
        assert widths == pytest.approx([wide - 2, wide, wide, wide], abs=1e-6)
        for _, t in own:
            a, b = np.array(t.line)
            deep = shapely.LineString((a, b)).distance(shapely.Point(*t.outline[1]))
            assert deep == pytest.approx(min(7.0, diameter / 2 - 1 - dist(*t.line) / 2), abs=1e-6)
            assert dist(*t.slit) == pytest.approx(dist(*t.line) + 0.6, abs=1e-6)


@pytest.mark.parametrize("part", [parts.TWO_SPIGOTS, parts.ECCENTRIC, parts.HEX], ids=lambda p: p.name)
@pytest.mark.parametrize("hold", ["glue", "tape"])
def test_roots_are_on_their_slits_in_space_and_tongues_lie_inside_the_outline(part, hold):
    """By the places of the panels alone: the two lines on paper are one in space, on the joint's outline."""
    nets = standing(part, hold=hold)
    assert tongues(nets)
    for p, t in tongues(nets):
        joint = nets.joints[t.joint]
        face = pieces_of(nets)[t.meets.piece].panel(t.meets.panel)
        root = in_space(p.panel(t.panel), np.array(t.line))
        slit = in_space(face, np.array(t.slit))
        ring = np.vstack((joint.outline, joint.outline[:1]))
        flat = ((ring - face.origin) @ face.to_space)[:, :2]
        middle = flat[:-1].mean(axis=0)
        for point in (*root, *slit):
            x, y, z = (point - face.origin) @ face.to_space
            assert abs(z) < 1e-6 and shapely.LineString(flat).distance(shapely.Point(x, y)) < 1e-6
        assert all(min(np.linalg.norm(slit - r, axis=1)) > 0.25 for r in root), "play at both ends"
        # Bent in by a right angle it lies from its root as far towards the middle as it is long.
        a, b = np.array(t.slit)
        across = np.array((a[1] - b[1], b[0] - a[0])) / dist(a, b)
        across *= np.sign((middle - a) @ across)
        long = shapely.LineString(t.line).distance(shapely.Point(*t.outline[1]))
        tip = (a + b) / 2 + across * long
        assert shapely.Polygon(flat).covers(shapely.Point(tip))
        assert t.joint not in {u.joint for q in nets.pieces for u in q.tabs if not u.slit}, "no glue there"
        assert not joint.taped
    for one, other in combinations(tongues(nets), 2):
        if one[1].meets[:2] == other[1].meets[:2]:
            lines = [shapely.LineString(t.slit) for _, t in (one, other)]
            assert lines[0].distance(lines[1]) >= 3 - 1e-6


def stretched(outline, times):
    """A tongue so many times as long."""
    p, a, b, q = outline
    return np.array((p, p + (a - p) * times, q + (b - q) * times, q))


MUTATIONS = {
    "16 long": lambda t: t._replace(outline=stretched(t.outline, 3.0)),
    "slit off by half a millimetre": lambda t: t._replace(slit=tuple((x + 0.5, y + 0.5) for x, y in t.slit)),
    "slit turned by three degrees": lambda t: t._replace(slit=turned(t.slit, 3 * pi / 180)),
    "slit as short as the root": lambda t: t._replace(slit=t.meets.line),
}


def turned(line, angle):
    (x0, y0), (x1, y1) = line
    mx, my = (x0 + x1) / 2, (y0 + y1) / 2
    c, s = cos(angle), sin(angle)
    return tuple((mx + c * (x - mx) - s * (y - my), my + s * (x - mx) + c * (y - my)) for x, y in line)


@pytest.mark.parametrize("fault", MUTATIONS)
def test_the_check_finds_what_is_wrong(fault):
    wrong = with_tabs(standing(), MUTATIONS[fault])
    assert not check_nets(wrong).passed()


def test_the_check_finds_a_spigot_that_is_beside_its_slits():
    """All of one net's foot lines half a millimetre off: roots no longer meet what they stand on."""
    nets = standing()
    joint = tongues(nets)[0][1].joint

    def off(t):
        if t.joint != joint:
            return t
        there = tuple((x + 0.5, y) for x, y in t.meets.line)
        return t._replace(meets=t.meets._replace(line=there))

    assert not check_nets(with_tabs(nets, off)).passed()


def test_tongues_of_a_narrow_spigot_do_not_fit_and_it_is_told():
    """Diameter 12 with eight sides: 5 mm a side leaves 3 for a tongue, below the least of 4 [tuck.md, section 2]."""
    axes = (Axis("A"), Axis("B", (10.0, 0.0, 0.0)))
    part = Part("pin", axes, (Feature("disc", "A", Cylinder(60), 0, 10), Feature("pin", "B", Cylinder(12), 10, 25)))
    nets = standing(part)
    assert not tongues(nets) and finding(nets, "no-tongues").value("count") == 1
    assert nets.checks.passed() and any(t.joint is not None for p in nets.pieces for t in p.tabs), "glued as ever"
    six = standing(part, sides=6)
    assert len(tongues(six)) == 3, "six sides of 6.9 mm have room"


@pytest.mark.parametrize(("offset", "held"), [(6.0, {4}), (26.0, {0})])
def test_a_journal_near_the_edge_of_its_web(offset, held):
    """Eccentric of 50, journal of 30 in octagons: regular at 6; at 26 it hangs over and none is possible [tuck.md]."""
    axes = (Axis("A"), Axis("B", (offset, 0.0, 0.0)))
    part = Part("e", axes, (Feature("web", "A", Cylinder(50), 0, 20), Feature("pin", "B", Cylinder(30), 20, 60)))
    assert len(tongues(standing(part))) in held


def test_card_that_is_compensated_for_and_rolled_walls_have_no_tongues():
    for more in ({"card": Card(0.25)}, {"walls": "rolled"}):
        nets = standing(**more)
        assert not tongues(nets) and finding(nets, "no-tongues").value("count") == 2


def test_slits_are_cut_lines_with_a_tick_across_each_end():
    nets = standing()
    marks = [m for p in nets.pieces for m in p.marks if m.kind == "slit"]
    assert len(marks) == len(tongues(nets)) == 8
    for m in marks:
        slit, *ticks = m.paths
        assert len(ticks) == 2
        for (a, b), end in zip(ticks, slit, strict=True):
            assert np.mean((a, b), axis=0) == pytest.approx(end)
            assert abs(np.subtract(b, a) @ np.subtract(*slit)) < 1e-9 and hypot(*np.subtract(b, a)) > 1


@pytest.mark.slow
@some_examples(25)
@given(any_part(), st.sampled_from([6, 8, 12]), st.sampled_from(["glue", "tape"]))
def test_any_part_stands_on_tongues_or_says_where_not(part, sides, hold):
    nets = nets_or_reject(part, sparse=True, sides=sides, open_feet=True, tongues=True, hold=hold)
    assert nets.checks.passed()
    held = {t.joint for _, t in tongues(nets)}
    told = finding(nets, "no-tongues")
    assert len(nets.joints) - len(held) == (told.value("count") if told else 0)
    for joint in held:
        assert sum(t.joint == joint for _, t in tongues(nets)) >= 2
