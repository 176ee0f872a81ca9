"""The order of building, on small models whose order anyone can see."""

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import parts
from examples import few
from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Plate, PrismShape
from nets import COARSE, nets_of, nets_or_reject, one, some_examples
from strategies import parts as any_part
from strategies import random_part


def built(part, rule="faces", **choice):
    nets = nets_of(part, rule, **choice)
    return nets, assembly_steps(nets)


def met_by(piece, number):
    """Kinds of the panels that tabs of that number meet."""
    return {piece.panel(t.meets.panel).kind for t in piece.tabs if t.number == number}


@pytest.mark.parametrize("shape", [PrismShape(4, 60.0), PrismShape(6, 50.0), Cylinder(60)], ids=str)
def test_a_box_is_seamed_then_one_end_is_glued_and_the_lid_last(shape):
    nets, steps = built(one(shape, 40))
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
    order = [s.blocks if s.kind == "join" else of_piece[s.piece] for s in steps]
    assert order == [0, 0, 1, 1, (0, 1), 2, 2, (0, 2)]


def test_tabs_on_a_lid_that_carries_some_are_tucked_in():
    """Nobody can press on them from behind when it closes."""
    for part in parts.ALL:
        nets, steps = built(part)
        for s in steps:
            if s.closing_panel is None:
                assert s.tucked_tabs == ()
                continue
            piece = next(p for p in nets.pieces if p.id == s.piece)
            assert set(s.tucked_tabs) == {t.number for t in piece.tabs if t.panel == s.closing_panel}


def every_number_is_glued_once_after_both_its_pieces_are_cut(nets):
    steps = assembly_steps(nets)
    pieces = {p.id: p for p in nets.pieces}
    meets = {t.number: {p.id, t.meets.piece} for p in nets.pieces for t in p.tabs}
    cut, glued = [], []
    for s in steps:
        if s.kind == "cut":
            cut.append(s.piece)
            continue
        for n in s.tabs:
            assert meets[n] <= set(cut)
            assert s.piece in meets[n] and meets[n] <= {s.piece, *s.target_pieces}
        block = pieces[s.piece].block
        if s.kind != "join":
            assert s.already_glued_tabs == tuple(n for n in glued if any(pieces[i].block == block for i in meets[n]))
        glued += s.tabs
    assert sorted(cut) == sorted(pieces)
    assert sorted(glued) == sorted(meets)
    joined = [s.blocks for s in steps if s.kind == "join"]
    assert sorted(joined) == sorted(j.blocks for j in nets.joints)


@pytest.mark.parametrize("part", few(parts.ALL), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_number_is_glued_once_after_both_its_pieces_are_cut(part, rule):
    nets, steps = built(part, rule)
    every_number_is_glued_once_after_both_its_pieces_are_cut(nets)
    pieces = {p.id: p for p in nets.pieces}
    for block in nets.blocks:
        own = [pieces[s.piece] for s in steps if s.kind == "cut" and pieces[s.piece].block == block.id]
        ends = [any(p.kind == "end" for p in piece.panels) for piece in own]
        assert ends == sorted(ends), "tubes first"


@pytest.mark.slow
@some_examples(20)
@given(any_part(), st.sampled_from(["faces", "fuse"]), st.booleans())
def test_of_any_part_too(part, rule, sparse):
    every_number_is_glued_once_after_both_its_pieces_are_cut(nets_or_reject(part, rule, sparse=sparse, **COARSE))


@pytest.mark.parametrize("seed", [2, 6, 26, 32, 33, 45])
def test_a_lid_stays_open_while_the_rest_is_glued_in_batches(seed):
    """No fold of it is bent by a batch before the step that closes it. Seeds of random bodies with such a lid."""
    nets, steps = built(random_part(random.Random(seed)), "fuse", chord_error=2.5)
    seen = 0
    for step in steps:
        earlier = [s for s in steps if s.piece == step.piece and s.kind == "glue"]
        if step.kind == "close" and step.closing_panel is not None and len(earlier) > 1:
            seen += 1
            own = next(p for p in nets.pieces if p.id == step.piece)
            folds = folds_to_bend(own, (n for s in earlier for n in s.tabs))
            assert not any(step.closing_panel in pair for pair in folds)
    assert seen


def test_a_block_without_pieces_has_no_steps():
    nets = nets_of(one(Cylinder(50)))
    assert assembly_steps(replace(nets, pieces=(), joints=())) == []


def crank():
    """A journal, a web and a pin as one body: the journal on the web's lower face, the pin on its upper one."""
    axes = (Axis("A"), Axis("B", (30.0, 0.0, 0.0)))
    own = (
        Feature("journal", "A", Cylinder(24), 0, 30),
        Feature("web", "A", Plate(hull=((0.0, 0.0, 20.0), (30.0, 0.0, 20.0))), 30, 42),
        Feature("pin", "B", Cylinder(22), 42, 70),
    )
    return built(Part("crank", axes, own), "fuse", sparse=True, **COARSE)


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


@pytest.mark.parametrize("part", few(parts.ALL, 1), ids=lambda p: p.name)
@pytest.mark.parametrize("rule", ["faces", "fuse"])
def test_every_taped_edge_is_taped_once(part, rule):
    """And every joint has its step, after both of its blocks."""
    nets, steps = built(part, rule, hold="tape")
    taped = [b.number for p in nets.pieces for b in p.butts if b.strips]
    assert sorted(n for s in steps for n in s.tabs) == sorted(taped)
    assert [s.blocks for s in steps if s.kind == "join"] == sorted((j.blocks for j in nets.joints), key=max)


def test_what_stands_on_tongues_comes_first_and_goes_on_while_the_net_is_flat():
    """Both spigots are built; then the flange is cut out, they go on, and only then it is folded up."""
    nets, steps = built(parts.TWO_SPIGOTS, sparse=True, sides=8, open_feet=True, tongues=True)
    name = {p.id: p.panels[0].feature for p in nets.pieces}
    order = [(s.kind, name[s.piece]) for s in steps]
    assert order == [
        *(("cut", "inlet"), ("glue", "inlet"), ("cut", "outlet"), ("glue", "outlet")),
        *(("cut", "flange"), ("join", "flange"), ("join", "flange"), ("glue", "flange")),
    ]
    glued, _ = built(parts.TWO_SPIGOTS, sparse=True, sides=8, open_feet=True)
    assert [s.kind for s in assembly_steps(glued)][-1] == "join", "glued feet go on at the end"


@pytest.mark.slow
@some_examples(15)
@given(any_part(), st.sampled_from(["glue", "tape"]))
def test_every_tongue_can_be_pushed_through_before_its_net_is_folded(part, hold):
    nets = nets_or_reject(part, sparse=True, sides=8, open_feet=True, tongues=True, hold=hold)
    steps = assembly_steps(nets)
    assert len([s for s in steps if s.kind == "join"]) == len(nets.joints)
    first_fold = {}
    for k, s in enumerate(steps):
        if s.kind != "cut" and s.kind != "join":
            for piece in (s.piece, *s.target_pieces):
                first_fold.setdefault(piece, k)
    for p in nets.pieces:
        for t in p.tabs:
            if t.slit:
                joint = nets.joints[t.joint]
                on = next(k for k, s in enumerate(steps) if s.blocks == joint.blocks)
                assert on < first_fold.get(t.meets.piece, len(steps))
                assert all(
                    k < on for k, s in enumerate(steps) if s.piece == p.id and s.kind in ("cut", "glue", "close")
                )
