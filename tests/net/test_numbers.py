"""Edge numbers stand on the panel that they belong to, or are left out and told; never beside it on a tab."""

import re
from collections import Counter

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import parts
from foldsketch.base.findings import FoldsketchError
from foldsketch.net.build import build_nets
from foldsketch.part.model import Axis, Feature, Part, Ring
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from strategies import parts as any_part


def nets_of(part, scale=1.0, rule="faces", **choice):
    faceted = facet(part, scale, FacetChoice(**choice))
    return build_nets(faceted, join(faceted, rule), scale)


def washer(sides=None):
    """Nowhere broader than half a millimetre."""
    return Part("p", (Axis("A"),), (Feature("washer", "A", Ring(40, 39), 0, 0.5, sides=sides),))


def on_panels(nets):
    for piece in nets.pieces:
        shapes = {p.id: shapely.Polygon(p.outline, p.holes).buffer(1e-6) for p in piece.panels}
        for m in piece.marks:
            if re.fullmatch(r"\d+", m.text) and m.panel is not None:
                assert shapes[m.panel].contains(shapely.Point(m.at)), (piece.id, m)


def test_a_panel_too_narrow_for_its_numbers_bears_none_and_it_is_told():
    nets = nets_of(washer(sides=8))
    assert not [m for q in nets.pieces for m in q.marks if m.panel is not None and re.fullmatch(r"\d+", m.text)]
    assert any(f.where == "marks" and "found no room" in f.what for f in nets.findings)


@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.too_slow])
@given(any_part(), st.sampled_from([0.1, 0.2, 1.0]), st.sampled_from(["folded", "rolled"]))
def test_numbers_of_any_part_stand_on_their_panels(part, scale, walls):
    try:
        nets = nets_of(part, scale, walls=walls)
    except FoldsketchError:
        return
    on_panels(nets)


def test_butt_edges_of_one_rim_are_named_once():
    """On a washer of wire the teeth find no room: every one is butt, and those of a rim bear one number."""
    nets = nets_of(washer(), walls="rolled")
    told = next(f.what for f in nets.findings if "no tab fits" in f.what)
    numbers = re.search(r"\(([\d, ]+)", told)[1].split(", ")
    assert len(numbers) == len(set(numbers)) < len([b for p in nets.pieces for b in p.butts])


def test_a_rims_number_moves_along_the_rim_to_where_there_is_room():
    """At half scale the bore of the sleeve stands in the way of its rim's number: it goes to another tooth, upright on
    its panel, as far from the nearest edge as numbers are set."""
    faceted = facet(parts.OFFSET_SLEEVE, 0.5, FacetChoice(walls="rolled"))
    nets = build_nets(faceted, join(faceted), 0.5)
    assert not [f for f in nets.findings if "edge number" in f.what]
    rims = {n for p in nets.pieces for n, k in Counter(t.number for t in p.tabs).items() if k > 1}
    assert rims
    for number in rims:
        teeth = [t for p in nets.pieces for t in p.tabs if t.number == number]
        target = next(p for p in nets.pieces if p.id == teeth[0].meets.piece)
        edges = shapely.MultiLineString([t.meets.line for t in teeth])
        printed = [m for m in target.marks if m.text == str(number) and m.panel == teeth[0].meets.panel]
        assert printed
        assert edges.distance(shapely.Point(printed[0].at)) == pytest.approx(1.975, abs=0.3)
