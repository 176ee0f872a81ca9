"""Nets that fit the page: whole where it lets them, else cut at folds and joined again where they fit."""

import numpy as np
import pytest

import parts
from foldsketch.net.unfolding.unfold import unfold
from foldsketch.part.model import Axis, Cylinder, Feature, Part
from nets import graph_of, nets_of


def extent(piece):
    corners = np.concatenate([p.outline for p in piece.panels])
    return np.ptp(corners, axis=0)


@pytest.mark.parametrize("turned", [False, True])
def test_a_net_that_just_fits_the_page_with_8_mm_for_tabs_stays_whole(turned):
    (whole,) = nets_of(parts.HEX.with_features(parts.HEX.features[:1])).pieces
    w, h = (extent(whole) + 16.0).tolist()
    for shrink, pieces in ((0.01, 1), (-0.5, 2)):
        for part_w, part_h in ((w + shrink, h + 0.01), (w + 0.01, h + shrink)):
            page = (part_h, part_w) if turned else (part_w, part_h)
            made = nets_of(parts.HEX.with_features(parts.HEX.features[:1]), page=page)
            assert (len(made.pieces) == 1) == (pieces == 1), page
            assert made.checks.passed()
            for p in made.pieces:
                a, b = sorted(extent(p) + 16.0)
                assert a <= min(page) + 1e-6 and b <= max(page) + 1e-6


def test_parts_of_a_net_too_large_are_hung_together_again_where_they_fit():
    """A strip of 283 mm on a page of 160: two halves would do and the ends hang on them: no scrap is left over."""
    made = nets_of(Part("p", (Axis("A"),), (Feature("disc", "A", Cylinder(90), 0, 12),)), page=(160.0, 160.0))
    assert made.checks.passed()
    assert len(made.pieces) <= 4
    walls = [p for p in made.pieces if sum(q.kind == "side" for q in p.panels) > 1]
    assert len(walls) == 2, "pi d + 16 is less than twice the page"


@pytest.mark.parametrize("part", [parts.INTERLOCKED, parts.TWO_SPIGOTS, parts.ROCKER], ids=lambda p: p.name)
@pytest.mark.parametrize("page", [(150.0, 110.0), (90.0, 130.0), (40.0, 40.0)])
def test_pieces_hold_every_face_once_and_fit_if_their_faces_do(part, page):
    """A face larger than the page is a piece by itself."""
    g, direction = graph_of(part)
    pieces = unfold(g, direction, page)
    assert sorted(f for p in pieces for f in p.place) == list(range(g.count))
    for p in pieces:
        z = np.array([r * g.flat[h] + t for f, (r, t) in p.place.items() for h in g.loops[f][0]])
        w, h = np.ptp(z.real) + 16.0, np.ptp(z.imag) + 16.0
        assert len(p.place) == 1 or (min(w, h) <= min(page) + 1e-9 and max(w, h) <= max(page) + 1e-9)


def test_an_end_never_joins_two_sides():
    """Such nets overlap from a dozen sides up; here the strip is cut in four and each end hangs on one side alone."""
    g, direction = graph_of(parts.part([Feature("disc", "A", Cylinder(90), 0, 12)]), sides=16)
    for piece in unfold(g, direction, (110.0, 110.0)):
        for f in piece.place:
            if g.faces[f].kind == "end":
                joined = [h for h in piece.tree.values() if f in (g.face[h], g.across(h))]
                assert len(joined) <= 1
