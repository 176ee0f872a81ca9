"""The drawing from which soft jaws are bored: one page a set-up, and the same face view at true size for DXF."""

from __future__ import annotations

from foldsketch.base.drawing import BLACK, Circle, Drawing, Item, Layer, LineType, Stroke, Text
from foldsketch.base.lettering import text_width, truncate_text
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM, BODY_TEXT_HEIGHT_MM, frame_text
from foldsketch.sheet.page.symbols import part_axis_colours
from foldsketch.sheet.setup_sheets.drafting import LINE_PITCH_MM, draw_sentence, lines_of
from foldsketch.sheet.setup_sheets.jaw_detail import draw_detail
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    centre_rows,
    face_view_scale,
    number,
)
from foldsketch.sheet.setup_sheets.jaw_face_view import draw_face_view
from foldsketch.sheet.setup_sheets.jaw_notes_text import BLANKS, JAW_CAUTIONS, jaw_notes
from foldsketch.sheet.setup_sheets.jaw_outlines import jaw_outlines
from foldsketch.sheet.setup_sheets.jaw_section import draw_section
from foldsketch.sheet.setup_sheets.title_block import draw_projection_symbol

LEFT_MM, RIGHT_MM, SECOND_COLUMN_MM = 9.0, 288.0, 152.0

NOTES_TOP_MM, RULE_Y_MM, NOTE_LINES = 60.0, 28.4, 8

COLUMN_WIDTHS_MM = (138.0, 136.0)


def draw_jaw_page(p: JawPocket, part: str, defaults: tuple[str, ...], sheet: int, count: int) -> Drawing:
    """One page. part: its name; defaults: keys that the machine file lacks; sheet: of count."""
    items = [*_title(p, part, defaults), *draw_face_view(p), *draw_section(p), *draw_detail(p), *_blanks()]
    items += _notes(p)
    items += _strip(p, sheet, count)
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{part}, jaws of set-up {p.setup.number}")


def _title(p: JawPocket, part: str, defaults: tuple[str, ...]) -> list[Item]:
    c = p.setup.clamping
    (colour,) = part_axis_colours(p.setup.work, c.on_centreline)
    top = A4_LANDSCAPE_MM[1]
    letter = text_width(c.on_centreline, 7.0)
    x = LEFT_MM + letter + 3.5
    kind = "Soft jaws, bored off centre in one setting" if p.offset else "Soft jaws, bored in one setting"
    kept = " (not in the machine file)" if "soft_jaw_width" in defaults else ""
    under = f"three-jaw chuck to Ø{number(p.spindle.largest)}, jaws {number(p.width)} wide{kept} · they hold "
    under += f"{c.held_on} Ø{number(p.held)} on {number(p.depth)} mm, axis {c.on_centreline} on the spindle"
    right = f"jaws of set-up {p.setup.number}, {c.spindle} spindle"
    room = RIGHT_MM - x - max(text_width(part, 3.5), text_width(right, 2.5)) - 6
    return [
        Text(Layer.FRAME, (LEFT_MM, top - 16.2), c.on_centreline, 7.0, colour=colour, bold=True),
        frame_text(x, top - 16.2, kind, 5.0, bold=True),
        frame_text(x, top - 22.8, truncate_text(under, BODY_TEXT_HEIGHT_MM, room), BODY_TEXT_HEIGHT_MM),
        frame_text(RIGHT_MM, top - 16.2, truncate_text(part, 3.5, 90), 3.5, anchor="end"),
        frame_text(RIGHT_MM, top - 22.8, right, BODY_TEXT_HEIGHT_MM, anchor="end"),
    ]


def _blanks() -> list[Item]:
    """The column to fill in by hand."""
    x, y = 224.0, 113.0
    items: list[Item] = [frame_text(x, y, "To fill in by hand", BODY_TEXT_HEIGHT_MM, bold=True)]
    items.append(Stroke(Layer.FRAME, ((x - 4, y + 3), (x - 4, y - 47)), width=0.25, colour=(0xA6 / 255,) * 3))
    for label, least in BLANKS:
        y -= 5.2
        items.append(frame_text(x, y, label, BODY_TEXT_HEIGHT_MM))
        start = min(x + text_width(label, BODY_TEXT_HEIGHT_MM) + 2, RIGHT_MM - least)
        items.append(Stroke(Layer.FRAME, ((start, y - 0.7), (RIGHT_MM, y - 0.7)), width=0.25))
    return items


def _notes(p: JawPocket) -> list[Item]:
    """The notes in two columns, the left one first."""
    items: list[Item] = []
    column, row = 0, 0
    for note in jaw_notes(p):
        x, width = (LEFT_MM, SECOND_COLUMN_MM)[column], COLUMN_WIDTHS_MM[column]
        _, lines = draw_sentence(x, 0.0, note, width, bold_words=1)
        if column == 0 and row + lines > NOTE_LINES:
            column, row = 1, 0
            x, width = SECOND_COLUMN_MM, COLUMN_WIDTHS_MM[1]
        drawn, lines = draw_sentence(x, NOTES_TOP_MM - LINE_PITCH_MM * row, note, width, bold_words=1)
        items += drawn
        row += lines
    return items


def _strip(p: JawPocket, sheet: int, count: int) -> list[Item]:
    """Rule, warning sign, cautions, the record, scale and projection symbol."""
    y = RULE_Y_MM
    items: list[Item] = [Stroke(Layer.FRAME, ((LEFT_MM, y), (RIGHT_MM, y)), width=0.5)]
    items += _warning_sign(16.0, y - 11.5)
    for k, line in enumerate(JAW_CAUTIONS):
        items.append(frame_text(28.0, y - 5.2 - 4.6 * k, line, BODY_TEXT_HEIGHT_MM))
    for x in (133.5, 241.5):
        items.append(Stroke(Layer.FRAME, ((x, y - 3), (x, y - 19.5)), width=0.25, colour=(0xA6 / 255,) * 3))
    rows = (
        ("drawing No. [26]", "bored [14] date [13]"),
        ("drawn [13] date [13]", "e~measured [12] Ø [10]" if p.offset else "Ø~measured [16]"),
        ("checked [12] date [12]", "ISO 2768-mK · all sizes in mm"),
    )
    for k, (one, other) in enumerate(rows):
        for x, text in ((137.5, one), (189.5, other)):
            drawn, _ = draw_sentence(x, y - 6.0 - 5.6 * k, text, 60.0)
            items += drawn
    shown = f"{scale_text(face_view_scale(p))} · A4 · sheet {sheet} of {count}"
    items.append(frame_text(RIGHT_MM, y - 6.0, shown, BODY_TEXT_HEIGHT_MM, anchor="end"))
    return [*items, *draw_projection_symbol(RIGHT_MM - 12.0, y - 14.0)]


def _warning_sign(x: float, y: float) -> list[Item]:
    corners = ((x - 6.5, y - 5.0), (x + 6.5, y - 5.0), (x, y + 6.2))
    return [
        Stroke(Layer.FRAME, corners, closed=True, width=0.7),
        Stroke(Layer.FRAME, ((x, y + 2.2), (x, y - 1.2)), width=0.9),
        Circle(Layer.FRAME, (x, y - 3.1), 0.45, width=0.1, fill=BLACK),
    ]


def draw_jaw_model(p: JawPocket, part: str) -> Drawing:
    """The face view at true size for DXF.

    The spindle axis is the origin, jaw 1 points along +x, and what is bored is on the layer cut.
    """
    reach = p.chuck_radius
    items: list[Item] = [
        Circle(Layer.FRAME, (0.0, 0.0), reach),
        Circle(Layer.CUT, (p.offset, 0.0), p.bore / 2),
    ]
    if p.through:
        items.append(Circle(Layer.CUT, (0.0, 0.0), p.through / 2))
    for jaw in jaw_outlines(p, reach):
        items += [Stroke(Layer.MARK, tuple(line)) for line in lines_of(jaw.sides)]
    for x, half in ((0.0, reach + 5), (p.offset, p.bore / 2 + 5)):
        items.append(Stroke(Layer.MARK, ((x, -half), (x, half)), line=LineType.CENTRE))
    items.append(Stroke(Layer.MARK, ((-reach - 5, 0.0), (reach + 5, 0.0)), line=LineType.CENTRE))
    for contact in p.contacts:
        x, y = contact.at
        u = ((x - p.offset) / (p.bore / 2), y / (p.bore / 2))
        items.append(Stroke(Layer.MARK, ((x, y), (x + 3.2 * u[0], y + 3.2 * u[1]))))
        middle = (contact.from_centre + reach) / 2
        items.append(Text(Layer.FRAME, (middle * u[0], middle * u[1]), f"jaw {contact.jaw}", 3.5, anchor="middle"))
    rows = [
        f"{part}, jaws of set-up {p.setup.number}, seen on the jaw face, 1:1, mm",
        f"pocket {number(p.bore)} +{number(p.values.bore_over)}/0, depth {number(p.depth)} "
        f"+{number(p.values.depth_over)}/0, " + ", ".join(centre_rows(p)),
        *JAW_CAUTIONS,
    ]
    items += [Text(Layer.FRAME, (-reach, -reach - 12 - 5 * k), row, 2.5) for k, row in enumerate(rows)]
    return Drawing((2 * reach + 10, 2 * reach + 10), tuple(items), f"{part}, jaws of set-up {p.setup.number}")
