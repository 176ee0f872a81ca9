"""Free places for thumbnails: clear of nets, captions and each other, on the page."""

import math
from pathlib import Path

import pytest
import shapely

from examples import few
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.caption import place_caption, quarter_turns
from foldsketch.sheet.layout.paper import (
    parse_paper,
    printable_origin,
    printable_size,
)
from foldsketch.sheet.layout.thumbnail_positions import find_thumbnail_positions
from foldsketch.sheet.page.thumbnails import build_thumbnail

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


@pytest.fixture(scope="module", params=few(SAMPLES, 1))
def made(request):
    return pipeline.make_model(read_part(SAMPLES[request.param])[0])


def placed_shapes(nets, sheet, page):
    """Nets with their openings filled, and captions, on the page."""
    pieces = {p.id: p for p in nets.pieces}
    for placed in sheet.placed:
        piece = pieces[placed.piece]
        x, y, w, h = place_caption(piece, page, quarter_turns(placed.angle)).box
        loops = [shapely.Polygon(p.outline) for p in piece.panels] + [shapely.Polygon(t.outline) for t in piece.tabs]
        net = shapely.union_all(loops, grid_size=1e-6)
        net = shapely.affinity.rotate(net, math.degrees(placed.angle), origin=(0, 0))
        for shape in (net, shapely.box(x, y, x + w, y + h)):
            yield shapely.affinity.translate(shape, *placed.shift)


def test_boxes_keep_clear(made):
    page = printable_size(parse_paper("A4"))
    x0, y0 = printable_origin()
    area = shapely.box(x0 - 1e-6, y0 - 1e-6, x0 + page[0] + 1e-6, y0 + page[1] + 1e-6)
    pieces = {p.id: p for p in made.nets.pieces}
    size = build_thumbnail(made.nets).box
    found = 0
    for sheet in made.sheets:
        places = find_thumbnail_positions(sheet, pieces, size)
        boxes = [shapely.box(x, y, x + size[0], y + size[1]) for (x, y), _ in places.values()]
        found += len(boxes)
        shapes = list(placed_shapes(made.nets, sheet, page))
        for k, box in enumerate(boxes):
            assert area.covers(box)
            assert min(box.distance(s) for s in shapes) > 0.8
            assert all(box.distance(other) > 1 for other in boxes[:k])
    assert found >= 0.5 * len(pieces), "most nets have one"


def test_a_picture_larger_than_the_page_has_no_place(made):
    pieces = {p.id: p for p in made.nets.pieces}
    assert find_thumbnail_positions(made.sheets[0], pieces, (250.0, 20.0)) == {}
