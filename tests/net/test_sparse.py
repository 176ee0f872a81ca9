"""Sparse tabs: what a quick model leaves out around its ends, read back from the nets alone."""

import json
import math
import random
import re
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import parts
from foldsketch import job
from foldsketch.base.findings import FoldsketchError
from foldsketch.net import sparse
from foldsketch.net.build import build
from foldsketch.net.cut_edges import ground_of
from foldsketch.net.graph import graph_of
from foldsketch.net.layout import all_folds
from foldsketch.net.sparse import sparse_tabs
from foldsketch.net.tabs import find_tabs
from foldsketch.net.unfold import unfold
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.blocks import join
from foldsketch.solid.facet import facet
from foldsketch.solid.sides import FacetChoice
from foldsketch.write.net_json import net_json
from strategies import parts as any_part
from strategies import random_part


def nets_of(part, rule="faces", sparse=True, **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build(faceted, join(faceted, rule), 1.0, sparse=sparse)


def one(shape, length=20.0, **more):
    return Part("p", (Axis("A"),), (Feature("p", "A", shape, 0, length, **more),))


def key(piece, panel, line):
    (x0, y0), (x1, y1) = sorted((round(x, 5) + 0.0, round(y, 5) + 0.0) for x, y in line)
    return piece, panel, x0, y0, x1, y1


def edges_of(nets):
    """What every edge of every panel is, and the kind of the panel beyond it: (piece, panel, line) -> (what, kind)."""
    kind = {(p.id, q.id): q.kind for p in nets.pieces for q in p.panels}
    found = {}
    for p in nets.pieces:
        for f in p.folds:
            one_, two = f.panels
            found[key(p.id, one_, f.line)] = ("fold", kind[p.id, two])
            found[key(p.id, two, f.line)] = ("fold", kind[p.id, one_])
        joints = [(t, "tab") for t in p.tabs] + [(b, "bare" if b.bare else "butt") for b in p.butts]
        for j, what in joints:
            found[key(p.id, j.panel, j.line)] = (what, kind[j.meets.piece, j.meets.panel])
            found[key(j.meets.piece, j.meets.panel, j.meets.line)] = (what, kind[p.id, j.panel])
    return found


def rims_of(nets):
    """Every loop of every panel: the panel's kind, and of each edge what it is, what lies beyond, its length."""
    known = edges_of(nets)
    rims = []
    for p in nets.pieces:
        for q in p.panels:
            for loop in (q.outline, *q.holes):
                corners = [*map(tuple, loop.tolist()), tuple(loop[0].tolist())]
                rims.append((q.kind, [(*known[key(p.id, q.id, line)], math.dist(*line)) for line in pairwise(corners)]))
    return rims


def hold_to_the_rules(nets):
    """No two bare edges in a row; both neighbours hold; only between an end and a side; and every panel is held."""
    assert nets.checks.passed(), nets.checks
    bare = 0
    for kind, rim in rims_of(nets):
        for k, (what, beyond, length) in enumerate(rim):
            if what != "bare":
                continue
            assert {kind, beyond} == {"end", "side"}
            assert length <= 40.0 + 1e-6
            if kind == "end":
                bare += 1
                assert len(rim) >= 5
                assert {rim[k - 1][0], rim[(k + 1) % len(rim)][0]} <= {"fold", "tab"}
        if kind == "end" and any(what == "bare" for what, _, _ in rim):
            assert sum(what in ("fold", "tab") for what, _, _ in rim) >= 3, "a rim is held at three edges at least"
    assert bare == sum(b.bare for p in nets.pieces for b in p.butts)
    notes = [f for f in nets.findings if f.where == "the quick model"]
    assert [int(re.match(r"\d+", f.what)[0]) for f in notes] == ([bare] if bare else [])
    wanting = sum(not b.bare for p in nets.pieces for b in p.butts)
    told = [f.what for f in nets.findings if "no tab fits" in f.what]
    assert sum(int(re.search(r"on (\d+) edge", what)[1]) for what in told) == wanting
    return bare


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("error", [0.5, 2.5])
def test_bare_edges_lie_singly_between_edges_that_hold(part, rule, error):
    assert hold_to_the_rules(nets_of(part, rule, chord_error=error, fewest=6)) > 0


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["folded", "rolled"]))
def test_of_any_part_too(part, rule, walls):
    try:
        nets = nets_of(part, rule, chord_error=2.5, fewest=6, walls=walls)
    except FoldsketchError:
        return
    hold_to_the_rules(nets)


@pytest.mark.parametrize("seed", [100069, 100255, 100335, 100632, 100690])
def test_rims_that_were_once_held_at_two_edges(seed):
    """Seeds of a long run: on most of a rim no tab fits, and a bare edge lay between the only two that held."""
    r = random.Random(seed)
    part, rule, walls = random_part(r), r.choice(["faces", "fuse"]), r.choice(["folded", "folded", "rolled"])
    hold_to_the_rules(nets_of(part, rule, chord_error=2.5, fewest=6, walls=walls))


@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.too_slow])
@given(any_part())
def test_every_panel_hangs_on_the_rest_by_folds_and_glue_alone(part):
    """A block that holds together by folds, tabs and the edges on which no tab fits does so without the bare ones."""
    try:
        nets = nets_of(part, chord_error=2.5, fewest=6)
    except FoldsketchError:
        return
    for block in {p.block for p in nets.pieces}:
        held, all_ = ({} for _ in range(2))
        for p in nets.pieces:
            if p.block != block:
                continue
            for q in p.panels:
                held[p.id, q.id] = all_[p.id, q.id] = {(p.id, q.id)}
        links = [((p.id, f.panels[0]), (p.id, f.panels[1]), True) for p in nets.pieces for f in p.folds]
        links += [
            ((p.id, j.panel), (j.meets.piece, j.meets.panel), not getattr(j, "bare", False))
            for p in nets.pieces
            for j in (*p.tabs, *p.butts)
        ]
        for a, b, holds in links:
            for groups in (held, all_) if holds else (all_,):
                if a in groups and groups[a] is not groups[b]:
                    groups[a] |= groups[b]
                    for x in groups[b]:
                        groups[x] = groups[a]
        assert len({id(g) for g in held.values()}) == len({id(g) for g in all_.values()})


@pytest.mark.parametrize(("sides", "lid"), [(5, 2), (6, 2), (7, 3), (8, 3), (12, 5)])
def test_a_lid_on_its_hinge_keeps_every_other_tab(sides, lid):
    """Of the edges 1 to n - 1 beside the hinge those with even numbers hold."""
    (piece,) = nets_of(one(PrismShape(sides, 40.0), 30)).pieces
    ends = {p.id for p in piece.panels if p.kind == "end"}
    for end in ends:
        assert sum(end in (t.panel, t.meets.panel) for t in piece.tabs) == lid == (sides - 1) // 2
    assert len(piece.tabs) == 2 * lid + 1, "the seam has its tab"


@pytest.mark.parametrize(("sides", "tabs"), [(6, 3), (7, 4), (8, 4), (9, 5)])
def test_the_rim_of_a_bore_has_no_hinge_and_keeps_half_its_tabs(sides, tabs):
    nets = nets_of(one(Ring(80, 40), 30, sides=sides))
    tube = next(p for p in nets.pieces if all(q.kind == "side" for q in p.panels))
    (body,) = (p for p in nets.pieces if p is not tube)
    between = [t for p in nets.pieces for t in p.tabs if {p.id, t.meets.piece} == {tube.id, body.id}]
    assert len(between) == 2 * tabs == 2 * math.ceil(sides / 2)


@pytest.mark.parametrize("sides", [3, 4])
def test_a_rim_of_fewer_than_five_edges_keeps_every_tab(sides):
    part = one(PrismShape(sides, 30.0))
    assert hold_to_the_rules(nets_of(part)) == 0
    assert [len(p.tabs) for p in nets_of(part).pieces] == [len(p.tabs) for p in nets_of(part, sparse=False).pieces]


@pytest.mark.parametrize(("side", "bare"), [(39.9, True), (40.1, False)])
def test_an_edge_of_more_than_40_mm_keeps_its_tab(side, bare):
    across = side * math.sqrt(3)  # of a hexagon with sides of that length
    assert (hold_to_the_rules(nets_of(one(PrismShape(6, across)))) > 0) == bare


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_teeth_stay_as_they_are(part):
    thin, full = (nets_of(part, walls="rolled", sparse=s) for s in (True, False))

    def teeth(nets):
        numbers = [[t.number for t in p.tabs] for p in nets.pieces]
        return sorted(own.count(n) for own in numbers for n in set(own) if own.count(n) > 1)

    assert teeth(thin) == teeth(full)
    hold_to_the_rules(thin)


def test_where_no_tab_fits_nothing_is_left_out():
    """24 sides of 1.3 mm: none of their edges holds, so none has neighbours that do; all are told as ever."""
    part = one(Cylinder(10), 20, sides=24)
    thin, full = nets_of(part), nets_of(part, sparse=False)
    assert hold_to_the_rules(thin) == 0
    assert [f.what for f in thin.findings] == [f.what for f in full.findings]


def test_where_one_tab_finds_no_room_its_neighbours_get_theirs(monkeypatch):
    """The search is made to fail on one edge of a lid that was to hold: both bare edges beside it come back."""
    faceted = facet(one(PrismShape(8, 60.0), 30), 1.0, FacetChoice())
    (block,) = join(faceted).blocks
    graph = graph_of(block.skin)
    ground = ground_of(graph, unfold(graph, faceted.datum_direction, None))
    lid = next(k for k, f in enumerate(graph.faces) if f.kind == "end")
    (rim,) = graph.loops[lid]

    def state(edges):
        of = {h: e for e in edges for h in (e.carry, e.target)}
        return [of.get(h) and ("bare" if of[h].bare else "tab" if of[h].shape else "butt") for h in rim]

    def turned(states):  # the hinge first
        at = states.index(None)
        return states[at:] + states[:at]

    plain = sparse_tabs(ground)
    assert turned(state(plain)) == [None, "bare", "tab", "bare", "tab", "bare", "tab", "bare"]
    hinge = state(plain).index(None)
    fails = rim[(hinge + 4) % 8]

    def failing(ground, bare=frozenset()):
        edges = find_tabs(ground, bare)
        for e in edges:
            if fails in (e.carry, e.target):
                e.shape = None
        return edges

    monkeypatch.setattr(sparse, "find_tabs", failing)
    assert turned(state(sparse_tabs(ground))) == [None, "bare", "tab", "tab", "butt", "tab", "tab", "bare"]
    assert len([h for own in ground.pieces for h in all_folds(graph, own)]) == 9


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_the_numbers_that_are_printed_have_no_gaps_and_bare_edges_have_none(part):
    nets = nets_of(part, chord_error=2.5, fewest=6)
    glued = sorted({t.number for p in nets.pieces for t in p.tabs})
    bare = sorted(b.number for p in nets.pieces for b in p.butts if b.bare)
    assert glued == list(range(1, len(glued) + 1))
    assert bare == list(range(len(glued) + 1, len(glued) + 1 + len(bare)))
    printed = {
        int(m.text)
        for p in nets.pieces
        for m in p.marks
        if m.kind == "text" and re.fullmatch(r"\d+", m.text) and m.size == 1.8 and not m.paths
    }
    assert printed & set(glued) and not printed & set(bare)


@pytest.mark.parametrize("part", [parts.BORED, parts.HEX, parts.ROCKER], ids=lambda p: p.name)
def test_only_a_quick_model_has_bare_edges_and_its_net_file_says_which(part):
    def flags(quick):
        made = job.model(part, job.Choices(scale=1.0, quick=quick))
        return [b.get("bare") for p in json.loads(net_json(made.nets, made.sheets))["pieces"] for b in p["butts"]]

    assert True in flags(True)
    assert True not in flags(False)


def test_a_plate_with_long_flanks_keeps_their_tabs_and_spares_its_round_ends():
    part = one(Plate(hull=((0.0, 0.0, 20.0), (90.0, 0.0, 12.0))), 12)
    nets = nets_of(part, chord_error=2.5, fewest=6)
    assert hold_to_the_rules(nets) > 0
    long = [what for kind, rim in rims_of(nets) for what, _, length in rim if kind == "end" and length > 40]
    assert len(long) == 4 and "bare" not in long
