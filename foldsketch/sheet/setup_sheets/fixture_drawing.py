"""The drawing of a fixture plate: face, section, balance pockets, notes; and the face at true size for DXF."""

from __future__ import annotations

from math import atan2, degrees, hypot

from foldsketch.base.drawing import Circle, Drawing, Item, Layer, LineType, Stroke, Text
from foldsketch.setup.plan.fixture_plate import FixturePlate
from foldsketch.sheet.page.page_text import A4_LANDSCAPE_MM
from foldsketch.sheet.setup_sheets.fixture_face_view import draw_fixture_face, face_scale
from foldsketch.sheet.setup_sheets.fixture_notes_text import FIXTURE_BLANKS, FIXTURE_CAUTIONS, fixture_notes_text
from foldsketch.sheet.setup_sheets.fixture_section import draw_fixture_section
from foldsketch.sheet.setup_sheets.jaw_face_frame import (
    centre_rows,
    number,
)
from foldsketch.sheet.setup_sheets.toolroom_page import draw_blanks, draw_notes, draw_strip, draw_title


def draw_fixture_page(p: FixturePlate, part: str, sheet: int, count: int) -> Drawing:
    """One page. part: its name; sheet: of count."""
    c = p.setup.clamping
    under = (
        f"plate Ø{number(2 * p.radius)} × {number(p.thickness)} · a {p.locator} takes {c.held_on} Ø{number(p.held)} "
    )
    under += f"on {number(p.depth)} mm, axis {c.on_centreline} on the spindle"
    right = (part, f"fixture of set-up {p.setup.number}, {c.spindle} spindle")
    kind = f"Fixture plate, {p.locator} off centre"
    items = [*draw_title(p.setup, (kind, under), right), *draw_fixture_face(p), *draw_fixture_section(p)]
    items += [*draw_blanks(FIXTURE_BLANKS), *draw_notes(fixture_notes_text(p))]
    items += draw_strip(face_scale(p), p.offset, FIXTURE_CAUTIONS, (sheet, count))
    return Drawing(A4_LANDSCAPE_MM, tuple(items), f"{part}, fixture of set-up {p.setup.number}")


def draw_fixture_model(p: FixturePlate, part: str) -> Drawing:
    """The face at true size for DXF: spindle axis at the origin, the offset along +x, what is machined on layer cut."""
    reach = p.radius
    items: list[Item] = [Circle(Layer.CUT, (0.0, 0.0), reach), Circle(Layer.CUT, (p.offset, 0.0), p.size / 2)]
    if p.relief:
        items.append(Circle(Layer.CUT, (p.offset, 0.0), p.relief / 2))
    if p.through:
        items.append(Circle(Layer.CUT, (0.0, 0.0), p.through / 2))
    items += [Circle(Layer.CUT, at, p.values.screw / 2) for at in p.screws]
    items += [Circle(Layer.CUT, pocket.at, pocket.diameter / 2) for pocket in p.pockets]
    for x, half in ((0.0, reach + 5), (p.offset, p.size / 2 + 5)):
        items.append(Stroke(Layer.MARK, ((x, -half), (x, half)), line=LineType.CENTRE))
    items.append(Stroke(Layer.MARK, ((-reach - 5, 0.0), (reach + 5, 0.0)), line=LineType.CENTRE))
    rows = [
        f"{part}, fixture of set-up {p.setup.number}, seen on the face, 1:1, mm",
        f"{p.locator} {number(p.size)}, {number(p.depth)} deep, " + ", ".join(_rows(p)),
        *FIXTURE_CAUTIONS,
    ]
    items += [Text(Layer.FRAME, (-reach, -reach - 12 - 5 * k), row, 2.5) for k, row in enumerate(rows)]
    return Drawing((2 * reach + 10, 2 * reach + 10), tuple(items), f"{part}, fixture of set-up {p.setup.number}")


def _rows(p: FixturePlate) -> list[str]:
    pockets = [
        f"pocket {number(b.diameter)}, {b.depth:.1f} deep, at {hypot(*b.at):.1f}, "
        f"{degrees(atan2(b.at[1], b.at[0])) % 360:.0f}°"
        for b in p.pockets
    ]
    return [*centre_rows(p.offset, p.angle, p.values.centre), *pockets]
