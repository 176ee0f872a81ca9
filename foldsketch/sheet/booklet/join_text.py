"""Text of the steps that glue blocks together, face to face."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist

from shapely import Point, Polygon

from foldsketch.net.model import JointFacts, Nets, Piece, Tab
from foldsketch.net.tabs.taped_edges import tape_strips
from foldsketch.sheet.booklet.context import BookletContext
from foldsketch.sheet.booklet.joint_views import joint_view, printed_joint_marks, standing_view
from foldsketch.sheet.booklet.scene import faces_inward
from foldsketch.sheet.booklet.step_views import StepView
from foldsketch.sheet.page.backs import glued_tab_outlines

POSITION_TEXTS = tuple(
    f"{where} {turn}: that is the datum."
    for where in ("Their edges are flush all round.", "Its outline is printed where it goes.")
    for turn in (
        "Line up the ticks on both walls",
        "Turn it so that the tick on its wall meets the tick outside its outline",
    )
)
"""Where a block goes, and which way round: without and with an outline, without and with a tick outside it."""


def describe_join(context: BookletContext, row: int, blocks: tuple[int, int]) -> tuple[str, list[str], StepView]:
    """Title, text and picture of a step that glues two blocks together, face to face."""
    nets = context.nets
    groups: dict[int, set[int]] = {b.id: {b.id} for b in nets.blocks}
    for s in context.steps[:row]:
        if s.blocks is not None:
            together = groups[s.blocks[0]] | groups[s.blocks[1]]
            groups |= dict.fromkeys(together, together)
    joint = next(j for j in nets.joints if j.blocks == blocks)
    one, two = groups[blocks[0]], groups[blocks[1]]
    tongues = [(p, t) for p in nets.pieces for t in p.tabs if t.slit and nets.joints[t.joint or 0] is joint]
    if tongues:
        base = next(b for b in blocks if b != tongues[0][0].block)
        apart = groups[tongues[0][0].block]
        return _describe_standing(nets, joint, tongues, apart, groups[base] - apart - {base}, context)
    # What has fewer blocks is put on the rest.
    apart, whole, onto, placed = (two, one, *blocks) if len(two) <= len(one) else (one, two, *blocks[::-1])
    view = joint_view(nets, joint, apart, whole, context.colours)
    a, b = _block_name(nets, onto), _block_name(nets, placed)
    taped = bool(joint.taped)
    standing = next((p.block for p in nets.pieces if nets.joints.index(joint) in p.open), None)
    words = [
        _taped_joint_text(joint, a, b) if taped else f"Glue the {b} onto the {a}, face to face.",
        *_joint_position_text(nets, joint),
        *_joint_end_text(nets, joint, placed),
        *_alignment_text(nets, blocks),
    ]
    if apart == whole:
        words[0] = f"{'Tape' if taped else 'Glue'} the {b} to the {a} as well: both are in place."
    if standing is not None and not taped:
        foot = _block_name(nets, standing)
        words[0] = f"Turn the tabs at the foot of the {foot} in and glue them. {_press_text(a, b, apart == whole)}"
    if view.upside_down:
        words.append("The picture is upside down.")
    return f"Join: {b} onto {a}", words, view


def _describe_standing(
    nets: Nets,
    joint: JointFacts,
    tongues: Sequence[tuple[Piece, Tab]],
    apart: set[int],
    there: set[int],
    context: BookletContext,
) -> tuple[str, list[str], StepView]:
    """Title, text and picture of a step that puts a block on tongues through the slits of a flat net.

    apart: the block and what is held to it; there: blocks that stand on the net already.
    """
    piece, first = tongues[0]
    name, net = _block_name(nets, piece.block), first.meets.piece
    widths = sorted(round(dist(*t.line), 3) for _, t in tongues)
    count = f"the {len(tongues)} tongues"
    words = [
        f"Net {net} is still flat, its printed side up. Push {count} at the foot of the {name} through the slits along "
        "its outline.",
        "From behind, bend them in flat against the face, towards the middle of the outline. They get no glue.",
        *(["The narrow tongue goes through the narrow slit."] if widths[0] < widths[1] - 0.5 else []),
        *_joint_end_text(nets, joint, piece.block),
    ]
    _, tick = printed_joint_marks(nets, joint)
    if tick:
        words.append("The tick on its wall meets the tick outside its outline: that is the datum.")
    return f"Stand: {name} on net {net}", words, standing_view(nets, joint, apart, there, context.colours)


def _press_text(onto: str, placed: str, both_in_place: bool) -> str:
    if both_in_place:
        return f"Press the {placed} and the {onto} together: both are in place."
    return f"Set the {placed} on the {onto} and hold it."


def _taped_joint_text(joint: JointFacts, onto: str, placed: str) -> str:
    strips = sum(len(tape_strips(dist(*edge))) for edge in joint.taped_edges)
    return f"Hold the {placed} on the {onto} and tape it at the ticks, from wall to face: {strips} strips."


def _joint_position_text(nets: Nets, joint: JointFacts) -> list[str]:
    """Where a block goes, and which way round."""
    outlined, tick = printed_joint_marks(nets, joint)
    return [POSITION_TEXTS[2 * bool(outlined) + bool(tick)]]


def _joint_end_text(nets: Nets, joint: JointFacts, placed: int) -> list[str]:
    """Which end of a block goes to a joint, by the name on it."""
    if abs(float(joint.normal[2])) < 0.5 or not any(
        m.text.endswith("z end") for p in nets.pieces if p.block == placed for m in p.marks
    ):
        return []
    away = (float(joint.normal[2]) > 0) == (joint.blocks[1] == placed)
    held = "taped" if joint.taped else "glued"
    return [f"Its {'-z' if away else '+z'} end is {held} there."]


def _alignment_text(nets: Nets, blocks: tuple[int, int]) -> list[str]:
    """What aligns two blocks while they are glued: a stick through pin holes on one axis, or a bore through both."""
    pinned, walls = (
        [{m.axis for p in nets.pieces if p.block == b for m in p.marks if m.dots} for b in blocks],
        [{q.feature: None for p in nets.pieces if p.block == b and faces_inward(p) for q in p.panels} for b in blocks],
    )
    words = []
    shared_pins = sorted((pinned[0] & pinned[1]) - pins_behind_tabs(nets))
    if shared_pins:
        words.append(f"A stick through the pin holes of axis {' or '.join(shared_pins)} keeps the centres true.")
    shared = [name for name in walls[0] if name in walls[1]]
    if shared:
        words.append(f"Look through the {shared[0]}: its wall continues from one to the other.")
    return words


def _block_name(nets: Nets, block: int) -> str:
    names = next((b.features for b in nets.blocks if b.id == block), ())
    if not names:
        return f"block {block}"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def pins_behind_tabs(nets: Nets) -> set[str]:
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
