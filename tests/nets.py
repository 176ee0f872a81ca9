"""Nets and graphs of parts, as the tests of net and assembly need them, and what is measured on them."""

from dataclasses import replace

import numpy as np
import shapely
from hypothesis import HealthCheck, reject

from examples import examples
from foldsketch.base.card import NO_CARD
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.pipeline import make_model
from foldsketch.net.build import build_nets
from foldsketch.net.unfolding.face_graph import build_face_graph
from foldsketch.part.model import Axis, Feature, Part
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.skin import combine_skins

COARSE = {"chord_error": 2.5, "min_sides": 6}
"""Faceting of a quick model, nearly."""


def some_examples(count):
    """Settings of a Hypothesis test that builds a model for every example."""
    return examples(count, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])


def nets_of(
    part,
    rule="faces",
    scale=1.0,
    page=None,
    sparse=False,
    card=NO_CARD,
    hold="glue",
    open_feet=False,
    tongues=False,
    **choice,
):
    faceted = facet(part, scale, FacetChoice(**choice))
    feet = {"open_feet": open_feet, "tongues": tongues}
    return build_nets(faceted, join(faceted, rule), scale, page, card=card, sparse=sparse, hold=hold, **feet)


def nets_or_reject(part, *args, **choice):
    """The nets of a random part; an example that is refused does not count."""
    try:
        return nets_of(part, *args, **choice)
    except FoldsketchError:
        reject()


def graph_of(part, rule="fuse", **choice):
    """The graph of all blocks of a part, and its datum direction."""
    faceted = facet(part, 1.0, FacetChoice(**choice))
    rolled = frozenset(p.index for p in faceted.prisms if p.rolled)
    graph = build_face_graph(combine_skins([b.skin for b in join(faceted, rule).blocks]), rolled)
    return graph, faceted.datum_direction


def one(shape, length=20.0, **more):
    """A part of one feature, named p."""
    return Part("p", (Axis("A"),), (Feature("p", "A", shape, 0, length, **more),))


def shape_of(panel):
    """A panel or tab on paper, by shapely."""
    return shapely.Polygon(panel.outline, getattr(panel, "holes", ()))


def in_space(panel, points):
    """Points of a panel's paper (n, 2) or (2,) in space, as the net says."""
    return np.asarray(points) @ panel.to_space[:, :2].T + panel.origin


def finding(nets, code):
    """The one finding of a kind, or None."""
    found = [f for f in nets.findings if f.code == code]
    assert len(found) <= 1
    return found[0] if found else None


def coarsen_facets(choice):
    """A choice with six sides on a diameter, or as many as keep within 2.5 mm of it."""
    return replace(choice, chord_error=max(choice.chord_error, 2.5), min_sides=6)


def quick_model(part, choices=None, quick=True):
    """A model without details and shown bores, and without the tabs that can be spared; everything if not quick."""
    return make_model(part, choices, level="no shown bores" if quick else "all", spare_tabs=quick)
