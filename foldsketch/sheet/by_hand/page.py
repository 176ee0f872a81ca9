"""The by-hand page: one side of paper from which a model is built with ruler and scissors."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from foldsketch.base.drawing import Drawing, Item, Layer, Stroke, Text
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.base.units import format_number
from foldsketch.sheet.by_hand.assembly_figure import draw_assembly, drawn_size
from foldsketch.sheet.by_hand.model import HandBody, HandPlan
from foldsketch.sheet.by_hand.pens import HEAD_SIZE_MM, ROW_SIZE_MM, RULE, TEXT_SIZE_MM, word
from foldsketch.sheet.by_hand.plan import LAP_MM
from foldsketch.sheet.by_hand.square_figure import draw_square, is_legible, marked_groups
from foldsketch.sheet.by_hand.square_figure import drawn_height as square_height
from foldsketch.sheet.by_hand.strip_figure import draw_strip, drawn_height, sample_body
from foldsketch.sheet.by_hand.words import (
    HEADS,
    corner_lines,
    cutting_rows,
    mark_lines,
    minutes_text,
    note_lines,
    order_lines,
    ring_lines,
    together_text,
)
from foldsketch.sheet.layout.paper import Paper, scale_text
from foldsketch.sheet.messages import BY_HAND_TOO_MUCH
from foldsketch.sheet.page.axis_colours import axis_colours
from foldsketch.sheet.page.page_text import PageRectangle

MARGIN_MM = 9.0
"""Nothing is nearer to the edge of the page, mm."""

LINE_MM, ROW_MM = 4.4, 6.2
"""From one line of words to the next, and from one row of the table, mm."""

COLUMN_SHARES = (0.0, 0.29, 0.48, 0.69, 0.79)
"""Where the columns of the table begin, as shares of its width."""

LEFT_SHARE, GAP_MM = 0.57, 5.0
"""Share of the width for the squares to be marked, and the gap beside them."""

STRIP_BOX_MM, MIN_STRIP_BOX_MM = 48.0, 30.0
"""Most and least height for the picture of a strip, mm."""

MIN_ASSEMBLY_MM, MIN_FIGURES_MM = 28.0, 40.0
"""Least height for the picture of the bodies, and for the squares, mm."""

TWO_HEADINGS_MM = 34.0
"""Height of the headings of steps 2 and 3 with their lines, mm."""

STEP_INDENT_MM = 9.0
"""From the number of a step to its words, mm."""

TITLE_SIZE_MM, PARAGRAPH_SIZE_MM = 5.0, 2.8
"""Capital heights of the title, and of the heading of a paragraph, mm."""

MARKING_LINES = (
    "Figures are from the left and the lower edge, seen from above. Tick the lower edge. Prick every mark through.",
    "Two alike: cut both in one, prick through both. They go on as they lie: top ones face out, under ones back out.",
)
"""How squares are marked."""


class _Column:
    """Words down a column: y falls from 0; they are placed when the height is known."""

    def __init__(self, width: float) -> None:
        self.width, self.y = width, 0.0
        self.words: list[Text] = []

    def step(self, number: str, head: str, lines: Sequence[str]) -> None:
        """A step of the work: large number, heading, what to do."""
        self.words.append(word((0.0, self.y - 6.5), number, size=6.5, bold=True))
        self.words.append(word((STEP_INDENT_MM, self.y - HEAD_SIZE_MM), head, size=HEAD_SIZE_MM, bold=True))
        self.y -= HEAD_SIZE_MM + 2.2
        self.lines(lines, STEP_INDENT_MM)
        self.y -= 1.5

    def paragraph(self, head: str, lines: Sequence[str]) -> None:
        """A heading and lines below it, unless there are none."""
        if lines:
            self.words.append(word((0.0, self.y - PARAGRAPH_SIZE_MM), head, size=PARAGRAPH_SIZE_MM, bold=True))
            self.y -= PARAGRAPH_SIZE_MM + 1.6
            self.lines(lines)
            self.y -= 1.8

    def lines(self, lines: Sequence[str], indent: float = 0.0) -> None:
        """Lines of words, broken where they are too long."""
        for text in lines:
            for line in wrap_text(text, TEXT_SIZE_MM, self.width - indent):
                shown = truncate_text(line, TEXT_SIZE_MM, self.width - indent)
                self.words.append(word((indent, self.y - TEXT_SIZE_MM), shown))
                self.y -= LINE_MM

    def at(self, x: float, top: float) -> list[Item]:
        """Its words with the upper left corner at a point of the page."""
        return [w._replace(at=(w.at[0] + x, w.at[1] + top)) for w in self.words]


def draw_by_hand(plan: HandPlan, paper: Paper) -> Drawing:
    """The page. Raises FoldsketchError where the bodies are too many for it."""
    width = paper.width - 2 * MARGIN_MM
    foot = _Column(width)
    foot.lines(note_lines(plan))
    bottom = MARGIN_MM - foot.y + 1
    items = foot.at(MARGIN_MM, bottom - 1)
    y = paper.height - MARGIN_MM
    right = _right_column(plan, (1 - LEFT_SHARE) * width, ())
    for items_of in (_title, _cutting_step):
        drawn, y = items_of(plan, width, y)
        items += drawn
    squares = MIN_FIGURES_MM
    if len(groups := marked_groups(plan.bodies)) == 1:
        squares = square_height(groups[0][0], PageRectangle(0.0, 0.0, LEFT_SHARE * width - GAP_MM, paper.height))
    room = y - bottom - max(MIN_ASSEMBLY_MM - right.y, squares) - TWO_HEADINGS_MM
    drawn, y = _folding_step(plan, width, y, min(STRIP_BOX_MM, max(MIN_STRIP_BOX_MM, room)))
    items += drawn
    third = _Column(width)
    third.step("3", "Centres by diagonals, marks from two edges", MARKING_LINES)
    items += third.at(MARGIN_MM, y)
    y += third.y - 1
    items += _figures(plan, PageRectangle(MARGIN_MM, bottom, width, y - bottom))
    order = {layer: k for k, layer in enumerate(Layer)}
    by_layer = sorted(items, key=lambda item: order[item.layer])
    return Drawing((paper.width, paper.height), tuple(by_layer), f"{plan.part}, by hand")


def _title(plan: HandPlan, width: float, y: float) -> tuple[list[Item], float]:
    """Name, tools and scale, with a rule below; and where the page goes on."""
    scale = scale_text(plan.scale)
    tools = f"blank paper, ruler, scissors, glue; {minutes_text(plan)}"
    name = truncate_text(f"{plan.part} by hand", TITLE_SIZE_MM, width - text_width(scale, HEAD_SIZE_MM) - 6)
    right = MARGIN_MM + width
    base = y - TITLE_SIZE_MM
    items: list[Item] = [
        word((MARGIN_MM, base), name, size=TITLE_SIZE_MM, bold=True),
        word((right, base), scale, "end", HEAD_SIZE_MM),
    ]
    start = MARGIN_MM + 1.08 * text_width(name, TITLE_SIZE_MM) + 5
    if start + text_width(tools, TEXT_SIZE_MM) > right - text_width(scale, HEAD_SIZE_MM) - 4:
        start, base = MARGIN_MM, base - LINE_MM - 1
    items.append(word((start, base), tools))
    rule = base - 2.5
    items.append(Stroke(Layer.FRAME, ((MARGIN_MM, rule), (right, rule)), width=0.5))
    return items, rule - 4


def _cutting_step(plan: HandPlan, width: float, y: float) -> tuple[list[Item], float]:
    """The table of what is drawn and cut."""
    column = _Column(width)
    column.step("1", "Draw and cut", [_cutting_text(plan.bodies)])
    items = column.at(MARGIN_MM, y)
    y += column.y
    starts = [MARGIN_MM + share * width for share in COLUMN_SHARES]
    ends = [*starts[1:], MARGIN_MM + width + 2]
    for k, row in enumerate((HEADS, *cutting_rows(plan.bodies))):
        size = ROW_SIZE_MM if k else TEXT_SIZE_MM
        # A bold line is somewhat wider than it measures.
        cells = [wrap_text(c, size, (b - a - 2) / 1.08) for c, a, b in zip(row, starts, ends, strict=True)]
        for cell, a, b in zip(cells, starts, ends, strict=True):
            for n, line in enumerate(cell):
                bold = k > 0 and a == starts[0]
                shown = truncate_text(line, size, b - a - 2)
                items.append(word((a, y - ROW_MM * (n + 1) + 1.8), shown, size=size, bold=bold))
        y -= ROW_MM * max(map(len, cells))
        items.append(Stroke(Layer.FRAME, ((MARGIN_MM, y), (MARGIN_MM + width, y)), width=0.25, colour=RULE))
    return items, y - 5


def _cutting_text(bodies: Sequence[HandBody]) -> str:
    eight = "diameter × 10 ÷ 3 long" if any(h.sides == 8 for h in bodies) else "the sides long"
    flaps = sorted({h.strip.flap for h in bodies}, reverse=True)
    more = " or ".join(format_number(v, 1) for v in flaps)
    return f"Strips: {eight}, and {LAP_MM:g} to glue; as wide as the body is high, and {more} on either edge."


def _folding_step(plan: HandPlan, width: float, y: float, height: float) -> tuple[list[Item], float]:
    """How a strip is folded, with the picture of one. height: of the picture."""
    column = _Column(width)
    h = sample_body(plan.bodies)
    few = sorted({len(b.strip.sides) for b in plan.bodies if b.kind != "plate"}, reverse=True)
    plates = any(b.kind == "plate" for b in plan.bodies)
    folds = {8: "1, 2, 3", 4: "1, 2", 2: "1"}
    ways = "; ".join(f"{n} sides: {folds[n]}" for n in few[1:])
    lines = [f"The {LAP_MM:g} under first, then folds {folds[few[0]]}{f' ({ways})' if ways else ''}."] if few else []
    lines += ["Strips of rectangles: fold at the sides listed."] if plates else []
    lines += ["Snip both edges at every fold and turn them in."]
    column.step("2", "Fold the strip in half, and again, and again" if few else "Fold the strip", [" ".join(lines)])
    items = column.at(MARGIN_MM, y)
    y += column.y
    items.append(word((MARGIN_MM + width, y - TEXT_SIZE_MM), h.name, "end"))
    box = PageRectangle(MARGIN_MM, y - height, width, height)
    return items + draw_strip(h, box), y - drawn_height(h.strip, width, height) - 4


def _right_column(plan: HandPlan, width: float, undrawn: Sequence[Sequence[HandBody]]) -> _Column:
    """Marks of squares that are not drawn, corners, circles, holes, and the order of building."""
    column = _Column(width)
    column.paragraph("More marks", mark_lines(undrawn))
    column.paragraph("Eight corners", corner_lines(plan.bodies))
    column.paragraph("Circles around the marks", ring_lines(plan.bodies, hole=False))
    column.paragraph("Holes are drawn, not cut", ring_lines(plan.bodies, hole=True))
    column.step("4", "Together", [together_text(plan), *order_lines(plan)])
    return column


def _figures(plan: HandPlan, box: PageRectangle) -> list[Item]:
    """The squares to be marked on the left; words on the right; the picture of the bodies where there is room.

    Squares for which there is no room are described in words, the smallest first.
    """
    colours = axis_colours(sorted(plan.axes))
    groups = marked_groups(plan.bodies)
    middle, far = box.x + LEFT_SHARE * box.width, box.x + box.width
    left = PageRectangle(box.x, box.y, middle - GAP_MM - box.x, box.height)
    for count in range(len(groups), -1, -1):
        drawn, boxes = groups[:count], _grid(left, count)
        right = _right_column(plan, far - middle, groups[count:])
        legible = all(is_legible(g[0], b) for g, b in zip(drawn, boxes, strict=True))
        if legible and -right.y <= box.height:
            break
    else:
        raise BY_HAND_TOO_MUCH.error(plan.part, bodies=len(plan.bodies), squares=len(groups))
    items = [i for group, b in zip(drawn, boxes, strict=True) for i in draw_square(group, b, colours)]
    items += right.at(middle, box.y + box.height)
    ends = [b.y + b.height - square_height(g[0], b) for g, b in zip(drawn, boxes, strict=True)]
    places = (
        PageRectangle(middle, box.y, far - middle, box.height + right.y),
        PageRectangle(box.x, box.y, left.width, min([*ends, box.y + box.height]) - box.y - 2),
    )
    wide, high = drawn_size(plan)
    place = max(places, key=lambda p: min(p.width / wide, p.height / high))
    return items + (draw_assembly(plan, place, colours) if place.height >= MIN_ASSEMBLY_MM else [])


def _grid(box: PageRectangle, count: int) -> list[PageRectangle]:
    """A box cut into so many: one, two one above another, then in two columns."""
    columns = 1 if count <= 2 else 2
    rows = max(1, ceil(count / columns))
    wide, high = (box.width - 4 * (columns - 1)) / columns, box.height / rows
    places = [(k % columns, k // columns) for k in range(count)]
    return [PageRectangle(box.x + c * (wide + 4), box.y + box.height - (r + 1) * high, wide, high) for c, r in places]
