"""Where the view on the face of bored jaws lies on the page, and how its figures are written."""

from __future__ import annotations

from math import cos, degrees, sin

from foldsketch.base.drawing import Colour, Point
from foldsketch.base.units import format_number
from foldsketch.setup.formulas.bored_pocket import angle_tolerance
from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.jaw_pocket import JawPocket
from foldsketch.sheet.layout.paper import STANDARD_SCALES
from foldsketch.sheet.page.symbols import part_axis_colours
from foldsketch.sheet.setup_sheets.jaw_outlines import jaw_outlines

VIEW_CENTRE_MM: Point = (73.0, 121.0)
VIEW_RADIUS_MM = 53.0
"""Place of the chuck's centre, and the greatest radius drawn, mm on paper."""

BEYOND_POCKET_MM = 5.0
"""Least of the jaw that is drawn beyond the pocket, mm on paper."""

BORED_WIDTH_MM, OUTLINE_WIDTH_MM, MARK_WIDTH_MM = 0.7, 0.35, 0.25

REST_FILL: Colour = (0xC9 / 255, 0xD8 / 255, 0xE8 / 255)
CHUCK_FILL: Colour = (0xF4 / 255,) * 3

SIDE_TEXT_MM = 9.0
"""Where words beside the view begin, mm on paper."""

TICK_LENGTH_MM = 3.2
"""Of the tick where a jaw presses, mm."""

JAW_NUMBER_RADIUS_MM = 3.4


def face_view_scale(p: JawPocket) -> float:
    """The largest scale up to 2:1 at which pocket and a piece of the jaws have room."""
    room = VIEW_RADIUS_MM - BEYOND_POCKET_MM
    reach = max(p.offset + p.bore / 2, p.through / 2)
    return next((s for s in STANDARD_SCALES if s <= 2 and reach * s <= room), STANDARD_SCALES[-1])


class FaceFrame:
    """Where the view of a pocket's jaws is on the page.

    p: the pocket; scale: paper over part; reach: radius drawn, mm of the part; whole: that is the whole chuck; on,
    held: colours of the axis on the spindle and of the held one.
    """

    def __init__(self, p: JawPocket) -> None:
        self.p, self.scale = p, face_view_scale(p)
        self.reach = min(p.chuck_radius, VIEW_RADIUS_MM / self.scale)
        self.whole = self.reach == p.chuck_radius
        c = p.setup.clamping
        self.on, self.held = part_axis_colours(p.setup.work, c.on_centreline, c.held_axis)
        self.jaws = jaw_outlines(p, self.reach)

    def put(self, x: float, y: float) -> Point:
        """A point of the jaws' frame on the page."""
        return (VIEW_CENTRE_MM[0] + x * self.scale, VIEW_CENTRE_MM[1] + y * self.scale)

    def polar(self, radius: float, angle: float) -> Point:
        """A point on the page. radius: mm on paper; angle: radians in the jaws' frame."""
        return (VIEW_CENTRE_MM[0] + radius * cos(angle), VIEW_CENTRE_MM[1] + radius * sin(angle))


def number(value: float) -> str:
    """A length as on a drawing: at most two decimals."""
    return format_number(value, 2)


def centre_rows(e: float, t: float, centre: float) -> list[str]:
    """The centre of pocket or bore twice: X and Y for boring it, e at an angle t for checking it.

    centre: plus or minus on it, mm.
    """
    tolerance = f"±{number(centre)}"
    if not e:
        return ["on the spindle", f"axis {tolerance}"]
    x, y = e * cos(t), e * sin(t)
    sign = "+" if x >= 0 else "-"
    turn = degrees(t) % 360
    return [
        f"X {sign}{number(abs(x))} {tolerance}",
        f"Y {number(0.0 if abs(y) < 5e-4 else y)} {tolerance}",
        f"e {number(e)} at {number(turn)}° ±{angle_tolerance(e, centre):.2f}°",
    ]


def section_letter(s: SetUp) -> str:
    """The letter of the section: from S on, none that is an axis of the part, nor X, Y, Z."""
    return _free_letter(s, "STUVRQPNM")


def detail_letter(p: JawPocket) -> str:
    """The letter of the detail: from W back, none that is an axis of the part or the section's."""
    taken = section_letter(p.setup)
    return _free_letter(p.setup, "".join(c for c in "WVUTRQPNML" if c != taken))


def _free_letter(s: SetUp, letters: str) -> str:
    axes = {a.name for a in s.work.axes}
    return next((c for c in letters if c not in axes), letters[0])
