"""DXF: a page for cutting plotters and lasers, in millimetres, its lines on the same layers as in the SVG."""

from __future__ import annotations

import io
from importlib.util import find_spec
from math import degrees

from foldsketch.base.drawing import DASH_PATTERNS, Circle, Drawing, Layer, LineType, Stroke, Text

LAYER_COLOUR_NUMBERS: dict[Layer, int] = {
    Layer.CUT: 1,
    Layer.MOUNTAIN: 5,
    Layer.VALLEY: 3,
    Layer.GLUE: 8,
    Layer.MARK: 7,
    Layer.FRAME: 9,
}
"""Colour numbers of the layers, so that the operator can tell them apart."""

INSUNITS_MM = 4
"""$INSUNITS of millimetres [DXF reference]."""

DASH_UNIT_MM = 0.25
"""Length of one unit of a dash pattern, mm."""


def dxf_available() -> bool:
    """True if the optional package for DXF is installed."""
    return find_spec("ezdxf") is not None


def dxf(page: Drawing) -> bytes:
    """The page as DXF (R2010). Text stays text; white backgrounds are left out.

    Raises ImportError without the optional package.
    """
    import ezdxf
    from ezdxf.enums import TextEntityAlignment

    # No time and no random identity in the header, so that repeated runs are identical.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new("R2010", units=INSUNITS_MM)
    doc.header["$MEASUREMENT"] = 1
    for kind, pattern in DASH_PATTERNS.items():
        if pattern:
            lengths = [v * DASH_UNIT_MM * (-1) ** k for k, v in enumerate(pattern)]
            doc.linetypes.add(kind.name, [sum(abs(v) for v in lengths), *lengths])
    for layer in Layer:
        doc.layers.add(layer.value, color=LAYER_COLOUR_NUMBERS[layer])
    space = doc.modelspace()
    anchors = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    for item in page.items:
        look = {"layer": item.layer.value}
        match item:
            case Stroke():
                if item.colour is None:
                    continue
                if item.line is not LineType.SOLID:
                    look["linetype"] = item.line.name
                space.add_lwpolyline(item.points, close=item.closed, dxfattribs=look)
            case Circle():
                if item.colour is not None:
                    space.add_circle(item.centre, item.radius, dxfattribs=look)
            case Text():
                text = space.add_text(item.text, height=item.size, rotation=degrees(item.angle), dxfattribs=look)
                text.set_placement(item.at, align=anchors[item.anchor])
    # The library would add these in the order of a set.
    for name in sorted(doc.entitydb.dxf_types_in_use()):
        doc.classes.add_class(name)
    out = io.StringIO()
    doc.write(out)
    return out.getvalue().encode("utf-8", "replace")
