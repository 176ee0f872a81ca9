"""The booklet's pages: from the printed sheets to the model, with a picture of every step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.card import Card
from foldsketch.base.drawing import Drawing, Item, Layer, Stroke
from foldsketch.base.lettering import is_ambiguous_upside_down, text_width, truncate_text, wrap_text
from foldsketch.base.units import format_count
from foldsketch.geometry.polygon_loops import point_in_polygon
from foldsketch.net.model import Nets
from foldsketch.sheet.booklet.context import BookletContext, format_features, has_tongues, tools_needed
from foldsketch.sheet.booklet.joint_views import finished_model_view
from foldsketch.sheet.booklet.scene import draw_flat_net, flat_net_scale, paint_scene
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.draw import marked_axis_colours
from foldsketch.sheet.page.page_text import (
    A4_PORTRAIT_MM,
    BODY_TEXT_HEIGHT_MM,
    SMALL_TEXT_HEIGHT_MM,
    TEXT_MARGIN_MM,
    PageRectangle,
    frame_text,
)

MIN_NET_PICTURE_HEIGHT_MM = 20.0
"""Least height of the picture of a net on the first page, mm."""

STEPS_PER_PAGE = 3
STEP_PICTURE_SIZE_MM = (78.0, 72.0)
"""Largest width and height of the picture of a step, mm."""

MODEL_PICTURE_SIZE_MM = (62.0, 50.0)
"""Largest width and height of the picture of the model on the first page, mm."""


GLUE_TEXT = (
    "Glue each tab behind {where}. Put glue on the grey. The printed side is the outside of the model. Dashed "
    "in a picture: a tab behind a face."
)

SIGNS_TEXT = "Numbers in the pictures are the order of {what}; they are not on the sheets."

TAPE_TEXT = (
    "Edges with the same number meet. Put a strip of tape, about 20 mm long, across them from tick to tick: the ticks "
    "of both edges are in line. An edge without ticks needs no tape. The printed side is the outside of the model."
)

TUCK_TEXT = (
    "This model is tucked together and can be opened again. White flaps go behind the walls; tongues and hooks go "
    "through slits. Card of 160 g/m² holds best; thin paper buckles: draw its tongues through with tweezers."
)

TONGUES_TEXT = (
    "Slits, thick with a tick across each end: cut them with the knife, on the flat sheet, before anything else. The "
    "white tongues go through them, without glue."
)

UNDERLINE_TEXT = "A line under a number marks its bottom: upside down it would read as another number."

PIN_HOLES_TEXT = "The dots at the centres are pin holes: pierce them with the needle. The model spins on them."


@dataclass(frozen=True, slots=True)
class WorkEstimate:
    """The work in a model.

    minutes: to build it; cut: mm; folds: how many; held: what holds it; pace: whose working speed it is.
    """

    minutes: float
    cut: float
    folds: int
    held: str
    pace: str = "an ordinary"


def draw_booklet(
    nets: Nets, sheets: Sequence[Sheet], amount: WorkEstimate, wanting: Sequence[str] = ()
) -> tuple[Drawing, ...]:
    """The booklet of a model. wanting: sentences on what the model leaves out of the part."""
    place = {p.piece: (k, p.angle) for k, sheet in enumerate(sheets, 1) for p in sheet.placed}
    context = BookletContext(
        nets, {p.id: p for p in nets.pieces}, marked_axis_colours(nets.pieces), place, assembly_steps(nets)
    )
    pages = [_first_page(context, amount, wanting)]
    for start in range(0, len(context.steps), STEPS_PER_PAGE):
        items: list[Item] = []
        for row in range(start, min(start + STEPS_PER_PAGE, len(context.steps))):
            items += _draw_step(context, row, A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM - 8 - (row - start) * 88.0)
        pages.append(items)
    return tuple(_finish_page(nets, items, k + 1, len(pages)) for k, items in enumerate(pages))


def _finish_page(nets: Nets, items: Sequence[Item], number: int, of: int) -> Drawing:
    w, h = A4_PORTRAIT_MM
    top = h - TEXT_MARGIN_MM
    head = [
        frame_text(TEXT_MARGIN_MM, top, f"{nets.part}: building the model", BODY_TEXT_HEIGHT_MM),
        frame_text(w - TEXT_MARGIN_MM, top, f"{number} / {of}", BODY_TEXT_HEIGHT_MM, "end"),
    ]
    return Drawing(A4_PORTRAIT_MM, (*head, *items), f"{nets.part}, booklet")


def _first_page(context: BookletContext, work: WorkEstimate, wanting: Sequence[str]) -> list[Item]:
    """What to know and to have before the first step, the finished model, and all nets."""
    nets, (page_width, page_height) = context.nets, A4_PORTRAIT_MM
    wide = page_width - 2 * TEXT_MARGIN_MM - MODEL_PICTURE_SIZE_MM[0] - 4
    items: list[Item] = []
    y = page_height - TEXT_MARGIN_MM - 14
    for text in wrap_text(nets.part, 7.0, wide):
        items.append(frame_text(TEXT_MARGIN_MM, y, text, 7.0, bold=True))
        y -= 10
    for line in (" ".join((_work_text(context, work), *wanting)), *_instructions(context)):
        for text in wrap_text(line, BODY_TEXT_HEIGHT_MM, wide):
            items.append(frame_text(TEXT_MARGIN_MM, y, text, BODY_TEXT_HEIGHT_MM))
            y -= 4.4
        y -= 0.8
    box = PageRectangle(
        page_width - TEXT_MARGIN_MM - MODEL_PICTURE_SIZE_MM[0],
        page_height - TEXT_MARGIN_MM - 10 - MODEL_PICTURE_SIZE_MM[1],
        *MODEL_PICTURE_SIZE_MM,
    )
    view = finished_model_view(nets, context.colours)
    items += paint_scene(view.things, view.camera, box)
    return items + _draw_net_list(context, min(y - 4, box.y - 6))


def _work_text(context: BookletContext, work: WorkEstimate) -> str:
    """How much there is to do."""
    nets, sheets = context.nets, len({k for k, _ in context.sheet_positions.values()})
    amount = f"{format_count(len(nets.pieces), 'net')} on {format_count(sheets, 'sheet')}, at {scale_text(nets.scale)}"
    todo = f"{work.cut:.0f} mm to cut, {format_count(work.folds, 'fold')}, {work.held}"
    time = f"about {work.minutes:.0f} minutes at {work.pace} pace. The first model takes longer."
    return f"{amount}: {todo}; {time}"


def _instructions(context: BookletContext) -> list[str]:
    """What to know before the first step, one paragraph each."""
    nets = context.nets
    pins = any(m.dots for p in nets.pieces for m in p.marks)
    taped = nets.hold != "glue"
    tucked = [t for p in nets.pieces for t in p.tabs if t.part]
    strips = any(b.strips for p in nets.pieces for b in p.butts) or any(j.taped for j in nets.joints)
    placed = "stands" if taped or has_tongues(nets) else "is glued"
    outlines = f" A thin outline on a face is neither cut nor fold: a block {placed} there." if nets.joints else ""
    angles = [a for p in nets.pieces for a in (*(f.angle for f in p.folds if not f.rolled), *(t.angle for t in p.tabs))]
    forward = " Dotted: fold forward, printed side in." if any(a < -1e-9 for a in angles) else ""
    numbers = [t.number for p in nets.pieces for t in p.held_edges] if context.numbered else []
    barred = any(is_ambiguous_upside_down(str(n)) for n in numbers)
    where = "the edge with the same number" if context.numbered else "its edge, so that the halves of a sign meet"
    paragraphs = [
        [
            f"You need: {', '.join(tools_needed(context))}.",
            f"Print the sheets at 100 % and check the 100 mm bars. {_card_text(nets.card)}",
        ],
        [f"Crease every fold along the ruler before you cut. Dashed: fold back, printed side out.{forward}{outlines}"],
        [TONGUES_TEXT] if has_tongues(nets) else [],
        [
            *([TUCK_TEXT] if tucked else []),
            *([TAPE_TEXT] if taped and (strips or not tucked) else []),
            *([] if taped else [GLUE_TEXT.format(where=where)]),
            *([] if context.numbered else [SIGNS_TEXT.format(what="tucking" if tucked else "gluing")]),
            *([] if taped else ["Keep tabs flat until their step, so that they fit through openings."]),
            *([UNDERLINE_TEXT] if barred else []),
        ],
        [
            "A net's number and name are beside it. Cut out what a step asks for, or write the number on its back.",
            *_printed_letters_text(nets),
            *([PIN_HOLES_TEXT] if pins else []),
        ],
    ]
    return [" ".join(sentences) for sentences in paragraphs if sentences]


def _draw_net_list(context: BookletContext, y: float) -> list[Item]:
    """Small pictures of all nets, four in a row, from a level down."""
    pieces = context.nets.pieces
    items: list[Item] = [frame_text(TEXT_MARGIN_MM, y, "The nets", 3.5, bold=True)]
    y -= 4
    rows = -(-len(pieces) // 4)
    across, high = 44.0, max(MIN_NET_PICTURE_HEIGHT_MM, min(40.0, (y - TEXT_MARGIN_MM) / rows - 8)) if rows else 40.0
    room = int((y - TEXT_MARGIN_MM) / (high + 8) + 1e-6) * 4
    angles = {p.id: context.sheet_positions.get(p.id, (0, 0.0))[1] for p in pieces}
    # All at one scale, so that they are told apart by their sizes.
    scale = min((flat_net_scale(p, angles[p.id], across, high) for p in pieces[:room]), default=1.0)
    for k, piece in enumerate(pieces[:room]):
        x = TEXT_MARGIN_MM + (k % 4) * (across + 2)
        top = y - (k // 4) * (high + 8)
        number, angle = context.sheet_positions.get(piece.id, (0, 0.0))
        where = f"  (sheet {number})" if number else ""
        names = truncate_text(f"{piece.id}  {format_features(piece)}", SMALL_TEXT_HEIGHT_MM, across - 15)
        items += draw_flat_net(piece, angle, PageRectangle(x, top - high, across, high), context.colours, scale)
        items.append(frame_text(x, top - high - 3.5, names + where, SMALL_TEXT_HEIGHT_MM))
    if len(pieces) > room:
        more = f"and {len(pieces) - room} more"
        items.append(frame_text(TEXT_MARGIN_MM, TEXT_MARGIN_MM - 4, more, BODY_TEXT_HEIGHT_MM))
    return items


def _printed_letters_text(nets: Nets) -> list[str]:
    """What the letters on the nets mean that are not needed for folding."""
    axes = sorted({m.axis for p in nets.pieces for m in p.marks if m.kind == "centre" and m.text})
    bored = any(
        not m.text and any(point_in_polygon(h.tolist(), m.at) for h in p.panel(m.panel).holes)
        for p in nets.pieces
        for m in p.marks
        if m.kind == "centre" and m.panel is not None
    )
    signs = []
    if axes:
        named = f"{', '.join(axes)} {'are axes' if len(axes) > 1 else 'is the axis'} of the part"
        signs.append(f"{named}{'; short lines around an opening point to the axis in it' if bored else ''}.")
    return [" ".join(signs)] if signs else []


def _card_text(card: Card) -> str:
    if not card:
        return "Card of 120 to 200 g/m² works best."
    advice = card.creasing_advice[0].upper() + card.creasing_advice[1:]
    return f"The nets compensate for card of {card.text}. {advice}."


def _draw_step(context: BookletContext, row: int, y: float) -> list[Item]:
    step = context.steps[row]
    items: list[Item] = [
        Stroke(Layer.FRAME, ((TEXT_MARGIN_MM, y + 3), (A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM, y + 3)), width=0.25),
        frame_text(TEXT_MARGIN_MM, y - 4, str(row + 1), 5.0, bold=True),
    ]
    box = PageRectangle(TEXT_MARGIN_MM + 10, y - 6 - STEP_PICTURE_SIZE_MM[1], *STEP_PICTURE_SIZE_MM)
    title, text, view = describe_step(context, row)
    if view is None:
        items += draw_flat_net(
            context.pieces[step.piece], context.sheet_positions.get(step.piece, (0, 0.0))[1], box, context.colours
        )
    else:
        items += paint_scene(view.things, view.camera, box)
    x = TEXT_MARGIN_MM + 14 + STEP_PICTURE_SIZE_MM[0]
    wide = A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - x
    size = next(
        (s for s in (3.5, 3.0, BODY_TEXT_HEIGHT_MM) if text_width(title, s) <= 0.94 * wide), BODY_TEXT_HEIGHT_MM
    )  # bold letters are wider
    items.append(frame_text(x, y - 6, truncate_text(title, size, wide), size, bold=True))
    level = y - 13
    for line in text:
        for part in wrap_text(line, BODY_TEXT_HEIGHT_MM, A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - x):
            items.append(frame_text(x, level, part, BODY_TEXT_HEIGHT_MM))
            level -= 4.4
        level -= 1.5
    return items
