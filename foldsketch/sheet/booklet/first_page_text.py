"""What a reader of the booklet is told before the first step."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.card import Card
from foldsketch.base.lettering import is_ambiguous_upside_down
from foldsketch.base.units import format_count
from foldsketch.geometry.polygon_loops import point_in_polygon
from foldsketch.net.model import Nets
from foldsketch.sheet.booklet.context import BookletContext, has_tongues, tools_needed
from foldsketch.sheet.booklet.untabbed_edges import unglued_edges_text
from foldsketch.sheet.layout.paper import scale_text

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

PIN_HOLES_TEXT = "The dots at the centres are pin holes: pierce them with the needle{wide}. The model spins on them."


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


def work_text(context: BookletContext, work: WorkEstimate) -> str:
    """How much there is to do."""
    nets, sheets = context.nets, len({k for k, _ in context.sheet_positions.values()})
    amount = f"{format_count(len(nets.pieces), 'net')} on {format_count(sheets, 'sheet')}, at {scale_text(nets.scale)}"
    todo = f"{work.cut:.0f} mm to cut, {format_count(work.folds, 'fold')}, {work.held}"
    time = f"about {work.minutes:.0f} minutes at {work.pace} pace. The first model takes longer."
    return f"{amount}: {todo}; {time}"


def instructions(context: BookletContext) -> list[str]:
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
            *([] if taped else [GLUE_TEXT.format(where=where), *unglued_edges_text(nets)]),
            *([] if context.numbered else [SIGNS_TEXT.format(what="tucking" if tucked else "gluing")]),
            *([] if taped else ["Keep tabs flat until their step, so that they fit through openings."]),
            *([UNDERLINE_TEXT] if barred else []),
        ],
        [
            "A net's number and name are beside it. Cut out what a step asks for, or write the number on its back.",
            *_printed_letters_text(nets),
            *([PIN_HOLES_TEXT.format(wide=", wide enough for the stick" if nets.joints else "")] if pins else []),
        ],
    ]
    return [" ".join(sentences) for sentences in paragraphs if sentences]


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
