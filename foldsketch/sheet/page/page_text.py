"""What booklets, worksheets and set-up sheets share: page sizes, text heights, text, and rectangles on the page."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.drawing import Layer, Point, Text

A4_PORTRAIT_MM, A4_LANDSCAPE_MM = (210.0, 297.0), (297.0, 210.0)
"""Width and height of A4 upright and lying, mm [ISO 216]."""

TEXT_MARGIN_MM = 14.0
"""Margin of pages of text, mm."""

BODY_TEXT_HEIGHT_MM, SMALL_TEXT_HEIGHT_MM = 2.5, 1.8
"""Capital heights, mm [ISO 3098-1]."""


@dataclass(frozen=True, slots=True)
class PageRectangle:
    """A rectangle on the page: lower left corner and size, mm."""

    x: float
    y: float
    width: float
    height: float

    @property
    def middle(self) -> Point:
        """Its centre."""
        return (self.x + self.width / 2, self.y + self.height / 2)


def frame_text(
    x: float, y: float, text: str, size: float, anchor: str = "start", bold: bool = False, angle: float = 0.0
) -> Text:
    """A line of text on the page. size: capital height, mm; angle: radians."""
    return Text(Layer.FRAME, (x, y), text, size, angle, anchor, bold=bold)
