"""The booklet: step by step from the printed sheets to the model, with a picture of every step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from foldsketch.assembly.build_warnings import MIN_COMFORTABLE_WIDTH_MM, tab_widths
from foldsketch.assembly.sequence import assembly_steps
from foldsketch.base.card import Card
from foldsketch.base.drawing import Drawing, Item, Layer, Stroke, Text
from foldsketch.base.lettering import is_ambiguous_upside_down, text_width, truncate_text, wrap_text
from foldsketch.base.units import format_count
from foldsketch.geometry.polygon_loops import point_in_polygon
from foldsketch.net.model import Nets
from foldsketch.sheet.booklet.context import BookletContext, format_features, needs_stick
from foldsketch.sheet.booklet.joint_views import finished_model_view
from foldsketch.sheet.booklet.scene import PageRectangle, draw_flat_net, paint_scene
from foldsketch.sheet.booklet.step_text import describe_step
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.draw import marked_axis_colours

A4_PORTRAIT_MM = (210.0, 297.0)
TEXT_MARGIN_MM = 14.0
BODY_TEXT_HEIGHT_MM, SMALL_TEXT_HEIGHT_MM = 2.5, 1.8
MIN_NET_PICTURE_HEIGHT_MM = 20.0
"""Height of the picture of a net on the first page, mm, so that as many find room as can be."""

STEPS_PER_PAGE = 3
"""Steps on a page."""

STEP_PICTURE_SIZE_MM = (78.0, 72.0)
"""Room for a picture, mm."""

MODEL_PICTURE_SIZE_MM = (62.0, 50.0)
"""Room for the picture of the whole model on the first page, mm."""


@dataclass(frozen=True, slots=True)
class WorkEstimate:
    """The work in a model. minutes: to build it at a pace; cut: mm; folds, glued: how many; pace: whose it is."""

    minutes: float
    cut: float
    folds: int
    glued: int
    pace: str = "an ordinary"


def draw_booklet(
    nets: Nets, sheets: Sequence[Sheet], amount: WorkEstimate, wanting: Sequence[str] = ()
) -> tuple[Drawing, ...]:
    """The booklet of a model. wanting: sentences on what the model lacks of the part."""
    place = {p.piece: (k, p.angle) for k, sheet in enumerate(sheets, 1) for p in sheet.placed}
    book = BookletContext(
        nets, {p.id: p for p in nets.pieces}, marked_axis_colours(nets.pieces), place, assembly_steps(nets)
    )
    pages = [_first_page(book, amount, wanting)]
    for start in range(0, len(book.steps), STEPS_PER_PAGE):
        items: list[Item] = []
        for row in range(start, min(start + STEPS_PER_PAGE, len(book.steps))):
            items += _draw_step(book, row, A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM - 8 - (row - start) * 88.0)
        pages.append(items)
    return tuple(_finish_page(nets, items, k + 1, len(pages)) for k, items in enumerate(pages))


def _finish_page(nets: Nets, items: Sequence[Item], number: int, of: int) -> Drawing:
    head = [
        _frame_text(
            TEXT_MARGIN_MM, A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM, f"{nets.part}: building the model", BODY_TEXT_HEIGHT_MM
        ),
        _frame_text(
            A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM,
            A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM,
            f"{number} / {of}",
            BODY_TEXT_HEIGHT_MM,
            "end",
        ),
    ]
    return Drawing(A4_PORTRAIT_MM, (*head, *items), f"{nets.part}, booklet")


def _first_page(book: BookletContext, work: WorkEstimate, wanting: Sequence[str]) -> list[Item]:
    nets = book.nets
    wide = A4_PORTRAIT_MM[0] - 2 * TEXT_MARGIN_MM - MODEL_PICTURE_SIZE_MM[0] - 4
    items: list[Item] = []
    y = A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM - 14
    for text in wrap_text(nets.part, 7.0, wide):
        items.append(_frame_text(TEXT_MARGIN_MM, y, text, 7.0, bold=True))
        y -= 10
    sheets = len({k for k, _ in book.place.values()})
    pins = []
    if any(m.dots for p in nets.pieces for m in p.marks):
        pins = ["You will spin the model about its pin holes: the small circles, which are pierced with the needle."]
    holed = any(q.holes for p in nets.pieces for q in p.panels)
    more = ", a needle" if pins else ""
    pressed = any(s.folded_features for s in book.steps)  # a net of many features is pressed together from inside
    more += ", a thin stick" if holed or pressed or (pins and (nets.joints or needs_stick(nets))) else ""
    if any(w < MIN_COMFORTABLE_WIDTH_MM for w in tab_widths([t for p in nets.pieces for t in p.tabs])):
        more += ", tweezers and a pointed brush for small tabs"
    barred = any(is_ambiguous_upside_down(str(t.number)) for p in nets.pieces for t in p.tabs)
    scissors = "a knife and a mat" if holed else "a knife and a mat at need"
    outlines = " Dash and two dots is no fold: a block is glued there." if nets.joints else ""
    amount = f"{format_count(len(nets.pieces), 'net')} on {format_count(sheets, 'sheet')}, at {scale_text(nets.scale)}"
    todo = f"{work.cut:.0f} mm to cut, {format_count(work.folds, 'fold')}, {format_count(work.glued, 'glue joint')}"
    for line in (
        f"{amount}: {todo}; about {work.minutes:.0f} minutes at {work.pace} pace. The first model takes longer.",
        *wanting,
        f"You need: scissors, {scissors}, a ruler, an empty ballpoint pen for creasing, paper glue{more}.",
        f"Print the sheets at 100 % and check the 100 mm bars. {_card_text(nets.card)}",
        "Crease every fold along the ruler before you cut. Dash and dot: printed side out. Dashes: printed side in."
        + outlines,
        "A number on a tab and the same number at an edge, with its foot to that edge, belong together: glue on the "
        "hatching, then the tab goes behind the edge. The printed side of the model is its outside. Dashed in a "
        "picture: a tab behind a face.",
        *_printed_letters_text(nets),
        *(["A line under a number is its foot: upside down it would read as another one."] if barred else []),
        "Bend a tab when its step comes, not before: what goes through an opening has to be slim.",
        "A net bears its own number in a frame, where that has room. Cut out only what a step asks for, or put each "
        "net's number on its back too.",
        *pins,
    ):
        for text in wrap_text(line, BODY_TEXT_HEIGHT_MM, wide):
            items.append(_frame_text(TEXT_MARGIN_MM, y, text, BODY_TEXT_HEIGHT_MM))
            y -= 4.4
        y -= 0.8
    box = PageRectangle(
        A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - MODEL_PICTURE_SIZE_MM[0],
        A4_PORTRAIT_MM[1] - TEXT_MARGIN_MM - 10 - MODEL_PICTURE_SIZE_MM[1],
        *MODEL_PICTURE_SIZE_MM,
    )
    stage = finished_model_view(nets, book.colours)
    items += paint_scene(stage.things, stage.seen, box)
    y = min(y - 4, box.y - 6)
    items.append(_frame_text(TEXT_MARGIN_MM, y, "The nets", 3.5, bold=True))
    y -= 4
    rows = -(-len(nets.pieces) // 4)
    across, high = 44.0, max(MIN_NET_PICTURE_HEIGHT_MM, min(40.0, (y - TEXT_MARGIN_MM) / rows - 8)) if rows else 40.0
    room = int((y - TEXT_MARGIN_MM) / (high + 8) + 1e-6) * 4
    for k, piece in enumerate(nets.pieces[:room]):
        x = TEXT_MARGIN_MM + (k % 4) * (across + 2)
        top = y - (k // 4) * (high + 8)
        number, angle = book.place.get(piece.id, (0, 0.0))
        where = f"  (sheet {number})" if number else ""
        names = truncate_text(f"{piece.id}  {format_features(piece)}", SMALL_TEXT_HEIGHT_MM, across - 15)
        items += draw_flat_net(piece, angle, PageRectangle(x, top - high, across, high), book.colours)
        items.append(_frame_text(x, top - high - 3.5, names + where, SMALL_TEXT_HEIGHT_MM))
    if len(nets.pieces) > room:
        items.append(
            _frame_text(TEXT_MARGIN_MM, TEXT_MARGIN_MM - 4, f"and {len(nets.pieces) - room} more", BODY_TEXT_HEIGHT_MM)
        )
    return items


def _printed_letters_text(nets: Nets) -> list[str]:
    """What the signs on the nets are that are not needed for folding."""
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
        signs.append(f"{named}{'; short lines round an opening point to one in it' if bored else ''}.")
    if any(m.text == "z" for p in nets.pieces for m in p.marks):
        signs.append("Arrow and z: the part's +z end.")
    return [" ".join(signs)] if signs else []


def _card_text(card: Card) -> str:
    if not card:
        return "Card of 120 to 200 g/m² stands best."
    advice = card.advice[0].upper() + card.advice[1:]
    return f"The nets allow for card of {card.text}. {advice}."


def _draw_step(book: BookletContext, row: int, y: float) -> list[Item]:
    step = book.steps[row]
    items: list[Item] = [
        Stroke(Layer.FRAME, ((TEXT_MARGIN_MM, y + 3), (A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM, y + 3)), width=0.25),
        _frame_text(TEXT_MARGIN_MM, y - 4, str(row + 1), 5.0, bold=True),
    ]
    box = PageRectangle(TEXT_MARGIN_MM + 10, y - 6 - STEP_PICTURE_SIZE_MM[1], *STEP_PICTURE_SIZE_MM)
    title, text, stage = describe_step(book, row)
    if stage is None:
        items += draw_flat_net(book.pieces[step.piece], book.place.get(step.piece, (0, 0.0))[1], box, book.colours)
    else:
        items += paint_scene(stage.things, stage.seen, box)
    x = TEXT_MARGIN_MM + 14 + STEP_PICTURE_SIZE_MM[0]
    wide = A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - x
    size = next(
        (s for s in (3.5, 3.0, BODY_TEXT_HEIGHT_MM) if text_width(title, s) <= 0.94 * wide), BODY_TEXT_HEIGHT_MM
    )  # bold letters are wider
    items.append(_frame_text(x, y - 6, truncate_text(title, size, wide), size, bold=True))
    level = y - 13
    for line in text:
        for part in wrap_text(line, BODY_TEXT_HEIGHT_MM, A4_PORTRAIT_MM[0] - TEXT_MARGIN_MM - x):
            items.append(_frame_text(x, level, part, BODY_TEXT_HEIGHT_MM))
            level -= 4.4
        level -= 1.5
    return items


def _frame_text(x: float, y: float, text: str, size: float, anchor: str = "start", bold: bool = False) -> Text:
    return Text(Layer.FRAME, (x, y), text, size, 0.0, anchor, bold=bold)
