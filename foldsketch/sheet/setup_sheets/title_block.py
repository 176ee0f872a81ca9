"""What every set-up sheet has around its views: border, title block, projection symbol and cautions."""

from __future__ import annotations

from foldsketch.base.drawing import Circle, Item, Layer, LineType, Stroke
from foldsketch.base.lettering import truncate_text
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, SMALL_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.setup_sheets.workholding import NARROW_LINE_WIDTH_MM

BORDER_MARGIN_MM = 8.0
"""From the edge of the page to the border, mm."""

TITLE_BLOCK_SIZE_MM = (180.0, 20.0)
"""Title block, mm [ISO 7200: 180 wide]."""


def draw_border_and_title_block(part: str, what: str, number: int, count: int, scale: float | None) -> list[Item]:
    """The border and the title block with the fields of ISO 7200, and the projection symbol of ISO 5456-2."""
    w, h = A4_LANDSCAPE_MM
    m = BORDER_MARGIN_MM
    border = (m, m), (w - m, m), (w - m, h - m), (m, h - m)
    items: list[Item] = [Stroke(Layer.FRAME, border, closed=True, width=0.7)]
    x0, y0 = w - m - TITLE_BLOCK_SIZE_MM[0], m
    x1, y1 = w - m, m + TITLE_BLOCK_SIZE_MM[1]
    items.append(Stroke(Layer.FRAME, ((x0, y0), (x0, y1), (x1, y1)), width=0.5))
    cuts = [(x0 + 60, y0, y1), (x0 + 132, y0, y1), (x0 + 156, y0, y1)]
    for x, a, b in cuts:
        items.append(Stroke(Layer.FRAME, ((x, a), (x, b)), width=NARROW_LINE_WIDTH_MM))
    middle = y0 + TITLE_BLOCK_SIZE_MM[1] / 2
    items.append(Stroke(Layer.FRAME, ((x0, middle), (x1, middle)), width=NARROW_LINE_WIDTH_MM))

    def field(x: float, y: float, label: str, value: str, room: float, size: float = BODY_TEXT_HEIGHT_MM) -> None:
        items.append(frame_text(x + 1.2, y + 6.6, label, SMALL_TEXT_HEIGHT_MM))
        items.append(frame_text(x + 1.2, y + 1.8, truncate_text(value, size, room - 2.4), size))

    field(x0, middle, "workshop", "", 60)
    field(x0, y0, "drawn, date", "", 60)
    field(x0 + 60, middle, "title", part, 72, 3.5)
    field(x0 + 60, y0, "what", what, 72)
    field(x0 + 132, middle, "scale", scale_text(scale) if scale else "none", 24)
    field(x0 + 132, y0, "sheet", f"{number} / {count}", 24)
    field(x0 + 156, y0, "approved", "", 24)
    items += draw_projection_symbol(x0 + 168, middle + TITLE_BLOCK_SIZE_MM[1] / 4)
    return items


def draw_projection_symbol(x: float, y: float) -> list[Item]:
    """The first-angle symbol: a frustum from the side, and on its right the view from its left."""
    r, q = 3.2, 1.6
    cone = ((x - 8, y - q), (x - 2, y - r), (x - 2, y + r), (x - 8, y + q))
    return [
        Stroke(Layer.FRAME, cone, closed=True, width=0.35),
        Circle(Layer.FRAME, (x + 5, y), r, width=0.35),
        Circle(Layer.FRAME, (x + 5, y), q, width=0.35),
        Stroke(Layer.FRAME, ((x - 9.5, y), (x - 0.5, y)), width=0.13, line=LineType.CENTRE),
        Stroke(Layer.FRAME, ((x + 0.8, y), (x + 9.2, y)), width=0.13, line=LineType.CENTRE),
        Stroke(Layer.FRAME, ((x + 5, y - 4.2), (x + 5, y + 4.2)), width=0.13, line=LineType.CENTRE),
    ]


def draw_warning_sign(x: float, y: float, width: float) -> list[Item]:
    """A triangle with an exclamation mark around a point; width in mm."""
    h, w = width * 0.45, width / 2
    corners = ((x - w, y - h), (x + w, y - h), (x, y + h))
    return [
        Stroke(Layer.FRAME, corners, closed=True, width=0.7),
        frame_text(x, y - h + 1.4, "!", width * 0.45, anchor="middle", bold=True),
    ]


def draw_cautions(x: float, y: float) -> list[Item]:
    """The cautions, one below the other from a point on."""
    items: list[Item] = []
    for line in CAUTIONS:
        items.append(frame_text(x, y, line, SMALL_TEXT_HEIGHT_MM))
        y -= 3.2
    return items
