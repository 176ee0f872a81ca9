"""Drawn sheets: everything is on the page and readable, nothing hides a cut or a fold."""

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from foldsketch.base.drawing import Circle, Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.net.build import build_nets
from foldsketch.part.file.read import read_part
from foldsketch.sheet.layout.paper import (
    parse_paper,
    printable_size,
)
from foldsketch.sheet.page.draw import draw_sheets, underline_if_ambiguous
from foldsketch.sheet.page.line_widths import GLUE_TINT
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from nets import quick_model

A4 = parse_paper("A4")


SAMPLES = [read_part(p)[0] for p in sorted((Path(__file__).parents[3] / "samples").glob("*.toml"))]


def nets_of(part, scale=1.0, page=None, rule="faces"):
    faceted = facet(part, scale, FacetChoice())
    return build_nets(faceted, join(faceted, rule), scale, page or printable_size(A4))


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


def test_every_tab_is_grey_and_no_grey_hides_a_line_to_cut_or_fold():
    """The tint is painted before the lines that it would hide, inside the tab and over nearly all of it."""
    made, pages = pages_of(SAMPLES[0])
    lines = (Layer.CUT, Layer.MOUNTAIN, Layer.VALLEY)
    tints = []
    for page in pages:
        for k, item in enumerate(page.items):
            if isinstance(item, Stroke) and item.layer is Layer.GLUE and item.fill == GLUE_TINT:
                ground = shapely.Polygon(item.points)
                tints.append(ground.area)
                before = [i for i in page.items[:k] if isinstance(i, Stroke) and i.layer in lines]
                rings = [shapely.LineString([*i.points, i.points[0]] if i.closed else i.points) for i in before]
                assert not any(ground.intersects(ring) for ring in rings)
    tabs = [shapely.Polygon(t.outline).area for p in made.nets.pieces for t in p.tabs]
    assert len(tints) == len(tabs)
    assert 0.9 * sum(tabs) < sum(tints) <= sum(tabs)


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
    made = quick_model(crank, pipeline.Choices(scale=0.5, join="fuse"))
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
    whole = pipeline.make_model(crank, pipeline.Choices(scale=0.5))
    assert not any(m.kind == "text" and not m.text for p in whole.nets.pieces for m in p.marks)
