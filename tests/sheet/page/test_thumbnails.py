"""Thumbnails: every picture shows its own net where it is in the model, inside its box."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from examples import few
from foldsketch.base.drawing import Layer, Stroke, Text
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.paper import (
    FOOTER_HEIGHT_MM,
    PRINTER_MARGIN_MM,
)
from foldsketch.sheet.layout.thumbnail_positions import find_thumbnail_positions
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.sheet.page.model_projection import VIEW_AZIMUTH_RAD, VIEW_ELEVATION_RAD
from foldsketch.sheet.page.thumbnails import OWN_NET_FILL, build_thumbnail

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


@pytest.fixture(scope="module", params=few(SAMPLES, 2))
def made(request):
    return pipeline.make_model(read_part(SAMPLES[request.param])[0])


def test_every_line_stays_in_its_box(made):
    shown = build_thumbnail(made.nets)
    for piece in made.nets.pieces:
        for item in shown.draw_net(piece, (10.0, 20.0)):
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


def greys_of_pictures(pages):
    """The grey areas of nets in pictures; the legend has none."""
    return [
        i for page in pages for i in page.items_on([Layer.FRAME]) if isinstance(i, Stroke) and i.fill == OWN_NET_FILL
    ]


def numbers_over_pictures(pages):
    words = [i for page in pages for i in page.items_on([Layer.FRAME]) if isinstance(i, Text) and i.text.isdigit()]
    return [i.text for i in words if i.at[1] > PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM]  # the legend stands below


def test_one_net_alone_needs_no_picture():
    made = pipeline.make_model(read_part(SAMPLES["eccentric-shaft"])[0])
    all_pages = draw_sheets(made.nets, made.sheets)
    assert set(numbers_over_pictures(all_pages)) <= {p.id for p in made.nets.pieces}
    assert len(greys_of_pictures(all_pages)) >= 2
    alone = replace(made.nets, pieces=made.nets.pieces[:1])
    sheet = next(s for s in made.sheets if any(p.piece == alone.pieces[0].id for p in s.placed))
    only = replace(sheet, placed=tuple(p for p in sheet.placed if p.piece == alone.pieces[0].id))
    assert greys_of_pictures(draw_sheets(alone, [only])) == []


def test_a_picture_away_from_its_title_has_the_number(made):
    pieces = {p.id: p for p in made.nets.pieces}
    size = build_thumbnail(made.nets).box
    places = [find_thumbnail_positions(sheet, pieces, size) for sheet in made.sheets]
    away = sorted(name for own in places for name, place in own.items() if not place.beside)
    assert sorted(numbers_over_pictures(draw_sheets(made.nets, made.sheets))) == away
