"""The printed files alone, as they are painted: what is cut, folded, numbered and marked on paper is the model of the
net file and of the part file."""

from pathlib import Path

import pypdfium2 as pdfium
import pytest

from foldsketch.job import outputs, pipeline
from foldsketch.part.file.read import read_part
from foldsketch.write.pdf import pdf
from foldsketch.write.svg import svg
from printed import read_pdf, read_svg

ROOT = Path(__file__).parents[2]
SAMPLES = sorted([*(ROOT / "samples").glob("*.toml"), *(ROOT / "samples" / "lessons").glob("*.toml")])
TO_BE_SEEN = {"cut", "mountain", "valley", "mark"}
"""Layers whose lines nothing may hide; hatching and pictures have grounds on them."""


def read_all(pages):
    """The pages as SVG and as PDF."""
    document = pdfium.PdfDocument(pdf(pages, "x"))
    made = [read_svg(svg(page)) for page in pages], [read_pdf(page) for page in document]
    document.close()
    return made


@pytest.mark.slow
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_nothing_is_painted_over_a_cut_a_fold_or_a_mark(path):
    """In the SVG by its layers; the PDF, which has none, hides the same lines as the SVG and no others."""
    made = pipeline.make_model(read_part(path)[0])
    in_svg, in_pdf = read_all(outputs.sheet_pages(made, backs=True))
    for one, other in zip(in_svg, in_pdf, strict=True):
        assert not [line.layer for line, under in one.hidden if line.layer in TO_BE_SEEN and under.length > 0.05]
        lengths = [sum(under.length for _, under in page.hidden) for page in (one, other)]
        assert lengths[0] == pytest.approx(lengths[1], rel=1e-3, abs=0.05)
    alone = [read_svg(data) for data in outputs.piece_svgs(made).values()]
    assert not [1 for page in alone for line, under in page.hidden if line.layer in TO_BE_SEEN and under.length > 0.05]
