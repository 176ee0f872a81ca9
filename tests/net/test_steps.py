"""The order of building, told from small models whose order anyone can see."""

from collections import Counter
from math import cos, pi, sin

import numpy as np
import pytest

import parts
from foldsketch.assembly.sequence import _block_lid, _piece_lid, assembly_steps
from foldsketch.net.build import build_nets
from foldsketch.net.model import Fold, MatingEdge, Panel, Piece, Tab
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join


def built(part, rule="faces", **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    nets = build_nets(faceted, join(faceted, rule), 1.0)
    return nets, assembly_steps(nets)


def met_by(piece, number):
    """Kinds of the panels that tabs of that number meet."""
    return {piece.panel(t.meets.panel).kind for t in piece.tabs if t.number == number}


@pytest.mark.parametrize("shape", [PrismShape(4, 60.0), PrismShape(6, 50.0), Cylinder(60)], ids=str)
def test_a_box_is_seamed_then_one_end_is_glued_and_the_lid_last(shape):
    nets, steps = built(Part("p", (Axis("A"),), (Feature("box", "A", shape, 0, 40),)))
    (piece,) = nets.pieces
    assert [s.kind for s in steps] == ["cut", "glue"]
    cut, glue = steps
    assert (cut.piece, cut.tabs, glue.piece, glue.target_pieces, glue.tucked_tabs) == (piece.id, (), piece.id, (), ())
    assert sorted(glue.tabs) == sorted(t.number for t in piece.tabs)
    assert piece.panel(glue.closing_panel).kind == "end"
    where = {t.number: t.meets.panel for t in piece.tabs}
    order = [
        ("seam" if met_by(piece, n) == {"side"} else "lid" if where[n] == glue.closing_panel else "end")
        for n in glue.tabs
    ]
    n = len(piece.panels) - 3
    assert order == ["seam", *["end"] * n, *["lid"] * n]


def test_a_tube_is_put_in_before_the_lid_closes_over_it():
    nets, steps = built(parts.SLEEVE)
    tube = next(p for p in nets.pieces if not any(q.kind == "end" for q in p.panels))
    shell = next(p for p in nets.pieces if p is not tube)
    assert [(s.kind, s.piece) for s in steps] == [
        ("cut", tube.id),
        ("glue", tube.id),
        ("cut", shell.id),
        ("glue", shell.id),
        ("insert", shell.id),
        ("close", shell.id),
    ]
    seam, first, insert, close = (steps[k] for k in (1, 3, 4, 5))
    assert len(seam.tabs) == 1 and met_by(tube, seam.tabs[0]) == {"side"}
    assert (insert.target_pieces, close.target_pieces) == ((tube.id,), (tube.id,))
    assert (insert.newly_attached, close.newly_attached) == ((tube.id,), ()), (
        "the tube hangs in it already when the lid closes"
    )
    assert shell.panel(close.closing_panel).kind == "end"
    across = {t.number for t in tube.tabs if t.meets.piece == shell.id}
    at_lid = {t.number for t in tube.tabs if (t.meets.piece, t.meets.panel) == (shell.id, close.closing_panel)}
    own_lid = {t.number for t in shell.tabs if t.meets.panel == close.closing_panel}
    assert set(insert.tabs) == across - at_lid
    assert set(close.tabs) == at_lid | own_lid
    assert set(first.tabs) == {t.number for t in shell.tabs} - own_lid
    assert list(close.tabs) == [*sorted(own_lid), *sorted(at_lid)], "its own rim before the tube's"


def test_blocks_are_joined_as_soon_as_both_stand():
    nets, steps = built(parts.TWO_SPIGOTS)
    of_piece = {p.id: p.block for p in nets.pieces}
    told = [s.blocks if s.kind == "join" else of_piece[s.piece] for s in steps]
    assert told == [0, 0, 1, 1, (0, 1), 2, 2, (0, 2)]


def test_tabs_on_a_lid_that_carries_some_are_tucked_in():
    """Nothing can be pressed on behind them when it closes."""
    for part in parts.ALL:
        nets, steps = built(part)
        for s in steps:
            if s.closing_panel is None:
                assert s.tucked_tabs == ()
                continue
            piece = next(p for p in nets.pieces if p.id == s.piece)
            assert set(s.tucked_tabs) == {t.number for t in piece.tabs if t.panel == s.closing_panel}


@pytest.mark.parametrize("part", parts.ALL, ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_number_is_glued_once_after_both_its_pieces_are_cut(part, rule):
    nets, steps = built(part, rule)
    pieces = {p.id: p for p in nets.pieces}
    meets = {t.number: {p.id, t.meets.piece} for p in nets.pieces for t in p.tabs}
    cut, glued = [], []
    for s in steps:
        if s.kind == "cut":
            cut.append(s.piece)
        for n in s.tabs:
            assert meets[n] <= set(cut)
            assert s.piece in meets[n] and meets[n] <= {s.piece, *s.target_pieces}
        glued += s.tabs
    assert sorted(cut) == sorted(pieces)
    assert sorted(glued) == sorted(meets)
    for block in nets.blocks:
        own = [pieces[i] for i in cut if pieces[i].block == block.id]
        ends = [any(p.kind == "end" for p in piece.panels) for piece in own]
        assert ends == sorted(ends), "tubes first"


def crank(quick=True):
    """A journal, a web and a pin as one body: the journal on the web's lower face, the pin on its upper one."""
    axes = (Axis("A"), Axis("B", (30.0, 0.0, 0.0)))
    own = (
        Feature("journal", "A", Cylinder(24), 0, 30),
        Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (30.0, 0.0, 20.0))), 30, 42),
        Feature("pin", "B", Cylinder(22), 42, 70),
    )
    faceted = facet(Part("crank", axes, own), 1.0, FacetChoice(chord_error=2.5, min_sides=6))
    nets = build_nets(faceted, join(faceted, "fuse"), 1.0, sparse=quick)
    return nets, assembly_steps(nets)


def box_of(ends, folds, tabs=()):
    """A net of a wall, panel 0, and ends of so many corners; tabs: (the panel that carries it, the one it meets)."""
    corners = {k: [(cos(2 * pi * i / n), sin(2 * pi * i / n)) for i in range(n)] for k, n in ends.items()}
    panels = [Panel(0, np.zeros((4, 2)), (), "tube", "side", 0, np.eye(3), np.zeros(3))]
    for k, outline in corners.items():
        panels.append(Panel(k, np.array(outline) * 20, (), "tube", "end", k, np.eye(3), np.zeros(3)))
    line = ((0.0, 0.0), (1.0, 0.0))
    flaps = [
        Tab(n, own, np.zeros((4, 2)), line, MatingEdge("1", met, line), 1.0) for n, (own, met) in enumerate(tabs, 1)
    ]
    return Piece("1", 0, tuple(panels), tuple(Fold(pair, line, 1.0) for pair in folds), tuple(flaps))


def test_a_lid_is_an_end_with_nothing_hanging_on_it_and_no_tabs():
    """Of two ends the one with more corners; not where something hangs on it, not where it carries a tab."""
    alone = box_of({1: 8, 2: 6}, [(0, 1), (0, 2)])
    hung = box_of({1: 8, 2: 6, 3: 4}, [(0, 1), (0, 2), (1, 3)], [(3, 0)])
    carrying = box_of({1: 8, 2: 6}, [(0, 1), (0, 2)], [(1, 0)])
    assert [_piece_lid(p, Counter(), set()) for p in (alone, hung, carrying)] == [1, 2, 2]


def test_nor_is_it_what_a_tube_swings_in_with_or_walls_stand_on_where_another_end_will_do():
    alone = box_of({1: 8, 2: 6}, [(0, 1), (0, 2)])
    assert _piece_lid(alone, Counter(), {1}) == 2 and _piece_lid(alone, Counter(), {1, 2}) is None
    assert _piece_lid(alone, Counter({("1", 1): 2, ("1", 2): 1}), set()) == 2


def test_the_last_panel_of_a_block_is_rather_one_on_which_no_walls_stand():
    both = box_of({1: 8, 2: 6}, [(0, 1), (0, 2)], [(0, 1), (0, 2)])
    assert _block_lid([both], Counter()) == ("1", 1)
    assert _block_lid([both], Counter({("1", 1): 1})) == ("1", 2)


def test_a_step_names_only_what_is_glued_in_it_and_knows_what_was_apart():
    nets, steps = crank()
    of = {p.id: {q.feature for q in p.panels} for p in nets.pieces}
    meets = {t.number: {p.id, t.meets.piece} for p in nets.pieces for t in p.tabs}
    together = {i: {i} for i in of}
    for s in steps:
        if s.kind == "cut":
            continue
        assert set(s.target_pieces) == set().union(*(meets[n] for n in s.tabs)) - {s.piece}
        before = together[s.piece]
        assert set(s.newly_attached) == set(s.target_pieces) - before
        assert set(s.already_attached) == before - {s.piece} - set(s.target_pieces)
        assert set(s.also_attached) == set().union(*(together[i] for i in s.target_pieces)) - before - set(
            s.target_pieces
        )
        for group in [before.union(*(together[i] for i in s.target_pieces))]:
            together |= dict.fromkeys(group, group)
    assert together[steps[0].piece] == set(of), "in the end all hangs together"
    glued = [(s.kind, *sorted(set().union(*(of[i] for i in s.target_pieces)))) for s in steps if s.target_pieces]
    assert len(glued) == 2 and {names for _, *names in map(list, glued) for names in names} <= {"journal", "pin", "web"}
