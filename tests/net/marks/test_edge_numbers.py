"""Edge numbers are on the panel that they belong to, or left out and reported; never beside it on a tab."""

import math
import re
from collections import Counter

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from foldsketch.base.lettering import text_width
from foldsketch.net.labels.panel_space import PanelSpace
from foldsketch.net.marks.edge_numbers import mark_edge_numbers
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import MatingEdge, Panel, Piece, Tab
from foldsketch.part.model import Ring
from nets import finding, nets_of, nets_or_reject, one, some_examples
from on_paper import marked
from strategies import parts as any_part


def washer(sides=None):
    """Nowhere broader than half a millimetre."""
    return one(Ring(40, 39), 0.5, sides=sides)


def on_panels(nets):
    for piece in nets.pieces:
        shapes = {p.id: shapely.Polygon(p.outline, p.holes).buffer(1e-6) for p in piece.panels}
        for m in piece.marks:
            if re.fullmatch(r"\d+", m.text) and m.panel is not None:
                assert shapes[m.panel].contains(shapely.Point(m.at)), (piece.id, m)


def test_a_panel_too_narrow_for_its_numbers_has_none_and_it_is_reported():
    nets = nets_of(washer(sides=8))
    assert not [m for q in nets.pieces for m in q.marks if m.panel is not None and re.fullmatch(r"\d+", m.text)]
    assert finding(nets, "edge-numbers-omitted").level == "note"


@pytest.mark.slow
@some_examples(20)
@given(any_part(), st.sampled_from([0.1, 0.2, 1.0]), st.sampled_from(["folded", "rolled"]))
def test_numbers_of_any_part_are_on_their_panels(part, scale, walls):
    on_panels(nets_or_reject(part, scale=scale, walls=walls))


def test_edges_without_a_tab_of_one_rim_are_named_once():
    """On a washer of wire no teeth fit: every edge is without a tab, and those of a rim share one number."""
    nets = nets_of(washer(), walls="rolled")
    warning = finding(nets, "no-tab-fits")
    numbers = warning.value("numbers").split(", ")
    assert len(numbers) == len(set(numbers)) < warning.value("count")


def test_a_rims_number_moves_along_the_rim_to_where_there_is_room():
    """At half scale the bore of the sleeve stands in the way of its rim's number: it goes to another tooth, upright on
    its panel, as far from the nearest edge as numbers are set."""
    nets = nets_of(parts.OFFSET_SLEEVE, scale=0.5, walls="rolled")
    assert finding(nets, "edge-numbers-omitted") is None
    rims = {n for p in nets.pieces for n, k in Counter(t.number for t in p.tabs).items() if k > 1}
    assert rims
    for number in rims:
        teeth = [t for p in nets.pieces for t in p.tabs if t.number == number]
        target = next(p for p in nets.pieces if p.id == teeth[0].meets.piece)
        edges = shapely.MultiLineString([t.meets.line for t in teeth])
        printed = [m for m in target.marks if m.text == str(number) and m.panel == teeth[0].meets.panel]
        assert printed
        assert edges.distance(shapely.Point(printed[0].at)) == pytest.approx(1.975, abs=0.3)


@pytest.mark.parametrize("scale", [1.0, 0.5])
@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_an_edge_number_is_just_inside_its_edge_between_its_quarters(part, scale):
    """Its foot 0.85 to 1.8 mm from an edge that is glued under that number, and towards that edge; 2.5 mm high, or 1.8
    where not all of its panel's numbers have room."""
    nets, every = marked(part, scale)
    lines = {}
    for p in nets.pieces:
        for j in (*p.tabs, *p.butts):
            lines.setdefault((j.meets.piece, j.meets.panel, str(j.number)), []).append(j.meets.line)
        for j in p.butts:
            lines.setdefault((p.id, j.panel, str(j.number)), []).append(j.line)
    count, beside = len(lines), 0
    for piece, panel, m in every:
        own = lines.pop((piece.id, panel.id, m.text), None) if m.kind == "text" and not m.paths else None
        if own is None:
            continue
        ok = False
        for a, b in np.array(own):
            d = (b - a) / np.linalg.norm(b - a)
            share = (np.array(m.at) - a) @ d / np.linalg.norm(b - a)
            deep = (np.array(m.at) - a) @ (-d[1], d[0])
            foot = (math.sin(m.angle), -math.cos(m.angle))
            down = abs(foot @ d) < 1e-6 and foot @ np.array((-d[1], d[0])) < 0
            there = min(abs(deep - m.size / 2 - foot_) for foot_ in (0.85, 1.3, 1.8)) < 1e-6
            ok |= bool(0.25 - 1e-6 <= share <= 0.75 + 1e-6 and there and down)
        assert ok, (piece.id, m)
        beside += all(abs(math.dist(m.at, a) - math.dist(m.at, b)) > 1e-6 for a, b in own)
    bare = list(lines.values())
    note = finding(nets, "edge-numbers-omitted")
    assert len(bare) == (note.value("count") if note else 0)
    if part in (parts.ROCKER, parts.BORED) and scale == 0.5:
        assert beside >= 3, "where the middle of an edge is taken they move along it"
    if part in (parts.TWO_SPIGOTS, parts.HEX, parts.SLEEVE) and scale == 1.0:
        assert not bare, "there is room for all, beside what stands at the middle of an edge"
    assert len(bare) < (0.15 if scale == 1.0 else 0.45) * count


@pytest.mark.parametrize("part", [parts.ROCKER, parts.POINT], ids=lambda p: p.name)
def test_both_of_two_edges_without_a_tab_have_their_number(part):
    nets = nets_of(part)
    printed = Counter((p.id, m.panel, m.text) for p in nets.pieces for m in p.marks if not m.paths)
    edges = Counter()
    for p in nets.pieces:
        for b in p.butts:
            edges.update([(p.id, b.panel, str(b.number)), (b.meets.piece, b.meets.panel, str(b.number))])
    assert edges and all(printed[place] >= count for place, count in edges.items())


def test_a_number_that_is_all_ones_keeps_away_from_strokes():
    """Beside a stroke 1 would read as 11: it moves along its edge, where a 7 stays in the middle."""
    square = np.array([(-6.0, -6.0), (6.0, -6.0), (6.0, 6.0), (-6.0, 6.0)])
    panel = Panel(0, square, (), "disc", "end", 0, np.eye(3), np.zeros(3))
    edge = ((-6.0, -6.0), (6.0, -6.0))
    found = {}
    for number in (1, 7):
        space = PanelSpace(panel)
        space.add_obstacle(((1.4, -5.5), (1.4, 5.5)))
        view = PanelView(0, 0, 0, panel, space)
        tab = Tab(number, 0, square, edge, MatingEdge("1", 0, edge), 1.0)
        assert mark_edge_numbers([Piece("1", 0, (panel,), (), (tab,))], [view]) == 0
        ((found[number],),) = ([m.at for m in view.marks],)
    assert found[7] == pytest.approx((0.0, -6 + 0.85 + 2.5 / 2)), "in the middle"
    assert abs(found[1][0] - 1.4) > 0.9 + text_width("1", 2.5) / 2


def test_numbers_are_as_high_as_other_words_on_a_taped_cover():
    """Whoever has it in hand reads 2.5 mm; a panel that is too narrow for that has all its numbers at 1.8."""
    nets = nets_of(parts.TWO_SPIGOTS, hold="tape", sides=8)
    sizes = {}
    for p in nets.pieces:
        for m in p.marks:
            if m.panel is not None and m.text.isdigit() and m.size <= 2.5:
                sizes.setdefault((p.id, m.panel), set()).add(m.size)
    assert sizes and all(len(own) == 1 for own in sizes.values())
    assert list(sizes.values()).count({2.5}) == len(sizes)
