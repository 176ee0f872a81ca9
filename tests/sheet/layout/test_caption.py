"""Captions: near their own net."""

from pathlib import Path

import pytest
import shapely

from examples import few
from foldsketch.net.build import build_nets
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.caption import place_caption, quarter_turns
from foldsketch.sheet.layout.pack import pack
from foldsketch.sheet.layout.paper import (
    parse_paper,
    printable_size,
)
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join

A4 = parse_paper("A4")


SAMPLES = [read_part(p)[0] for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))]


def nets_of(part, scale=1.0, page=None, rule="faces"):
    faceted = facet(part, scale, FacetChoice())
    return build_nets(faceted, join(faceted, rule), scale, page or printable_size(A4))


@pytest.mark.parametrize("part", few(SAMPLES), ids=lambda p: p.name)
def test_a_caption_stands_near_its_own_net(part):
    """With nets nested into each other it would else be taken for that of a neighbour."""
    pieces = {p.id: p for p in nets_of(part).pieces}
    for placed in (p for sheet in pack(list(pieces.values()), A4) for p in sheet.placed):
        piece, quarter = pieces[placed.piece], quarter_turns(placed.angle)
        x, y, w, h = place_caption(piece, printable_size(A4), quarter).box
        net = shapely.union_all([shapely.Polygon(p.outline) for p in piece.panels], grid_size=1e-6)
        net = shapely.affinity.rotate(net, 90 * quarter, origin=(0, 0))
        assert net.distance(shapely.box(x, y, x + w, y + h)) < 23
