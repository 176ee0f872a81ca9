"""Captions away from their nets: near them, in free space of the page, over nothing."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from foldsketch.net.model import Panel, Piece
from foldsketch.sheet.layout.caption import place_caption, quarter_turns
from foldsketch.sheet.layout.caption_positions import find_caption_positions, letter_nets
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.paper import printable_origin, printable_part

PAGE = printable_part(210.0, 297.0)
X0, Y0 = printable_origin()


def strip(number, w, h):
    corners = np.array([(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])
    panel = Panel(0, corners, (), "strip", "side", 0, np.eye(3), np.zeros(3))
    return Piece(str(number), 0, (panel,), (), title="Flange", size="Ø90 × 12")


def sheet_of(*placed):
    return Sheet("A4", (210.0, 297.0), tuple(Placement(p.id, a, (X0 + x, Y0 + y)) for p, a, x, y in placed))


def on_page(shape, placed):
    turned = shapely.affinity.rotate(shape, placed.angle, origin=(0, 0), use_radians=True)
    return shapely.affinity.translate(turned, *placed.shift)


def placed_shapes(pieces, sheet):
    by_id = {p.id: p for p in pieces}
    for placed in sheet.placed:
        net = by_id[placed.piece]
        x, y, w, h = place_caption(net, PAGE, quarter_turns(placed.angle)).box
        yield (
            on_page(shapely.Polygon(net.panels[0].outline), placed),
            shapely.affinity.translate(shapely.box(x, y, x + w, y + h), *placed.shift),
        )


def test_a_caption_with_room_beside_its_net_stays():
    pieces = [strip(1, 60, 40), strip(2, 60, 40)]
    sheet = sheet_of((pieces[0], 0.0, 0, 0), (pieces[1], 0.0, 0, 80))
    assert letter_nets(pieces, [sheet]) == tuple(pieces)


@pytest.mark.parametrize("quarters", range(4))
def test_a_caption_without_room_goes_to_free_space_near_its_net(quarters):
    low, high = strip(1, 60, 40), strip(2, 60, 40)
    # The second net lies where the first one's caption would be, above it.
    turned = ((0, 0), (40, 0), (60, 40), (0, 60))[quarters]
    sheet = sheet_of((low, 0.0, 60, 60), (high, quarters * np.pi / 2, 60 + turned[0], 103 + turned[1]))
    assert on_page(shapely.box(*box_of(low)), sheet.placed[0]).intersects(next(nets_of((high,), sheet, 1)))
    lettered = letter_nets([low, high], [sheet])
    assert lettered[0].caption_at is not None
    shapes = list(placed_shapes(lettered, sheet))
    captions = [c for _, c in shapes]
    area = shapely.box(X0, Y0, X0 + PAGE[0], Y0 + PAGE[1])
    assert captions[0].disjoint(captions[1])
    for net, _ in shapes:
        assert all(net.distance(c) > 0.5 for c in captions)
    assert area.covers(captions[0]) and shapes[0][0].distance(captions[0]) <= 12
    assert shapes[0][0].distance(captions[0]) < shapes[1][0].distance(captions[0])


def box_of(piece):
    x, y, w, h = place_caption(piece, PAGE).box
    return x, y, x + w, y + h


def nets_of(pieces, sheet, k):
    return (on_page(shapely.Polygon(p.panels[0].outline), sheet.placed[k]) for p in pieces)


def test_a_net_far_from_all_free_space_is_named():
    inner, outer = strip(1, 20, 20), strip(2, 190, 230)
    sheet = sheet_of((inner, 0.0, 80, 100), (outer, 0.0, 0, 0))
    found, without = find_caption_positions(sheet, {"1": inner, "2": outer})
    assert (found, without) == ({}, ["1"])
    assert letter_nets([inner, outer], [sheet])[0] == inner


def test_the_caption_stands_where_the_net_asks_for_it():
    asked = replace(strip(1, 60, 40), caption_at=(-70.0, 95.0))
    made = place_caption(asked, PAGE)
    x, y, w, h = made.box
    assert (x + w / 2, y + h / 2) == pytest.approx((-70.0, 95.0))
    i, j, end, top = made.bounding_cells
    low = np.add(made.grid_origin, (i, j))
    high = np.add(made.grid_origin, (end, top))
    assert (low <= (x, 0)).all() and (low > (x - 1.01, -1.01)).all()
    assert (high >= (60, y + h)).all() and (high < (61.01, y + h + 1.01)).all()
    assert made.cells.sum() == pytest.approx(60 * 40 + w * h, rel=0.1)


def test_a_caption_beside_its_net_but_off_the_page_goes_elsewhere():
    """A net that was packed alone touches the top of the page, where its caption would be above it."""
    top = strip(1, 60, 40)
    sheet = sheet_of((top, 0.0, 60, PAGE[1] - 40.5))
    area = shapely.box(X0, Y0, X0 + PAGE[0], Y0 + PAGE[1])
    assert not area.contains(next(placed_shapes([top], sheet))[1])
    ((_, caption),) = placed_shapes(letter_nets([top], [sheet]), sheet)
    assert area.contains(caption)
