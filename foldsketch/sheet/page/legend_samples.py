"""The samples in a sheet's legend: a line, a symbol, the paper's profile at a fold or tab."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import BLACK, Circle, Item, Layer, LineType, Point, Stroke
from foldsketch.sheet.page.line_widths import (
    CUT_LINE_WIDTH_MM,
    FOLD_LINE_WIDTH_MM,
    GREY,
    TAPE_TICK_WIDTH_MM,
    THIN_LINE_WIDTH_MM,
)
from foldsketch.sheet.page.page_text import SMALL_TEXT_HEIGHT_MM, frame_text

LINE_SAMPLE_LENGTH_MM, FOLD_PROFILE_LENGTH_MM = 7.0, 5.0
"""Lengths in mm of a line's sample, and of the paper's profile after it."""

SYMBOL_ENTRIES, SYMBOL_SAMPLE_LENGTH_MM = ("ring", "frame", "tick", "z"), 3.2
"""Entries with a symbol, and its width, mm."""

ENTRIES_WITH_PROFILE = ("mountain", "valley", "glue")


def draw_paper_profile(kind: str, x: float, y: float) -> list[Item]:
    """The edge of the paper, its printed side thick: folded outwards or inwards, or with a tab glued behind it.

    kind: "mountain", "valley" or "glue".
    """

    def paper(points: Sequence[Point], printed: float) -> list[Item]:
        blank = tuple((u, v - printed) for u, v in points)
        return [
            Stroke(Layer.FRAME, tuple(points), width=0.45),
            Stroke(Layer.FRAME, blank, width=THIN_LINE_WIDTH_MM, colour=GREY),
        ]

    match kind:
        case "mountain":
            return paper(((x, y - 0.7), (x + 2, y + 1.0), (x + 4, y - 0.7)), 0.55)
        case "valley":
            return paper(((x, y + 1.3), (x + 2, y - 0.4), (x + 4, y + 1.3)), 0.55)
        case _:
            drops = [
                Circle(Layer.FRAME, (x + k, y + 0.15), 0.16, width=THIN_LINE_WIDTH_MM, fill=BLACK)
                for k in (2.2, 3.0, 3.8)
            ]
            panel = paper(((x, y + 1.1), (x + 4.2, y + 1.1)), 0.45)
            return [*panel, *drops, *paper(((x + 1.6, y - 0.4), (x + 4.2, y - 0.4)), 0.45)]


def _draw_symbol_text(x: float, y: float, text: str) -> Item:
    return frame_text(x, y - 0.9, text, SMALL_TEXT_HEIGHT_MM, anchor="middle")


def draw_line_sample(kind: str, x: float, y: float, length: float) -> list[Item]:
    """A line or symbol of one kind, from a point on to the right. length: mm."""
    line = ((x, y), (x + length, y))
    middle = x + length / 2
    match kind:
        case "cut":
            return [Stroke(Layer.FRAME, line, width=CUT_LINE_WIDTH_MM)]
        case "mountain":
            return [Stroke(Layer.FRAME, line, width=FOLD_LINE_WIDTH_MM, line=LineType.DASH_DOT)]
        case "valley":
            return [Stroke(Layer.FRAME, line, width=FOLD_LINE_WIDTH_MM, line=LineType.DASHED)]
        case "glue" | "landing":
            pen = THIN_LINE_WIDTH_MM if kind == "landing" else 0.18
            flap = ((x, y - 1.2), (x + length, y - 1.2), (x + length - 1.4, y + 1.2), (x + 1.4, y + 1.2))
            slants = [
                Stroke(Layer.FRAME, ((x + k, y - 1.0), (x + k + 1.6, y + 1.0)), width=THIN_LINE_WIDTH_MM, colour=GREY)
                for k in (1.2, 2.6, 4.0, 5.4)
            ]
            return [Stroke(Layer.FRAME, flap, closed=True, width=pen), *slants]
        case "tape":
            ticks = [((x + k, y - 1.2), (x + k, y + 1.2)) for k in (1.2, length - 1.2)]
            return [
                Stroke(Layer.FRAME, line, width=CUT_LINE_WIDTH_MM),
                *(Stroke(Layer.FRAME, tick, width=TAPE_TICK_WIDTH_MM) for tick in ticks),
            ]
        case "centre":
            cross = [
                Stroke(Layer.FRAME, (p, q), width=0.18)
                for p, q in (
                    ((middle - 3, y), (middle - 1, y)),
                    ((middle + 1, y), (middle + 3, y)),
                    ((middle, y - 1.6), (middle, y - 1)),
                    ((middle, y + 1), (middle, y + 1.6)),
                )
            ]
            return [Circle(Layer.FRAME, (middle, y), 0.75, width=0.18), *cross]
        case "offset" | "pointer":
            return [
                Stroke(Layer.FRAME, line, width=0.18),
                Stroke(Layer.FRAME, ((x + length - 2, y + 0.5), line[1], (x + length - 2, y - 0.5)), width=0.18),
            ]
        case "tick":
            return [Stroke(Layer.FRAME, ((middle - 1.5, y), (middle + 1.5, y)), width=0.5)]
        case "datum":
            return [Stroke(Layer.FRAME, line, width=0.5, line=LineType.DOTTED)]
        case "z":
            stem = ((middle - 1, y - 1.5), (middle - 1, y + 1.5))
            head = ((middle - 1.5, y + 0.7), stem[1], (middle - 0.5, y + 0.7))
            return [
                *(Stroke(Layer.FRAME, run, width=0.18) for run in (stem, head)),
                _draw_symbol_text(middle + 0.9, y, "z"),
            ]
        case "drawn":
            arms = (((middle - 0.8, y), (middle + 0.8, y)), ((middle, y - 0.8), (middle, y + 0.8)))
            cross = [Stroke(Layer.FRAME, arm, width=THIN_LINE_WIDTH_MM, colour=GREY) for arm in arms]
            return [Circle(Layer.FRAME, (middle, y), 1.5, width=THIN_LINE_WIDTH_MM, colour=GREY), *cross]
        case "ring":
            return [Circle(Layer.FRAME, (middle, y), 1.5, width=0.18), _draw_symbol_text(middle, y, "k")]
        case "frame":
            box = ((middle - 1.3, y - 1.5), (middle + 1.3, y - 1.5), (middle + 1.3, y + 1.5), (middle - 1.3, y + 1.5))
            return [Stroke(Layer.FRAME, box, closed=True, width=0.18), _draw_symbol_text(middle, y, "1")]
        case _:
            return [Stroke(Layer.FRAME, line, width=0.18, line=LineType.PHANTOM)]
