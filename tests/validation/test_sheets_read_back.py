"""Sheets read back by libraries that did not write them: pypdfium2 for the PDF, an XML parser for the SVG.

Page sizes: ISO 216 A4 210 x 297 mm; PDF unit 1/72 inch (ISO 32000-1, 8.3.2.3 [M]); SVG user unit by width/height in mm
and a matching viewBox [CSS Values 3: 1 in = 96 px].
"""

import ctypes
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from scipy.spatial import cKDTree

import parts
from foldsketch.job import outputs, pipeline
from foldsketch.sheet.page.draw import draw_sheets
from foldsketch.write.pdf import pdf
from foldsketch.write.svg import svg

MM = 72 / 25.4
LAYERS = ["glue", "cut", "mountain", "valley", "mark", "frame"]


@pytest.fixture(scope="module")
def pages():
    made = pipeline.make_model(parts.BORED, pipeline.Choices(scale=1.0))
    return draw_sheets(made.nets, made.sheets)


@pytest.fixture(scope="module")
def document(pages):
    data = pdf(pages, "bored")
    document = pdfium.PdfDocument(data)
    yield document
    document.close()


def segments(page):
    """Straight segments of a PDF page in mm, from its path objects."""
    found = []
    for obj in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        matrix = obj.get_matrix()
        last = None
        for k in range(raw.FPDFPath_CountSegments(obj.raw)):
            s = raw.FPDFPath_GetPathSegment(obj.raw, k)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(s, x, y)
            here = matrix.on_point(x.value, y.value)
            here = (here[0] / MM, here[1] / MM)
            if last is not None and raw.FPDFPathSegment_GetType(s) == raw.FPDF_SEGMENT_LINETO:
                found.append((last, here))
            last = here
    return found


def test_page_size_is_a4(document, pages):
    assert len(document) == len(pages)
    for page in document:
        w, h = page.get_size()
        assert (w / MM, h / MM) == pytest.approx((210, 297), abs=1e-3)
        page.close()


def test_check_bars_are_100_mm_both_ways(document):
    page = document[0]
    level = [abs(b[0] - a[0]) for a, b in segments(page) if abs(a[1] - b[1]) < 1e-4]
    upright = [abs(b[1] - a[1]) for a, b in segments(page) if abs(a[0] - b[0]) < 1e-4]
    page.close()
    assert any(v == pytest.approx(100, abs=1e-3) for v in level)
    assert any(v == pytest.approx(100, abs=1e-3) for v in upright)


def test_text_stays_text_and_says_what_it_must(document):
    page = document[0]
    text = page.get_textpage()
    words = text.get_text_bounded()
    text.close()
    page.close()
    for say in ("paper model 1:1", "print at 100 %", "100 mm", "fold back", "glue", "1 Flange", "Ø90 × 12"):
        assert say in words, say


def test_viewers_are_told_not_to_scale(pages):
    data = pdf(pages, "bored")
    assert b"/PrintScaling /None" in data
    assert b"/UserUnit" not in data


def test_bytes_repeat(pages):
    assert pdf(pages, "bored") == pdf(pages, "bored")
    assert svg(pages[0]) == svg(pages[0])


def svg_tree(page):
    return ElementTree.fromstring(svg(page))


def test_svg_is_in_true_millimetres(pages):
    root = svg_tree(pages[0])
    assert root.get("width") == "210mm"
    assert root.get("height") == "297mm"
    assert root.get("viewBox") == "0 0 210 297"


def test_svg_layers_carry_their_names(pages):
    root = svg_tree(pages[0])
    groups = [g.get("id") for g in root if g.tag.endswith("}g")]
    assert groups == LAYERS


def svg_paths(page):
    for node in svg_tree(page).iter():
        if node.tag.endswith("}path"):
            for run in node.get("d").split("M")[1:]:
                numbers = [float(v) for v in re.findall(r"-?\d+\.?\d*", run)]
                yield list(zip(numbers[::2], numbers[1::2], strict=True)), run.strip().endswith("Z")


def test_svg_bar_is_100_mm(pages):
    spans = [abs(p[-1][0] - p[0][0]) for p, _ in svg_paths(pages[0]) if len(p) == 2 and p[0][1] == p[1][1]]
    assert any(s == pytest.approx(100, abs=1e-3) for s in spans)


def test_pdf_and_svg_draw_the_same_lines(document, pages):
    """Every straight line of the SVG has a line of the PDF within a hundredth of a millimetre."""
    for number, drawing in enumerate(pages):
        page = document[number]
        ends = [(*a, *b) for a, b in segments(page)] + [(*b, *a) for a, b in segments(page)]
        page.close()
        lines = [
            (ax, 297 - ay, bx, 297 - by) for points, _ in svg_paths(drawing) for (ax, ay), (bx, by) in pairwise(points)
        ]
        away, _ = cKDTree(np.array(ends)).query(np.array(lines))
        assert len(lines) > 500
        assert away.max() < 0.01


def test_names_are_escaped_everywhere():
    from dataclasses import replace

    nasty = replace(parts.FLANGE, name="<script>&\"'")
    made = pipeline.make_model(parts.part([nasty], name="</svg><b>"), pipeline.Choices(scale=1.0))
    page = draw_sheets(made.nets, made.sheets)[0]
    root = svg_tree(page)
    texts = [n.text for n in root.iter() if n.tag.endswith("}text")]
    assert any("<script>&\"'" in t for t in texts)
    assert not [n for n in root.iter() if n.tag.endswith("}b") or n.tag.endswith("}script")]
    assert pdf([page], "</svg><b>")


@pytest.mark.parametrize("name", ["Ø90 őж αβ", "中文 part"])
def test_unicode_names_print_or_are_told(name, tmp_path):
    from dataclasses import replace

    made = pipeline.make_model(parts.part([replace(parts.FLANGE, name=name)], name=name), pipeline.Choices(scale=1.0))
    written = outputs.write_model(made, tmp_path, "u")
    document = pdfium.PdfDocument(Path(written[0]).read_bytes())
    page = document[0]
    text = page.get_textpage()
    words = text.get_text_bounded()
    text.close()
    page.close()
    document.close()
    told = [f for f in made.findings if f.code == "names-not-printable"]
    assert name.split()[0] in words or told
