"""Halves of signs: two on every seam that could be doubted, together one whole sign, never the same in one net."""

from collections import Counter, defaultdict
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given

import parts
from examples import few
from foldsketch.job import pipeline
from foldsketch.net.marks.seam_signs import MAX_DOUBTED_SEAMS
from foldsketch.part.file.read import read_part
from nets import nets_or_reject, quick_model, some_examples
from on_paper import shape
from strategies import parts as any_part

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


def in_space(panel, path):
    return np.array(path) @ panel.to_space[:, :2].T + panel.origin


def look(m):
    """What a sign looks like whatever its size: how many shapes, and the corners of one."""
    return len(m.paths), len(m.paths[0])


def signs_of(nets):
    return [(p, p.panel(m.panel), m) for p in nets.pieces for m in p.marks if m.kind == "sign"]


def check_signs(nets):
    """Every half has its other half where it is in the folded model, alike; and no two seams of a net are alike."""
    found = signs_of(nets)
    at = defaultdict(list)
    for piece, panel, m in found:
        at[tuple(np.round(in_space(panel, [m.at])[0], 3) + 0.0)].append((piece, panel, m))
    for halves in at.values():
        assert len(halves) == 2, "the two halves meet"
        (one, p, m), (other, q, n) = halves
        assert look(m) == look(n)
        assert one is not other or p is not q or m is not n
    seams = Counter()
    for halves in at.values():
        for name in {piece.id for piece, _, _ in halves}:
            seams[name, look(halves[0][2])] += 1
    assert not [key for key, count in seams.items() if count > 1]
    return found


@pytest.mark.parametrize("name", few(SAMPLES, 1))
def test_both_halves_meet_and_no_two_seams_of_a_net_are_alike(name):
    made = quick_model(read_part(SAMPLES[name])[0], pipeline.Choices())
    found = check_signs(made.nets)
    numbered = any(t.label_size for p in made.nets.pieces for t in p.tabs)
    assert bool(found) != numbered, "signs or numbers, not both"
    for piece, panel, m in found:
        for path in m.paths:
            assert shape(panel).buffer(0.02).contains(shapely.Polygon(path)), (piece.id, m)
        edges = [shapely.LineString(t.line) for t in (*piece.tabs, *piece.butts) if t.panel == panel.id]
        edges += [
            shapely.LineString(t.meets.line)
            for p in made.nets.pieces
            for t in (*p.tabs, *p.butts)
            if (t.meets.piece, t.meets.panel) == (piece.id, panel.id)
        ]
        assert min(e.distance(shapely.Point(m.at)) for e in edges) < 1e-6, "the flat side is on the edge"
    assert max(Counter(p.id for p, _, _ in found).values(), default=0) <= 2 * MAX_DOUBTED_SEAMS


def test_all_of_a_seam_that_could_be_doubted_is_signed():
    """Walls are joined to walls, and nets to nets: each such pair has a sign; a lid on its own net has none."""
    made = quick_model(parts.TWO_SPIGOTS, pipeline.Choices())
    wanted = set()
    for p in made.nets.pieces:
        for t in p.tabs:
            if t.joint is None and (p.id != t.meets.piece or p.panel(t.panel).kind == p.panel(t.meets.panel).kind):
                wanted.add(frozenset(((p.id, t.panel), (t.meets.piece, t.meets.panel))))
    signed = defaultdict(set)
    for p, panel, m in signs_of(made.nets):
        signed[tuple(np.round(in_space(panel, [m.at])[0], 3) + 0.0)].add((p.id, panel.id))
    assert {frozenset(pair) for pair in signed.values()} == wanted
    assert wanted


def test_with_every_tab_there_are_numbers():
    made = pipeline.make_model(parts.TWO_SPIGOTS, pipeline.Choices(minutes=None))
    assert not signs_of(made.nets)
    assert any(t.label_size for p in made.nets.pieces for t in p.tabs)


@pytest.mark.slow
@some_examples(25)
@given(any_part())
def test_signs_of_any_part_meet(part):
    check_signs(nets_or_reject(part, sparse=True))
