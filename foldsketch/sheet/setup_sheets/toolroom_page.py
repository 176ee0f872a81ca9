"""A page for the toolroom: title, blanks to fill in, notes in two columns, and the strip at its foot."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.drawing import BLACK, Circle, Item, Layer, Stroke, Text
from foldsketch.base.lettering import text_width, truncate_text
from foldsketch.setup.model import SetUp
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.page.symbols import part_axis_colours
from foldsketch.sheet.setup_sheets.drafting import LINE_PITCH_MM, draw_sentence
from foldsketch.sheet.setup_sheets.title_block import draw_projection_symbol

LEFT_MM, RIGHT_MM, SECOND_COLUMN_MM = 9.0, 288.0, 152.0

NOTES_TOP_MM, RULE_Y_MM, NOTE_LINES = 60.0, 28.4, 8

COLUMN_WIDTHS_MM = (138.0, 136.0)


def draw_title(s: SetUp, words: tuple[str, str], right: tuple[str, str]) -> list[Item]:
    """The axis on the spindle, what is drawn and what it is for, and to the right the part and the set-up."""
    (colour,) = part_axis_colours(s.work, s.clamping.on_centreline)
    top = A4_LANDSCAPE_MM[1]
    x = LEFT_MM + text_width(s.clamping.on_centreline, 7.0) + 3.5
    room = RIGHT_MM - x - max(text_width(right[0], 3.5), text_width(right[1], 2.5)) - 6
    return [
        Text(Layer.FRAME, (LEFT_MM, top - 16.2), s.clamping.on_centreline, 7.0, colour=colour, bold=True),
        frame_text(x, top - 16.2, words[0], 5.0, bold=True),
        frame_text(x, top - 22.8, truncate_text(words[1], BODY_TEXT_HEIGHT_MM, room), BODY_TEXT_HEIGHT_MM),
        frame_text(RIGHT_MM, top - 16.2, truncate_text(right[0], 3.5, 90), 3.5, anchor="end"),
        frame_text(RIGHT_MM, top - 22.8, right[1], BODY_TEXT_HEIGHT_MM, anchor="end"),
    ]


def draw_blanks(blanks: Sequence[tuple[str, int]]) -> list[Item]:
    """The column to fill in by hand. blanks: words, and the least length of the line, mm."""
    x, y = 224.0, 113.0
    items: list[Item] = [frame_text(x, y, "To fill in by hand", BODY_TEXT_HEIGHT_MM, bold=True)]
    items.append(Stroke(Layer.FRAME, ((x - 4, y + 3), (x - 4, y - 47)), width=0.25, colour=(0xA6 / 255,) * 3))
    for label, least in blanks:
        y -= 5.2
        items.append(frame_text(x, y, label, BODY_TEXT_HEIGHT_MM))
        start = min(x + text_width(label, BODY_TEXT_HEIGHT_MM) + 2, RIGHT_MM - least)
        items.append(Stroke(Layer.FRAME, ((start, y - 0.7), (RIGHT_MM, y - 0.7)), width=0.25))
    return items


def draw_notes(notes: Sequence[str]) -> list[Item]:
    """The notes in two columns, the left one first."""
    items: list[Item] = []
    column, row = 0, 0
    for note in notes:
        x, width = (LEFT_MM, SECOND_COLUMN_MM)[column], COLUMN_WIDTHS_MM[column]
        _, lines = draw_sentence(x, 0.0, note, width, bold_words=1)
        if column == 0 and row + lines > NOTE_LINES:
            column, row = 1, 0
            x, width = SECOND_COLUMN_MM, COLUMN_WIDTHS_MM[1]
        drawn, lines = draw_sentence(x, NOTES_TOP_MM - LINE_PITCH_MM * row, note, width, bold_words=1)
        items += drawn
        row += lines
    return items


def draw_strip(scale: float, offset: float, cautions: Sequence[str], sheet: tuple[int, int]) -> list[Item]:
    """Rule, warning sign, cautions, the record, scale and projection symbol. sheet: number, and of how many."""
    y = RULE_Y_MM
    items: list[Item] = [Stroke(Layer.FRAME, ((LEFT_MM, y), (RIGHT_MM, y)), width=0.5)]
    items += _warning_sign(16.0, y - 11.5)
    for k, line in enumerate(cautions):
        items.append(frame_text(28.0, y - 5.2 - 4.6 * k, line, BODY_TEXT_HEIGHT_MM))
    for x in (133.5, 241.5):
        items.append(Stroke(Layer.FRAME, ((x, y - 3), (x, y - 19.5)), width=0.25, colour=(0xA6 / 255,) * 3))
    rows = (
        ("drawing No. [26]", "bored [14] date [13]"),
        ("drawn [13] date [13]", "e~measured [12] Ø [10]" if offset else "Ø~measured [16]"),
        ("checked [12] date [12]", "ISO 2768-mK · all sizes in mm"),
    )
    for k, (one, other) in enumerate(rows):
        for x, text in ((137.5, one), (189.5, other)):
            drawn, _ = draw_sentence(x, y - 6.0 - 5.6 * k, text, 60.0)
            items += drawn
    shown = f"{scale_text(scale)} · A4 · sheet {sheet[0]} of {sheet[1]}"
    items.append(frame_text(RIGHT_MM, y - 6.0, shown, BODY_TEXT_HEIGHT_MM, anchor="end"))
    return [*items, *draw_projection_symbol(RIGHT_MM - 12.0, y - 14.0)]


def _warning_sign(x: float, y: float) -> list[Item]:
    corners = ((x - 6.5, y - 5.0), (x + 6.5, y - 5.0), (x, y + 6.2))
    return [
        Stroke(Layer.FRAME, corners, closed=True, width=0.7),
        Stroke(Layer.FRAME, ((x, y + 2.2), (x, y - 1.2)), width=0.9),
        Circle(Layer.FRAME, (x, y - 3.1), 0.45, width=0.1, fill=BLACK),
    ]
