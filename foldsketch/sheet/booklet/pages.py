"""The booklet's pages: from the printed sheets to the model, with a picture of every step."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.drawing import Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.net.model import Nets
from foldsketch.sheet.booklet.context import BookletContext, format_features
from foldsketch.sheet.booklet.cut_text import cutting_text
from foldsketch.sheet.booklet.first_page_text import WorkEstimate, instructions, work_text
from foldsketch.sheet.booklet.joint_views import finished_model_view
from foldsketch.sheet.booklet.loupe import LOUPE_RADIUS_MM, draw_loupe
from foldsketch.sheet.booklet.scene import draw_flat_net, flat_net_scale, paint_scene
from foldsketch.sheet.booklet.step_text import ONLY_ONCE, describe_step
from foldsketch.sheet.booklet.step_views import StepView
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.page.draw import marked_axis_colours
from foldsketch.sheet.page.page_text import (
    A4_PORTRAIT_MM,
    BODY_TEXT_HEIGHT_MM,
    TEXT_MARGIN_MM,
    PageRectangle,
    frame_text,
)

MIN_NET_PICTURE_HEIGHT_MM = 20.0
"""Least height of the picture of a net on the first page, mm."""

COLUMN_GAP_MM, HEADER_HEIGHT_MM = 8.0, 9.0
"""Between the two columns of a page, and from its upper margin to the first row of steps, mm."""

CELL_SIZE_MM = (
    (A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM - COLUMN_GAP_MM) / 2,
    (A4_PORTRAIT_MM[1] - 2 * TEXT_MARGIN_MM - HEADER_HEIGHT_MM + 4) / 2,
)
"""Width and height of what a step has on its page: a quarter of it."""

LINE_HEIGHT_MM, PARAGRAPH_GAP_MM, NUMBER_INDENT_MM = 4.4, 0.9, 10.0
"""From line to line of words, between paragraphs, and from the number of a step to its words, mm."""

MODEL_PICTURE_SIZE_MM = (62.0, 50.0)
"""Largest width and height of the picture of the model on the first page, mm."""

MIN_STEP_PICTURE_HEIGHT_MM, MAX_NUMBERS_IN_QUARTER = 55.0, 9
"""A step whose picture would be lower, mm, or bears more numbers, has half a page."""

MAX_NETS_BESIDE_WORDS = 6
"""Up to so many nets are pictured beside the words of the first page, which then are half a page."""

DIVIDER_COLOUR = (0.65, 0.65, 0.65)


def draw_booklet(
    nets: Nets, sheets: Sequence[Sheet], amount: WorkEstimate, wanting: Sequence[str] = ()
) -> tuple[Drawing, ...]:
    """The booklet of a model. wanting: sentences on what the model leaves out of the part."""
    place = {p.piece: (k, p.angle) for k, sheet in enumerate(sheets, 1) for p in sheet.placed}
    context = BookletContext(
        nets, {p.id: p for p in nets.pieces}, marked_axis_colours(nets.pieces), place, assembly_steps(nets)
    )
    first, compact = _first_page(context, amount, wanting)
    pages, cells = [first], _step_cells(context)
    spot, said, seen = 2 if compact else 4, set[str](), False
    for number, (row, cut) in enumerate(cells, 1):
        told = _describe_cell(context, row, cut, said)
        wide = _needs_row(told[1], len(context.steps[row].tabs))
        spot += spot % 2 if wide else 0
        if spot == 4:
            pages.append([])
            spot = 0
        step = context.steps[row]
        loupe = not seen and bool(draw_loupe(context.pieces[step.piece], step.tabs, (0.0, 0.0)))
        seen |= loupe
        pages[-1] += _draw_step(context, row, told, number, _cell(spot), wide, loupe)
        spot += 2 if wide else 1
    return tuple(_finish_page(nets, items, k + 1, len(pages)) for k, items in enumerate(pages))


def _step_cells(context: BookletContext) -> list[tuple[int, bool]]:
    """The steps that have a place of their own, by number; and whether a net is cut out in the same step."""
    cells: list[tuple[int, bool]] = []
    steps = context.steps
    for row, step in enumerate(steps):
        own = row + 1 < len(steps) and steps[row + 1].piece == step.piece and steps[row + 1].kind != "join"
        if step.kind != "cut" or not own:
            before = steps[row - 1] if row else None
            cut = before is not None and before.kind == "cut" and before.piece == step.piece and step.kind != "join"
            cells.append((row, cut))
    return cells


def _cell(place: int) -> PageRectangle:
    """A quarter of a page, by its number from the upper left."""
    (width, height), (_, page_height) = CELL_SIZE_MM, A4_PORTRAIT_MM
    top = page_height - TEXT_MARGIN_MM - HEADER_HEIGHT_MM - (place // 2) * height
    return PageRectangle(TEXT_MARGIN_MM + place % 2 * (width + COLUMN_GAP_MM), top - height, width, height)


def _finish_page(nets: Nets, items: Sequence[Item], number: int, of: int) -> Drawing:
    w, h = A4_PORTRAIT_MM
    top, left, right = h - TEXT_MARGIN_MM - 2, TEXT_MARGIN_MM, w - TEXT_MARGIN_MM
    note = "how it goes together"
    long = text_width(note, 3.5) + text_width(f"{number} / {of}", 3.5) + 12
    name = truncate_text(nets.part, 5.0, 0.94 * (right - left - long))
    head: list[Item] = [
        frame_text(left, top, name, 5.0, bold=True),
        frame_text(left + text_width(name, 5.0) / 0.94 + 4, top, note, 3.5),
        frame_text(right, top, f"{number} / {of}", 3.5, "end"),
        Stroke(Layer.FRAME, ((left, top - 3), (right, top - 3)), width=0.5),
    ]
    return Drawing(A4_PORTRAIT_MM, (*head, *items), f"{nets.part}, booklet")


def _first_page(context: BookletContext, work: WorkEstimate, wanting: Sequence[str]) -> tuple[list[Item], bool]:
    """What to know and to have before the first step, the finished model, and all nets; whether in half a page."""
    nets, cell = context.nets, _cell(0)
    paragraphs = [" ".join((work_text(context, work), *wanting)), *instructions(context)]
    compact = len(nets.pieces) <= MAX_NETS_BESIDE_WORDS
    wide = cell.width
    if not compact or _words_height(paragraphs, wide) > cell.height - 6:
        compact = False
        wide = A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM - MODEL_PICTURE_SIZE_MM[0] - 4
    top = cell.y + cell.height
    items: list[Item]
    items, y = _draw_words(paragraphs, TEXT_MARGIN_MM, top - 4, wide)
    x = TEXT_MARGIN_MM + wide + (COLUMN_GAP_MM if compact else 4)
    box = PageRectangle(
        x, top - MODEL_PICTURE_SIZE_MM[1], A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - x, MODEL_PICTURE_SIZE_MM[1]
    )
    view = finished_model_view(nets, context.colours)
    items += paint_scene(view.things, view.camera, box)
    if compact:
        around = PageRectangle(x, cell.y + 6, box.width, box.y - cell.y - 10)
    else:
        under = min(y - 4, box.y - 6)
        around = PageRectangle(
            TEXT_MARGIN_MM, TEXT_MARGIN_MM, A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM, under - TEXT_MARGIN_MM
        )
    return items + _draw_net_list(context, around), compact


def _words_height(paragraphs: Sequence[str], wide: float) -> float:
    lines = sum(len(wrap_text(p, BODY_TEXT_HEIGHT_MM, wide)) for p in paragraphs)
    return lines * LINE_HEIGHT_MM + len(paragraphs) * PARAGRAPH_GAP_MM


def _draw_words(paragraphs: Sequence[str], x: float, y: float, wide: float) -> tuple[list[Item], float]:
    """Paragraphs from a level down, and the level below them, mm."""
    items: list[Item] = []
    for line in paragraphs:
        for text in wrap_text(line, BODY_TEXT_HEIGHT_MM, wide):
            items.append(frame_text(x, y, text, BODY_TEXT_HEIGHT_MM))
            y -= LINE_HEIGHT_MM
        y -= PARAGRAPH_GAP_MM
    return items, y


def _draw_net_list(context: BookletContext, around: PageRectangle) -> list[Item]:
    """Small pictures of all nets, at most four in a row, in a rectangle from the top down."""
    pieces, y = context.nets.pieces, around.y + around.height
    items: list[Item] = [frame_text(around.x, y, "The nets", 3.5, bold=True)]
    y -= 4
    columns = max(1, min(4, len(pieces), int(around.width / 28)))
    rows = -(-len(pieces) // columns)
    across, room = around.width / columns - 2, y - around.y
    high = max(MIN_NET_PICTURE_HEIGHT_MM, min(48.0, room / rows - 9)) if rows else 40.0
    shown = pieces[: int(room / (high + 9) + 1e-6) * columns]
    angles = {p.id: context.sheet_positions.get(p.id, (0, 0.0))[1] for p in pieces}
    # All at one scale, so that they are told apart by their sizes.
    scale = min((flat_net_scale(p, angles[p.id], across, high) for p in shown), default=1.0)
    for k, piece in enumerate(shown):
        x = around.x + (k % columns) * (across + 2)
        top = y - (k // columns) * (high + 9)
        number, angle = context.sheet_positions.get(piece.id, (0, 0.0))
        where = f", sheet {number}" if number else ""
        name = truncate_text(f"{piece.id}  {format_features(piece)}", BODY_TEXT_HEIGHT_MM, across - 2)
        if text_width(name + where, BODY_TEXT_HEIGHT_MM) <= across:
            name += where
        items += draw_flat_net(piece, angle, PageRectangle(x, top - high, across, high), context.colours, scale)
        items.append(frame_text(x, top - high - 4.5, name, BODY_TEXT_HEIGHT_MM))
    if len(pieces) > len(shown):
        more = f"and {len(pieces) - len(shown)} more"
        items.append(frame_text(around.x, around.y - 4, more, BODY_TEXT_HEIGHT_MM))
    return items


def _describe_cell(
    context: BookletContext, row: int, cut: bool, said: set[str]
) -> tuple[str, list[str], StepView | None]:
    """Title, words and picture of a step, and how its net is cut out. said: how things are done, already told."""
    title, words, view = describe_step(context, row)
    text = [told for w in words if (told := ONLY_ONCE[w] if w in said and w in ONLY_ONCE else w)]
    said.update(words)
    if cut:
        if title.startswith(("Glue net ", "Tape net ", "Tuck net ")):
            title = f"Cut out and {title[0].lower()}{title[1:]}"
        text = [*cutting_text(context, context.pieces[context.steps[row].piece]), *text]
    return title, [" ".join(text)], view


def _needs_row(text: Sequence[str], tabs: int) -> bool:
    """Whether a step needs half a page: its words leave little room for the picture, or that has many numbers."""
    left = CELL_SIZE_MM[1] - 18 - _words_height(text, CELL_SIZE_MM[0] - NUMBER_INDENT_MM)
    return left < MIN_STEP_PICTURE_HEIGHT_MM or tabs > MAX_NUMBERS_IN_QUARTER


def _draw_step(
    context: BookletContext,
    row: int,
    told: tuple[str, list[str], StepView | None],
    number: int,
    cell: PageRectangle,
    wide: bool,
    loupe: bool = False,
) -> list[Item]:
    """A step: number, title, words, and the picture below them, or beside them where it has half a page (wide).

    loupe: with its seam magnified.
    """
    step, top = context.steps[row], cell.y + cell.height
    title, text, view = told
    x, across = cell.x + NUMBER_INDENT_MM, cell.width - NUMBER_INDENT_MM
    size = next((s for s in (3.5, 3.0) if text_width(title, s) <= 0.94 * across), BODY_TEXT_HEIGHT_MM)  # bold is wider
    end = cell.x + (2 * cell.width + COLUMN_GAP_MM if wide else cell.width)
    items: list[Item] = [
        Stroke(Layer.FRAME, ((cell.x, top), (end, top)), width=0.25, colour=DIVIDER_COLOUR),
        frame_text(cell.x, top - 10, str(number), 7.0 if number < 10 else 5.0, bold=True),
        frame_text(x, top - 6.5, truncate_text(title, size, 0.94 * across), size, bold=True),
    ]
    words, y = _draw_words(text, x, top - 12.5, across)
    box = PageRectangle(cell.x + 3, cell.y + 6, cell.width - 6, y - cell.y - 8)
    if wide:
        box = PageRectangle(cell.x + cell.width + COLUMN_GAP_MM, cell.y + 6, cell.width, cell.height - 12)
    if loupe:
        words += draw_loupe(context.pieces[step.piece], step.tabs, (cell.x + NUMBER_INDENT_MM, cell.y + 4))
        high = 0.0 if wide else 2 * LOUPE_RADIUS_MM + 1
        box = PageRectangle(box.x, box.y + high, box.width, box.height - high)
    if view is None:
        angle = context.sheet_positions.get(step.piece, (0, 0.0))[1]
        return [*items, *words, *draw_flat_net(context.pieces[step.piece], angle, box, context.colours)]
    return [*items, *words, *paint_scene(view.things, view.camera, box)]
