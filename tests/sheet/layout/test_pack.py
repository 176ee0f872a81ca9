"""Packing: every net on a page once, at least 2 mm from the others, its caption on nothing."""

import math
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given

import parts
from examples import examples, few
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.budget import model as make_model
from foldsketch.net.build import build_nets
from foldsketch.net.model import Panel, Piece
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.caption import place_caption, quarter_turns
from foldsketch.sheet.layout.caption_positions import letter_nets
from foldsketch.sheet.layout.pack import min_sheets_by_area, net_area, pack
from foldsketch.sheet.layout.paper import (
    parse_paper,
    printable_origin,
    printable_size,
)
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from strategies import parts as random_parts

A4 = parse_paper("A4")


SAMPLES = [read_part(p)[0] for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))]


def nets_of(part, scale=1.0, page=None, rule="faces"):
    faceted = facet(part, scale, FacetChoice())
    return build_nets(faceted, join(faceted, rule), scale, page or printable_size(A4))


def placed_shapes(nets, sheet, paper=A4):
    pieces = {p.id: p for p in nets.pieces}
    for placed in sheet.placed:
        c = place_caption(pieces[placed.piece], printable_size(paper), quarter_turns(placed.angle))
        x, y, w, h = c.box
        caption = shapely.box(x, y, x + w, y + h)
        net = shapely.union_all(
            [shapely.Polygon(p.outline, p.holes) for p in c.piece.panels]
            + [shapely.Polygon(t.outline) for t in c.piece.tabs],
            grid_size=1e-6,
        )
        turn = math.degrees(placed.angle)
        yield (
            placed.piece,
            *(
                shapely.affinity.translate(shapely.affinity.rotate(s, angle, origin=(0, 0)), *placed.shift)
                for s, angle in ((net, turn), (caption, 0.0))
            ),
        )


def check_placement(nets, sheets, paper=A4):
    nets = SimpleNamespace(pieces=letter_nets(nets.pieces, sheets))
    seen = []
    x0, y0 = printable_origin()
    w, h = printable_size(paper)
    area = shapely.box(x0 - 1e-6, y0 - 1e-6, x0 + w + 1e-6, y0 + h + 1e-6)
    for sheet in sheets:
        shapes = list(placed_shapes(nets, sheet, paper))
        for k, (piece, net, caption) in enumerate(shapes):
            seen.append(piece)
            assert area.covers(net), f"piece {piece} leaves the printable area"
            assert area.buffer(2.0).covers(caption)
            assert caption.is_empty or net.distance(caption) > 0.5
            for _, other, words in shapes[k + 1 :]:
                assert net.distance(other) >= 2.0
                assert caption.disjoint(other)
                assert words.disjoint(net)
                assert words.disjoint(caption) or words.touches(caption)
    assert sorted(seen) == sorted(p.id for p in nets.pieces)


@pytest.mark.parametrize("part", few(parts.ALL + SAMPLES, 1), ids=lambda p: p.name)
def test_every_piece_is_placed_once_and_clear_of_the_others(part):
    nets = nets_of(part)
    sheets = pack(nets.pieces, A4)
    check_placement(nets, sheets)
    assert len(sheets) >= min_sheets_by_area(nets.pieces, A4)


@pytest.mark.slow
@examples(12)
@given(random_parts())
def test_random_parts_are_placed_too(part):
    try:
        nets = nets_of(part, 0.5)
        sheets = pack(nets.pieces, A4)
    except FoldsketchError:
        return
    check_placement(nets, sheets)


FITS_ONE_SHEET = ["bilge-pump-cover.toml", "lessons/4-two-spigots.toml"]
"""A flange and two spigots: in the design's drawing of the sheets these lie on one A4 page [D]."""


@pytest.mark.parametrize("name", FITS_ONE_SHEET)
def test_captions_do_not_cost_a_sheet(name):
    made = make_model(read_part(Path(__file__).parents[3] / "samples" / name)[0])
    assert len(made.sheets) == 1
    assert any(p.caption_at for p in made.nets.pieces)
    check_placement(made.nets, made.sheets)


def test_a_net_as_wide_as_the_page_is_packed_beside_others():
    """Packed closer the page has half a cell less: what fits it with its caption still does."""
    w, _ = printable_size(A4)

    def plate(number, width, height):
        corners = np.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])
        panel = Panel(0, corners, (), "plate", "side", 0, np.eye(3), np.zeros(3))
        return Piece(str(number), 0, (panel,), (), title="Plate")

    pieces = [plate(1, w, 100.0), plate(2, w, 100.0), plate(3, 90.0, 80.0)]
    check_placement(SimpleNamespace(pieces=pieces), pack(pieces, A4))


@pytest.mark.parametrize(("stem", "in_order"), [("double-throw-crank", False), ("three-boss-rocker", True)])
def test_a_sheet_is_not_half_empty_beside_a_second(stem, in_order):
    """Nets in the order of building unless that takes a sheet more, with their captions above the middle of a page."""
    made = make_model(read_part(Path(__file__).parents[3] / "samples" / f"{stem}.toml")[0])
    assert len(made.sheets) == 2
    check_placement(made.nets, made.sheets)
    (_, low), (_, height) = printable_origin(), printable_size(A4)
    pieces = {p.id: p for p in made.nets.pieces}
    for sheet in made.sheets:
        tops = []
        for placed in sheet.placed:
            points = np.concatenate([p.outline for p in pieces[placed.piece].panels])
            c, s = math.cos(placed.angle), math.sin(placed.angle)
            tops.append(float((points @ (s, c)).max()) + placed.shift[1] - low)
        assert max(tops) > 0.45 * height, "its caption, some 15 mm, is above that"
    first, second = ([int(p.piece) for p in sheet.placed] for sheet in made.sheets)
    assert (max(first) < min(second)) == in_order


def test_packing_repeats():
    nets = nets_of(parts.BORED)
    assert pack(nets.pieces, A4) == pack(nets.pieces, A4)


def test_what_fits_no_page_is_refused():
    faceted = facet(parts.TWO_SPIGOTS, 5.0, FacetChoice())
    nets = build_nets(faceted, join(faceted), 5.0, None)
    with pytest.raises(FoldsketchError) as refused:
        pack(nets.pieces, A4)
    (finding,) = refused.value.findings
    assert finding.code == "net-fits-no-page" and finding.value("paper") == "A4"


def test_net_area_is_panels_and_tabs():
    nets = nets_of(parts.SLEEVE)
    for p in nets.pieces:
        whole = shapely.union_all(
            [shapely.Polygon(x.outline, x.holes) for x in p.panels] + [shapely.Polygon(t.outline) for t in p.tabs]
        )
        assert net_area(p) == pytest.approx(whole.area, rel=1e-6)


@pytest.mark.parametrize(("width", "length"), [(0.3, 7.0), (0.48, 60.0), (0.9, 20.0), (2.0, 30.0)])
def test_a_net_narrower_than_a_cell_is_kept_clear_too(width, length):
    """Strips alone, and on a wide body; with nothing else to hold them off they would lie over each other."""

    def strip(x, y, w, h, k):
        corners = np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
        return Panel(k, corners, (), "strip", "side", k, np.eye(3), np.zeros(3))

    body = Piece("3", 0, (strip(0.0, 0.0, 20.0, 20.0, 0), strip(20.0, 3.3, length, width, 1)), ())
    alone = [Piece(str(k + 1), 0, (strip(0.27, 0.11, width, length, 0),), ()) for k in range(2)]
    sheets = pack([*alone, body], A4)
    nets = SimpleNamespace(pieces=[*alone, body])
    check_placement(nets, sheets)
