"""Check bars, title and legend: complete, and on the page."""

import numpy as np
import pytest

import parts
from foldsketch.base.drawing import Layer, Stroke, Text
from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import (
    parse_paper,
)
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.sheet.page.legend import draw_back_title_and_legend, draw_front_title_and_legend
from nets import quick_model


def pages_of(part, **choice):
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0, **choice))
    return made, draw_sheets(made.nets, made.sheets)


def test_bars_title_and_legend():
    _, pages = pages_of(parts.BORED)
    for number, page in enumerate(pages, 1):
        frame = page.items_on([Layer.FRAME])
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


@pytest.mark.parametrize("quick", [True, False])
def test_the_sheets_of_a_quick_model_say_where_no_glue_goes(quick):
    made = quick_model(parts.TWO_SPIGOTS, pipeline.Choices(scale=1.0), quick)
    pages = draw_sheets(made.nets, made.sheets)
    assert pages and all(
        any(isinstance(i, Text) and "do not glue this edge" in i.text for i in page.items) == quick for page in pages
    )


def test_the_legend_explains_what_the_nets_have():
    """Blocks are joined in one, numbers stand in rings in the other: only there is it said."""
    said = {}
    for name, rule in (("joined", "faces"), ("one body", "fuse")):
        made = pipeline.make_model(parts.ROCKER, pipeline.Choices(scale=0.5, join=rule))
        (page, *_) = draw_sheets(made.nets, made.sheets)
        said[name] = {i.text for i in page.items_on([Layer.FRAME]) if isinstance(i, Text)}
        assert ("see the key" in said[name]) == any(n for p in made.nets.pieces for n, _ in p.key)
    assert {"tick where blocks meet", "a block stands here"} <= said["joined"]
    assert {"tick where blocks meet", "a block stands here"}.isdisjoint(said["one body"])
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
