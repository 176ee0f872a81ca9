"""Sparse tabs: what a quick model leaves out around its ends, read back from the nets alone."""

import json
import math
import random
import re
from itertools import groupby, pairwise

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.job import pipeline
from foldsketch.net.build import build_nets
from foldsketch.net.tabs import reduced_tabs
from foldsketch.net.tabs.cut_edges import build_unfolded_layout
from foldsketch.net.tabs.reduced_tabs import find_reduced_tabs
from foldsketch.net.tabs.tab_search import find_tabs
from foldsketch.net.unfolding.face_graph import build_face_graph
from foldsketch.net.unfolding.flatten import all_folds
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.write.net_json import net_json
from strategies import parts as any_part
from strategies import random_part


def nets_of(part, rule="faces", sparse=True, **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build_nets(faceted, join(faceted, rule), 1.0, sparse=sparse)


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
    """Every loop of every panel: the panel's kind, of each edge what it is, what lies beyond and its length, and
    whether it is the rim of an end or of a hole that a tube leaves in a wall."""
    known = edges_of(nets)
    rims = []
    for p in nets.pieces:
        for q in p.panels:
            for k, loop in enumerate((q.outline, *q.holes)):
                corners = [*map(tuple, loop.tolist()), tuple(loop[0].tolist())]
                edges = [(*known[key(p.id, q.id, line)], math.dist(*line)) for line in pairwise(corners)]
                tube = k > 0 and all(beyond == "side" for _, beyond, _ in edges)
                rims.append((q.kind, edges, q.kind == "end" or tube))
    return rims


def hold_to_the_rules(nets):
    """No three bare edges in a row and none of 40 mm; both neighbours of a row hold; only around ends and holes,
    against a wall; and every rim is held."""
    assert nets.checks.passed(), nets.checks
    bare = 0
    for kind, rim, round_end_or_hole in rims_of(nets):
        whats = [what for what, _, _ in rim]
        if "bare" not in whats:
            continue
        if not round_end_or_hole:
            assert kind == "side", "what is bare lies against a wall"
            continue
        assert len(rim) >= 4
        first = next(k for k, what in enumerate(whats) if what != "bare")
        turned = [*rim[first:], *rim[:first]]
        for what, run in groupby(turned, key=lambda edge: edge[0]):
            if what == "bare":
                lengths = [length for _, _, length in run]
                assert len(lengths) <= 2 and sum(lengths) <= 40.0 + 1e-6
                bare += len(lengths)
        for k, (what, beyond, _) in enumerate(turned):
            if what == "bare":
                assert beyond == "side"
                assert {turned[k - 1][0], turned[(k + 1) % len(turned)][0]} <= {"fold", "tab", "bare"}
        holds = sum(what in ("fold", "tab") for what in whats)
        assert holds >= 2, "a rim is held at two edges"
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
def test_bare_edges_lie_by_twos_at_most_between_edges_that_hold(part, rule, error):
    assert hold_to_the_rules(nets_of(part, rule, chord_error=error, min_sides=6)) > 0


@pytest.mark.slow
@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["folded", "rolled"]))
def test_of_any_part_too(part, rule, walls):
    try:
        nets = nets_of(part, rule, chord_error=2.5, min_sides=6, walls=walls)
    except FoldsketchError:
        return
    hold_to_the_rules(nets)


@pytest.mark.parametrize("seed", [100069, 100255, 100335, 100632, 100690])
def test_rims_on_most_of_which_no_tab_fits(seed):
    """Seeds of a long run; a bare edge once lay between the only two that held."""
    r = random.Random(seed)
    part, rule, walls = random_part(r), r.choice(["faces", "fuse"]), r.choice(["folded", "folded", "rolled"])
    hold_to_the_rules(nets_of(part, rule, chord_error=2.5, min_sides=6, walls=walls))


@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.too_slow])
@given(any_part())
def test_every_panel_hangs_on_the_rest_by_folds_and_glue_alone(part):
    """A block that holds together by folds, tabs and the edges on which no tab fits does so without the bare ones."""
    try:
        nets = nets_of(part, chord_error=2.5, min_sides=6)
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


@pytest.mark.parametrize(
    ("sides", "lid"), [(4, 1), (5, 1), (6, 1), (7, 2), (8, 2), (9, 2), (10, 3), (11, 3), (12, 3), (13, 4)]
)
def test_a_lid_on_its_hinge_keeps_a_tab_after_every_two_bare_edges(sides, lid):
    """n - 1 edges beside the hinge: k tabs part them into k + 1 runs of two at most, so 3 k + 2 >= n - 1."""
    (piece,) = nets_of(one(PrismShape(sides, 20.0), 30)).pieces
    ends = {p.id for p in piece.panels if p.kind == "end"}
    assert lid == math.ceil((sides - 3) / 3)
    for end in ends:
        assert sum(end in (t.panel, t.meets.panel) for t in piece.tabs) == lid
    assert len(piece.tabs) == 2 * lid + 1, "the seam has its tab"


@pytest.mark.parametrize("sides", [5, 7, 8, 10, 11, 13])
def test_the_bare_edges_of_a_lid_are_spread_evenly(sides):
    """Not one run of two beside the hinge and then a tab against it, where two runs of one would do."""
    (piece,) = nets_of(one(PrismShape(sides, 20.0), 30)).pieces
    for kind, rim, _ in rims_of(nets_of(one(PrismShape(sides, 20.0), 30))):
        if kind == "end":
            whats = [what for what, _, _ in rim]
            at = whats.index("fold")
            runs = [len(list(g)) for what, g in groupby([*whats[at:], *whats[:at]]) if what == "bare"]
            assert max(runs) - min(runs) <= 1 and len(runs) == whats.count("tab") + 1
    assert piece.tabs


@pytest.mark.parametrize(("sides", "tabs"), [(4, 2), (5, 2), (6, 2), (7, 3), (8, 3), (9, 3), (10, 4)])
def test_of_the_rim_of_a_bore_every_third_edge_holds(sides, tabs):
    """It has no hinge: k tabs leave k runs of two at most, so 3 k >= n."""
    assert tabs == math.ceil(sides / 3)
    nets = nets_of(one(Ring(60, 26), 30, sides=sides))
    tube = next(p for p in nets.pieces if all(q.kind == "side" for q in p.panels))
    (body,) = (p for p in nets.pieces if p is not tube)
    between = [t for p in nets.pieces for t in p.tabs if {p.id, t.meets.piece} == {tube.id, body.id}]
    assert len(between) == 2 * tabs


def test_a_hole_in_a_wall_can_spare_tabs_too():
    """A cross bore of six sides comes out in the middle of a flat wall at both ends."""
    axes = (Axis("A"), Axis("D", point=(0.0, 0.0, 25.0), direction=(1.0, 0.0, 0.0)))
    block = Feature("p", "A", PrismShape(4, 40.0), 0, 50)
    nets = nets_of(Part("p", axes, (block, Feature("hole", "D", Cylinder(18), -30, 30, cut=True, sides=6))))
    assert hold_to_the_rules(nets) > 0
    rims = [
        [what for what, _, _ in rim] for kind, rim, of_end_or_hole in rims_of(nets) if of_end_or_hole and kind != "end"
    ]
    assert [sorted(rim) for rim in rims] == [["bare"] * 4 + ["tab"] * 2] * 2


def test_a_rim_of_three_edges_keeps_every_tab():
    part = one(PrismShape(3, 30.0))
    assert hold_to_the_rules(nets_of(part)) == 0
    assert [len(p.tabs) for p in nets_of(part).pieces] == [len(p.tabs) for p in nets_of(part, sparse=False).pieces]


@pytest.mark.parametrize(("side", "bare"), [(39.9, True), (40.1, False)])
def test_an_edge_of_more_than_40_mm_keeps_its_tab(side, bare):
    """Alone in its row: two such edges together are too long."""
    across = side * math.sqrt(3)  # of a hexagon with sides of that length
    assert (hold_to_the_rules(nets_of(one(PrismShape(6, across)))) > 0) == bare


@pytest.mark.parametrize(("side", "row"), [(19.9, 2), (20.1, 1)])
def test_two_edges_in_a_row_measure_no_more_than_40_mm(side, row):
    nets = nets_of(one(PrismShape(6, side * math.sqrt(3)), 30))
    rows = [
        len(list(run))
        for kind, rim, _ in rims_of(nets)
        if kind == "end"
        for what, run in groupby(what for what, _, _ in rim)
        if what == "bare"
    ]
    assert max(rows) == row


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
    faceted = facet(one(PrismShape(8, 40.0), 30), 1.0, FacetChoice())
    (block,) = join(faceted).blocks
    graph = build_face_graph(block.skin)
    ground = build_unfolded_layout(graph, unfold(graph, faceted.datum_direction, None))
    lid = next(k for k, f in enumerate(graph.faces) if f.kind == "end")
    (rim,) = graph.loops[lid]

    def state(edges):
        of = {h: e for e in edges for h in (e.carrier, e.target)}
        return [of.get(h) and ("bare" if of[h].bare else "tab" if of[h].shape else "butt") for h in rim]

    def turned(states):  # the hinge first
        at = states.index(None)
        return states[at:] + states[:at]

    plain = find_reduced_tabs(ground)
    assert turned(state(plain)) == [None, "bare", "bare", "tab", "bare", "bare", "tab", "bare"]
    hinge = state(plain).index(None)
    fails = rim[(hinge + 6) % 8]

    def failing(ground, bare=frozenset()):
        edges = find_tabs(ground, bare)
        for e in edges:
            if fails in (e.carrier, e.target):
                e.shape = None
        return edges

    monkeypatch.setattr(reduced_tabs, "find_tabs", failing)
    assert turned(state(find_reduced_tabs(ground))) == [None, "bare", "bare", "tab", "tab", "tab", "butt", "tab"]
    assert len([h for own in ground.pieces for h in all_folds(graph, own)]) == 9


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_the_numbers_that_are_printed_have_no_gaps_and_bare_edges_have_none(part):
    nets = nets_of(part, chord_error=2.5, min_sides=6)
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
        made = pipeline.make_model(part, pipeline.Choices(scale=1.0, quick=quick))
        return [b.get("bare") for p in json.loads(net_json(made.nets, made.sheets))["pieces"] for b in p["butts"]]

    assert True in flags(True)
    assert True not in flags(False)


def test_a_plate_with_long_flanks_keeps_their_tabs_and_spares_its_round_ends():
    part = one(Plate(hull=((0.0, 0.0, 20.0), (90.0, 0.0, 12.0))), 12)
    nets = nets_of(part, chord_error=2.5, min_sides=6)
    assert hold_to_the_rules(nets) > 0
    long = [what for kind, rim, _ in rims_of(nets) for what, _, length in rim if kind == "end" and length > 40]
    assert len(long) == 4 and "bare" not in long


def test_of_equal_choices_the_edges_with_most_room_hold():
    """The pin of a crank comes near the end of its web: the two tabs go to edges away from there, which have room for
    their numbers."""
    axes = (Axis("A"), Axis("B", (0.0, 12.5, 0.0)))
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 10.0), (0.0, 12.5, 8.0))), 0, 6)
    nets = nets_of(
        Part("p", axes, (web, Feature("pin", "B", Cylinder(11), 6, 20))), "fuse", chord_error=2.5, min_sides=6
    )
    piece, face = next((p.id, q) for p in nets.pieces for q in p.panels if q.holes)
    tabs = [(p.id, t) for p in nets.pieces for t in p.tabs]
    lines = [t.line for own, t in tabs if (own, t.panel) == (piece, face.id)]
    lines += [t.meets.line for _, t in tabs if (t.meets.piece, t.meets.panel) == (piece, face.id)]
    outer, opening = shapely.LinearRing(face.outline), shapely.LinearRing(face.holes[0])
    held = [shapely.LineString(line) for line in lines if opening.distance(shapely.LineString(line).centroid) < 1e-6]
    assert len(held) == 2
    corners = np.vstack((face.holes[0], face.holes[0][:1]))
    room = sorted(outer.distance(shapely.Point(m)) for m in (corners[1:] + corners[:-1]) / 2)
    assert min(outer.distance(line.centroid) for line in held) > room[0] + 0.5
