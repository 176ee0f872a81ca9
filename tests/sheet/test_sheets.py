"""Sheets: nothing overlaps, everything is on the page, every piece is there once, the furniture says what it must."""

import math
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

import parts
from foldsketch.base.drawing import DASH_PATTERNS, WHITE, Circle, Layer, LineType, Stroke, Text
from foldsketch.base.findings import FoldsketchError
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.net.build import build_nets
from foldsketch.net.model import Panel, Piece
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.caption import place_caption
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.net_lines import cut_paths
from foldsketch.sheet.layout.pack import min_sheets_by_area, net_area, pack
from foldsketch.sheet.layout.paper import (
    STANDARD_SCALES,
    parse_paper,
    parse_scale,
    printable_origin,
    printable_size,
    scale_text,
)
from foldsketch.sheet.page.draw import draw_sheets, underline_if_ambiguous
from foldsketch.sheet.page.legend import draw_back_title_and_legend, draw_front_title_and_legend, fold_line_width
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from strategies import parts as random_parts

A4 = parse_paper("A4")
SAMPLES = [read_part(p)[0] for p in sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))]


def nets_of(part, scale=1.0, page=None, rule="faces"):
    faceted = facet(part, scale, FacetChoice())
    return build_nets(faceted, join(faceted, rule), scale, page or printable_size(A4))


def placed_shapes(nets, sheet, paper=A4):
    pieces = {p.id: p for p in nets.pieces}
    for placed in sheet.placed:
        c = place_caption(pieces[placed.piece], printable_size(paper))
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
                shapely.affinity.translate(shapely.affinity.rotate(s, turn, origin=(0, 0)), *placed.shift)
                for s in (net, caption)
            ),
        )


def check_placement(nets, sheets, paper=A4):
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
            for _, other, words in shapes[k + 1 :]:
                assert net.distance(other) >= 2.0
                assert caption.disjoint(other)
                assert words.disjoint(net)
                assert words.disjoint(caption) or words.touches(caption)
    assert sorted(seen) == sorted(p.id for p in nets.pieces)


@pytest.mark.parametrize("part", parts.ALL + SAMPLES, ids=lambda p: p.name)
def test_every_piece_is_placed_once_and_clear_of_the_others(part):
    nets = nets_of(part)
    sheets = pack(nets.pieces, A4)
    check_placement(nets, sheets)
    assert len(sheets) >= min_sheets_by_area(nets.pieces, A4)


@pytest.mark.slow
@settings(deadline=None, max_examples=12)
@given(random_parts())
def test_random_parts_are_placed_too(part):
    try:
        nets = nets_of(part, 0.5)
        sheets = pack(nets.pieces, A4)
    except FoldsketchError:
        return
    check_placement(nets, sheets)


def test_packing_repeats():
    nets = nets_of(parts.BORED)
    assert pack(nets.pieces, A4) == pack(nets.pieces, A4)


def test_what_fits_no_page_is_refused():
    faceted = facet(parts.TWO_SPIGOTS, 5.0, FacetChoice())
    nets = build_nets(faceted, join(faceted), 5.0, None)
    with pytest.raises(FoldsketchError, match="fits no page"):
        pack(nets.pieces, A4)


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
        assert drawn == pytest.approx(whole.length, abs=0.05 + 2 * sum(math.dist(*b.line) for b in piece.butts))


def pages_of(part, **choice):
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0, **choice))
    return made, draw_sheets(made.nets, made.sheets)


@pytest.mark.parametrize("paper", ["A4", "A3 landscape", "Letter", "Tabloid", "200x300"])
def test_everything_drawn_is_on_the_page(paper):
    made, pages = pages_of(parts.BORED, paper=paper)
    for page in pages:
        w, h = page.size
        for item in page.items:
            points = [item.at] if isinstance(item, Text) else [item.centre] if isinstance(item, Circle) else item.points
            assert all(5 <= x <= w - 5 and 5 <= y <= h - 5 for x, y in points)
    assert made.paper.width == pages[0].size[0]


def test_no_word_is_smaller_than_it_may_be():
    _, pages = pages_of(parts.BORED)
    sizes = {i.size for page in pages for i in page.items if isinstance(i, Text)}
    assert min(sizes) >= 1.8  # ISO 3098-1 series, the smallest that the sheets may bear


def test_bars_title_and_legend():
    _, pages = pages_of(parts.BORED)
    for number, page in enumerate(pages, 1):
        frame = page.on([Layer.FRAME])
        spans = [np.ptp(np.array(i.points), axis=0) for i in frame if isinstance(i, Stroke)]
        assert any(np.allclose(s, (100, 0)) for s in spans)
        assert any(np.allclose(s, (0, 100)) for s in spans)
        words = " ".join(i.text for i in frame if isinstance(i, Text))
        for say in (
            f"sheet {number} of {len(pages)}",
            "print at 100 %",
            "cut",
            "mountain fold",
            "valley fold",
            "glue tab",
        ):
            assert say in words


@pytest.mark.parametrize("part", parts.ALL + SAMPLES, ids=lambda p: p.name)
def test_words_keep_clear_of_folds_and_cuts(part):
    """No word of a mark touches a cut or a fold line: it neither crosses a fold nor leaves its panel."""
    for piece in nets_of(part).pieces:
        lines = [shapely.LineString(f.line) for f in piece.folds]
        lines += [shapely.LineString(loop) for p in piece.panels for loop in (np.vstack((p.outline, p.outline[:1])),)]
        tree = shapely.STRtree(lines)
        for m in piece.marks:
            if not m.text:
                continue
            w, h = text_width(m.text, m.size) / 2, m.size / 2
            box = shapely.affinity.rotate(shapely.box(-w, -h, w, h), math.degrees(m.angle), origin=(0, 0))
            box = shapely.affinity.translate(box, *m.at)
            assert not len(tree.query(box, predicate="intersects")), (piece.id, m.text)


def test_no_white_ground_hides_a_line_to_cut_or_fold():
    """Grounds of numbers on tabs are drawn before the lines that they would hide."""
    _, pages = pages_of(SAMPLES[0])
    lines = (Layer.CUT, Layer.MOUNTAIN, Layer.VALLEY)
    for page in pages:
        for k, item in enumerate(page.items):
            if isinstance(item, Stroke) and item.layer is Layer.GLUE and item.fill == WHITE:
                ground = shapely.Polygon(item.points)
                before = [i for i in page.items[:k] if isinstance(i, Stroke) and i.layer in lines]
                rings = [shapely.LineString([*i.points, i.points[0]] if i.closed else i.points) for i in before]
                assert not any(ground.intersects(ring) for ring in rings)
        assert any(isinstance(i, Stroke) and i.layer is Layer.GLUE and i.fill == WHITE for i in page.items)


# ISO 216: A4 210 x 297, A3 297 x 420; ANSI Letter 8.5 x 11 in, Tabloid 11 x 17 in. ISO 5455: 1:1, 1:2, 1:5 …; 2:1 …
SIZES = {"A4": (210, 297), "a3": (297, 420), "letter": (8.5 * 25.4, 11 * 25.4), "Tabloid": (11 * 25.4, 17 * 25.4)}


@pytest.mark.parametrize("name", SIZES)
def test_paper_sizes(name):
    paper = parse_paper(name)
    assert (paper.width, paper.height) == pytest.approx(SIZES[name])
    lying = parse_paper(f"{name} landscape")
    assert (lying.width, lying.height) == pytest.approx(SIZES[name][::-1])


def test_scale_series():
    assert {50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01} <= set(STANDARD_SCALES)
    assert [scale_text(s) for s in (2.0, 1.0, 0.5, 0.2, 0.1, 0.05)] == ["2:1", "1:1", "1:2", "1:5", "1:10", "1:20"]
    assert list(STANDARD_SCALES) == sorted(STANDARD_SCALES, reverse=True)


@pytest.mark.parametrize("text", ["0", "-1", "nan", "1:0", "a:b", "", "1e9", "1:2:3"])
def test_scales_out_of_reason(text):
    with pytest.raises(FoldsketchError, match="no scale"):
        parse_scale(text)


@pytest.mark.parametrize("text", ["A5x", "", "10x10", "foolscap", "3000x3000"])
def test_papers_out_of_reason(text):
    with pytest.raises(FoldsketchError):
        parse_paper(text)


def test_net_area_is_panels_and_tabs():
    nets = nets_of(parts.SLEEVE)
    for p in nets.pieces:
        whole = shapely.union_all(
            [shapely.Polygon(x.outline, x.holes) for x in p.panels] + [shapely.Polygon(t.outline) for t in p.tabs]
        )
        assert net_area(p) == pytest.approx(whole.area, rel=1e-6)


@pytest.mark.parametrize("part", SAMPLES, ids=lambda p: p.name)
def test_every_net_bears_its_number(part):
    """Once cut out its caption is gone: the number stands in a frame on the net itself."""
    for piece in nets_of(part).pieces:
        framed = [m for m in piece.marks if m.text in (piece.id, f"net {piece.id}") and len(m.paths) == 1]
        boxes = [m for m in framed if len(m.paths[0]) == 5]
        if not boxes:  # only where no panel is wide enough for letters of 1.8 mm in a frame
            assert max(min(np.ptp(p.outline, axis=0)) for p in piece.panels) < 5, piece.id
            continue
        assert len(boxes) == 1, piece.id
        (frame,) = boxes[0].paths
        w = text_width(boxes[0].text, boxes[0].size)
        sides = sorted(math.dist(a, b) for a, b in pairwise(frame))
        assert sides[-1] >= max(w, boxes[0].size) + 1


@pytest.mark.parametrize("quick", [True, False])
def test_the_sheets_of_a_quick_model_say_where_no_glue_goes(quick):
    made = pipeline.make_model(parts.TWO_SPIGOTS, pipeline.Choices(scale=1.0, quick=quick))
    pages = draw_sheets(made.nets, made.sheets)
    assert pages and all(
        any(isinstance(i, Text) and "number or = : no glue" in i.text for i in page.items) == quick for page in pages
    )


def test_the_legend_explains_what_the_nets_have():
    """Blocks are joined in one, numbers stand in rings in the other: only there is it said."""
    said = {}
    for name, rule in (("joined", "faces"), ("one body", "fuse")):
        made = pipeline.make_model(parts.ROCKER, pipeline.Choices(scale=0.5, join=rule))
        (page, *_) = draw_sheets(made.nets, made.sheets)
        said[name] = {i.text for i in page.on([Layer.FRAME]) if isinstance(i, Text)}
        assert ("see the key" in said[name]) == any(n for p in made.nets.pieces for n, _ in p.key)
    assert {"tick where blocks meet", "a block is glued here"} <= said["joined"]
    assert {"tick where blocks meet", "a block is glued here"}.isdisjoint(said["one body"])
    assert "net number" in said["one body"]


@pytest.mark.parametrize("paper", ["A4", "A4 landscape", "Letter", "200x300", "150x200"])
def test_the_legend_stays_on_the_page(paper):
    for duplex in (False, True):
        sheet = Sheet(paper, (parse_paper(paper).width, parse_paper(paper).height), ())
        pages = [
            draw_front_title_and_legend("part", 1.0, sheet, 1, 1, duplex, True),
            draw_back_title_and_legend("part", 1.0, sheet, 1, 1),
        ]
        for items in pages:
            for i in items:
                if isinstance(i, Text):
                    w = text_width(i.text, i.size) if not i.angle else 0.0
                    x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                    assert i.at[1] >= 5, i.text
                    if paper != "150x200":  # narrower than the check bar and its words
                        assert x >= 5 and x + w <= sheet.size[0] - 5, i.text


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        *((text, True) for text in ("6", "9", "16", "81", "196")),
        *((text, False) for text in ["8", "11", "69", "10", "26", "B"]),
    ],
)
def test_a_number_that_reads_as_another_one_upside_down_is_underlined(text, marked):
    """69 and 96 are themselves when turned, 10 would be 01; anything with another figure in it has its way up."""
    words = Text(Layer.MARK, (10.0, 20.0), text, 2.5, math.pi / 2, "middle")
    first, *more = underline_if_ambiguous(words)
    assert first is words and len(more) == marked
    for line in more:
        (x0, y0), (x1, y1) = line.points
        assert x0 == pytest.approx(x1) and 10.0 < x0 < 10.0 + 0.3 * 2.5, "below the baseline of words that run up"
        assert abs(y1 - y0) == pytest.approx(text_width(text, 2.5)) and (y0 + y1) / 2 == pytest.approx(20.0)


def test_on_the_sheets_of_a_quick_model_no_glued_edge_looks_bare():
    """Every edge that a tab goes behind has its number on its panel or, in its place, two strokes along it;
    bare edges have neither."""
    crank = next(p for p in SAMPLES if p.name == "Single-throw crank")
    made = pipeline.make_model(crank, pipeline.Choices(scale=0.5, quick=True, join="fuse"))
    pieces = {p.id: p for p in made.nets.pieces}
    printed = {(p.id, m.panel, m.text) for p in made.nets.pieces for m in p.marks if m.kind == "text" and m.size}
    strokes = [(p.id, m.panel, m.at) for p in made.nets.pieces for m in p.marks if m.kind == "text" and not m.text]
    lost = []
    for p in made.nets.pieces:
        for t in p.tabs:
            if (t.meets.piece, t.meets.panel, str(t.number)) not in printed:
                lost.append((t.meets.piece, t.meets.panel, shapely.LineString(t.meets.line)))
    assert len(lost) == len(strokes) > 0
    for name, panel, line in lost:
        shares = [line.project(shapely.Point(at), normalized=True) for n, q, at in strokes if (n, q) == (name, panel)]
        near = [line.distance(shapely.Point(at)) for n, q, at in strokes if (n, q) == (name, panel)]
        assert any(d < 1e-6 and 0.2 < share < 0.8 for d, share in zip(near, shares, strict=True))
    for name, panel, _ in strokes:
        outline = pieces[name].panel(panel).outline
        for m in pieces[name].marks:
            if m.kind == "text" and not m.text and m.panel == panel:
                assert len(m.paths) == 2
                low, high = outline.min(axis=0), outline.max(axis=0)
                assert all((low <= q).all() and (q <= high).all() for path in m.paths for q in np.array(path))
    (note,) = [f for f in made.nets.findings if f.where == "marks"]
    assert note.what.startswith(f"{len(lost)} edge number") and "two short strokes" in note.cure
    whole = pipeline.make_model(crank, pipeline.Choices(scale=0.5))
    assert not any(m.kind == "text" and not m.text for p in whole.nets.pieces for m in p.marks)


@pytest.mark.parametrize("length", [3.0, 4.0, 6.0, 7.9, 8.0, 20.0])
def test_a_fold_of_any_length_shows_its_pattern(length):
    """From 3 mm on: a dash, a gap and what follows it, by the pattern in widths of the line."""
    line = ((0.0, 0.0), (0.0, length))
    for kind in (LineType.DASHED, LineType.DASH_DOT):
        pen = fold_line_width(line, kind)
        assert sum(DASH_PATTERNS[kind][:2]) * pen < length - 0.25
        assert pen == 0.25 or length < 8.0


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


@pytest.mark.parametrize("part", SAMPLES, ids=lambda p: p.name)
def test_a_caption_stands_near_its_own_net(part):
    """With nets nested into each other it would else be taken for that of a neighbour."""
    for piece in nets_of(part).pieces:
        x, y, w, h = place_caption(piece, printable_size(A4)).box
        net = shapely.union_all([shapely.Polygon(p.outline) for p in piece.panels], grid_size=1e-6)
        assert net.distance(shapely.box(x, y, x + w, y + h)) < 16
