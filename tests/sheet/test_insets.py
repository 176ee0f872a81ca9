"""Insets: every picture keeps clear of nets, words and the other pictures, and shows its own net where it stands."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from foldsketch.base.drawing import Layer, Text
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.caption import place_caption
from foldsketch.sheet.layout.inset_spots import find_thumbnail_positions
from foldsketch.sheet.layout.paper import (
    FOOTER_HEIGHT_MM,
    PRINTER_MARGIN_MM,
    parse_paper,
    printable_origin,
    printable_size,
)
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.sheet.page.thumbnails import VIEW_AZIMUTH_RAD, VIEW_ELEVATION_RAD, build_thumbnail

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))}


@pytest.fixture(scope="module", params=SAMPLES)
def made(request):
    return pipeline.make_model(read_part(SAMPLES[request.param])[0])


def placed_shapes(nets, sheet, page):
    """Nets with their openings filled, and captions, on the page."""
    pieces = {p.id: p for p in nets.pieces}
    for placed in sheet.placed:
        piece = pieces[placed.piece]
        x, y, w, h = place_caption(piece, page).box
        loops = [shapely.Polygon(p.outline) for p in piece.panels] + [shapely.Polygon(t.outline) for t in piece.tabs]
        net = shapely.union_all(loops, grid_size=1e-6)
        for shape in (net, shapely.box(x, y, x + w, y + h)):
            turned = shapely.affinity.rotate(shape, math.degrees(placed.angle), origin=(0, 0))
            yield shapely.affinity.translate(turned, *placed.shift)


def test_boxes_keep_clear(made):
    page = printable_size(parse_paper("A4"))
    x0, y0 = printable_origin()
    area = shapely.box(x0 - 1e-6, y0 - 1e-6, x0 + page[0] + 1e-6, y0 + page[1] + 1e-6)
    pieces = {p.id: p for p in made.nets.pieces}
    size = build_thumbnail(made.nets).box
    found = 0
    for sheet in made.sheets:
        places = find_thumbnail_positions(sheet, pieces, size)
        boxes = [shapely.box(x, y, x + size[0], y + size[1]) for x, y in places.values()]
        found += len(boxes)
        shapes = list(placed_shapes(made.nets, sheet, page))
        for k, box in enumerate(boxes):
            assert area.covers(box)
            assert min(box.distance(s) for s in shapes) > 0.8
            assert all(box.distance(other) > 1 for other in boxes[:k])
    assert found >= 0.5 * len(pieces), "most nets have one"


def test_every_line_stays_in_its_box(made):
    shown = build_thumbnail(made.nets)
    for piece in made.nets.pieces:
        for item in shown.inset(piece, (10.0, 20.0)):
            points = np.array(item.points if hasattr(item, "points") else [item.at])
            assert (points > (10 - 1e-6, 20 - 1e-6)).all()
            assert (points < (10 + shown.box[0] + 1e-6, 20 + shown.box[1] + 1e-6)).all()


def test_a_net_is_shown_where_it_stands(made):
    """The grey of a net lies where its panels are projected to, by plain vectors here, within the picture of all."""
    look = np.array(
        [
            [-math.sin(VIEW_AZIMUTH_RAD), math.cos(VIEW_AZIMUTH_RAD), 0.0],
            [
                -math.sin(VIEW_ELEVATION_RAD) * math.cos(VIEW_AZIMUTH_RAD),
                -math.sin(VIEW_ELEVATION_RAD) * math.sin(VIEW_AZIMUTH_RAD),
                math.cos(VIEW_ELEVATION_RAD),
            ],
        ]
    )

    def seen(piece):
        return np.concatenate([(p.outline @ p.to_space[:, :2].T + p.origin) @ look.T for p in piece.panels])

    everything = np.concatenate([seen(p) for p in made.nets.pieces])
    low, span = everything.min(axis=0), np.ptp(everything, axis=0)
    shown = build_thumbnail(made.nets)
    scale = shown.size[0] / span[0]
    for piece in made.nets.pieces:
        outline, (a, b), _, _ = shown.pieces[piece.id]
        grey, own = outline[a:b], (seen(piece) - low) * scale
        assert (grey.min(axis=0) > own.min(axis=0) - 1e-6).all()
        assert (grey.max(axis=0) < own.max(axis=0) + 1e-6).all()
        assert shapely.Polygon(grey).buffer(0).area > 0


def numbers_over_pictures(pages):
    words = [i for page in pages for i in page.on([Layer.FRAME]) if isinstance(i, Text) and i.text.isdigit()]
    return [i.text for i in words if i.at[1] > PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM]  # the legend stands below


def test_one_net_alone_needs_no_picture():
    made = pipeline.make_model(read_part(SAMPLES["eccentric-shaft"])[0])
    all_pages = draw_sheets(made.nets, made.sheets)
    assert set(numbers_over_pictures(all_pages)) <= {p.id for p in made.nets.pieces}
    assert len(numbers_over_pictures(all_pages)) >= 2
    alone = replace(made.nets, pieces=made.nets.pieces[:1])
    sheet = next(s for s in made.sheets if any(p.piece == alone.pieces[0].id for p in s.placed))
    only = replace(sheet, placed=tuple(p for p in sheet.placed if p.piece == alone.pieces[0].id))
    assert numbers_over_pictures(draw_sheets(alone, [only])) == []
