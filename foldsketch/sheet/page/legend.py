"""What stands on every page beside the nets: check bars, title and legend."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import hypot

from foldsketch.base.drawing import BLACK, Circle, Item, Layer, LineType, Point, Stroke, Text
from foldsketch.base.lettering import text_width, truncate_text
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import FOOTER_HEIGHT_MM, PRINTER_MARGIN_MM, SIDE_STRIP_WIDTH_MM, scale_text

CUT_LINE_WIDTH_MM, FOLD_LINE_WIDTH_MM, THIN_LINE_WIDTH_MM = 0.35, 0.25, 0.13
"""Line widths in mm [ISO 128: steps of the square root of 2]."""

SHORT_FOLD_LENGTH_MM, SHORT_FOLD_LINE_WIDTH_MM = 8.0, 0.18
"""A fold shorter than the first, mm, is drawn with a thinner line: its dashes go by the width, and still show."""

GREY = (0.45, 0.45, 0.45)
CHECK_BAR_LENGTH_MM = 100.0
REGISTRATION_ARM_LENGTH_MM = 2.6
"""Length in mm of the four arms of a registration cross."""

LINE_SAMPLE_LENGTH_MM, FOLD_PROFILE_LENGTH_MM = 7.0, 5.0
"""Length in mm of a line's sample in the legend, and of the paper's profile behind it."""

SYMBOL_ENTRIES, SYMBOL_SAMPLE_LENGTH_MM = ("ring", "frame", "tick", "z"), 3.2
"""What needs less room, and how much, mm."""

ENTRIES_WITH_PROFILE = ("mountain", "valley", "glue")

NO_GLUE_NOTE = "No tab, number or = : no glue."
"""What a sheet says of edges that were left without a tab, where there is room."""

FRONT_LEGEND = (
    ("cut", "cut"),
    ("mountain", "mountain fold: printed side out"),
    ("valley", "valley fold: printed side in"),
    ("glue", "glue tab: hatched side behind the edge of its number"),
    ("centre", "centre and pin hole"),
    ("offset", "offset"),
    ("datum", "datum line"),
    ("tick", "tick where blocks meet"),
    ("outline", "a block is glued here"),
    ("ring", "see the key"),
    ("frame", "net number"),
    ("z", "to the +z end"),
)
BACK_LEGEND = (
    ("valley", "valley fold seen from here, mountain on the front"),
    ("mountain", "mountain fold seen from here"),
    ("landing", "the hatched side of the tab of this number is glued here"),
)


def fold_line_width(line: Sequence[Point], kind: LineType) -> float:
    """Width of the line of a fold, or of several in a row, mm. A short one shows three dashes, or two and a dot."""
    (x0, y0), (x1, y1) = line[0], line[-1]
    if hypot(x1 - x0, y1 - y0) >= SHORT_FOLD_LENGTH_MM:
        return FOLD_LINE_WIDTH_MM
    return THIN_LINE_WIDTH_MM if kind is LineType.DASHED else SHORT_FOLD_LINE_WIDTH_MM


def draw_front_title_and_legend(
    part: str,
    scale: float,
    sheet: Sheet,
    number: int,
    of: int,
    duplex: bool = False,
    bare: bool = False,
    absent: Collection[str] = (),
) -> list[Item]:
    """Check bars both ways, the title line and the legend, inside the margin and below or beside the nets; duplex:
    registration crosses too, and how to turn the page; bare: a word on edges that were left without a tab; absent: what
    the legend need not explain, because the nets have none."""
    w, _ = sheet.size
    items: list[Item] = []
    foot = PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    y = foot - 4.5
    items += _draw_check_bar((PRINTER_MARGIN_MM, y), upright=False)
    items += _draw_check_bar((PRINTER_MARGIN_MM + 2.2, foot + 4.0), upright=True)
    items.append(
        _frame_text(
            (PRINTER_MARGIN_MM + CHECK_BAR_LENGTH_MM + 3, y - 1.9),
            "100 mm both ways: if not, print again at 100 %",
            1.8,
        )
    )
    side = "This printed side is the outside of the model."
    short = f"The printed side is the outside. {NO_GLUE_NOTE}"
    if (
        bare
        and PRINTER_MARGIN_MM + CHECK_BAR_LENGTH_MM + 3 + text_width(short, 1.8)
        <= w - PRINTER_MARGIN_MM - SIDE_STRIP_WIDTH_MM
    ):
        side = short
    items.append(_frame_text((PRINTER_MARGIN_MM + CHECK_BAR_LENGTH_MM + 3, y + 1.1), side, 1.8))
    end = f"print at 100 %, {duplex_instruction(sheet)}" if duplex else "print at 100 %"
    items += _draw_title_line(part, f"scale {scale_text(scale)}  ·  sheet {number} of {of}  ·  {end}", w)
    legend = [entry for entry in FRONT_LEGEND if entry[0] not in absent]
    items += _draw_legend(legend, (PRINTER_MARGIN_MM, foot - 14.4), w - 2 * PRINTER_MARGIN_MM)
    if duplex:
        items += [i for p in registration_points(sheet) for i in _draw_registration_cross(p)]
    return items


def draw_back_title_and_legend(part: str, scale: float, sheet: Sheet, number: int, of: int) -> list[Item]:
    """Title, legend and registration crosses of a sheet's back."""
    w, _ = sheet.size
    end = f"back of sheet {number} of {of}  ·  print at 100 %, {duplex_instruction(sheet)}"
    items = _draw_title_line(part, f"scale {scale_text(scale)}  ·  {end}", w)
    note = "Held against the light, the crosses of front and back lie on each other. Cut by the lines of the front."
    items.append(_frame_text((PRINTER_MARGIN_MM + 8, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM - 5.4), note, 1.8))
    items += _draw_legend(
        BACK_LEGEND, (PRINTER_MARGIN_MM, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM - 14.4), w - 2 * PRINTER_MARGIN_MM
    )
    items += [i for x, y in registration_points(sheet) for i in _draw_registration_cross((w - x, y))]
    return items


def duplex_instruction(sheet: Sheet) -> str:
    """How the printer is to turn the page: always about an upright edge of the page as it is read."""
    return f"both sides, flip on the {'long' if sheet.size[1] >= sheet.size[0] else 'short'} edge"


def registration_points(sheet: Sheet) -> tuple[Point, Point, Point]:
    """Where the registration crosses of the front stand: outside the nets, three corners of the page."""
    w, h = sheet.size
    left, foot = PRINTER_MARGIN_MM + SIDE_STRIP_WIDTH_MM / 2, PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM
    return (left, h - PRINTER_MARGIN_MM - REGISTRATION_ARM_LENGTH_MM), (left, foot + 0.4), (w - left, foot - 4.0)


def _draw_registration_cross(at: Point) -> list[Item]:
    x, y = at
    return [
        Stroke(
            Layer.FRAME,
            ((x - REGISTRATION_ARM_LENGTH_MM, y), (x + REGISTRATION_ARM_LENGTH_MM, y)),
            width=THIN_LINE_WIDTH_MM,
        ),
        Stroke(
            Layer.FRAME,
            ((x, y - REGISTRATION_ARM_LENGTH_MM), (x, y + REGISTRATION_ARM_LENGTH_MM)),
            width=THIN_LINE_WIDTH_MM,
        ),
        Circle(Layer.FRAME, at, REGISTRATION_ARM_LENGTH_MM / 2, width=THIN_LINE_WIDTH_MM),
    ]


def _draw_title_line(part: str, text: str, w: float) -> list[Item]:
    y = PRINTER_MARGIN_MM + FOOTER_HEIGHT_MM - 10.0
    room = w - 2 * PRINTER_MARGIN_MM - text_width(text, 2.5) - 6
    return [
        _frame_text((PRINTER_MARGIN_MM, y), truncate_text(part, 2.5, room), 2.5, bold=True),
        _frame_text((w - PRINTER_MARGIN_MM, y), text, 2.5, anchor="end"),
        Stroke(Layer.FRAME, ((PRINTER_MARGIN_MM, y - 1.6), (w - PRINTER_MARGIN_MM, y - 1.6)), width=THIN_LINE_WIDTH_MM),
    ]


def _frame_text(
    at: Point, text: str, size: float, angle: float = 0.0, anchor: str = "start", bold: bool = False
) -> Text:
    return Text(Layer.FRAME, at, text, size, angle, anchor, bold=bold)


def _draw_check_bar(at: Point, upright: bool) -> list[Item]:
    """A bar of exactly 100 mm with ticks every 10 mm."""
    x, y = at

    def put(along: float, aside: float) -> Point:
        return (x + aside, y + along) if upright else (x + along, y + aside)

    items: list[Item] = [Stroke(Layer.FRAME, (put(0, 0), put(CHECK_BAR_LENGTH_MM, 0)), width=CUT_LINE_WIDTH_MM)]
    for k in range(11):
        size = 1.8 if k in (0, 10) else 0.9
        items.append(Stroke(Layer.FRAME, (put(10.0 * k, -size), put(10.0 * k, size)), width=0.18))
    if upright:
        items.append(_frame_text((x + 1.6, y + CHECK_BAR_LENGTH_MM + 1.5), "100 mm", 1.8, 1.5707963267948966))
    return items


def _draw_legend(entries: Sequence[tuple[str, str]], at: Point, room: float) -> list[Item]:
    """A sample of every line and what it means, flowing over two rows; what would need a third is left out."""
    items: list[Item] = []
    x, y = at
    gap = 3.0
    for kind, text in entries:
        line = SYMBOL_SAMPLE_LENGTH_MM if kind in SYMBOL_ENTRIES else LINE_SAMPLE_LENGTH_MM
        sample = line + (FOLD_PROFILE_LENGTH_MM if kind in ENTRIES_WITH_PROFILE else 0.0)
        need = sample + 1.2 + text_width(text, 1.8)
        if x + need > at[0] + room + 0.01:
            x, y = at[0], y - 3.5
        if y < at[1] - 4 or need > room:
            break
        items += _draw_line_sample(kind, x, y + 0.9, line)
        if kind in ENTRIES_WITH_PROFILE:
            items += _draw_paper_profile(kind, x + LINE_SAMPLE_LENGTH_MM + 1.0, y + 0.9)
        items.append(_frame_text((x + sample + 1.2, y), text, 1.8))
        x += need + gap
    return items


def _draw_paper_profile(kind: str, x: float, y: float) -> list[Item]:
    """The paper seen from its edge, the printed side thick: bent outwards, inwards, or with a tab glued behind it."""

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
    return _frame_text((x, y - 0.9), text, 1.8, anchor="middle")


def _draw_line_sample(kind: str, x: float, y: float, length: float) -> list[Item]:
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
        case "offset":
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
        case "ring":
            return [Circle(Layer.FRAME, (middle, y), 1.5, width=0.18), _draw_symbol_text(middle, y, "k")]
        case "frame":
            box = ((middle - 1.3, y - 1.5), (middle + 1.3, y - 1.5), (middle + 1.3, y + 1.5), (middle - 1.3, y + 1.5))
            return [Stroke(Layer.FRAME, box, closed=True, width=0.18), _draw_symbol_text(middle, y, "1")]
        case _:
            return [Stroke(Layer.FRAME, line, width=0.18, line=LineType.PHANTOM)]
