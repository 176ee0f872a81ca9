"""Drawn sheets: everything is on the page and readable, nothing hides a cut or a fold."""

import math
from pathlib import Path

import numpy as np
import pytest
import shapely

import parts
from examples import few
from foldsketch.base.drawing import Circle, Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
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


@pytest.mark.parametrize("part", few(parts.ALL + SAMPLES, 2), ids=lambda p: p.name)
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


def test_slits_are_printed_as_cuts_and_tongues_are_white():
    """A cutter finds the slits on the layer of cuts; their ticks are on another; the legend names them."""
    cover = next(p for p in SAMPLES if p.name == "Bilge pump cover")
    made = model(cover, Choices(feet="tongues"))
    (page,) = draw_sheets(made.nets, made.sheets)
    tongues = [t for p in made.nets.pieces for t in p.tabs if t.slit]
    slits = [i for i in page.items if isinstance(i, Stroke) and i.layer is Layer.CUT and len(i.points) == 2]
    lengths = sorted(round(math.dist(*i.points), 3) for i in slits)
    assert all(round(math.dist(*t.slit), 3) in lengths for t in tongues) and len(tongues) == 8
    grey = [i for i in page.items if isinstance(i, Stroke) and i.layer is Layer.GLUE and i.fill]
    assert len(grey) == sum(not t.slit for p in made.nets.pieces for t in p.tabs)
    assert "slit for a tongue" in [i.text for i in page.items if isinstance(i, Text)]
