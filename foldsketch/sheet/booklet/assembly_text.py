"""Putting: what the booklet says and shows where one net is glued to others: set in, stood on, closed over."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, sin

import numpy as np

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.context import (
    BookletContext,
    format_nets,
    format_tabs,
    tucked_tabs_text,
    upside_down_text,
)
from foldsketch.sheet.booklet.scene import VIEW_ELEVATION_RAD, faces_inward
from foldsketch.sheet.booklet.step_views import StepView, closing_view, gluing_onto_back_view, insertion_view
from foldsketch.sheet.booklet.untabbed_edges import format_number_ranges

THROUGH_OPENING_TEXT = "through it, to be glued behind the face"

SPRING_TABS_TEXT = (
    "bend them in to pass the opening, let them spring out behind the face, and press them on from behind"
)

DRY_FIT_TEXT = "Try it dry first, numbers together: the wrong way round it may fit, too."

MAX_NUMBERS_PENCILLED_SINGLY = 4
"""So many numbers are pencilled beside an opening, all of them."""

MAX_TABS_GLUED_AT_ONCE = 12
"""Tabs that can be glued at once before the first are dry [common practice]."""


def describe_insertion(
    book: BookletContext, row: int, piece: Piece, lid: int | None
) -> tuple[str, list[str], StepView]:
    """What is glued to a net that stands open: set into it, or stood on it."""
    step = book.steps[row]
    to, tabs = format_nets(step.target_pieces), format_tabs(book, step.tabs)
    others = [book.pieces[i] for i in step.target_pieces]
    stage = _open_net_view(book, step, piece, lid)
    blank = _is_viewed_from_blank_side(piece, others, step, stage)
    if _are_one_wall([piece, *others]):
        words = [f"They are parts of one wall, too long for a sheet: glue their ends together, {tabs}."]
        return f"Join net {piece.id} to {to}", [*words, *upside_down_text(stage, piece)], stage
    stands = _standing_and_base(piece, others, step)
    if stands is None and _wall_continues(piece, others):
        title = f"Fold net {piece.id} round {to}"
        words = [f"Fold net {piece.id} up round {to}: the walls of one go on in the other."]
        words.append(f"Glue the {tabs}, numbers together, from one end of net {piece.id} to the other.")
        words.append("Press the tabs on with a stick.")
    elif stands is None:
        title = f"Set {to} into net {piece.id}"
        words = [f"Set {to} into net {piece.id} while it is open: glue on the {tabs}, numbers together."]
        words += _tabs_by_net_text(book, piece, others, step)
        if blank:
            words.append("The numbers pencilled on the blank side tell which way round.")
            words.append("Press the tabs on with a stick.")
    else:
        title = f"Stand {stands[0]} on {stands[1]}"
        if _is_standing_net_lower(piece, others, stands, stage):  # the open net is on top, so that hands reach into it
            title = f"Put {stands[1]} over {stands[0]}"
        words = [
            f"{title}, the opening and the tabs of the same numbers: {tabs} {_tab_route_text(piece, others, step)}."
        ]
        if blank:
            words.append("Its numbers are on the other side: go by those pencilled beside the opening.")
    hold = "set it in place, and hold it until it stays" if not title.startswith("Fold") else "a few at a time"
    if stands is not None:
        words.append(DRY_FIT_TEXT)
    if THROUGH_OPENING_TEXT in words[0]:
        hold = SPRING_TABS_TEXT
    words.append(f"Put glue on these tabs only, {hold}.")
    rest = book.steps[row + 1 :]
    if any(s.piece == piece.id and s.kind == "close" and set(s.target_pieces) & set(step.target_pieces) for s in rest):
        words.append("The edges of the lid are glued when it closes.")
    return title, [*words, *upside_down_text(stage, piece)], stage


def pencil_numbers_text(book: BookletContext, piece: Piece) -> list[str]:
    """What is pencilled on the blank side of a net while it is flat: numbers of openings that are looked at from there
    when something is glued to it."""
    first = steps_needing_pencilled_numbers(book, piece)
    if not first:
        return []
    numbers = [n for step in first for n in step.tabs]
    few = " and ".join(map(str, numbers)) if len(numbers) == 2 else format_number_ranges(numbers)
    which = few if len(numbers) <= MAX_NUMBERS_PENCILLED_SINGLY else "one number of each opening"
    return [f"Pencil {which} on its blank side too, beside the opening where printed: later you will look from there."]


def steps_needing_pencilled_numbers(book: BookletContext, piece: Piece) -> list[AssemblyStep]:
    """The steps that need numbers on the blank side of a net."""
    found = []
    for row, step in enumerate(book.steps):
        if step.kind == "insert" and step.piece == piece.id:
            lid = next(
                (s.closing_panel for s in book.steps[row:] if s.piece == piece.id and s.closing_panel is not None), None
            )
            others = [book.pieces[i] for i in step.target_pieces]
            if _is_viewed_from_blank_side(piece, others, step, _open_net_view(book, step, piece, lid)):
                found.append(step)
    return found


def _open_net_view(book: BookletContext, step: AssemblyStep, piece: Piece, lid: int | None) -> StepView:
    """A net that stands open with all that is glued to it or hangs on that."""
    return insertion_view(
        piece, [book.pieces[i] for i in (*step.target_pieces, *step.already_attached, *step.also_attached)], step, lid
    )


def _is_viewed_from_blank_side(piece: Piece, others: Sequence[Piece], step: AssemblyStep, stage: StepView) -> bool:
    """Whether the face of a net behind which tabs go is looked at from its blank side, where no number is printed."""
    if _are_one_wall([piece, *others]):
        return False
    stands = _standing_and_base(piece, others, step)
    if stands is None:
        return not _wall_continues(piece, others) and _is_tube_behind_end(piece, others, step)
    through = _tab_route_text(piece, others, step) == THROUGH_OPENING_TEXT
    return through and stands[1] == f"net {piece.id}" and _is_standing_net_lower(piece, others, stands, stage)


def _is_standing_net_lower(piece: Piece, others: Sequence[Piece], stands: tuple[str, str], stage: StepView) -> bool:
    """Whether what stands on something is below it in the picture: then that is put over it."""
    one, two = ([piece], others) if stands[0] == f"net {piece.id}" else (others, [piece])
    return _mean_height(one, stage) < _mean_height(two, stage)


def describe_gluing_onto_back(
    book: BookletContext, step: AssemblyStep, piece: Piece
) -> tuple[str, list[str], StepView]:
    """A net that is still flat but for what it now gets on its back."""
    assert step.closing_panel is not None
    to, others = format_nets(step.target_pieces), [book.pieces[i] for i in (*step.target_pieces, *step.also_attached)]
    stage = gluing_onto_back_view(piece, others, step, step.closing_panel)
    own = [n for n in step.tabs if _share_tab(piece, piece, n)]
    words = [f"Lay the largest face of net {piece.id} on the table, printed side down."]
    if own:
        words.append(f"Fold its walls up and glue their {format_tabs(book, own)} behind its edges.")
    rest = format_tabs(book, [n for n in step.tabs if n not in own])
    words.append(f"Glue {to} onto its back, each over the opening of its own numbers: {rest}.")
    return f"Glue {to} to net {piece.id}", [*words, *upside_down_text(stage, piece)], stage


def describe_closing(book: BookletContext, step: AssemblyStep, piece: Piece) -> tuple[str, list[str], StepView]:
    """A lid that closes over all that stands in its net; what was apart till now is stood on it first."""
    fresh = [book.pieces[i] for i in step.newly_attached]
    alone = len(piece.panels) == 1
    there = [book.pieces[i] for i in (*step.target_pieces, *step.already_attached) if i not in step.newly_attached]
    lifted = [*fresh, *(book.pieces[i] for i in step.also_attached)]
    stage = closing_view(piece, [*there, *lifted] if alone else there, step, () if alone else lifted)
    if alone:
        words = [f"Put glue on the {format_tabs(book, step.tabs)} of {format_nets(step.target_pieces)} and set net "]
        words[0] += f"{piece.id} on them, printed side out."
        words.append("Bring the tick at its edge in line with the dotted line on the wall: that is the datum.")
        return f"Set on net {piece.id}", [*words, *upside_down_text(stage, piece)], stage
    apart = [n for n in step.tabs if any(_share_tab(piece, p, n) for p in fresh)]
    numbers = [n for n in step.tabs if n not in apart]
    title = f"Close net {piece.id}"
    words = []
    if fresh:
        stands = _standing_and_base(piece, fresh, step) is not None
        lid = f"the lid of net {piece.id}, and close it"
        title = (
            f"Stand {format_nets(step.newly_attached)} on {lid}"
            if stands
            else f"Glue {format_nets(step.newly_attached)} to {lid}"
        )
        if stands:
            through = _tab_route_text(piece, fresh, step)
            words.append(
                f"First {format_nets(step.newly_attached)}, over the opening of the grey lid: "
                f"{format_tabs(book, apart)} {through}."
            )
            words.append(DRY_FIT_TEXT)
            if through == THROUGH_OPENING_TEXT:
                words.append(f"Put glue on these tabs only, {SPRING_TABS_TEXT}.")
        else:
            words.append(
                f"First {format_nets(step.newly_attached)}, behind the opening of the grey lid: glue "
                f"{format_tabs(book, apart)}, numbers "
                "together."
            )
    if numbers:
        begin, all_ = "After that put" if fresh else "Put", " over them all" if len(numbers) > 1 else ""
        words.append(
            f"{begin} glue on {format_tabs(book, numbers)}, then close the grey lid{all_} and press it on from outside."
        )
    if len(numbers) > MAX_TABS_GLUED_AT_ONCE:
        words.append("With so many, glue a few at a time, from the hinge round both sides.")
    return title, [*words, *tucked_tabs_text(step), *upside_down_text(stage, piece)], stage


def _mean_height(pieces: Sequence[Piece], stage: StepView) -> float:
    """How high nets stand in a picture, in the middle, where they go in the model."""
    up = stage.seen[1] * cos(VIEW_ELEVATION_RAD) + stage.seen[2] * sin(VIEW_ELEVATION_RAD)
    middles = [p.to_space[:, :2] @ p.outline.mean(axis=0) + p.origin for q in pieces for p in q.panels]
    return float(np.mean([m @ up for m in middles]))


def _share_tab(piece: Piece, other: Piece, number: int) -> bool:
    """Whether the tab of a number is between two pieces."""
    return any(
        t.number == number and t.meets.piece == b.id for a, b in ((piece, other), (other, piece)) for t in a.tabs
    )


def _is_tube_behind_end(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> bool:
    """Whether tubes are set behind the openings of a net's end, whose numbers are on its other side."""
    return any(
        faces_inward(p)
        and t.number in step.tabs
        and t.meets.piece == piece.id
        and piece.panel(t.meets.panel).kind == "end"
        for p in others
        for t in p.tabs
    )


def _standing_and_base(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> tuple[str, str] | None:
    """What stands on what, where walls meet a face at a hollow angle; None where one is set into the other."""
    tabs = [
        (t, t.panel if p is piece else t.meets.panel)
        for p in (piece, *others)
        for t in p.tabs
        if t.number in step.tabs and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece)
    ]
    if sum(t.angle < 0 for t, _ in tabs) * 2 <= len(tabs):
        return None
    walls = sum(piece.panel(k).kind == "side" for _, k in tabs) * 2 > len(tabs)
    names = (f"net {piece.id}", format_nets([p.id for p in others]))
    return names if walls else (names[1], names[0])


def _tab_route_text(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> str:
    """How the tabs of walls go behind a face: through its opening, where the walls carry them all."""
    kinds = {
        p.panel(t.panel).kind
        for p in (piece, *others)
        for t in p.tabs
        if t.number in step.tabs and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece)
    }
    return THROUGH_OPENING_TEXT if kinds == {"side"} else "to be glued, numbers together"


def _wall_continues(piece: Piece, others: Sequence[Piece]) -> bool:
    """Whether the wall of one feature is parted between a net and others, not all of them tubes."""
    own = {p.feature for p in piece.panels if p.kind == "side"}
    return any(not faces_inward(q) and own & {p.feature for p in q.panels if p.kind == "side"} for q in others)


def _tabs_by_net_text(book: BookletContext, piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> list[str]:
    """Which of several nets bears which numbers."""
    if len(others) < 2:
        return []
    each = [(q.id, [n for n in step.tabs if _share_tab(piece, q, n)]) for q in others]
    return [f"{'; '.join(f'net {i}: {format_number_ranges(own)}' for i, own in each if own)}."]


def _are_one_wall(pieces: Sequence[Piece]) -> bool:
    """Whether nets are parts of the wall of one feature that is longer than a page."""
    return (
        all(p.kind == "side" for q in pieces for p in q.panels)
        and len({p.feature for q in pieces for p in q.panels}) == 1
    )
