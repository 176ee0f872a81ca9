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
from foldsketch.sheet.page.legend import FRONT_LEGEND, draw_back_foot, draw_front_foot


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
            "paper model 1:1",
            "cut",
            "fold back",
            "100 mm",
        ):
            assert say in words


def legend_words(part, **choice):
    made = pipeline.make_model(part, pipeline.Choices(**choice))
    (page, *_) = draw_sheets(made.nets, made.sheets)
    return made.nets, {i.text for i in page.items_on([Layer.FRAME]) if isinstance(i, Text)}


@pytest.mark.parametrize("part", [parts.BORED, parts.ROCKER, parts.SLEEVE, parts.HEX], ids=lambda p: p.name)
def test_the_legend_explains_what_the_nets_have(part):
    nets, said = legend_words(part, scale=0.5)
    angles = [f.angle for p in nets.pieces for f in (*p.folds, *p.tabs) if abs(f.angle) > 1e-9]
    assert "cut" in said
    assert ("fold back" in said) == any(a > 0 for a in angles)
    assert ("fold forward" in said) == any(a < 0 for a in angles)
    assert ("tick on tick" in said) == any(m.kind == "datum" for p in nets.pieces for m in p.marks)
    numbered = any(t.label_size for p in nets.pieces for t in p.tabs)
    assert ("glue behind the same number" in said) == numbered
    assert ("glue, goes behind" in said) == (not numbered and any(p.tabs for p in nets.pieces))


@pytest.mark.parametrize("paper", ["A4", "A4 landscape", "Letter", "200x300", "150x200"])
def test_the_legend_stays_on_the_page(paper):
    for duplex in (False, True):
        sheet = Sheet(paper, (parse_paper(paper).width, parse_paper(paper).height), ())
        pages = [
            draw_front_foot(("part", "paper model 1:1"), sheet, 1, 1, FRONT_LEGEND, duplex),
            draw_back_foot(("part", "paper model 1:1"), sheet, 1, 1),
        ]
        for items in pages:
            for i in items:
                if isinstance(i, Text):
                    w = text_width(i.text, i.size) if not i.angle else 0.0
                    x = i.at[0] - {"start": 0, "middle": w / 2, "end": w}[i.anchor]
                    assert i.at[1] >= 5, i.text
                    if paper != "150x200":  # narrower than the check bar and its words
                        assert x >= 5 and x + w <= sheet.size[0] - 5, i.text
