"""Text and picture of the steps of a block that is tucked together."""

from __future__ import annotations

from dataclasses import replace

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Piece, Tab
from foldsketch.sheet.booklet.attachment_views import closing_view
from foldsketch.sheet.booklet.context import BookletContext, format_nets, upside_down_text
from foldsketch.sheet.booklet.step_views import StepView, gluing_view


def describe_tucking(context: BookletContext, step: AssemblyStep) -> tuple[str, list[str], StepView]:
    """Title, text and picture of a step that hooks the wall of a block together and shuts an end, or only that."""
    piece = context.pieces[step.piece]
    others = [context.pieces[i] for i in step.target_pieces]
    lid = step.closing_panel
    tabs = [t for p in (piece, *others) for t in p.tabs if t.number in step.tabs]
    on_lid = [p for p in context.nets.pieces if _stands_on(p, piece.id, lid)]
    if others or on_lid or not _numbers(tabs, "hook"):
        there = [_without_ends(p) for p in others] if _numbers(tabs, "hook") else others
        view = closing_view(piece, there, step, on_lid)
    else:
        view = gluing_view(piece, step, lid)
    words = _seam_text(piece, tabs, step) + _end_text(piece, tabs)
    what = (
        f"net {step.piece}"
        if not others or not _numbers(tabs, "hook")
        else format_nets([step.piece, *step.target_pieces])
    )
    title = f"Tuck {what} together" if _numbers(tabs, "hook") else f"Close net {step.piece}"
    return title, [*words, *upside_down_text(view)], view


def _stands_on(p: Piece, name: str, panel: int | None) -> bool:
    """Whether a net stands on tongues on a panel of another one."""
    return any(t.slit and (t.meets.piece, t.meets.panel) == (name, panel) for t in p.tabs)


def _without_ends(p: Piece) -> Piece:
    """A net without its end, which is still open: one looks, and reaches, through there."""
    ends = {q.id for q in p.panels if q.kind == "end"}
    return replace(
        p,
        panels=tuple(q for q in p.panels if q.id not in ends),
        folds=tuple(f for f in p.folds if ends.isdisjoint(f.panels)),
        tabs=tuple(t for t in p.tabs if t.panel not in ends),
    )


def _numbers(tabs: list[Tab], part: str) -> list[int]:
    return sorted({t.number for t in tabs if t.part == part})


def _listed(numbers: list[int]) -> str:
    """Numbers as they are said: 3 and 4, or 3, 4 and 5."""
    *first, last = map(str, numbers)
    return f"{', '.join(first)} and {last}" if first else last


def _seam_text(piece: Piece, tabs: list[Tab], step: AssemblyStep) -> list[str]:
    """How the hooks of the walls are put in."""
    hooks = _numbers(tabs, "hook")
    if not hooks:
        return []
    walls = f"net {piece.id} round" if not step.target_pieces else "both nets round"
    many = sum(t.part == "hook" for t in tabs) > 1
    hook, it = ("the hooks", "them") if many else ("the hook", "it")
    seam = f"{'seam' if len(hooks) == 1 else 'seams'} {_listed(hooks)}"
    way = "the open foot" if piece.open else "the grey end"
    return [
        f"Fold {walls}. At {seam} the long flap with the slit goes behind the next wall: put {hook} of that wall "
        f"through its slit, and slide {it} towards {way} until the edges are flush."
    ]


def _end_text(piece: Piece, tabs: list[Tab]) -> list[str]:
    """How an end is shut and held."""
    flaps, lock = _numbers(tabs, "flap"), next((t for t in tabs if t.part == "lock"), None)
    words = ["Swing the end, grey in the picture, shut"]
    if flaps:
        words[0] += f", with its flaps {_listed(flaps)} behind the walls"
    if lock is None:
        return [f"{words[0]}. The flaps alone hold it, by friction."]
    words[0] += f", and push its tongue {lock.number} through the slit in the lip of the wall opposite the fold."
    if lock.bend is not None:
        way = "open foot" if piece.open else "open end"
        words.append(f"Reach in through the {way} and bend the tongue over, flat under the lip.")
    else:
        words.append("Put one ear of the tongue through first, then the other: they catch under the lip.")
    return words
