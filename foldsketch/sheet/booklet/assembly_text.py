"""Text and picture of the steps that glue one net to others: set in, put on, closed over them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.attachment_views import closing_view, gluing_onto_back_view, insertion_view
from foldsketch.sheet.booklet.context import (
    BookletContext,
    format_nets,
    format_tabs,
    tucked_tabs_text,
    upside_down_text,
)
from foldsketch.sheet.booklet.net_contacts import (
    are_one_wall,
    is_tube_behind_end,
    share_tab,
    standing_and_base,
    wall_continues,
)
from foldsketch.sheet.booklet.step_views import StepView
from foldsketch.sheet.booklet.untabbed_edges import format_number_ranges

THROUGH_OPENING_TEXT = "through it, to be glued behind the face"

SPRING_TABS_TEXT = (
    "bend them in to pass the opening, let them spring out behind the face, and press them on from behind"
)

DRY_FIT_TEXT = "Try it dry first, {pairs} together: it may also fit the wrong way round."

MAX_NUMBERS_PENCILLED_SINGLY = 4
"""Up to so many numbers beside an opening are all pencilled."""

MAX_TABS_GLUED_AT_ONCE = 12
"""Tabs that can be glued before the first are dry [common practice]."""


def describe_insertion(
    context: BookletContext, row: int, piece: Piece, lid: int | None
) -> tuple[str, list[str], StepView]:
    """Title, text and picture of a step that glues others to an open net: set into it, or standing on it."""
    step = context.steps[row]
    to, tabs = format_nets(step.target_pieces), format_tabs(context, step.tabs)
    others = [context.pieces[i] for i in step.target_pieces]
    view = _open_net_view(context, step, piece, lid)
    blank = _is_viewed_from_blank_side(piece, others, step, view)
    if are_one_wall([piece, *others]):
        words = [f"They are parts of one wall, too long for a sheet: glue their ends together, {tabs}."]
        return f"Join net {piece.id} to {to}", [*words, *upside_down_text(view)], view
    stands = standing_and_base(piece, others, step)
    if stands is None and wall_continues(piece, others):
        title = f"Fold net {piece.id} round {to}"
        words = [f"Fold net {piece.id} up round {to}: their walls continue each other."]
        words.append(f"Glue the {tabs}, {context.pairs} together, from one end of net {piece.id} to the other.")
        words.append("Press the tabs on with a stick.")
    elif stands is None:
        title = f"Set {to} into net {piece.id}"
        words = [f"Set {to} into net {piece.id} while it is open: glue on the {tabs}, {context.pairs} together."]
        words += _tabs_by_net_text(context, piece, others, step)
        if blank:
            words.append(f"The {context.pairs} pencilled on the blank side show which way round.")
            words.append("Press the tabs on with a stick.")
    else:
        title = f"Stand {stands[0]} on {stands[1]}"
        if _is_standing_net_lower(piece, others, stands, view):  # the open net is on top, so that hands reach into it
            title = f"Put {stands[1]} over {stands[0]}"
        words = [
            f"{title}, the opening and the tabs of the same {context.pairs}: {tabs} "
            f"{_tab_route_text(context, piece, others, step)}."
        ]
        if blank:
            words.append(f"Its {context.pairs} are on the other side: go by those pencilled beside the opening.")
    hold = "set it in place, and hold it until it stays" if not title.startswith("Fold") else "a few at a time"
    if stands is not None:
        words.append(DRY_FIT_TEXT.format(pairs=context.pairs))
    if THROUGH_OPENING_TEXT in words[0]:
        hold = SPRING_TABS_TEXT
    words.append(f"Put glue on these tabs only, {hold}.")
    rest = context.steps[row + 1 :]
    if any(s.piece == piece.id and s.kind == "close" and set(s.target_pieces) & set(step.target_pieces) for s in rest):
        words.append("The edges of the last face are glued when it closes.")
    return title, [*words, *upside_down_text(view)], view


def pencil_numbers_text(context: BookletContext, piece: Piece) -> list[str]:
    """What to pencil on the blank side of a net while it is flat.

    Numbers of openings that are seen from that side when something is glued there.
    """
    first = [] if context.nets.hold != "glue" else steps_needing_pencilled_numbers(context, piece)
    if not first:
        return []
    numbers = [n for step in first for n in step.tabs]
    few = " and ".join(map(str, numbers)) if len(numbers) == 2 else format_number_ranges(numbers)
    which = few if len(numbers) <= MAX_NUMBERS_PENCILLED_SINGLY else "one number of each opening"
    if not context.numbered:
        which = "the half sign of each opening"
    return [f"Pencil {which} on its blank side too, beside the opening: you will look from that side later."]


def steps_needing_pencilled_numbers(context: BookletContext, piece: Piece) -> list[AssemblyStep]:
    """The steps that need numbers on the blank side of a net."""
    found = []
    for row, step in enumerate(context.steps):
        if step.kind == "insert" and step.piece == piece.id:
            lid = next(
                (s.closing_panel for s in context.steps[row:] if s.piece == piece.id and s.closing_panel is not None),
                None,
            )
            others = [context.pieces[i] for i in step.target_pieces]
            if _is_viewed_from_blank_side(piece, others, step, _open_net_view(context, step, piece, lid)):
                found.append(step)
    return found


def _open_net_view(context: BookletContext, step: AssemblyStep, piece: Piece, lid: int | None) -> StepView:
    """The picture of an open net with all that is glued to it."""
    return insertion_view(
        piece,
        [context.pieces[i] for i in (*step.target_pieces, *step.already_attached, *step.also_attached)],
        step,
        lid,
    )


def _is_viewed_from_blank_side(piece: Piece, others: Sequence[Piece], step: AssemblyStep, view: StepView) -> bool:
    """Whether the face that tabs go behind is seen from its blank side, where no number is printed."""
    if are_one_wall([piece, *others]):
        return False
    stands = standing_and_base(piece, others, step)
    if stands is None:
        return not wall_continues(piece, others) and is_tube_behind_end(piece, others, step)
    through = _goes_through_opening(piece, others, step)
    return through and stands[1] == f"net {piece.id}" and _is_standing_net_lower(piece, others, stands, view)


def _is_standing_net_lower(piece: Piece, others: Sequence[Piece], stands: tuple[str, str], view: StepView) -> bool:
    """Whether the net that stands on another is below it in the picture: then the other is put over it."""
    one, two = ([piece], others) if stands[0] == f"net {piece.id}" else (others, [piece])
    return _mean_height(one, view) < _mean_height(two, view)


def describe_gluing_onto_back(
    context: BookletContext, step: AssemblyStep, piece: Piece
) -> tuple[str, list[str], StepView]:
    """Title, text and picture of a step that glues nets onto the back of one that is still flat."""
    assert step.closing_panel is not None
    to, others = (
        format_nets(step.target_pieces),
        [context.pieces[i] for i in (*step.target_pieces, *step.also_attached)],
    )
    view = gluing_onto_back_view(piece, others, step, step.closing_panel)
    own = [n for n in step.tabs if share_tab(piece, piece, n)]
    words = [f"Lay the largest face of net {piece.id} on the table, printed side down."]
    if own:
        words.append(f"Fold its walls up and glue their {format_tabs(context, own)} behind its edges.")
    rest = format_tabs(context, [n for n in step.tabs if n not in own])
    words.append(f"Glue {to} onto its back, each over the opening with its own {context.pairs}: {rest}.")
    return f"Glue {to} to net {piece.id}", [*words, *upside_down_text(view)], view


def describe_closing(context: BookletContext, step: AssemblyStep, piece: Piece) -> tuple[str, list[str], StepView]:
    """Title, text and picture of a step that closes the last face of a net; new nets are glued to that face first."""
    fresh = [context.pieces[i] for i in step.newly_attached]
    alone = len(piece.panels) == 1
    there = [context.pieces[i] for i in (*step.target_pieces, *step.already_attached) if i not in step.newly_attached]
    lifted = [*fresh, *(context.pieces[i] for i in step.also_attached)]
    view = closing_view(piece, [*there, *lifted] if alone else there, step, () if alone else lifted)
    if alone:
        tabs = format_tabs(context, step.tabs)
        nets = format_nets(step.target_pieces)
        words = [f"Put glue on the {tabs} of {nets} and set net {piece.id} on them, printed side out."]
        words.append("Line up the tick at its edge with the tick on the wall: that is the datum.")
        return f"Set on net {piece.id}", [*words, *upside_down_text(view)], view
    apart = [n for n in step.tabs if any(share_tab(piece, p, n) for p in fresh)]
    numbers = [n for n in step.tabs if n not in apart]
    title = f"Close net {piece.id}"
    words = []
    if fresh:
        stands = standing_and_base(piece, fresh, step) is not None
        lid = f"the last face of net {piece.id}, and close it"
        title = (
            f"Stand {format_nets(step.newly_attached)} on {lid}"
            if stands
            else f"Glue {format_nets(step.newly_attached)} to {lid}"
        )
        if stands:
            through = _tab_route_text(context, piece, fresh, step)
            words.append(
                f"First {format_nets(step.newly_attached)}, over the opening of the last face: "
                f"{format_tabs(context, apart)} {through}."
            )
            words.append(DRY_FIT_TEXT.format(pairs=context.pairs))
            if through == THROUGH_OPENING_TEXT:
                words.append(f"Put glue on these tabs only, {SPRING_TABS_TEXT}.")
        else:
            words.append(
                f"First {format_nets(step.newly_attached)}, behind the opening of the last face: glue "
                f"{format_tabs(context, apart)}, {context.pairs} "
                "together."
            )
    if numbers:
        begin, all_ = "After that put" if fresh else "Put", " over them all" if len(numbers) > 1 else ""
        tabs = format_tabs(context, numbers)
        words.append(f"{begin} glue on {tabs}, then close the last face{all_} and press it on from outside.")
    if len(numbers) > MAX_TABS_GLUED_AT_ONCE:
        words.append("With so many, glue a few at a time, from the hinge outwards on both sides.")
    return title, [*words, *tucked_tabs_text(step), *upside_down_text(view)], view


def _mean_height(pieces: Sequence[Piece], view: StepView) -> float:
    """Mean height of nets in a picture, mm, in their places in the model."""
    return float(np.mean([p.in_space(p.outline.mean(axis=0)) @ view.up for q in pieces for p in q.panels]))


def _goes_through_opening(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> bool:
    """Whether tabs get behind a face through its opening: they are all on the walls."""
    kinds = {
        p.panel(t.panel).kind
        for p in (piece, *others)
        for t in p.tabs
        if t.number in step.tabs and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece)
    }
    return kinds == {"side"}


def _tab_route_text(context: BookletContext, piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> str:
    """How tabs get behind a face."""
    if _goes_through_opening(piece, others, step):
        return THROUGH_OPENING_TEXT
    return f"to be glued, {context.pairs} together"


def _tabs_by_net_text(context: BookletContext, piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> list[str]:
    """Which of several nets has which numbers."""
    if len(others) < 2:
        return []
    each = [(q.id, [n for n in step.tabs if share_tab(piece, q, n)]) for q in others]
    return [f"{'; '.join(f'net {i}: {format_number_ranges(own)}' for i, own in each if own)}."]
