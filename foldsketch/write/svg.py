"""A drawing to SVG through svgwrite: millimetres, a layer a group, text that stays text."""

from __future__ import annotations

from typing import Any

from foldsketch.base.drawing import (
    PATTERN,
    Circle,
    Colour,
    Drawing,
    Layer,
    LineType,
    Stroke,
    Words,
    has_round_ends,
    runs_of_one_pen,
)
from foldsketch.base.lettering import em_per_capital, width

FAMILY = "'Noto Sans', 'DejaVu Sans', 'Liberation Sans', Arial, sans-serif"


def svg(page: Drawing) -> bytes:
    """The page as SVG: one user unit is one millimetre, and every layer is a group named after it."""
    import svgwrite

    w, h = page.size
    drawing = svgwrite.Drawing(
        size=(f"{_n(w)}mm", f"{_n(h)}mm"), viewBox=f"0 0 {_n(w)} {_n(h)}", debug=False, profile="full"
    )
    drawing.set_desc(title=page.title)
    for layer in Layer:
        group = drawing.g(id=layer.value)
        for item in runs_of_one_pen(page.on([layer])):
            if isinstance(item, Words):
                group.add(_words(drawing, item, h))
            elif isinstance(item, Circle):
                x, y = item.centre
                group.add(drawing.circle((_n(x), _n(h - y)), _n(item.radius), debug=False, **_pen(item)))
            else:
                steps = " ".join(_steps(s, h) for s in item)
                group.add(drawing.path(steps, debug=False, **_pen(item[0])))
        drawing.add(group)
    text: str = drawing.tostring()
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + text.replace("><", ">\n<") + "\n").encode()


def _n(value: float) -> str:
    """A coordinate to a ten-thousandth of a millimetre."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _colour(c: Colour | None) -> str:
    return "none" if c is None else "#" + "".join(f"{round(255 * v):02x}" for v in c)


def _pen(item: Any) -> dict[str, str]:
    pen = {"stroke": _colour(item.colour), "fill": _colour(item.fill)}
    if item.colour is not None:
        pen["stroke_width"] = _n(item.width)
        pen["stroke_linejoin"] = "round"
        if item.line is not LineType.SOLID:
            pen["stroke_dasharray"] = " ".join(_n(k * item.width) for k in PATTERN[item.line])
        if has_round_ends(item.line):
            pen["stroke_linecap"] = "round"
    return pen


def _steps(s: Stroke, height: float) -> str:
    steps = " L ".join(f"{_n(x)} {_n(height - y)}" for x, y in s.points)
    return f"M {steps}" + (" Z" if s.closed else "")


def _words(drawing: Any, w: Words, height: float) -> Any:
    x, y = w.at[0], height - w.at[1]
    extra: dict[str, Any] = {"font_weight": "bold"} if w.bold else {}
    if w.angle:
        extra["transform"] = f"rotate({_n(-w.angle * 57.29577951308232)} {_n(x)} {_n(y)})"
    return drawing.text(
        w.text,
        insert=(_n(x), _n(y)),
        font_family=FAMILY,
        font_size=_n(w.size * em_per_capital()),
        fill=_colour(w.colour),
        text_anchor=w.anchor,
        textLength=_n(width(w.text, w.size)),
        lengthAdjust="spacingAndGlyphs",
        debug=False,
        **extra,
    )
