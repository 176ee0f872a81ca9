"""Reduced tabs: what a quick model leaves out around its ends, read back from the nets alone."""

import json
import math
import random
from itertools import groupby, pairwise
from pathlib import Path

import networkx
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.assembly.build_warnings import tab_widths
from foldsketch.job import pipeline
from foldsketch.net.tabs import reduced_tabs
from foldsketch.net.tabs.cut_edges import build_unfolded_layout
from foldsketch.net.tabs.reduced_tabs import edges_needing_no_tab, find_reduced_tabs
from foldsketch.net.tabs.tab_search import find_tabs
from foldsketch.net.unfolding.flatten import all_folds
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.file.read import read_part
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.write.net_json import net_json
from nets import COARSE, coarsen_facets, finding, graph_of, nets_of, nets_or_reject, one, quick_model, some_examples
from strategies import parts as any_part
from strategies import random_part
from tab_rules import hold_to_the_rules, rims_of

SAMPLES = Path(__file__).parents[3] / "samples"


def reduced(part, rule="faces", **choice):
    return nets_of(part, rule, sparse=True, **choice)


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
@pytest.mark.parametrize("error", [0.5, 2.5])
def test_bare_edges_lie_by_twos_at_most_between_edges_that_hold(part, rule, error):
    assert hold_to_the_rules(reduced(part, rule, **(COARSE | {"chord_error": error}))) > 0


@pytest.mark.slow
@some_examples(60)
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["folded", "rolled"]))
def test_of_any_part_too(part, rule, walls):
    hold_to_the_rules(nets_or_reject(part, rule, sparse=True, walls=walls, **COARSE))


@pytest.mark.parametrize("seed", few([100069, 100255, 100335, 100632, 100690], 1))
def test_rims_on_most_of_which_no_tab_fits(seed):
    """Seeds of a long run; a bare edge once lay between the only two that held."""
    r = random.Random(seed)
    part, rule, walls = random_part(r), r.choice(["faces", "fuse"]), r.choice(["folded", "folded", "rolled"])
    hold_to_the_rules(reduced(part, rule, **COARSE, walls=walls))


@pytest.mark.slow
@some_examples(20)
@given(any_part())
def test_every_panel_hangs_on_the_rest_by_folds_and_glue_alone(part):
    """A block that holds together by folds, tabs and the edges on which no tab fits does so without the bare ones."""
    nets = nets_or_reject(part, sparse=True, **COARSE)
    held = networkx.Graph()
    held.add_nodes_from((p.id, q.id) for p in nets.pieces for q in p.panels)
    for p in nets.pieces:
        held.add_edges_from(((p.id, f.panels[0]), (p.id, f.panels[1])) for f in p.folds)
        glued = [*p.tabs, *(b for b in p.butts if not b.bare)]
        held.add_edges_from(((p.id, j.panel), (j.meets.piece, j.meets.panel)) for j in glued)
    every = held.copy()
    every.add_edges_from(
        ((p.id, b.panel), (b.meets.piece, b.meets.panel)) for p in nets.pieces for b in p.butts if b.bare
    )
    assert networkx.number_connected_components(held) == networkx.number_connected_components(every)


@pytest.mark.parametrize(
    ("sides", "lid"), [(4, 1), (5, 1), (6, 1), (7, 2), (8, 2), (9, 2), (10, 3), (11, 3), (12, 3), (13, 4)]
)
def test_a_lid_on_its_hinge_keeps_a_tab_after_every_two_bare_edges(sides, lid):
    """n - 1 edges beside the hinge: k tabs split them into k + 1 runs of two at most, so 3 k + 2 >= n - 1."""
    (piece,) = reduced(one(PrismShape(sides, 20.0), 30)).pieces
    ends = {p.id for p in piece.panels if p.kind == "end"}
    assert lid == math.ceil((sides - 3) / 3)
    for end in ends:
        assert sum(end in (t.panel, t.meets.panel) for t in piece.tabs) == lid
    assert len(piece.tabs) == 2 * lid + 1, "the seam has its tab"


@pytest.mark.parametrize("sides", [5, 7, 8, 10, 11, 13])
def test_the_bare_edges_of_a_lid_are_spread_evenly(sides):
    """Not one run of two beside the hinge and then a tab against it, where two runs of one would do."""
    (piece,) = reduced(one(PrismShape(sides, 20.0), 30)).pieces
    for kind, rim, _ in rims_of(reduced(one(PrismShape(sides, 20.0), 30))):
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
    nets = reduced(one(Ring(60, 26), 30, sides=sides))
    tube = next(p for p in nets.pieces if all(q.kind == "side" for q in p.panels))
    (body,) = (p for p in nets.pieces if p is not tube)
    between = [t for p in nets.pieces for t in p.tabs if {p.id, t.meets.piece} == {tube.id, body.id}]
    assert len(between) == 2 * tabs


def test_a_hole_in_a_wall_can_spare_tabs_too():
    """A cross bore of six sides comes out in the middle of a flat wall at both ends."""
    axes = (Axis("A"), Axis("D", point=(0.0, 0.0, 25.0), direction=(1.0, 0.0, 0.0)))
    block = Feature("p", "A", PrismShape(4, 40.0), 0, 50)
    nets = reduced(Part("p", axes, (block, Feature("hole", "D", Cylinder(18), -30, 30, cut=True, sides=6))))
    assert hold_to_the_rules(nets) > 0
    rims = [
        [what for what, _, _ in rim] for kind, rim, of_end_or_hole in rims_of(nets) if of_end_or_hole and kind != "end"
    ]
    assert [sorted(rim) for rim in rims] == [["bare"] * 4 + ["tab"] * 2] * 2


def test_a_rim_of_three_edges_keeps_every_tab():
    part = one(PrismShape(3, 30.0))
    assert hold_to_the_rules(reduced(part)) == 0
    assert [len(p.tabs) for p in reduced(part).pieces] == [len(p.tabs) for p in nets_of(part).pieces]


@pytest.mark.parametrize(("side", "bare"), [(39.9, True), (40.1, False)])
def test_an_edge_of_more_than_40_mm_keeps_its_tab(side, bare):
    """Alone in its row: two such edges together are too long."""
    across = side * math.sqrt(3)  # of a hexagon with sides of that length
    assert (hold_to_the_rules(reduced(one(PrismShape(6, across)))) > 0) == bare


@pytest.mark.parametrize(("side", "row"), [(19.9, 2), (20.1, 1)])
def test_two_edges_in_a_row_measure_no_more_than_40_mm(side, row):
    nets = reduced(one(PrismShape(6, side * math.sqrt(3)), 30))
    rows = [
        len(list(run))
        for kind, rim, _ in rims_of(nets)
        if kind == "end"
        for what, run in groupby(what for what, _, _ in rim)
        if what == "bare"
    ]
    assert max(rows) == row


@pytest.mark.parametrize("part", few(parts.ALL, 1), ids=lambda p: p.name)
def test_teeth_stay_as_they_are(part):
    thin, full = (nets_of(part, walls="rolled", sparse=s) for s in (True, False))

    def teeth(nets):
        numbers = [[t.number for t in p.tabs] for p in nets.pieces]
        return sorted(own.count(n) for own in numbers for n in set(own) if own.count(n) > 1)

    assert teeth(thin) == teeth(full)
    hold_to_the_rules(thin)


def test_where_no_tab_fits_nothing_is_left_out():
    """24 sides of 1.3 mm: none of their edges holds, so none has neighbours that do; all are reported as ever."""
    part = one(Cylinder(10), 20, sides=24)
    thin, full = reduced(part), nets_of(part)
    assert hold_to_the_rules(thin) == 0
    assert finding(thin, "no-tab-fits") == finding(full, "no-tab-fits")
    assert finding(thin, "no-tab-fits").value("count") > 0 and finding(thin, "no-tab-needed") is None


def test_where_one_tab_does_not_fit_its_neighbours_get_theirs(monkeypatch):
    """The search is made to fail on one edge of a lid that was to hold: both bare edges beside it come back."""
    graph, direction = graph_of(one(PrismShape(8, 40.0), 30))
    layout = build_unfolded_layout(graph, unfold(graph, direction, None))
    lid = next(k for k, f in enumerate(graph.faces) if f.kind == "end")
    (rim,) = graph.loops[lid]

    def state(edges):
        of = {h: e for e in edges for h in (e.carrier, e.target)}
        return [of.get(h) and ("bare" if of[h].bare else "tab" if of[h].shape else "butt") for h in rim]

    def turned(states):  # the hinge first
        at = states.index(None)
        return states[at:] + states[:at]

    plain = find_reduced_tabs(layout)
    assert turned(state(plain)) == [None, "bare", "bare", "tab", "bare", "bare", "tab", "bare"]
    hinge = state(plain).index(None)
    fails = rim[(hinge + 6) % 8]

    def failing(layout, bare=frozenset()):
        edges = find_tabs(layout, bare)
        for e in edges:
            if fails in (e.carrier, e.target):
                e.shape = None
        return edges

    monkeypatch.setattr(reduced_tabs, "find_tabs", failing)
    assert turned(state(find_reduced_tabs(layout))) == [None, "bare", "bare", "tab", "tab", "tab", "butt", "tab"]
    assert len([h for own in layout.pieces for h in all_folds(graph, own)]) == 9


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
def test_the_numbers_of_edges_have_no_gaps_and_those_of_bare_edges_are_not_printed(part):
    nets = reduced(part, **COARSE)
    glued = sorted({t.number for p in nets.pieces for t in p.tabs})
    bare = sorted(b.number for p in nets.pieces for b in p.butts if b.bare)
    assert glued == list(range(1, len(glued) + 1))
    assert bare == list(range(len(glued) + 1, len(glued) + 1 + len(bare)))
    printed = {
        int(m.text)
        for p in nets.pieces
        for m in p.marks
        if m.kind == "text" and m.text.isdecimal() and m.size <= 2.5 and not m.paths
    }
    assert not printed & set(bare)


@pytest.mark.parametrize("part", [parts.BORED, parts.HEX, parts.ROCKER], ids=lambda p: p.name)
def test_only_a_quick_model_has_bare_edges_and_its_net_file_says_which(part):
    def flags(quick):
        made = quick_model(part, pipeline.Choices(scale=1.0), quick)
        return [b.get("bare") for p in json.loads(net_json(made.nets, made.sheets))["pieces"] for b in p["butts"]]

    assert True in flags(True)
    assert True not in flags(False)


def test_a_plate_with_long_flanks_keeps_their_tabs_and_spares_its_round_ends():
    part = one(Plate(hull=((0.0, 0.0, 20.0), (90.0, 0.0, 12.0))), 12)
    nets = reduced(part, **COARSE)
    assert hold_to_the_rules(nets) > 0
    long = [what for kind, rim, _ in rims_of(nets) for what, _, length in rim if kind == "end" and length > 40]
    assert len(long) == 4 and "bare" not in long


def test_of_equal_choices_the_edges_with_most_room_hold():
    """The pin of a crank comes near the end of its web: the two tabs go to edges away from there, which have room for
    their numbers."""
    axes = (Axis("A"), Axis("B", (0.0, 12.5, 0.0)))
    web = Feature("web", "A", Plate(hull=((0.0, 0.0, 10.0), (0.0, 12.5, 8.0))), 0, 6)
    nets = reduced(Part("p", axes, (web, Feature("pin", "B", Cylinder(11), 6, 20))), "fuse", **COARSE)
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


CRANKS = ["double-throw-crank", "single-throw-crank", "lessons/5-double-throw-crank"]


@pytest.mark.parametrize("name", [*CRANKS, "offset-bore-sleeve"])
def test_tabs_of_two_rims_do_not_share_a_narrow_strip_where_others_are_free(name):
    """From both sides of a rim of 4 mm two tabs would have less than 2 mm each."""
    quick = pipeline.Choices(facets=coarsen_facets(FacetChoice()))
    made = quick_model(read_part(SAMPLES / f"{name}.toml")[0], quick)
    assert min(tab_widths([t for p in made.nets.pieces for t in p.tabs])) > 2.5


@pytest.mark.parametrize("sides", range(4, 14))
def test_no_choice_of_fewer_tabs_or_of_more_even_rows_would_do(sides):
    """Of the rim of a prism's end: compared with all choices of edges that hold, its fold among them."""
    graph, direction = graph_of(one(PrismShape(sides, 30.0), 30))
    folded = build_unfolded_layout(graph, unfold(graph, direction, None)).folded
    end = next(k for k, f in enumerate(graph.faces) if f.kind == "end")
    (rim,) = graph.loops[end]
    (fold,) = [k for k, h in enumerate(rim) if h in folded]
    most = min(2, int(40 / graph.length[rim[0]]))

    def rows(holding):
        at = sorted((k - fold) % sides for k in holding)
        return [b - a - 1 for a, b in pairwise([*at, sides])]

    choices = ({k for k in range(sides) if mask >> k & 1} for mask in range(1 << sides) if mask >> fold & 1)
    allowed = [rows(c) for c in choices if max(rows(c)) <= most]
    best = min((len(r), sum(x * x for x in r)) for r in allowed)
    bare = edges_needing_no_tab(graph, folded, rim)
    got = rows({k for k, h in enumerate(rim) if h not in bare})
    assert (len(got), sum(x * x for x in got)) == best
