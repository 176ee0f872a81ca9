"""Which panel is closed last: of a piece and of a block."""

from collections import Counter
from math import cos, pi, sin

import numpy as np

import parts
from foldsketch.assembly.lids import block_lid, ends_carrying_tube, piece_lid, tabs_standing_on
from foldsketch.net.model import Fold, MatingEdge, Panel, Piece, Tab
from nets import nets_of


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
    assert [piece_lid(p, Counter(), set()) for p in (alone, hung, carrying)] == [1, 2, 2]


def test_nor_is_it_what_a_tube_swings_in_with_or_walls_stand_on_where_another_end_will_do():
    alone = box_of({1: 8, 2: 6}, [(0, 1), (0, 2)])
    assert piece_lid(alone, Counter(), {1}) == 2 and piece_lid(alone, Counter(), {1, 2}) is None
    assert piece_lid(alone, Counter({("1", 1): 2, ("1", 2): 1}), set()) == 2


def test_the_last_panel_of_a_block_is_rather_one_on_which_no_walls_stand():
    both = box_of({1: 8, 2: 6}, [(0, 1), (0, 2)], [(0, 1), (0, 2)])
    assert block_lid([both], Counter()) == ("1", 1)
    assert block_lid([both], Counter({("1", 1): 1})) == ("1", 2)


def test_a_narrow_end_leaves_no_opening_for_a_stick():
    """The square of 2.8 mm has more tabs on none, and yet the wide side that carries one is closed last."""
    side = box_of({1: 4}, [(0, 1)], [(0, 1)])
    narrow = Panel(1, side.panels[1].outline / 10, (), "tube", "end", 1, np.eye(3), np.zeros(3))
    wide = Panel(
        0, np.array([(0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0)]), (), "tube", "side", 0, np.eye(3), np.zeros(3)
    )
    assert block_lid([Piece("1", 0, (wide, narrow), side.folds, side.tabs)], Counter()) == ("1", 0)


def test_where_nothing_is_glued_no_panel_is_closed_last():
    bare = box_of({1: 8}, [(0, 1)])
    assert block_lid([bare], Counter()) == ("1", None)
    assert block_lid([], Counter()) == ("", None)
    assert piece_lid(box_of({}, []), Counter(), set()) is None, "without ends"


def test_walls_that_stand_on_a_panel_are_counted_by_their_tabs():
    """In one body with its flange each spigot of eight sides stands on the upper end of the flange, by eight tabs."""
    pieces = nets_of(parts.TWO_SPIGOTS, "fuse", sides=8).pieces
    standing = tabs_standing_on(pieces)
    panels = {(p.id, q.id): q for p in pieces for q in p.panels}
    (flange,) = [k for k in standing if panels[k].kind == "end"]
    assert panels[flange].feature == "flange" and panels[flange].to_space[2, 2] > 0.99
    valleys = [t for p in pieces for t in p.tabs if t.angle < 0 and t.meets.piece != p.id]
    assert standing[flange] == len(valleys) > 0


def test_the_end_into_which_a_tube_is_set_is_no_lid_until_the_other_end_holds_it_too():
    """The tube of a sleeve between its two ends: set into one it would swing in with it; both ends hold it still."""
    shell = max(nets_of(parts.SLEEVE).pieces, key=lambda p: len(p.panels))
    tube = min(nets_of(parts.SLEEVE).pieces, key=lambda p: len(p.panels))
    ends = {p.id for p in shell.panels if p.kind == "end"}
    assert ends_carrying_tube(shell, [shell, tube], [tube.id]) == set()
    first = min(ends)
    half = Piece(tube.id, 0, tube.panels, tube.folds, tuple(t for t in tube.tabs if t.meets.panel == first), ())
    own = tuple(t for t in shell.tabs if t.meets.piece == shell.id)
    alone = Piece(shell.id, 0, shell.panels, shell.folds, own, ())
    assert ends_carrying_tube(alone, [alone, half], [tube.id]) == {first}
    assert ends_carrying_tube(alone, [alone, half], []) == set(), "it is not there yet"
    assert ends_carrying_tube(half, [alone, half], [shell.id]) == set(), "a tube has no ends"
