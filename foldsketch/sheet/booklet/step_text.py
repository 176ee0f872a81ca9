"""Telling: title, words and picture of every step of the booklet."""

from __future__ import annotations

from collections import Counter
from math import dist

from shapely import Point, Polygon

from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.assembly.glue_batches import FULL_BATCH_TABS, folds_to_bend, tabs_closing_together
from foldsketch.assembly.lids import MIN_STICK_OPENING_MM
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import JointFacts, Nets, Piece
from foldsketch.sheet.booklet.assembly_text import (
    MAX_TABS_GLUED_AT_ONCE,
    describe_closing,
    describe_gluing_onto_back,
    describe_insertion,
)
from foldsketch.sheet.booklet.context import BookletContext, needs_stick, tucked_tabs_text, upside_down_text
from foldsketch.sheet.booklet.cut_text import cutting_text
from foldsketch.sheet.booklet.joint_views import joint_view, printed_joint_marks
from foldsketch.sheet.booklet.scene import faces_inward
from foldsketch.sheet.booklet.step_views import StepView, gluing_view
from foldsketch.sheet.booklet.untabbed_edges import format_number_ranges, untabbed_edges_text
from foldsketch.sheet.page.backs import glued_tab_outlines

SHORT_SEAM_LENGTH_MM = 7.0
"""A strip whose seam is shorter than this, mm, springs open while the glue dries [common practice]."""


def describe_step(book: BookletContext, row: int) -> tuple[str, list[str], StepView | None]:
    """Title, words and picture of a step; no picture in space for a net that is still flat."""
    title, words, stage = _describe_main_action(book, row)
    return (
        title,
        [
            *words,
            *_unnumbered_tabs_text(book, book.steps[row]),
            *_unnumbered_edges_text(book, book.steps[row]),
            *untabbed_edges_text(book.nets, book.steps, row),
            *(_last_step_text(book.nets) if row + 1 == len(book.steps) else []),
        ],
        stage and stage.with_outlines,
    )


def _last_step_text(nets: Nets) -> list[str]:
    """What is said at the end."""
    pins = Counter(m.axis for p in nets.pieces for m in p.marks if m.dots)
    axes = [axis for axis, holes in sorted(pins.items()) if holes > 1]
    if not axes:
        return ["That is the model."]
    which = axes[0] if len(axes) == 1 else f"{', '.join(axes[:-1])} or {axes[-1]}"
    hidden = sorted(a for a in axes if a in _pins_behind_tabs(nets))
    again = f"Pierce the pin holes of axis {' and '.join(hidden)} once more: tabs lie behind them. " if hidden else ""
    axle = "a thin stick" if nets.joints or needs_stick(nets) else "the needle"
    return [f"That is the model. {again}Put {axle} through the pin holes of axis {which} and spin it."]


def _pins_behind_tabs(nets: Nets) -> set[str]:
    """Axes whose pin holes are covered by tabs that are glued behind them."""
    landing = glued_tab_outlines(nets.pieces)
    found = set()
    for p in nets.pieces:
        for m in p.marks:
            for x, y, r in m.dots:
                under = (Polygon(outline) for t, outline in landing[p.id] if t.meets.panel == m.panel)
                if any(shape.distance(Point(x, y)) < r for shape in under):
                    found.add(m.axis)
    return found


def _unnumbered_tabs_text(book: BookletContext, step: AssemblyStep) -> list[str]:
    """What is said of tabs on which their numbers found no room."""
    tabs = [t for p in book.nets.pieces for t in p.tabs]
    many = Counter(t.number for t in tabs)  # that of a rim's teeth stands on the wall at need
    bare = {t.number for t in tabs if not t.label_size and many[t.number] == 1}
    wanting = [n for n in step.tabs if n in bare]
    if not wanting:
        return []
    if len(wanting) == 1:
        return [f"Tab {wanting[0]} is too small to bear its number."]
    return [f"Tabs {format_number_ranges(wanting)} are too small to bear their numbers."]


def _unnumbered_edges_text(book: BookletContext, step: AssemblyStep) -> list[str]:
    """What is said of edges at which the numbers of a step's tabs found no room."""
    printed = {(p.id, m.panel, m.text) for p in book.nets.pieces for m in p.marks if m.kind == "text" and m.text}
    rolled = {(p.id, k) for p in book.nets.pieces for f in p.folds if f.rolled for k in f.panels}
    strokes = any(b.bare for p in book.nets.pieces for b in p.butts)
    own = [t for p in book.nets.pieces for t in p.tabs if t.number in step.tabs]
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
    return [f"{edges} no number{': two short strokes (=) stand there' if strokes else ', go by its neighbours'}."]


def _describe_main_action(book: BookletContext, row: int) -> tuple[str, list[str], StepView | None]:
    step = book.steps[row]
    if step.kind == "join" and step.blocks is not None:
        return _describe_join(book, row, step.blocks)
    piece = book.pieces[step.piece]
    if step.kind == "cut":
        return f"Cut out net {piece.id}", cutting_text(book, piece), None
    later = [s.closing_panel for s in book.steps[row:] if s.piece == piece.id and s.closing_panel is not None]
    lid = later[0] if later else None
    if step.kind == "glue":
        stage = gluing_view(piece, step, lid)
        open_end = ["Leave its lid open for now."] if lid is not None and step.closing_panel is None else []
        if step.folded_features:
            what = "further" if _is_begun(piece, step) else "the first folds"
            if len(step.folded_features) == 1:
                return f"Glue net {piece.id}: {step.folded_features[0]}", _glue_batch_text(piece, step), stage
            return (
                f"Glue net {piece.id}: {what}",
                [*_glue_batch_text(piece, step), *upside_down_text(stage, piece)],
                stage,
            )
        return f"Glue net {piece.id}", [*_glue_net_text(piece, step), *open_end, *upside_down_text(stage, piece)], stage
    if step.kind == "insert":
        return describe_insertion(book, row, piece, lid)
    if (
        len(piece.panels) > 1
        and step.target_pieces
        and not any(s.piece == piece.id and s.kind != "cut" for s in book.steps[:row])
    ):
        return describe_gluing_onto_back(book, step, piece)
    return describe_closing(book, step, piece)


def _glue_batch_text(piece: Piece, step: AssemblyStep) -> list[str]:
    """A net that is glued batch by batch."""
    one = len(step.tabs) == 1
    tabs = (
        f"tab {step.tabs[0]} behind its edge"
        if one
        else f"tabs {format_number_ranges(step.tabs)} in this order behind their edges"
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
    """What is said of tabs that come to their edges at once."""
    groups = [g for g in tabs_closing_together(piece, step.tabs, step.already_glued_tabs) if len(g) <= FULL_BATCH_TABS]
    return [f"Tabs {format_number_ranges(g)} close together: put glue on all of them first." for g in groups]


def _is_begun(piece: Piece, step: AssemblyStep) -> bool:
    """Whether some of a net's own tabs are glued already."""
    return any(t.number in step.already_glued_tabs and t.meets.piece == piece.id for t in piece.tabs)


def _glue_net_text(piece: Piece, step: AssemblyStep) -> list[str]:
    up = "Roll" if any(f.rolled for f in piece.folds) else "Fold"
    what = f"all the rest of net {piece.id}" if _is_begun(piece, step) else f"net {piece.id}"
    groups = _tabs_by_end(piece, step)
    words = [
        f"{up} {what} up and glue its tabs behind their edges: {', then '.join(map(format_number_ranges, groups))}."
    ]
    if len(step.tabs) == 1:
        words = [f"{up} {what} up and glue tab {step.tabs[0]} behind its edge."]
    if max(map(len, groups)) > 2:
        words.append("Round a face begin at the fold on which it hangs, and go on to both sides.")
    if _is_begun(piece, step):
        words += _close_together_text(piece, step)
    if faces_inward(piece):
        words.append("Its printed side lies inside: you will see it when you look through. So the tab lies outside.")
    if step.closing_panel is not None:
        words.append("Close the grey face last: nothing behind it has to be reached, press it on from outside.")
    words += _short_seams_text(piece, step)
    if up == "Fold" and max(equivalent_width(p) for p in piece.panels) < MIN_STICK_OPENING_MM:
        words.append("It is too small for a stick to press from behind: use tweezers and a pointed brush.")
    return words + tucked_tabs_text(step)


def _tabs_by_end(piece: Piece, step: AssemblyStep) -> list[list[int]]:
    """The tabs of a step in their order: those of the wall, then those round each end, by their numbers."""
    ends = {p.id for p in piece.panels if p.kind == "end"}
    at = {t.number: k for t in piece.tabs for k in (t.panel, t.meets.panel) if k in ends and t.meets.piece == piece.id}
    groups: dict[int | None, list[int]] = {}
    for n in step.tabs:
        groups.setdefault(at.get(n), []).append(n)
    return [sorted(own) if end is not None else own for end, own in groups.items()]


def _short_seams_text(piece: Piece, step: AssemblyStep) -> list[str]:
    """What is said of tabs that close the wall of a feature and are short."""
    of = {p.id: p.feature for p in piece.panels if p.kind == "side"}
    seams = [t for t in piece.tabs if t.number in step.tabs and t.meets.piece == piece.id and t.panel in of]
    short = [t.number for t in seams if of.get(t.meets.panel) == of[t.panel] and dist(*t.line) < SHORT_SEAM_LENGTH_MM]
    if len(short) == 1:
        return [f"Tab {short[0]} of its wall is short: hold it until it stays."]
    return [f"Tabs {format_number_ranges(short)} of its wall are short: hold them until they stay."] if short else []


def _describe_join(book: BookletContext, row: int, blocks: tuple[int, int]) -> tuple[str, list[str], StepView]:
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
    stage = joint_view(nets, joint, apart, whole, book.colours)
    a, b = _block_name(nets, onto), _block_name(nets, placed)
    words = [
        f"Glue the {b} onto the {a}, face to face.",
        *_joint_position_text(nets, joint),
        *_joint_end_text(nets, joint, placed),
        *_alignment_text(nets, blocks),
    ]
    if apart == whole:
        words[0] = f"Glue the {b} to the {a} as well: both stand already."
    if stage.upside_down:
        words.append("It is shown upside down.")
    return f"Join: {b} onto {a}", words, stage


def _joint_position_text(nets: Nets, joint: JointFacts) -> list[str]:
    """Where a block goes, and how it is turned."""
    outlined, tick = printed_joint_marks(nets, joint)
    where = "Its outline is printed where it goes." if outlined else "Their edges lie flush all round."
    turn = "Bring the dotted lines of both walls in line"
    if tick:
        turn = "Turn it so that the dotted line of its wall stands at the tick outside its outline"
    return [f"{where} {turn}: that is the datum."]


def _joint_end_text(nets: Nets, joint: JointFacts, placed: int) -> list[str]:
    """Which end of a block goes to a joint, by the arrow on its wall."""
    if abs(float(joint.normal[2])) < 0.5 or not any(
        m.text == "z" for p in nets.pieces if p.block == placed for m in p.marks
    ):
        return []
    away = (float(joint.normal[2]) > 0) == (joint.blocks[1] == placed)
    return [f"The arrow z on its wall points {'away from' if away else 'to'} what it is glued to."]


def _alignment_text(nets: Nets, blocks: tuple[int, int]) -> list[str]:
    """What keeps two blocks true while they are glued: a stick where both have pin holes on one axis, or a bore that
    runs through both."""
    pinned, walls = (
        [{m.axis for p in nets.pieces if p.block == b for m in p.marks if m.dots} for b in blocks],
        [{q.feature: None for p in nets.pieces if p.block == b and faces_inward(p) for q in p.panels} for b in blocks],
    )
    words = []
    shared_pins = sorted((pinned[0] & pinned[1]) - _pins_behind_tabs(nets))
    if shared_pins:
        words.append(f"A stick through the pin holes of axis {' or '.join(shared_pins)} keeps the centres true.")
    shared = [name for name in walls[0] if name in walls[1]]
    if shared:
        words.append(f"Look through the {shared[0]}: its wall runs on from one to the other.")
    return words


def _block_name(nets: Nets, block: int) -> str:
    names = next((b.features for b in nets.blocks if b.id == block), ())
    if not names:
        return f"block {block}"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
