"""The booklet: step by step from the printed sheets to the model, with a picture of every step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from foldsketch.assembly.build_warnings import NARROW, reaches
from foldsketch.assembly.sequence import steps_of
from foldsketch.base.card import Card
from foldsketch.base.drawing import Drawing, Item, Layer, Stroke, Words
from foldsketch.base.lettering import reads_otherwise, shortened, width, wrapped
from foldsketch.base.units import counted
from foldsketch.geometry.polygon_loops import within
from foldsketch.net.model import Nets
from foldsketch.sheet.booklet.context import Book, names_of, needs_stick
from foldsketch.sheet.booklet.joint_views import finished
from foldsketch.sheet.booklet.scene import Box, flat_net, painted
from foldsketch.sheet.booklet.step_text import told
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.paper import scale_text
from foldsketch.sheet.page.draw import colours_of

PAGE = (210.0, 297.0)
EDGE = 14.0
BODY, SMALL = 2.5, 1.8
LOWEST = 20.0
"""Height of the picture of a net on the first page, mm, so that as many find room as can be."""

ROWS = 3
"""Steps on a page."""

PICTURE = (78.0, 72.0)
"""Room for a picture, mm."""

MODEL = (62.0, 50.0)
"""Room for the picture of the whole model on the first page, mm."""


@dataclass(frozen=True, slots=True)
class Amount:
    """The work in a model. minutes: to build it at a pace; cut: mm; folds, glued: how many; pace: whose it is."""

    minutes: float
    cut: float
    folds: int
    glued: int
    pace: str = "an ordinary"


def draw_booklet(
    nets: Nets, sheets: Sequence[Sheet], amount: Amount, wanting: Sequence[str] = ()
) -> tuple[Drawing, ...]:
    """The booklet of a model. wanting: sentences on what the model lacks of the part."""
    place = {p.piece: (k, p.angle) for k, sheet in enumerate(sheets, 1) for p in sheet.placed}
    book = Book(nets, {p.id: p for p in nets.pieces}, colours_of(nets.pieces), place, steps_of(nets))
    pages = [_first_page(book, amount, wanting)]
    for start in range(0, len(book.steps), ROWS):
        items: list[Item] = []
        for row in range(start, min(start + ROWS, len(book.steps))):
            items += _step(book, row, PAGE[1] - EDGE - 8 - (row - start) * 88.0)
        pages.append(items)
    return tuple(_page(nets, items, k + 1, len(pages)) for k, items in enumerate(pages))


def _page(nets: Nets, items: Sequence[Item], number: int, of: int) -> Drawing:
    head = [
        _words(EDGE, PAGE[1] - EDGE, f"{nets.part}: building the model", BODY),
        _words(PAGE[0] - EDGE, PAGE[1] - EDGE, f"{number} / {of}", BODY, "end"),
    ]
    return Drawing(PAGE, (*head, *items), f"{nets.part}, booklet")


def _first_page(book: Book, work: Amount, wanting: Sequence[str]) -> list[Item]:
    nets = book.nets
    wide = PAGE[0] - 2 * EDGE - MODEL[0] - 4
    items: list[Item] = []
    y = PAGE[1] - EDGE - 14
    for text in wrapped(nets.part, 7.0, wide):
        items.append(_words(EDGE, y, text, 7.0, bold=True))
        y -= 10
    sheets = len({k for k, _ in book.place.values()})
    pins = []
    if any(m.dots for p in nets.pieces for m in p.marks):
        pins = ["You will spin the model about its pin holes: the small circles, which are pierced with the needle."]
    holed = any(q.holes for p in nets.pieces for q in p.panels)
    more = ", a needle" if pins else ""
    pressed = any(s.only for s in book.steps)  # a net of many features is pressed together from inside
    more += ", a thin stick" if holed or pressed or (pins and (nets.joints or needs_stick(nets))) else ""
    if any(w < NARROW for w in reaches([t for p in nets.pieces for t in p.tabs])):
        more += ", tweezers and a pointed brush for small tabs"
    barred = any(reads_otherwise(str(t.number)) for p in nets.pieces for t in p.tabs)
    scissors = "a knife and a mat" if holed else "a knife and a mat at need"
    outlines = " Dash and two dots is no fold: a block is glued there." if nets.joints else ""
    amount = f"{counted(len(nets.pieces), 'net')} on {counted(sheets, 'sheet')}, at {scale_text(nets.scale)}"
    todo = f"{work.cut:.0f} mm to cut, {counted(work.folds, 'fold')}, {counted(work.glued, 'glue joint')}"
    for line in (
        f"{amount}: {todo}; about {work.minutes:.0f} minutes at {work.pace} pace. The first model takes longer.",
        *wanting,
        f"You need: scissors, {scissors}, a ruler, an empty ballpoint pen for creasing, paper glue{more}.",
        f"Print the sheets at 100 % and check the 100 mm bars. {_card_words(nets.card)}",
        "Crease every fold along the ruler before you cut. Dash and dot: printed side out. Dashes: printed side in."
        + outlines,
        "A number on a tab and the same number at an edge, with its foot to that edge, belong together: glue on the "
        "hatching, then the tab goes behind the edge. The printed side of the model is its outside. Dashed in a "
        "picture: a tab behind a face.",
        *_letters(nets),
        *(["A line under a number is its foot: upside down it would read as another one."] if barred else []),
        "Bend a tab when its step comes, not before: what goes through an opening has to be slim.",
        "A net bears its own number in a frame, where that has room. Cut out only what a step asks for, or put each "
        "net's number on its back too.",
        *pins,
    ):
        for text in wrapped(line, BODY, wide):
            items.append(_words(EDGE, y, text, BODY))
            y -= 4.4
        y -= 0.8
    box = Box(PAGE[0] - EDGE - MODEL[0], PAGE[1] - EDGE - 10 - MODEL[1], *MODEL)
    stage = finished(nets, book.colours)
    items += painted(stage.things, stage.seen, box)
    y = min(y - 4, box.y - 6)
    items.append(_words(EDGE, y, "The nets", 3.5, bold=True))
    y -= 4
    rows = -(-len(nets.pieces) // 4)
    across, high = 44.0, max(LOWEST, min(40.0, (y - EDGE) / rows - 8)) if rows else 40.0
    room = int((y - EDGE) / (high + 8) + 1e-6) * 4
    for k, piece in enumerate(nets.pieces[:room]):
        x = EDGE + (k % 4) * (across + 2)
        top = y - (k // 4) * (high + 8)
        number, angle = book.place.get(piece.id, (0, 0.0))
        where = f"  (sheet {number})" if number else ""
        names = shortened(f"{piece.id}  {names_of(piece)}", SMALL, across - 15)
        items += flat_net(piece, angle, Box(x, top - high, across, high), book.colours)
        items.append(_words(x, top - high - 3.5, names + where, SMALL))
    if len(nets.pieces) > room:
        items.append(_words(EDGE, EDGE - 4, f"and {len(nets.pieces) - room} more", BODY))
    return items


def _letters(nets: Nets) -> list[str]:
    """What the signs on the nets are that are not needed for folding."""
    axes = sorted({m.axis for p in nets.pieces for m in p.marks if m.kind == "centre" and m.text})
    bored = any(
        not m.text and any(within(h.tolist(), m.at) for h in p.panel(m.panel).holes)
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


def _card_words(card: Card) -> str:
    if not card:
        return "Card of 120 to 200 g/m² stands best."
    advice = card.advice[0].upper() + card.advice[1:]
    return f"The nets allow for card of {card.text}. {advice}."


def _step(book: Book, row: int, y: float) -> list[Item]:
    step = book.steps[row]
    items: list[Item] = [
        Stroke(Layer.FRAME, ((EDGE, y + 3), (PAGE[0] - EDGE, y + 3)), width=0.25),
        _words(EDGE, y - 4, str(row + 1), 5.0, bold=True),
    ]
    box = Box(EDGE + 10, y - 6 - PICTURE[1], *PICTURE)
    title, text, stage = told(book, row)
    if stage is None:
        items += flat_net(book.pieces[step.piece], book.place.get(step.piece, (0, 0.0))[1], box, book.colours)
    else:
        items += painted(stage.things, stage.seen, box)
    x = EDGE + 14 + PICTURE[0]
    wide = PAGE[0] - EDGE - x
    size = next((s for s in (3.5, 3.0, BODY) if width(title, s) <= 0.94 * wide), BODY)  # bold letters are wider
    items.append(_words(x, y - 6, shortened(title, size, wide), size, bold=True))
    level = y - 13
    for line in text:
        for part in wrapped(line, BODY, PAGE[0] - EDGE - x):
            items.append(_words(x, level, part, BODY))
            level -= 4.4
        level -= 1.5
    return items


def _words(x: float, y: float, text: str, size: float, anchor: str = "start", bold: bool = False) -> Words:
    return Words(Layer.FRAME, (x, y), text, size, 0.0, anchor, bold=bold)
