"""Telling: title, words and picture of every step of the booklet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from foldsketch.base.drawing import Colour
from foldsketch.net.model import Nets, Piece
from foldsketch.net.steps import STICK, Step
from foldsketch.net.unkind import breadth
from foldsketch.sheet.joined import joining
from foldsketch.sheet.scene import hollow
from foldsketch.sheet.stages import Stage, closing, gluing, setting_in, setting_on
from foldsketch.sheet.tabless import spans, without_tabs


@dataclass(frozen=True, slots=True)
class Book:
    """What every page of a booklet draws on. place: of every net the number of its sheet and how it is turned there."""

    nets: Nets
    pieces: dict[str, Piece]
    colours: Mapping[str, Colour]
    place: dict[str, tuple[int, float]]
    steps: list[Step]


MANY = 12
"""Tabs that can be glued at once before the first are dry [common practice]."""


def told(book: Book, row: int) -> tuple[str, list[str], Stage | None]:
    """Title, words and picture of a step; no picture in space for a net that is still flat."""
    title, words, stage = _told(book, row)
    return title, [*words, *without_tabs(book.nets, book.steps, row)], stage


def _told(book: Book, row: int) -> tuple[str, list[str], Stage | None]:
    step = book.steps[row]
    if step.kind == "join" and step.blocks is not None:
        return _join(book, row, step.blocks)
    piece = book.pieces[step.piece]
    if step.kind == "cut":
        return f"Cut out net {piece.id}", _cut_words(book, piece), None
    later = [s.last for s in book.steps[row:] if s.piece == piece.id and s.last is not None]
    lid = later[0] if later else None
    others = [book.pieces[i] for i in step.to]
    if step.kind == "glue":
        stage = gluing(piece, step, lid)
        open_end = ["Leave its lid open for now."] if lid is not None and step.last is None else []
        return f"Glue net {piece.id}", [*_glue_words(piece, step), *open_end, *_turned(stage)], stage
    to = _listed(step.to)
    tabs = _tabs(book, step.tabs)
    if step.kind == "insert":
        stage = setting_in(piece, others, step, lid)
        if _one_wall([piece, *others]):
            words = [f"They are parts of one wall, too long for a sheet: glue their ends together, {tabs}."]
            return f"Join net {piece.id} to {to}", [*words, *_turned(stage)], stage
        words = [
            f"Set {to} into net {piece.id} while it is open: glue on the {tabs}, numbers together.",
            "Put glue on these tabs only, set it in place, and hold it until it stays.",
        ]
        if lid is not None:
            words.append("The other end is glued when the lid closes.")
        return f"Set {to} into net {piece.id}", [*words, *_turned(stage)], stage
    if _is_base(book, row):
        assert step.last is not None
        stage = setting_on(piece, others, step, step.last)
        own = [n for n in step.tabs if any(t.number == n and t.meets.piece == piece.id for t in piece.tabs)]
        words = [f"Lay the largest face of net {piece.id} on the table, printed side down."]
        if own:
            words.append(f"Fold its walls up and glue their {_tabs(book, own)} behind its edges.")
        words.append(
            f"Glue {to} onto its back, each over the opening of its own numbers: "
            f"{_tabs(book, [n for n in step.tabs if n not in own])}."
        )
        return f"Glue {to} to net {piece.id}", [*words, *_turned(stage)], stage
    stage = closing(piece, others, step)
    if len(piece.panels) == 1:
        words = [f"Put glue on the {tabs} of {to} and set net {piece.id} on them, printed side out."]
        words.append("Bring the tick at its edge in line with the dotted line on the wall: that is the datum.")
        return f"Set on net {piece.id}", [*words, *_turned(stage)], stage
    words = [f"Put glue on the {tabs}, then close the grey lid over them all and press it on from outside."]
    if len(step.tabs) > MANY:
        words.append("With so many, glue a few at a time, from the hinge round both sides.")
    return f"Close net {piece.id}", [*words, *_tucked(step), *_turned(stage)], stage


def _tabs(book: Book, numbers: Sequence[int]) -> str:
    """Tabs, or the teeth of rims, by their numbers."""
    rims = {n for p in book.nets.pieces for n, many in Counter(t.number for t in p.tabs).items() if many > 1}
    toothed = rims & set(numbers)
    one = "tab" if len(numbers) == 1 else "tabs"
    word = one if not toothed else "teeth" if toothed == set(numbers) else "teeth and tabs"
    return f"{word} {spans(numbers)}"


def _one_wall(pieces: Sequence[Piece]) -> bool:
    """Whether nets are parts of the wall of one feature that is longer than a page."""
    return (
        all(p.kind == "side" for q in pieces for p in q.panels)
        and len({p.feature for q in pieces for p in q.panels}) == 1
    )


def _is_base(book: Book, row: int) -> bool:
    """Whether what a step closes is not closed yet: another net of the block comes after it."""
    block, last = book.pieces[book.steps[row].piece].block, book.steps[row].last
    later = any(s.kind == "cut" and book.pieces[s.piece].block == block for s in book.steps[row:])
    return later and last is not None and len(book.pieces[book.steps[row].piece].panels) > 1


def _cut_words(book: Book, piece: Piece) -> list[str]:
    rims = {t.number: t.angle for t in piece.tabs}  # the teeth of one rim have one number and one crease
    angles = [f.angle for f in piece.folds if not f.rolled] + list(rims.values())
    out, in_ = sum(a > 1e-9 for a in angles), sum(a < -1e-9 for a in angles)
    number = book.place.get(piece.id, (0, 0.0))[0]
    where = f", on sheet {number}" if number else ""
    words = [f"Cut net {piece.id} ({names_of(piece)}{where}) out along the full lines."]
    if out or in_:
        words = [f"Crease net {piece.id} ({names_of(piece)}{where}), then cut it out along the full lines."]
        rest = f", {in_} {'has' if in_ == 1 else 'have'} it in." if in_ else "."
        words.append(f"{_folds(out)} the printed side out{rest}")
    bends = [f.angle for f in piece.folds if f.rolled]
    if bends:
        # A bore curls with its printed side in.
        side = "up" if sum(bends) > 0 else "down"
        words.append(
            f"Its wall is rolled, not creased: draw the strip over the edge of a table, printed side {side}, until it "
            "curls as the round does. Snip its teeth apart down to their crease."
        )
    if any(p.holes for p in piece.panels):
        words.append("Cut the openings in its faces first, while the paper is flat.")
    return words


def _folds(count: int) -> str:
    return "1 fold has" if count == 1 else f"{count} folds have"


def _glue_words(piece: Piece, step: Step) -> list[str]:
    up = "Roll" if any(f.rolled for f in piece.folds) else "Fold"
    tabs = spans(step.tabs)
    words = [f"{up} net {piece.id} up and glue its tabs behind their edges, in this order: {tabs}."]
    if len(step.tabs) == 1:
        words = [f"{up} net {piece.id} up and glue tab {tabs} behind its edge."]
    if hollow(piece):
        words.append("Its printed side lies inside: you will see it when you look through.")
    if step.last is not None:
        words.append("Close the grey face last: nothing behind it has to be reached, press it on from outside.")
    if max(breadth(p) for p in piece.panels) < STICK:
        words.append("It is too small for a stick to press from behind: use tweezers and a pointed brush.")
    return words + _tucked(step)


def _tucked(step: Step) -> list[str]:
    if not step.tucked:
        return []
    return [f"Tabs {spans(step.tucked)} are on the closing face itself: slide them in first, behind their edges."]


def _turned(stage: Stage) -> list[str]:
    return ["It is shown upside down: the arrow z points to the table."] if stage.upside_down else []


def _join(book: Book, row: int, blocks: tuple[int, int]) -> tuple[str, list[str], Stage]:
    nets = book.nets
    groups: dict[int, set[int]] = {b.id: {b.id} for b in nets.blocks}
    for s in book.steps[:row]:
        if s.blocks is not None:
            together = groups[s.blocks[0]] | groups[s.blocks[1]]
            groups |= dict.fromkeys(together, together)
    joint = next(j for j in nets.joints if j.blocks == blocks)
    one, two = groups[blocks[0]], groups[blocks[1]]
    # What has fewer blocks is put on the rest.
    apart, whole, onto, placed = (two, one, *blocks) if len(two) <= len(one) else (one, two, *blocks[::-1])
    stage = joining(nets, joint, apart, whole, book.colours)
    a, b = _block_name(nets, onto), _block_name(nets, placed)
    words = [
        f"Glue the {b} onto the {a}, face to face.",
        "Its outline is printed where it goes. Bring the ticks at both edges in line: they are the datum.",
        *_true(nets, blocks),
    ]
    if apart == whole:
        words[0] = f"Glue the {b} to the {a} as well: both stand already."
    if stage.upside_down:
        words.append("It is shown upside down.")
    return f"Join: {b} onto {a}", words, stage


def _true(nets: Nets, blocks: tuple[int, int]) -> list[str]:
    """What keeps two blocks true while they are glued: a stick where both have pin holes on one axis, or a bore that
    runs through both."""
    pinned, walls = (
        [{m.axis for p in nets.pieces if p.block == b for m in p.marks if m.dots} for b in blocks],
        [{q.feature: None for p in nets.pieces if p.block == b and hollow(p) for q in p.panels} for b in blocks],
    )
    words = []
    if pinned[0] & pinned[1]:
        words.append("A stick through the pin holes keeps the centres true while the glue dries.")
    shared = [name for name in walls[0] if name in walls[1]]
    if shared:
        words.append(f"Look through the {shared[0]}: its wall runs on from one to the other.")
    return words


def _block_name(nets: Nets, block: int) -> str:
    names = next((b.features for b in nets.blocks if b.id == block), ())
    if not names:
        return f"block {block}"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def names_of(piece: Piece) -> str:
    """The features that a net is of."""
    return ", ".join(dict.fromkeys(p.feature for p in piece.panels))


def _listed(ids: Sequence[str]) -> str:
    return f"net {ids[0]}" if len(ids) == 1 else f"nets {', '.join(ids[:-1])} and {ids[-1]}"
