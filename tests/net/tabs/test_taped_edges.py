"""Tape: which edges it holds, and where its strips go."""

from itertools import groupby, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.net.tabs.reduced_tabs import held_foot_edges
from foldsketch.net.tabs.taped_edges import tape_strips
from nets import finding, nets_of, nets_or_reject, one, some_examples
from strategies import parts as any_part
from tab_rules import rims_of

lengths = st.floats(0.1, 500)


@given(lengths)
def test_no_more_than_40_mm_of_an_edge_stay_open(length):
    """Strips of 12 mm, the narrowest office tape [C], one by one along the edge; a short edge has one all along it."""
    strips = tape_strips(length)
    ends = [0.0, *(x for strip in strips for x in strip), length]
    assert ends == sorted(ends)
    assert max(b - a for a, b in list(pairwise(ends))[::2]) <= 40 + 1e-9
    assert all(b - a == pytest.approx(12) for a, b in strips) or (length <= 14 and len(strips) == 1)


@given(lengths)
def test_no_strip_could_be_spared(length):
    """With one fewer, somewhere more than 40 mm would be open: n strips of 12 leave n + 1 gaps."""
    spared = len(tape_strips(length)) - 1
    assert spared == 0 or length - 12 * spared > 40 * (spared + 1)


@given(st.lists(st.floats(1, 200), min_size=3, max_size=24))
def test_a_block_is_held_on_three_sides_or_more_with_none_of_two_neighbours_bare(sides):
    held = held_foot_edges(sides)
    assert len(held) >= 3
    assert all(k in held or (k + 1) % len(sides) in held for k in range(len(sides)))
    assert all(k in held for k, side in enumerate(sides) if side > 40)


def taped_by_the_rules(nets):
    """No tab; every cut edge is taped or bare; around ends and holes no three bare edges in a row, none elsewhere."""
    assert nets.checks.passed(), nets.checks
    assert nets.hold == "tape" and not any(p.tabs for p in nets.pieces)
    butts = [b for p in nets.pieces for b in p.butts]
    assert all(b.bare != (b.strips > 0) for b in butts)
    assert sorted(b.number for b in butts) == list(range(1, len(butts) + 1))
    for kind, rim, of_end_or_hole in rims_of(nets):
        whats = [what for what, _, _ in rim]
        assert set(whats) <= {"fold", "butt", "bare"}
        if "bare" not in whats or not of_end_or_hole:
            assert "bare" not in whats or kind == "side"
            continue
        first = next(k for k, what in enumerate(whats) if what != "bare")
        for what, run in groupby([*rim[first:], *rim[:first]], key=lambda edge: edge[0]):
            row = [length for _, _, length in run] if what == "bare" else []
            assert len(row) <= 2 and sum(row) <= 40 + 1e-6
    note = finding(nets, "no-tape-needed")
    assert (note.value("count") if note else 0) == sum(b.bare for b in butts)
    assert finding(nets, "no-tab-fits") is None


@pytest.mark.parametrize("part", few(parts.ALL, 1), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_edge_is_taped_or_held_by_its_neighbours(part, rule):
    nets = nets_of(part, rule, hold="tape")
    taped_by_the_rules(nets)
    assert len(nets.joints) == len([j for j in nets.joints if len(j.taped) >= 3])


@pytest.mark.slow
@some_examples(40)
@given(any_part(), st.sampled_from(["faces", "fuse"]))
def test_of_any_part_too(part, rule):
    taped_by_the_rules(nets_or_reject(part, rule, hold="tape"))


def test_the_tape_of_a_cube_of_40_mm():
    """Seven cut edges: the seam, and three at either end, of which the one opposite the hinge suffices: beside it one
    bare edge of 40 mm, which the hinge holds at its other end."""
    from foldsketch.part.model import PrismShape

    (piece,) = nets_of(one(PrismShape(4, 40.0), 40), hold="tape").pieces
    assert sorted(b.strips for b in piece.butts) == [0, 0, 0, 0, 1, 1, 1]


def test_glue_keeps_its_tabs():
    glued = nets_of(parts.BORED)
    assert glued.hold == "glue" and not any(b.strips for p in glued.pieces for b in p.butts)
    assert not any(j.taped for j in glued.joints)
