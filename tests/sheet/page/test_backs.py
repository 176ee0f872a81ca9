"""Backs: the page turned over lies true on its front, and tabs land where folding puts them."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.affinity import scale, translate

from examples import few
from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.base.card import NO_CARD, parse_card
from foldsketch.base.drawing import Circle, Layer, LineType, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.caption import place_caption, quarter_turns
from foldsketch.sheet.layout.model import Placement
from foldsketch.sheet.layout.paper import parse_paper, printable_size
from foldsketch.sheet.page.backs import draw_duplex, glued_tab_points
from foldsketch.solid.faceting.facet import FacetChoice

SAMPLES = {p.stem: p for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))}


@pytest.fixture(
    scope="module",
    params=few([*((name, "folded", "") for name in SAMPLES), ("bilge-pump-cover", "rolled", "0.3mm")], 2),
)
def made(request):
    name, walls, card = request.param
    choices = pipeline.Choices(facets=FacetChoice(walls=walls), card=parse_card(card) if card else NO_CARD)
    return pipeline.make_model(read_part(SAMPLES[name])[0], choices)


def rounded(p):
    return [round(v, 6) for v in p]


def ends(items, across=None):
    """The edges of strokes as a sorted array of their ends, mirrored when a page width is given."""
    found = []
    for i in items:
        points = [(x if across is None else across - x, y) for x, y in i.points]
        loop = [*points, points[0]] if i.closed else points
        found += [sorted((a, b), key=rounded) for a, b in pairwise(loop)]
    found.sort(key=lambda e: [rounded(p) for p in e])
    return np.array(found)


@pytest.mark.parametrize("quarter", range(4))
def test_no_caption_stands_on_its_head(made, quarter):
    """However a net lies on the page, what stands beside it is level, in its own room."""
    sheet = made.sheets[0]
    piece = next(p for p in made.nets.pieces if p.id == sheet.placed[0].piece)
    turn, shift = quarter * math.pi / 2, (400.0, 300.0)
    alone = replace(sheet, placed=(Placement(piece.id, turn, shift),))
    for side, page in enumerate(draw_duplex(made.nets, (alone,))):
        made_caption = place_caption(piece, printable_size(parse_paper("A4")), quarter)
        if not made_caption.lines:
            assert quarter_turns(sheet.placed[0].angle) % 2 != quarter % 2, "the net fits no page when it is turned so"
            continue
        x, y, w, h = made_caption.box
        room = translate(shapely.box(x, y, x + w, y + h), *shift)
        if side:
            room = translate(scale(room, -1, origin=(0, 0)), page.size[0])
        begins = piece.id if side else f"{piece.id} "
        words = [i for i in page.items if isinstance(i, Text) and i.bold and i.text.startswith(begins)]
        assert len(words) == 1
        (name,) = words
        along, up = (math.cos(name.angle), math.sin(name.angle)), (-math.sin(name.angle), math.cos(name.angle))
        assert along[0] == 1.0
        n = text_width(name.text, name.size)
        ends_ = [np.add(name.at, np.multiply(along, a)) + np.multiply(up, b) for a in (0, n) for b in (0, name.size)]
        assert room.buffer(0.1).covers(shapely.MultiPoint(ends_))


def test_cuts_and_folds_lie_on_those_of_the_front(made):
    pages = draw_duplex(made.nets, made.sheets)
    assert len(pages) == 2 * len(made.sheets)
    for front, back in zip(pages[::2], pages[1::2], strict=True):
        assert front.size == back.size
        across = front.size[0]
        for one, other in (
            (Layer.CUT, Layer.CUT),
            (Layer.MOUNTAIN, Layer.VALLEY),
            (Layer.VALLEY, Layer.MOUNTAIN),
        ):
            a, b = front.items_on([one]), back.items_on([other])
            assert len(a) == len(b)
            if a:
                assert np.abs(ends(a) - ends(b, across)).max() < 1e-9
        kinds = {Layer.MOUNTAIN: LineType.DASHED, Layer.VALLEY: LineType.DOTTED}
        assert all(i.line is kinds[i.layer] for i in back.items_on(kinds))


def test_tabs_land_where_folding_puts_them(made):
    """The tab is folded in space by the folds alone; its landing is laid there by the receiving panel's place."""
    pieces = {p.id: p for p in made.nets.pieces}
    for piece in made.nets.pieces:
        folded = [s.loops[0] for s in fold_partially(piece, 1.0) if s.tab]
        for t, expected in zip(piece.tabs, folded, strict=True):
            panel = pieces[t.meets.piece].panel(t.meets.panel)
            flat = glued_tab_points(t, t.outline)
            space = flat @ panel.to_space[:, :2].T + panel.origin
            assert np.abs(space - expected).max() < 1e-9


def test_landings_are_drawn_within_their_nets(made):
    """Every tab has its landing on the back; the numbers are those of the fronts' tabs, not mirrored."""
    pages = draw_duplex(made.nets, made.sheets)
    zones = [i for b in pages[1::2] for i in b.items_on([Layer.GLUE]) if isinstance(i, Stroke) and i.fill]
    assert len(zones) == sum(len(p.tabs) for p in made.nets.pieces)
    labelled = sorted(str(t.number) for p in made.nets.pieces for t in p.tabs if t.label_size)
    said = sorted(
        i.text for b in pages[1::2] for i in b.items_on([Layer.MARK]) if isinstance(i, Text) and i.text.isdigit()
    )
    assert [t for t in labelled if t not in said] == []
    for back in pages[1::2]:
        w, h = back.size
        assert all(5 <= i.at[0] <= w - 5 and 5 <= i.at[1] <= h - 5 for i in back.items if isinstance(i, Text))


def test_crosses_meet_and_keep_clear_of_the_nets(made):
    pages = draw_duplex(made.nets, made.sheets)
    for front, back in zip(pages[::2], pages[1::2], strict=True):
        across = front.size[0]
        crosses = [
            [i.centre for i in page.items_on([Layer.FRAME]) if isinstance(i, Circle) and math.isclose(i.radius, 1.3)]
            for page in (front, back)
        ]
        assert [len(c) for c in crosses] == [3, 3]
        assert np.allclose(crosses[0], [(across - x, y) for x, y in crosses[1]], atol=1e-9)
        for x, y in crosses[0]:
            for i in front.items_on([Layer.CUT]):
                assert min(math.dist((x, y), p) for p in i.points) > 3.0
        for page, own in zip((front, back), crosses, strict=True):
            for x, y in own:
                for i in page.items_on([Layer.FRAME]):
                    if isinstance(i, Text):
                        wide = text_width(i.text, i.size) * (1.08 if i.bold else 1.0)
                        at = i.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[i.anchor]
                        box = (at, i.at[1], at + wide, i.at[1] + i.size)
                    elif isinstance(i, Stroke) and i.width > 0.2:  # rule and bars, not the crosses themselves
                        (ax, ay), (bx, by) = i.points[0], i.points[-1]
                        box = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
                    else:
                        continue
                    off = math.hypot(max(box[0] - x, x - box[2], 0.0), max(box[1] - y, y - box[3], 0.0))
                    assert off > 2.6, ("a cross is on something else", i)
        # Not in one line, so that a turn shows.
        (ax, ay), (bx, by), (cx, cy) = crosses[0]
        assert abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) > 1000


def test_the_command_puts_backs_behind_fronts(tmp_path):
    import pypdfium2

    from foldsketch.cli import main

    part = SAMPLES["eccentric-shaft"]
    out = ["--out", str(tmp_path)]
    assert main(["make", str(part), "--backs", *out]) == 0
    with pypdfium2.PdfDocument(tmp_path / "eccentric-shaft.pdf") as book:
        texts = [page.get_textpage().get_text_range() for page in book]
    assert len(texts) % 2 == 0
    for k, text in enumerate(texts):
        assert ("back of sheet" in text) == bool(k % 2)
        assert "flip on the long edge" in text
    assert (tmp_path / "eccentric-shaft-1-back.svg").exists()
    assert main(["make", str(part), *out]) == 0
    assert not (tmp_path / "eccentric-shaft-1-back.svg").exists()
    assert main(["make", str(part), "--backs", "--paper", "A4 landscape", *out]) == 0
    with pypdfium2.PdfDocument(tmp_path / "eccentric-shaft.pdf") as book:
        assert "flip on the short edge" in book[0].get_textpage().get_text_range()
