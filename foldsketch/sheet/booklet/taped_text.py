"""Text and picture of the steps of a model that is held by tape."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.attachment_views import closing_view, gluing_onto_back_view, insertion_view
from foldsketch.sheet.booklet.context import BookletContext, format_edges, format_nets, upside_down_text
from foldsketch.sheet.booklet.net_contacts import are_one_wall, is_tube_behind_end, share_tab, standing_and_base
from foldsketch.sheet.booklet.scene import faces_inward
from foldsketch.sheet.booklet.step_views import StepView, gluing_view

CLOSE_TAPED_TEXT = "Close its last face, grey in the picture, at the end."

Description = tuple[str, list[str], StepView | None]
"""Title, text and picture of a step."""


def describe_taped_step(context: BookletContext, step: AssemblyStep, lid: int | None) -> Description:
    """Title, text and picture of a step that tapes a net to itself or to others. lid: its last face, if it has one."""
    piece = context.pieces[step.piece]
    if step.kind == "glue":
        return _describe_net(piece, step, lid)
    if step.kind == "insert":
        return _describe_insertion(context, piece, step, lid)
    return _describe_closing(context, piece, step)


def _describe_net(piece: Piece, step: AssemblyStep, lid: int | None) -> Description:
    view = gluing_view(piece, step, lid)
    what = f"net {piece.id}"
    if step.folded_features:
        what = f"the walls of {' and '.join(step.folded_features)} of net {piece.id}"
    words = [f"Fold {what} up and tape {format_edges(step.tabs)}, numbers together."]
    if faces_inward(piece):
        words.append("Its printed side is inside, where you look through: tape the seam on the blank side.")
    if step.closing_panel is not None:
        words.append(CLOSE_TAPED_TEXT)
    elif lid is not None:
        words.append("Leave its last face open for now.")
    return f"Tape net {piece.id}", [*words, *upside_down_text(view)], view


def _describe_insertion(context: BookletContext, piece: Piece, step: AssemblyStep, lid: int | None) -> Description:
    others = [context.pieces[i] for i in step.target_pieces]
    to = format_nets(step.target_pieces)
    with_them = [context.pieces[i] for i in (*step.target_pieces, *step.already_attached, *step.also_attached)]
    view = insertion_view(piece, with_them, step, lid)
    stands = standing_and_base(piece, others, step)
    if are_one_wall([piece, *others]):
        title, where = f"Join net {piece.id} to {to}", "They are parts of one wall, too long for a sheet."
    elif stands is not None:
        title, where = f"Stand {stands[0]} on {stands[1]}", f"Stand {stands[0]} on {stands[1]}, over its opening."
    else:
        title, where = f"Set {to} into net {piece.id}", f"Set {to} into net {piece.id} while it is open."
    words = [where, f"Tape {format_edges(step.tabs)}, numbers together{_over_rim_text(piece, others, step)}."]
    return title, [*words, *upside_down_text(view)], view


def _describe_closing(context: BookletContext, piece: Piece, step: AssemblyStep) -> Description:
    fresh = [context.pieces[i] for i in step.newly_attached]
    there = [context.pieces[i] for i in (*step.target_pieces, *step.already_attached) if i not in step.newly_attached]
    lifted = [*fresh, *(context.pieces[i] for i in step.also_attached)]
    if len(piece.panels) == 1:
        view = closing_view(piece, [*there, *lifted], step)
        words = [f"Set net {piece.id} on {format_nets(step.target_pieces)}, printed side out."]
        words.append(f"Tape {format_edges(step.tabs)}, numbers together.")
        return f"Set on net {piece.id}", [*words, *upside_down_text(view)], view
    apart = [n for n in step.tabs if any(share_tab(piece, p, n) for p in fresh)]
    numbers = [n for n in step.tabs if n not in apart]
    words = []
    if fresh:
        nets = format_nets(step.newly_attached)
        words.append(f"First set {nets} to the opening of the last face: tape {format_edges(apart)}, numbers together.")
    if numbers:
        words.append(f"Close the last face{' over them' if fresh else ''} and tape {format_edges(numbers)}.")
        words[-1] = words[-1][:-1] + _over_rim_text(piece, there, step) + "."
    first = not any(s.piece == piece.id and s.kind in ("glue", "insert") for s in context.steps)
    if first and step.closing_panel is not None and step.target_pieces:
        view = gluing_onto_back_view(piece, lifted, step, step.closing_panel)
    else:
        view = closing_view(piece, there, step, lifted)
    return f"Close net {piece.id}", [*words, *upside_down_text(view)], view


def _over_rim_text(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> str:
    """How a tube is taped to the face that it opens in."""
    return "; over the rim, from the face into the bore" if is_tube_behind_end(piece, others, step) else ""
