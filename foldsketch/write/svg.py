"""A drawing to SVG: millimetres, a layer a group, text that stays text."""

from __future__ import annotations

from math import degrees
from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from foldsketch.base.drawing import (
    DASH_PATTERNS,
    Circle,
    Colour,
    Drawing,
    Layer,
    LineType,
    Stroke,
    Text,
    group_strokes_by_pen,
    has_round_ends,
)
from foldsketch.base.lettering import em_per_cap_height, text_width

FONT_FAMILY = "'Noto Sans', 'DejaVu Sans', 'Liberation Sans', Arial, sans-serif"


def svg(page: Drawing) -> bytes:
    """The page as SVG: one user unit is one millimetre, and every layer is a group named after it."""
    w, h = (_format_mm(v) for v in page.size)
    head = {"baseProfile": "full", "height": f"{h}mm", "version": "1.1", "viewBox": f"0 0 {w} {h}", "width": f"{w}mm"}
    root = Element("svg", {**head, "xmlns": "http://www.w3.org/2000/svg"})
    SubElement(root, "title").text = page.title
    height = page.size[1]
    for layer in Layer:
        group = SubElement(root, "g", {"id": layer.value})
        for item in group_strokes_by_pen(page.items_on([layer])):
            if isinstance(item, Text):
                SubElement(group, "text", _text_attributes(item, height)).text = item.text
            elif isinstance(item, Circle):
                x, y = item.centre
                place = {"cx": _format_mm(x), "cy": _format_mm(height - y), "r": _format_mm(item.radius)}
                SubElement(group, "circle", {**place, **_pen_attributes(item)})
            else:
                steps = " ".join(_path_data(s, height) for s in item)
                SubElement(group, "path", {"d": steps, **_pen_attributes(item[0])})
    text = tostring(root, "unicode").replace("><", ">\n<")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _format_mm(value: float) -> str:
    """A coordinate to a ten-thousandth of a millimetre."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _hex_colour(c: Colour | None) -> str:
    return "none" if c is None else "#" + "".join(f"{round(255 * v):02x}" for v in c)


def _pen_attributes(item: Any) -> dict[str, str]:
    pen = {"stroke": _hex_colour(item.colour), "fill": _hex_colour(item.fill)}
    if item.colour is not None:
        pen["stroke-width"] = _format_mm(item.width)
        pen["stroke-linejoin"] = "round"
        if item.line is not LineType.SOLID:
            pen["stroke-dasharray"] = " ".join(_format_mm(k * item.width) for k in DASH_PATTERNS[item.line])
        if has_round_ends(item.line):
            pen["stroke-linecap"] = "round"
    return pen


def _path_data(s: Stroke, height: float) -> str:
    steps = " L ".join(f"{_format_mm(x)} {_format_mm(height - y)}" for x, y in s.points)
    return f"M {steps}" + (" Z" if s.closed else "")


def _text_attributes(w: Text, height: float) -> dict[str, str]:
    x, y = _format_mm(w.at[0]), _format_mm(height - w.at[1])
    found = {
        "x": x,
        "y": y,
        "fill": _hex_colour(w.colour),
        "font-family": FONT_FAMILY,
        "font-size": _format_mm(w.size * em_per_cap_height()),
        "text-anchor": w.anchor,
        "textLength": _format_mm(text_width(w.text, w.size)),
        "lengthAdjust": "spacingAndGlyphs",
    }
    if w.bold:
        found["font-weight"] = "bold"
    if w.angle:
        found["transform"] = f"rotate({_format_mm(-degrees(w.angle))} {x} {y})"
    return found
