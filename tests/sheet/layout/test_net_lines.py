"""Lines of a net: every cut once."""

import math
from itertools import pairwise

import pytest
import shapely

import parts
from foldsketch.net.build import build_nets
from foldsketch.sheet.layout.net_lines import cut_paths
from foldsketch.sheet.layout.paper import (
    parse_paper,
    printable_size,
)
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join

A4 = parse_paper("A4")

ROUNDED_MM = 2 * (2 * math.tan(math.radians(60)) - math.radians(120)) * 2.2
"""By how much two corners of radius 2.2 mm shorten the way round a tab whose corners turn by 120 degrees at most."""


def nets_of(part, scale=1.0, page=None, rule="faces"):
    faceted = facet(part, scale, FacetChoice())
    return build_nets(faceted, join(faceted, rule), scale, page or printable_size(A4))


def lengths(path):
    return sum(math.dist(a, b) for a, b in pairwise(path))


@pytest.mark.parametrize("part", [parts.BORED, parts.CROSS, parts.HEX], ids=lambda p: p.name)
def test_scissors_follow_the_outline_once(part):
    """The cut paths are the border of panels and tabs together, holes included, and nothing twice."""
    for piece in nets_of(part).pieces:
        paths = cut_paths(piece, lambda points: points)
        drawn = sum(lengths(p) for p in paths)
        whole = shapely.union_all(
            [shapely.Polygon(p.outline, p.holes) for p in piece.panels]
            + [shapely.Polygon(t.outline) for t in piece.tabs],
            grid_size=1e-6,
        )
        assert drawn == pytest.approx(
            whole.length, abs=0.05 + ROUNDED_MM * len(piece.tabs) + 2 * sum(math.dist(*b.line) for b in piece.butts)
        )
