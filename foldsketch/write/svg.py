"""A drawing to SVG through svgwrite: millimetres, a layer a group, text that stays text."""

from __future__ import annotations

from math import degrees
from typing import Any

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
    import svgwrite

    w, h = page.size
    drawing = svgwrite.Drawing(
        size=(f"{_format_mm(w)}mm", f"{_format_mm(h)}mm"),
        viewBox=f"0 0 {_format_mm(w)} {_format_mm(h)}",
        debug=False,
        profile="full",
    )
    drawing.set_desc(title=page.title)
    for layer in Layer:
        group = drawing.g(id=layer.value)
        for item in group_strokes_by_pen(page.items_on([layer])):
            if isinstance(item, Text):
                group.add(_text_element(drawing, item, h))
            elif isinstance(item, Circle):
                x, y = item.centre
                group.add(
                    drawing.circle(
                        (_format_mm(x), _format_mm(h - y)),
                        _format_mm(item.radius),
                        debug=False,
                        **_pen_attributes(item),
                    )
                )
            else:
                steps = " ".join(_path_data(s, h) for s in item)
                group.add(drawing.path(steps, debug=False, **_pen_attributes(item[0])))
        drawing.add(group)
    text: str = drawing.tostring()
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + text.replace("><", ">\n<") + "\n").encode()


def _format_mm(value: float) -> str:
    """A coordinate to a ten-thousandth of a millimetre."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _hex_colour(c: Colour | None) -> str:
    return "none" if c is None else "#" + "".join(f"{round(255 * v):02x}" for v in c)


def _pen_attributes(item: Any) -> dict[str, str]:
    pen = {"stroke": _hex_colour(item.colour), "fill": _hex_colour(item.fill)}
    if item.colour is not None:
        pen["stroke_width"] = _format_mm(item.width)
        pen["stroke_linejoin"] = "round"
        if item.line is not LineType.SOLID:
            pen["stroke_dasharray"] = " ".join(_format_mm(k * item.width) for k in DASH_PATTERNS[item.line])
        if has_round_ends(item.line):
            pen["stroke_linecap"] = "round"
    return pen


def _path_data(s: Stroke, height: float) -> str:
    steps = " L ".join(f"{_format_mm(x)} {_format_mm(height - y)}" for x, y in s.points)
    return f"M {steps}" + (" Z" if s.closed else "")


def _text_element(drawing: Any, w: Text, height: float) -> Any:
    x, y = w.at[0], height - w.at[1]
    extra: dict[str, Any] = {"font_weight": "bold"} if w.bold else {}
    if w.angle:
        extra["transform"] = f"rotate({_format_mm(-degrees(w.angle))} {_format_mm(x)} {_format_mm(y)})"
    return drawing.text(
        w.text,
        insert=(_format_mm(x), _format_mm(y)),
        font_family=FONT_FAMILY,
        font_size=_format_mm(w.size * em_per_cap_height()),
        fill=_hex_colour(w.colour),
        text_anchor=w.anchor,
        textLength=_format_mm(text_width(w.text, w.size)),
        lengthAdjust="spacingAndGlyphs",
        debug=False,
        **extra,
    )
