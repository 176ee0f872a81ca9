"""The rules of reduced tabs, read back from nets: what every edge is, and what may be bare."""

import math
from itertools import groupby, pairwise

from nets import finding


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
    note = finding(nets, "no-tab-needed")
    assert (note.value("count") if note else 0) == bare
    wanting = sum(not b.bare for p in nets.pieces for b in p.butts)
    assert sum(f.value("count") for f in nets.findings if f.code == "no-tab-fits") == wanting
    return bare
