"""What every set-up sheet has around its views: title, and a strip with cautions and blanks. No word below 2.5 mm."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import Circle, Item, Layer, LineType, Stroke
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.setup.plan.plan_text import CAUTIONS
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.setup_sheets.drafting import BOLD_WIDTH

MARGIN_MM = 9.0
"""Edge of the page, mm."""

RIGHT_MM = A4_LANDSCAPE_MM[0] - MARGIN_MM

HEADING_MM, LINE_MM = 3.5, 3.9
"""Capital height of headings, and from line to line of small words, mm."""

LEAST_RIGHT_MM = 60.0
"""The words at the right edge have so much room beside any title, mm."""

STRIP_TOP_MM = 34.0
"""The rule above the cautions, mm from the foot of the page."""


def page_rule(y: float, width: float) -> Stroke:
    """A line across the page."""
    return Stroke(Layer.FRAME, ((MARGIN_MM, y), (RIGHT_MM, y)), width=width)


def draw_title(title: str, size: float, under: str, right: Sequence[str]) -> list[Item]:
    """Title, bold; a line or two below it; and two words at the right edge. size: capital height, mm."""
    top = A4_LANDSCAPE_MM[1] - MARGIN_MM - size
    room = RIGHT_MM - MARGIN_MM - text_width(title, size) * BOLD_WIDTH - 8
    right = [truncate_text(words, HEADING_MM, max(room, LEAST_RIGHT_MM)) for words in right]
    beside, wide = (RIGHT_MM - MARGIN_MM - text_width(words, HEADING_MM) - 8 for words in right)
    title = truncate_text(title, size, beside / BOLD_WIDTH)
    items: list[Item] = [frame_text(MARGIN_MM, top, title, size, bold=True)]
    for k, words in enumerate(right):
        items.append(frame_text(RIGHT_MM, top - 6.5 * k, words, HEADING_MM, anchor="end"))
    if text_width(under, HEADING_MM) <= wide:
        return [*items, frame_text(MARGIN_MM, top - 6.5, under, HEADING_MM)]
    lines = wrap_text(under, BODY_TEXT_HEIGHT_MM, wide)
    lines = lines if len(lines) < 3 else [lines[0], truncate_text(" ".join(lines[1:]), BODY_TEXT_HEIGHT_MM, wide)]
    return items + [
        frame_text(MARGIN_MM, top - 5.5 - LINE_MM * k, truncate_text(line, BODY_TEXT_HEIGHT_MM, wide), 2.5)
        for k, line in enumerate(lines)
    ]


def draw_strip() -> list[Item]:
    """Cautions, and blanks for who checked the plan."""
    items: list[Item] = [page_rule(STRIP_TOP_MM, 0.5), *draw_warning_sign(MARGIN_MM + 6.5, 20.0, 11.0)]
    y = STRIP_TOP_MM - 5.0
    for line in CAUTIONS:
        items.append(frame_text(MARGIN_MM + 16, y, line, BODY_TEXT_HEIGHT_MM))
        y -= LINE_MM
    x = 222.0
    items.append(Stroke(Layer.FRAME, ((x - 5, 9.5), (x - 5, 31.5)), width=0.25))
    for k, word in enumerate(("checked", "date")):
        items.append(frame_text(x, 25.0 - 9 * k, word, BODY_TEXT_HEIGHT_MM))
        blank = ((x + 16, 24.3 - 9 * k), (RIGHT_MM, 24.3 - 9 * k))
        items.append(Stroke(Layer.FRAME, blank, width=0.25))
    return items


def draw_projection_symbol(x: float, y: float) -> list[Item]:
    """The first-angle symbol: a frustum from the side, and on its right the view from its left."""
    r, q = 3.2, 1.6
    cone = ((x - 8, y - q), (x - 2, y - r), (x - 2, y + r), (x - 8, y + q))
    return [
        Stroke(Layer.FRAME, cone, closed=True, width=0.35),
        Circle(Layer.FRAME, (x + 5, y), r, width=0.35),
        Circle(Layer.FRAME, (x + 5, y), q, width=0.35),
        Stroke(Layer.FRAME, ((x - 9.5, y), (x - 0.5, y)), width=0.18, line=LineType.CENTRE),
        Stroke(Layer.FRAME, ((x + 0.8, y), (x + 9.2, y)), width=0.18, line=LineType.CENTRE),
        Stroke(Layer.FRAME, ((x + 5, y - 4.2), (x + 5, y + 4.2)), width=0.18, line=LineType.CENTRE),
    ]


def draw_warning_sign(x: float, y: float, width: float) -> list[Item]:
    """A triangle with an exclamation mark around a point; width in mm."""
    h, w = width * 0.45, width / 2
    corners = ((x - w, y - h), (x + w, y - h), (x, y + h))
    return [
        Stroke(Layer.FRAME, corners, closed=True, width=0.7),
        frame_text(x, y - h + 1.4, "!", width * 0.45, anchor="middle", bold=True),
    ]
