"""Title, text and picture of every step of the booklet."""

from __future__ import annotations

from collections import Counter
from math import dist

from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.assembly.glue_batches import FULL_BATCH_TABS, folds_to_bend, tabs_closing_together
from foldsketch.assembly.lids import MIN_STICK_OPENING_MM
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Nets, Piece
from foldsketch.sheet.booklet.assembly_text import (
    MAX_TABS_GLUED_AT_ONCE,
    describe_closing,
    describe_gluing_onto_back,
    describe_insertion,
)
from foldsketch.sheet.booklet.context import (
    BookletContext,
    format_tabs,
    needs_stick,
    tucked_tabs_text,
    upside_down_text,
)
from foldsketch.sheet.booklet.cut_text import cutting_text
from foldsketch.sheet.booklet.join_text import POSITION_TEXTS, describe_join, pins_behind_tabs
from foldsketch.sheet.booklet.scene import faces_inward
from foldsketch.sheet.booklet.step_views import StepView, gluing_view
from foldsketch.sheet.booklet.taped_text import CLOSE_TAPED_TEXT, describe_taped_step
from foldsketch.sheet.booklet.tucked_text import describe_tucking
from foldsketch.sheet.booklet.untabbed_edges import format_number_ranges, untabbed_edges_text

INSIDE_TEXT = "Its printed side is inside, where you look through; so the tab is outside."

CLOSE_LAST_TEXT = "Close its last face, grey in the picture, at the end: press it on from outside."

AROUND_FACE_TEXT = "Around a face, start beside the fold that it hangs on and go on along both sides."

ONLY_ONCE = {
    CLOSE_LAST_TEXT: "Close its last face.",
    CLOSE_TAPED_TEXT: "Close its last face.",
    AROUND_FACE_TEXT: "",
    INSIDE_TEXT: "",
    **dict.fromkeys(POSITION_TEXTS, ""),
}
"""How a thing is done is said at the first step that does it; the steps after that have the shorter words."""

SHORT_SEAM_LENGTH_MM = 7.0
"""A strip with a shorter seam, mm, springs open while the glue dries [common practice]."""


def describe_step(context: BookletContext, row: int) -> tuple[str, list[str], StepView | None]:
    """Title, text and picture of a step; no picture for a net that is still flat."""
    title, words, view = _describe_main_action(context, row)
    return (
        title,
        [
            *words,
            *_unnumbered_tabs_text(context, context.steps[row]),
            *_unnumbered_edges_text(context, context.steps[row]),
            *untabbed_edges_text(context.nets, context.steps, row, context.numbered),
            *(_last_step_text(context.nets) if row + 1 == len(context.steps) else []),
        ],
        view and view.with_outlines,
    )


def _last_step_text(nets: Nets) -> list[str]:
    """The end of the last step."""
    pins = Counter(m.axis for p in nets.pieces for m in p.marks if m.dots)
    axes = [axis for axis, holes in sorted(pins.items()) if holes > 1]
    if not axes:
        return ["The model is finished."]
    which = axes[0] if len(axes) == 1 else f"{', '.join(axes[:-1])} or {axes[-1]}"
    hidden = sorted(a for a in axes if a in pins_behind_tabs(nets))
    again = (
        f"Pierce the pin holes of axis {' and '.join(hidden)} again: tabs cover them from behind. " if hidden else ""
    )
    axle = "a thin stick" if nets.joints or needs_stick(nets) else "the needle"
    return [f"The model is finished. {again}Put {axle} through the pin holes of axis {which} and spin it."]


def _unnumbered_tabs_text(context: BookletContext, step: AssemblyStep) -> list[str]:
    """About tabs that are too small for their numbers."""
    tabs = [t for p in context.nets.pieces for t in p.tabs if t.joint is None and t.glued]
    if not context.numbered:
        return []
    many = Counter(t.number for t in tabs)  # that of a rim's teeth stands on the wall at need
    bare = {t.number for t in tabs if not t.label_size and many[t.number] == 1}
    wanting = [n for n in step.tabs if n in bare]
    if not wanting:
        return []
    if len(wanting) == 1:
        return [f"Tab {wanting[0]} is too small for its number."]
    return [f"Tabs {format_number_ranges(wanting)} are too small for their numbers."]


def _unnumbered_edges_text(context: BookletContext, step: AssemblyStep) -> list[str]:
    """About edges whose numbers did not fit, of this step's tabs."""
    if not context.numbered:
        return []
    printed = {(p.id, m.panel, m.text) for p in context.nets.pieces for m in p.marks if m.kind == "text" and m.text}
    rolled = {(p.id, k) for p in context.nets.pieces for f in p.folds if f.rolled for k in f.panels}
    own = [t for p in context.nets.pieces for t in p.tabs if t.number in step.tabs and t.glued]
    wanting = [
        t.number
        for t in own
        if (t.meets.piece, t.meets.panel, str(t.number)) not in printed and (t.meets.piece, t.meets.panel) not in rolled
    ]
    wanting = [n for n in step.tabs if n in wanting and sum(t.number == n for t in own) == 1]
    if not wanting:
        return []
    edges = (
        f"The edge of tab {wanting[0]} has"
        if len(wanting) == 1
        else f"The edges of tabs {format_number_ranges(wanting)} have"
    )
    return [f"{edges} no number: go by the numbers beside it."]


def _describe_main_action(context: BookletContext, row: int) -> tuple[str, list[str], StepView | None]:
    step = context.steps[row]
    if step.kind == "join" and step.blocks is not None:
        return describe_join(context, row, step.blocks)
    piece = context.pieces[step.piece]
    if step.kind == "cut":
        return f"Cut out net {piece.id}", cutting_text(context, piece), None
    later = [s.closing_panel for s in context.steps[row:] if s.piece == piece.id and s.closing_panel is not None]
    lid = later[0] if later else None
    if step.kind == "tuck":
        return describe_tucking(context, step)
    if context.nets.hold != "glue":
        return describe_taped_step(context, step, lid)
    if step.kind == "glue":
        view = gluing_view(piece, step, lid)
        open_end = ["Leave its last face open for now."] if lid is not None and step.closing_panel is None else []
        if step.folded_features:
            what = "further" if _is_begun(piece, step) else "the first folds"
            if len(step.folded_features) == 1:
                return f"Glue net {piece.id}: {step.folded_features[0]}", _glue_batch_text(context, piece, step), view
            return (
                f"Glue net {piece.id}: {what}",
                [*_glue_batch_text(context, piece, step), *upside_down_text(view)],
                view,
            )
        return f"Glue net {piece.id}", [*_glue_net_text(context, piece, step), *open_end, *upside_down_text(view)], view
    if step.kind == "insert":
        return describe_insertion(context, row, piece, lid)
    if (
        len(piece.panels) > 1
        and step.target_pieces
        and not any(s.piece == piece.id and s.kind != "cut" for s in context.steps[:row])
    ):
        return describe_gluing_onto_back(context, step, piece)
    return describe_closing(context, step, piece)


def _glue_batch_text(context: BookletContext, piece: Piece, step: AssemblyStep) -> list[str]:
    """A net that is glued in batches."""
    one = len(step.tabs) == 1
    tabs = (
        f"{format_tabs(context, step.tabs)} behind its edge"
        if one
        else f"{format_tabs(context, step.tabs)} in this order behind their edges"
    )
    now = folds_to_bend(piece, step.tabs)
    do = "Roll" if any(f.rolled for f in piece.folds if f.panels in now) else "Fold"
    begun = _is_begun(piece, step)
    if len(step.folded_features) == 1:
        too = "too" if begun else "only"
        words = [f"{do} the walls of the {step.folded_features[0]} {too}, light grey in the picture, and glue {tabs}."]
    else:
        further = "further " if begun else ""
        words = [f"{do} it up {further}at the light grey faces, as shown, and glue {tabs}."]
    words += _close_together_text(piece, step)
    if not begun:
        words.append("Leave the rest as it is for now.")
    words += _short_seams_text(piece, step)
    if len(step.tabs) > MAX_TABS_GLUED_AT_ONCE:
        words.append("With so many, glue a few at a time.")
    return words


def _close_together_text(piece: Piece, step: AssemblyStep) -> list[str]:
    """About tabs that reach their edges at the same time."""
    groups = [g for g in tabs_closing_together(piece, step.tabs, step.already_glued_tabs) if len(g) <= FULL_BATCH_TABS]
    return [f"Tabs {format_number_ranges(g)} close together: put glue on all of them first." for g in groups]


def _is_begun(piece: Piece, step: AssemblyStep) -> bool:
    """Whether some of a net's own tabs are glued already."""
    return any(t.number in step.already_glued_tabs and t.meets.piece == piece.id for t in piece.tabs)


def _glue_net_text(context: BookletContext, piece: Piece, step: AssemblyStep) -> list[str]:
    up = "Roll" if any(f.rolled for f in piece.folds) else "Fold"
    what = f"all the rest of net {piece.id}" if _is_begun(piece, step) else f"net {piece.id}"
    groups = _tabs_by_end(piece, step)
    order = ", then ".join(map(format_number_ranges, groups))
    words = [f"{up} {what} up and glue its tabs behind their edges: {order}."]
    if len(step.tabs) == 1:
        words = [f"{up} {what} up and glue {format_tabs(context, step.tabs)} behind its edge."]
    if max(map(len, groups)) > 2:
        words.append(AROUND_FACE_TEXT)
    if _is_begun(piece, step):
        words += _close_together_text(piece, step)
    if faces_inward(piece):
        words.append(INSIDE_TEXT)
    if step.closing_panel is not None:
        words.append(CLOSE_LAST_TEXT)
    words += _short_seams_text(piece, step)
    if up == "Fold" and max(equivalent_width(p) for p in piece.panels) < MIN_STICK_OPENING_MM:
        words.append("It is too small for a stick to press from behind: use tweezers and a pointed brush.")
    return words + tucked_tabs_text(step)


def _tabs_by_end(piece: Piece, step: AssemblyStep) -> list[list[int]]:
    """The tabs of a step in order: those of the wall, then those around each end, by number."""
    ends = {p.id for p in piece.panels if p.kind == "end"}
    at = {t.number: k for t in piece.tabs for k in (t.panel, t.meets.panel) if k in ends and t.meets.piece == piece.id}
    groups: dict[int | None, list[int]] = {}
    for n in step.tabs:
        groups.setdefault(at.get(n), []).append(n)
    return [sorted(own) if end is not None else own for end, own in groups.items()]


def _short_seams_text(piece: Piece, step: AssemblyStep) -> list[str]:
    """About short tabs that close the wall of a feature."""
    of = {p.id: p.feature for p in piece.panels if p.kind == "side"}
    seams = [t for t in piece.tabs if t.number in step.tabs and t.meets.piece == piece.id and t.panel in of]
    short = [t.number for t in seams if of.get(t.meets.panel) == of[t.panel] and dist(*t.line) < SHORT_SEAM_LENGTH_MM]
    if len(short) == 1:
        return [f"Tab {short[0]} of its wall is short: hold it until it stays."]
    return [f"Tabs {format_number_ranges(short)} of its wall are short: hold them until they stay."] if short else []
