"""PDF read back by pypdfium2: page sizes, lines, colours and text where they were drawn; the same bytes every time."""

import ctypes
import math

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.drawing import DASH_PATTERNS, Circle, Drawing, Layer, LineType, Stroke, Text
from foldsketch.write.pdf import pdf

MM = 72 / 25.4
"""Points in a millimetre: 1/72 inch [ISO 32000-1, 8.3.2.3]."""


def paths(*items):
    """The path objects of a page of 210 by 297 mm with these items."""
    document = pdfium.PdfDocument(pdf([Drawing((210, 297), items)], "test"))
    page = document[0]
    return document, page, [o for o in page.get_objects() if o.type == raw.FPDF_PAGEOBJ_PATH]


def corners(path):
    """The corners of a path, mm, and whether it is closed."""
    found, closed, matrix = [], False, path.get_matrix()
    for k in range(raw.FPDFPath_CountSegments(path.raw)):
        segment, x, y = raw.FPDFPath_GetPathSegment(path.raw, k), ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        found.append(tuple(v / MM for v in matrix.on_point(x.value, y.value)))
        closed |= bool(raw.FPDFPathSegment_GetClose(segment))
    return found, closed


def colour(path, read):
    """Red, green, blue and opacity, 0 to 255."""
    values = [ctypes.c_uint() for _ in range(4)]
    assert read(path.raw, *values)
    return tuple(v.value for v in values)


def test_every_page_has_the_size_of_its_drawing():
    sizes = [(210.0, 297.0), (297.0, 210.0), (420.0, 594.0)]
    document = pdfium.PdfDocument(pdf([Drawing(s, ()) for s in sizes], "sizes"))
    assert [document.get_page_size(k) for k in range(3)] == [
        pytest.approx((w * MM, h * MM), abs=1e-2) for w, h in sizes
    ]
    assert document.get_metadata_value("Title") == "sizes"
    document.close()


def test_viewers_are_asked_not_to_scale_it_and_repeats_are_identical():
    pages = [Drawing((210, 297), (Text(Layer.MARK, (10, 10), "A"),))]
    data = pdf(pages, "once")
    assert b"/PrintScaling /None" in data
    assert data == pdf(pages, "once")


@given(st.tuples(*[st.floats(5, 200)] * 4), st.booleans())
def test_a_line_is_where_it_was_drawn(ends, closed):
    x0, y0, x1, y1 = ends
    document, page, (path,) = paths(Stroke(Layer.CUT, ((x0, y0), (x1, y1), (x1, y0)), closed))
    read, is_closed = corners(path)
    assert [v for p in read[:3] for v in p] == pytest.approx([x0, y0, x1, y1, x1, y0], abs=1e-3)
    assert is_closed == closed
    page.close()
    document.close()


@pytest.mark.parametrize("line", list(LineType))
def test_pens_are_set_for_every_line(line):
    """Two lines of other pens, one after the other: each has its own colour and width."""
    red = Stroke(Layer.CUT, ((10, 10), (60, 10)), width=0.5, line=line, colour=(1.0, 0.0, 0.0))
    blue = Stroke(Layer.MOUNTAIN, ((10, 20), (60, 20)), width=0.25, colour=(0.0, 0.0, 1.0))
    document, page, found = paths(red, blue, red)
    width = ctypes.c_float()
    for path, stroke in zip(found, (red, blue, red), strict=True):
        assert colour(path, raw.FPDFPageObj_GetStrokeColor)[:3] == tuple(round(255 * c) for c in stroke.colour)
        raw.FPDFPageObj_GetStrokeWidth(path.raw, width)
        assert width.value == pytest.approx(stroke.width, rel=1e-6)
        assert raw.FPDFPageObj_GetDashCount(path.raw) == len(DASH_PATTERNS[stroke.line])
    page.close()
    document.close()


def test_a_filled_circle_without_a_line():
    document, page, (path,) = paths(Circle(Layer.MARK, (50.0, 60.0), 4.0, colour=None, fill=(0.0, 1.0, 0.0)))
    assert path.get_bounds() == pytest.approx([v * MM for v in (46, 56, 54, 64)], abs=0.05)
    assert colour(path, raw.FPDFPageObj_GetFillColor)[:3] == (0, 255, 0)
    page.close()
    document.close()


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_text_is_anchored_where_it_was_drawn(anchor, share):
    """Its box begins a share of its width left of the place; rotated by 90 degrees, below it."""
    for angle, k in ((0.0, 0), (math.pi / 2, 1)):
        text = Text(Layer.MARK, (100.0, 150.0), "offset 20 mm", size=5.0, angle=angle, anchor=anchor, bold=angle > 0)
        document = pdfium.PdfDocument(pdf([Drawing((210, 297), (text,))], "t"))
        page = document[0]
        words = page.get_textpage()
        assert words.get_text_range().strip() == "offset 20 mm"
        boxes = [words.get_charbox(j, loose=True) for j in range(words.count_chars())]
        low, high = min(b[k] for b in boxes) / MM, max(b[k + 2] for b in boxes) / MM
        assert (100.0, 150.0)[k] == pytest.approx(low + share * (high - low), abs=0.2)
        words.close()
        page.close()
        document.close()
