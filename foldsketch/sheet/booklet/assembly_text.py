"""Putting: what the booklet says and shows where one net is glued to others: set in, stood on, closed over."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, sin

import numpy as np

from foldsketch.assembly.sequence import Step
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.context import Book, listed, tabs_of, tucked, turned
from foldsketch.sheet.booklet.scene import ELEVATION, hollow
from foldsketch.sheet.booklet.step_views import Stage, closing, setting_in, setting_on
from foldsketch.sheet.booklet.untabbed_edges import spans

THROUGH = "through it, to be glued behind the face"

SPRUNG = "bend them in to pass the opening, let them spring out behind the face, and press them on from behind"

DRY = "Try it dry first, numbers together: the wrong way round it may fit, too."

FEW = 4
"""So many numbers are pencilled beside an opening, all of them."""

MANY = 12
"""Tabs that can be glued at once before the first are dry [common practice]."""


def inserted(book: Book, row: int, piece: Piece, lid: int | None) -> tuple[str, list[str], Stage]:
    """What is glued to a net that stands open: set into it, or stood on it."""
    step = book.steps[row]
    to, tabs = listed(step.to), tabs_of(book, step.tabs)
    others = [book.pieces[i] for i in step.to]
    stage = _open_stage(book, step, piece, lid)
    blank = _from_behind(piece, others, step, stage)
    if _one_wall([piece, *others]):
        words = [f"They are parts of one wall, too long for a sheet: glue their ends together, {tabs}."]
        return f"Join net {piece.id} to {to}", [*words, *turned(stage, piece)], stage
    stands = _stands(piece, others, step)
    if stands is None and _walls_go_on(piece, others):
        title = f"Fold net {piece.id} round {to}"
        words = [f"Fold net {piece.id} up round {to}: the walls of one go on in the other."]
        words.append(f"Glue the {tabs}, numbers together, from one end of net {piece.id} to the other.")
        words.append("Press the tabs on with a stick.")
    elif stands is None:
        title = f"Set {to} into net {piece.id}"
        words = [f"Set {to} into net {piece.id} while it is open: glue on the {tabs}, numbers together."]
        words += _tab_by_net(book, piece, others, step)
        if blank:
            words.append("The numbers pencilled on the blank side tell which way round.")
            words.append("Press the tabs on with a stick.")
    else:
        title = f"Stand {stands[0]} on {stands[1]}"
        if _put_over(piece, others, stands, stage):  # the open net is on top, so that hands reach into it
            title = f"Put {stands[1]} over {stands[0]}"
        words = [f"{title}, the opening and the tabs of the same numbers: {tabs} {_through(piece, others, step)}."]
        if blank:
            words.append("Its numbers are on the other side: go by those pencilled beside the opening.")
    hold = "set it in place, and hold it until it stays" if not title.startswith("Fold") else "a few at a time"
    if stands is not None:
        words.append(DRY)
    if THROUGH in words[0]:
        hold = SPRUNG
    words.append(f"Put glue on these tabs only, {hold}.")
    rest = book.steps[row + 1 :]
    if any(s.piece == piece.id and s.kind == "close" and set(s.to) & set(step.to) for s in rest):
        words.append("The edges of the lid are glued when it closes.")
    return title, [*words, *turned(stage, piece)], stage


def pencilled(book: Book, piece: Piece) -> list[str]:
    """What is pencilled on the blank side of a net while it is flat: numbers of openings that are looked at from there
    when something is glued to it."""
    first = steps_to_pencil(book, piece)
    if not first:
        return []
    numbers = [n for step in first for n in step.tabs]
    few = " and ".join(map(str, numbers)) if len(numbers) == 2 else spans(numbers)
    which = few if len(numbers) <= FEW else "one number of each opening"
    return [f"Pencil {which} on its blank side too, beside the opening where printed: later you will look from there."]


def steps_to_pencil(book: Book, piece: Piece) -> list[Step]:
    """The steps that need numbers on the blank side of a net."""
    found = []
    for row, step in enumerate(book.steps):
        if step.kind == "insert" and step.piece == piece.id:
            lid = next((s.last for s in book.steps[row:] if s.piece == piece.id and s.last is not None), None)
            others = [book.pieces[i] for i in step.to]
            if _from_behind(piece, others, step, _open_stage(book, step, piece, lid)):
                found.append(step)
    return found


def _open_stage(book: Book, step: Step, piece: Piece, lid: int | None) -> Stage:
    """A net that stands open with all that is glued to it or hangs on that."""
    return setting_in(piece, [book.pieces[i] for i in (*step.to, *step.along, *step.brought)], step, lid)


def _from_behind(piece: Piece, others: Sequence[Piece], step: Step, stage: Stage) -> bool:
    """Whether the face of a net behind which tabs go is looked at from its blank side, where no number is printed."""
    if _one_wall([piece, *others]):
        return False
    stands = _stands(piece, others, step)
    if stands is None:
        return not _walls_go_on(piece, others) and _behind_end(piece, others, step)
    through = _through(piece, others, step) == THROUGH
    return through and stands[1] == f"net {piece.id}" and _put_over(piece, others, stands, stage)


def _put_over(piece: Piece, others: Sequence[Piece], stands: tuple[str, str], stage: Stage) -> bool:
    """Whether what stands on something is below it in the picture: then that is put over it."""
    one, two = ([piece], others) if stands[0] == f"net {piece.id}" else (others, [piece])
    return _height(one, stage) < _height(two, stage)


def based(book: Book, step: Step, piece: Piece) -> tuple[str, list[str], Stage]:
    """A net that is still flat but for what it now gets on its back."""
    assert step.last is not None
    to, others = listed(step.to), [book.pieces[i] for i in (*step.to, *step.brought)]
    stage = setting_on(piece, others, step, step.last)
    own = [n for n in step.tabs if _touch(piece, piece, n)]
    words = [f"Lay the largest face of net {piece.id} on the table, printed side down."]
    if own:
        words.append(f"Fold its walls up and glue their {tabs_of(book, own)} behind its edges.")
    rest = tabs_of(book, [n for n in step.tabs if n not in own])
    words.append(f"Glue {to} onto its back, each over the opening of its own numbers: {rest}.")
    return f"Glue {to} to net {piece.id}", [*words, *turned(stage, piece)], stage


def closed(book: Book, step: Step, piece: Piece) -> tuple[str, list[str], Stage]:
    """A lid that closes over all that stands in its net; what was apart till now is stood on it first."""
    fresh = [book.pieces[i] for i in step.fresh]
    alone = len(piece.panels) == 1
    there = [book.pieces[i] for i in (*step.to, *step.along) if i not in step.fresh]
    lifted = [*fresh, *(book.pieces[i] for i in step.brought)]
    stage = closing(piece, [*there, *lifted] if alone else there, step, () if alone else lifted)
    if alone:
        words = [f"Put glue on the {tabs_of(book, step.tabs)} of {listed(step.to)} and set net {piece.id} on them,"]
        words[0] += " printed side out."
        words.append("Bring the tick at its edge in line with the dotted line on the wall: that is the datum.")
        return f"Set on net {piece.id}", [*words, *turned(stage, piece)], stage
    apart = [n for n in step.tabs if any(_touch(piece, p, n) for p in fresh)]
    numbers = [n for n in step.tabs if n not in apart]
    title = f"Close net {piece.id}"
    words = []
    if fresh:
        stands = _stands(piece, fresh, step) is not None
        lid = f"the lid of net {piece.id}, and close it"
        title = f"Stand {listed(step.fresh)} on {lid}" if stands else f"Glue {listed(step.fresh)} to {lid}"
        if stands:
            through = _through(piece, fresh, step)
            words.append(
                f"First {listed(step.fresh)}, over the opening of the grey lid: {tabs_of(book, apart)} {through}."
            )
            words.append(DRY)
            if through == THROUGH:
                words.append(f"Put glue on these tabs only, {SPRUNG}.")
        else:
            words.append(
                f"First {listed(step.fresh)}, behind the opening of the grey lid: glue {tabs_of(book, apart)}, numbers "
                "together."
            )
    if numbers:
        begin, all_ = "After that put" if fresh else "Put", " over them all" if len(numbers) > 1 else ""
        words.append(
            f"{begin} glue on {tabs_of(book, numbers)}, then close the grey lid{all_} and press it on from outside."
        )
    if len(numbers) > MANY:
        words.append("With so many, glue a few at a time, from the hinge round both sides.")
    return title, [*words, *tucked(step), *turned(stage, piece)], stage


def _height(pieces: Sequence[Piece], stage: Stage) -> float:
    """How high nets stand in a picture, in the middle, where they go in the model."""
    up = stage.seen[1] * cos(ELEVATION) + stage.seen[2] * sin(ELEVATION)
    middles = [p.to_space[:, :2] @ p.outline.mean(axis=0) + p.origin for q in pieces for p in q.panels]
    return float(np.mean([m @ up for m in middles]))


def _touch(piece: Piece, other: Piece, number: int) -> bool:
    """Whether the tab of a number is between two pieces."""
    return any(
        t.number == number and t.meets.piece == b.id for a, b in ((piece, other), (other, piece)) for t in a.tabs
    )


def _behind_end(piece: Piece, others: Sequence[Piece], step: Step) -> bool:
    """Whether tubes are set behind the openings of a net's end, whose numbers are on its other side."""
    return any(
        hollow(p) and t.number in step.tabs and t.meets.piece == piece.id and piece.panel(t.meets.panel).kind == "end"
        for p in others
        for t in p.tabs
    )


def _stands(piece: Piece, others: Sequence[Piece], step: Step) -> tuple[str, str] | None:
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
    names = (f"net {piece.id}", listed([p.id for p in others]))
    return names if walls else (names[1], names[0])


def _through(piece: Piece, others: Sequence[Piece], step: Step) -> str:
    """How the tabs of walls go behind a face: through its opening, where the walls carry them all."""
    kinds = {
        p.panel(t.panel).kind
        for p in (piece, *others)
        for t in p.tabs
        if t.number in step.tabs and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece)
    }
    return THROUGH if kinds == {"side"} else "to be glued, numbers together"


def _walls_go_on(piece: Piece, others: Sequence[Piece]) -> bool:
    """Whether the wall of one feature is parted between a net and others, not all of them tubes."""
    own = {p.feature for p in piece.panels if p.kind == "side"}
    return any(not hollow(q) and own & {p.feature for p in q.panels if p.kind == "side"} for q in others)


def _tab_by_net(book: Book, piece: Piece, others: Sequence[Piece], step: Step) -> list[str]:
    """Which of several nets bears which numbers."""
    if len(others) < 2:
        return []
    each = [(q.id, [n for n in step.tabs if _touch(piece, q, n)]) for q in others]
    return [f"{'; '.join(f'net {i}: {spans(own)}' for i, own in each if own)}."]


def _one_wall(pieces: Sequence[Piece]) -> bool:
    """Whether nets are parts of the wall of one feature that is longer than a page."""
    return (
        all(p.kind == "side" for q in pieces for p in q.panels)
        and len({p.feature for q in pieces for p in q.panels}) == 1
    )
