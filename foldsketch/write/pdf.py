"""Drawings to PDF through reportlab: true millimetres, text that stays text, the same bytes on every run."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from foldsketch.base.drawing import PATTERN, Circle, Drawing, LineType, Stroke, Words
from foldsketch.base.lettering import em_per_capital, font_path, runs
from foldsketch.base.units import POINTS_PER_MM


def pdf(pages: Sequence[Drawing], title: str) -> bytes:
    """One PDF with a page for every drawing, at the drawing's own size; viewers are told not to scale it."""
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("Foldsketch")
    canvas.setAuthor("")
    canvas.setSubject("Print at 100 %")
    canvas.setViewerPreference("PrintScaling", "None")
    fonts = _Fonts()
    for page in pages:
        canvas.setPageSize((page.size[0] * POINTS_PER_MM, page.size[1] * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        canvas.setLineJoin(1)
        for item in page.items:
            if isinstance(item, Words):
                _words(canvas, item, fonts)
            else:
                _line(canvas, item)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


class _Fonts:
    """Fonts registered when first needed, by file."""

    def __init__(self) -> None:
        self._names: dict[str, str] = {}

    def name(self, path: str) -> str:
        if path not in self._names:
            from reportlab.pdfbase import pdfmetrics
            from reportlab.pdfbase.ttfonts import TTFont

            name = "sheet" if path == str(font_path()) else f"fallback{len(self._names)}"
            if name not in pdfmetrics.getRegisteredFontNames():
                pdfmetrics.registerFont(TTFont(name, path))
            self._names[path] = name
        return self._names[path]


def _words(canvas: Any, w: Words, fonts: _Fonts) -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    size = w.size * em_per_capital()
    pieces = [(fonts.name(path), text) for path, text in runs(w.text)]
    total = sum(stringWidth(text, name, size) for name, text in pieces)
    x = {"start": 0.0, "middle": -total / 2, "end": -total}[w.anchor]
    canvas.saveState()
    canvas.setFillColorRGB(*w.colour)
    if w.bold:
        canvas.setStrokeColorRGB(*w.colour)
        canvas.setLineWidth(0.05 * w.size)
    canvas.translate(*w.at)
    if w.angle:
        canvas.rotate(w.angle * 57.29577951308232)
    for name, text in pieces:
        line = canvas.beginText(x, 0)
        line.setFont(name, size)
        if w.bold:
            line.setTextRenderMode(2)
        line.textOut(text)
        canvas.drawText(line)
        x += stringWidth(text, name, size)
    canvas.restoreState()


def _line(canvas: Any, item: Stroke | Circle) -> None:
    if item.colour is not None:
        canvas.setStrokeColorRGB(*item.colour)
        canvas.setLineWidth(item.width)
        canvas.setDash([k * item.width for k in PATTERN[item.line]] if item.line is not LineType.SOLID else [])
    if item.fill is not None:
        canvas.setFillColorRGB(*item.fill)
    stroke, fill = int(item.colour is not None), int(item.fill is not None)
    if isinstance(item, Circle):
        canvas.circle(*item.centre, item.radius, stroke=stroke, fill=fill)
        return
    path = canvas.beginPath()
    path.moveTo(*item.points[0])
    for p in item.points[1:]:
        path.lineTo(*p)
    if item.closed:
        path.close()
    canvas.drawPath(path, stroke=stroke, fill=fill)
