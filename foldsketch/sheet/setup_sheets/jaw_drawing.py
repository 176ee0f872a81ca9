"""The drawing from which soft jaws are bored: one page a set-up, and the same face view at true size for DXF."""

from __future__ import annotations

from foldsketch.base.drawing import Circle, Drawing, Item, Layer, LineType, Stroke, Text
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM
from foldsketch.sheet.setup_sheets.drafting import lines_of
from foldsketch.sheet.setup_sheets.jaw_detail import draw_detail
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    centre_rows,
    face_view_scale,
    number,
)
from foldsketch.sheet.setup_sheets.jaw_face_view import draw_face_view
from foldsketch.sheet.setup_sheets.jaw_model_section import draw_model_section
from foldsketch.sheet.setup_sheets.jaw_notes_text import BLANKS, JAW_CAUTIONS, jaw_notes
from foldsketch.sheet.setup_sheets.jaw_outlines import jaw_outlines
from foldsketch.sheet.setup_sheets.jaw_section import draw_section
from foldsketch.sheet.setup_sheets.toolroom_page import draw_blanks, draw_notes, draw_strip, draw_title

SECTION_APART_MM = 25.0
"""From the chuck's rim in the face view to the spindle axis in the section beside it, mm."""


def draw_jaw_page(p: JawPocket, part: str, defaults: tuple[str, ...], sheet: int, count: int) -> Drawing:
    """One page. part: its name; defaults: keys that the machine file lacks; sheet: of count."""
    items = [*_title(p, part, defaults), *draw_face_view(p), *draw_section(p), *draw_detail(p), *draw_blanks(BLANKS)]
    items += draw_notes(jaw_notes(p))
    items += draw_strip(face_view_scale(p), p.offset, JAW_CAUTIONS, (sheet, count))
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{part}, jaws of set-up {p.setup.number}")


def _title(p: JawPocket, part: str, defaults: tuple[str, ...]) -> list[Item]:
    c = p.setup.clamping
    kind = "Soft jaws, bored off centre in one setting" if p.offset else "Soft jaws, bored in one setting"
    kept = " (not in the machine file)" if "soft_jaw_width" in defaults else ""
    under = f"three-jaw chuck to Ø{number(p.spindle.largest)}, jaws {number(p.width)} wide{kept} · they hold "
    under += f"{c.held_on} Ø{number(p.held)} on {number(p.depth)} mm, axis {c.on_centreline} on the spindle"
    return draw_title(p.setup, (kind, under), (part, f"jaws of set-up {p.setup.number}, {c.spindle} spindle"))


def draw_jaw_model(p: JawPocket, part: str) -> Drawing:
    """The face view at true size for DXF, and beside it the section through jaw 1.

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
    items += draw_model_section(p, (reach + SECTION_APART_MM, 0.0))
    rows = [
        f"{part}, jaws of set-up {p.setup.number}, seen on the jaw face, 1:1, mm",
        f"pocket {number(p.bore)} +{number(p.values.bore_over)}/0, depth {number(p.depth)} "
        f"+{number(p.values.depth_over)}/0, " + ", ".join(centre_rows(p.offset, p.angle, p.values.centre)),
        *JAW_CAUTIONS,
    ]
    items += [Text(Layer.FRAME, (-reach, -reach - 12 - 5 * k), row, 2.5) for k, row in enumerate(rows)]
    return Drawing(
        (3 * reach + SECTION_APART_MM + 10, 2 * reach + 10), tuple(items), f"{part}, jaws of set-up {p.setup.number}"
    )
