"""Drawings to PDF through reportlab: true millimetres, text that stays text, the same bytes on every run."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from math import cos, sin
from typing import Any

from foldsketch.base.drawing import (
    DASH_PATTERNS,
    Circle,
    Colour,
    Drawing,
    Stroke,
    Text,
    group_strokes_by_pen,
    has_round_ends,
)
from foldsketch.base.lettering import em_per_cap_height, font_path, font_runs
from foldsketch.base.units import POINTS_PER_MM


def pdf(pages: Sequence[Drawing], title: str) -> bytes:
    """One PDF with a page for every drawing, at the drawing's own size; with a note to viewers not to scale it."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    # What is compressed stays as bytes: written as letters it takes a quarter more, and time.
    rl_config.useA85 = 0
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("Foldsketch")
    canvas.setAuthor("")
    canvas.setSubject("Print at 100 %")
    canvas.setViewerPreference("PrintScaling", "None")
    fonts = _FontRegistry()
    for page in pages:
        canvas.setPageSize((page.size[0] * POINTS_PER_MM, page.size[1] * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        canvas.setLineJoin(1)
        pen = _Pen(canvas)
        for item in group_strokes_by_pen(page.items):
            if isinstance(item, Text):
                _draw_text(canvas, item, fonts, pen)
            elif isinstance(item, Circle):
                pen.set(item)
                stroke, fill = int(item.colour is not None), int(item.fill is not None)
                canvas.circle(*item.centre, item.radius, stroke=stroke, fill=fill)
            else:
                _draw_path(canvas, item, pen)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


class _FontRegistry:
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


class _Pen:
    """The graphics state of a page, set on the canvas only where it changes."""

    def __init__(self, canvas: Any) -> None:
        self.canvas = canvas
        self.state: dict[str, object] = {}

    def _set_if_changed(self, key: str, value: object, apply: Callable[[], None]) -> None:
        if self.state.get(key, _Pen) != value:
            self.state[key] = value
            apply()

    def set(self, item: Stroke | Circle) -> None:
        """Ready for a line or circle."""
        c, colour = self.canvas, item.colour
        if colour is not None:
            self._set_if_changed("stroke", colour, lambda: c.setStrokeColorRGB(*colour))
            self._set_if_changed("width", item.width, lambda: c.setLineWidth(item.width))
            dash = [round(k * item.width, 4) for k in DASH_PATTERNS[item.line]]
            self._set_if_changed("dash", dash, lambda: c.setDash(dash))
            cap = int(has_round_ends(item.line))  # as ISO 32000-1 numbers them, 8.4.3.3
            self._set_if_changed("cap", cap, lambda: c.setLineCap(cap))
        if item.fill is not None:
            self.fill(item.fill)

    def fill(self, colour: Colour) -> None:
        """Ready to fill."""
        self._set_if_changed("fill", colour, lambda: self.canvas.setFillColorRGB(*colour))


def _draw_text(canvas: Any, w: Text, fonts: _FontRegistry, pen: _Pen) -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    size = w.size * em_per_cap_height()
    pieces = [(fonts.name(path), text) for path, text in font_runs(w.text)]
    total = sum(stringWidth(text, name, size) for name, text in pieces)
    x = {"start": 0.0, "middle": -total / 2, "end": -total}[w.anchor]
    c, s = cos(w.angle), sin(w.angle)
    pen.fill(w.colour)
    if w.bold:
        # The outline of the letters is drawn too, thinly.
        pen.set(Stroke(w.layer, (), width=0.05 * w.size, colour=w.colour))
    line = canvas.beginText()
    if w.bold:
        line.setTextRenderMode(2)
    for name, text in pieces:
        line.setTextTransform(c, s, -s, c, w.at[0] + x * c, w.at[1] + x * s)
        line.setFont(name, size)
        line.textOut(text)
        x += stringWidth(text, name, size)
    if w.bold:
        line.setTextRenderMode(0)
    canvas.drawText(line)


NON_ZERO_WINDING = 1
"""The rule by which paths are filled [ISO 32000-1, 8.5.3.3.2], as reportlab numbers them."""


def _draw_path(canvas: Any, strokes: Sequence[Stroke], pen: _Pen) -> None:
    """Lines of one pen as one path; the dash pattern begins anew with each."""
    first = strokes[0]
    pen.set(first)
    path = canvas.beginPath()
    for s in strokes:
        path.moveTo(*s.points[0])
        for p in s.points[1:]:
            path.lineTo(*p)
        if s.closed:
            path.close()
    # What two loops of one path both go round is filled, as in SVG.
    canvas.drawPath(path, int(first.colour is not None), int(first.fill is not None), NON_ZERO_WINDING)
