"""The section through jaw 1 at true size for DXF: pocket wall, chamfer and rest face as they are bored."""

from __future__ import annotations

from math import pi, sin

from foldsketch.base.drawing import Item, Layer, LineType, Point, Stroke, Text
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.setup_sheets.jaw_face_frame import section_letter
from foldsketch.sheet.setup_sheets.jaw_outlines import NOSE_GAP_MM

BELOW_FLOOR_MM = 10.0
"""Of the jaw below its rest face, then it is broken off: its height is the maker's, mm."""


def draw_model_section(p: JawPocket, at: Point) -> list[Item]:
    """Jaw face up, cut along jaw 1's middle line. at: where the spindle axis meets the jaw face, mm."""
    x0, face = at
    wall, bevel = p.offset + p.bore / 2, p.values.chamfer
    nose = max(p.through / 2, NOSE_GAP_MM / 2 / sin(pi / 3))
    low, end = -p.depth - BELOW_FLOOR_MM, p.chuck_radius
    bored = [(wall + bevel, 0.0), (wall, -bevel), (wall, -p.depth), (nose, -p.depth)]
    if not p.rests:
        bored[2:] = [(wall, low)]
    inner = nose if p.rests else wall

    def line(points: list[Point], layer: Layer = Layer.MARK, kind: LineType = LineType.SOLID) -> Stroke:
        return Stroke(layer, tuple((x0 + x, face + y) for x, y in points), line=kind)

    items: list[Item] = [
        line(bored, Layer.CUT),
        line([(wall + bevel, 0.0), (end, 0.0), (end, low)]),
        line([(inner, low), (end, low)], kind=LineType.DASHED),
        *([line([(nose, -p.depth), (nose, low)])] if p.rests else []),
        *(line([(x, low - 5), (x, 8.0)], kind=LineType.CENTRE) for x in dict.fromkeys((0.0, p.offset))),
    ]
    letter = section_letter(p.setup)
    rows = (f"section {letter}-{letter}, jaw 1, jaw face up", "broken off below; relief and height: see the sheet")
    return [*items, *(Text(Layer.FRAME, (x0, face + low - 12 - 5 * k), row, 2.5) for k, row in enumerate(rows))]
