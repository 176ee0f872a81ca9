"""The set-up in the hand as files: a chuck for each set-up, two stands, the steps, and a tray for a hand-over."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import dist

import numpy as np

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace, Work, measure_work, work_minutes
from foldsketch.base.drawing import Drawing
from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.job.messages import AXIS_IN_OPENING, DOES_NOT_FOLD
from foldsketch.job.model import Model
from foldsketch.job.paper_chuck import PaperChuck, paper_chuck
from foldsketch.job.paper_chuck_net import CONE_HEIGHT_MM
from foldsketch.job.paper_held import bodies, held_body, paper_swing, round_swing, to_disc
from foldsketch.job.paper_rig import ToolRoom, least_tool_room, stop_strip, tool_pieces, tool_room
from foldsketch.job.paper_stand import ABOVE_SKEWER_MM, BELOW_DISC_MM, STAND_DEPTH_MM, STAND_WIDTH_MM, paper_stand
from foldsketch.net.model import Mark, Nets, Piece
from foldsketch.net.refold import check_nets
from foldsketch.setup.machine import DEFAULT_MACHINE, Machine
from foldsketch.setup.model import SetUp, SetUpPlan
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.setup_sheets.hand_over_pages import draw_picture_pages, sub_disc_distance
from foldsketch.sheet.setup_sheets.hand_over_scene import ChuckPicture, Rig
from foldsketch.sheet.setup_sheets.in_hand_pages import InHandRow, draw_steps_pages
from foldsketch.sheet.setup_sheets.in_hand_tray import draw_tray

HAND_WORK_MIN = 0.8
"""Pricking, piercing and taping, for every chuck, minutes [assumed]."""

TRAY_MIN = 1.2
"""Cutting, folding and slitting the tray, minutes [assumed]."""

SKEWER_BEYOND_MM = 26.0 + 3.0 + STAND_DEPTH_MM + 20.0
"""Of the skewer beyond the part: cone, disc, stand, and 20 to pull at, mm on paper."""


@dataclass(frozen=True, slots=True, eq=False)
class InHand:
    """The set-up in the hand.

    files: bytes by the end of their names, such as ``"chuck-1.pdf"``; chucks: as built; minutes: of all of it beside
    the part's own model and the tool; tool_minutes: of the tool that tries the room beside a neighbour; findings:
    set-ups without a chuck, jaws that are only drawn.
    """

    files: dict[str, bytes]
    chucks: tuple[PaperChuck, ...]
    minutes: float
    tool_minutes: float
    findings: tuple[Finding, ...]


def set_up_in_hand(
    made: Model, planned: SetUpPlan, machine: Machine = DEFAULT_MACHINE, pace: Pace = DEFAULT_PACE
) -> InHand:
    """Paper chucks, stands, steps and tray of a plan, for a paper model of its part.

    Parameters
    ----------
    made : Model
        The paper model; chucks are at its scale.
    planned : SetUpPlan
        From `plan`.
    machine : Machine, optional
        The machine that it was planned for.
    pace : Pace, optional
        The builder's working speed.

    Returns
    -------
    InHand
        Files are numbered as the set-ups are. Set-ups without jaws around an outside are named and left out.

    Raises
    ------
    FoldsketchError
        When no set-up can be built, or a net does not fold.
    """
    from foldsketch.write.net_json import net_json
    from foldsketch.write.pdf import pdf

    chucks: list[PaperChuck] = []
    findings: list[Finding] = []
    for s in planned.setups:
        try:
            chucks.append(paper_chuck(s, machine, made))
        except FoldsketchError as error:
            findings += [replace(f, level="note") for f in error.findings]
    if not chucks:
        raise FoldsketchError([replace(f, level="error") for f in findings])
    findings += [f for c in chucks for f in c.findings]
    pricked = {m.axis for p in made.nets.pieces for m in p.marks if m.kind == "centre" and _is_on_paper(p, m)}
    axes = dict.fromkeys(c.set_up.clamping.on_centreline for c in chucks)
    findings += [AXIS_IN_OPENING.at(f"axis {a}") for a in axes if a not in pricked]
    part, scale = made.part.name, made.nets.scale
    files: dict[str, bytes] = {}
    minutes = 0.0
    sets: list[tuple[str, tuple[Piece, ...]]] = [(f"chuck-{c.set_up.number}", (c.disc, c.cone)) for c in chucks]
    largest = max(max(c.radius, paper_swing(c.set_up, made) / 2) for c in chucks)
    pictures = [picture_of(c, made) for c in chucks]
    rows = [_row(c, made) for c in chucks]
    rows = [*rows[:1], *(replace(r, on=_apart(*two)) for r, two in zip(rows[1:], pairwise(pictures), strict=True))]
    shifted = any(r.shift for r in rows)
    room = least_tool_room([tool_room(s, made) for s in planned.setups])
    stands = [paper_stand(largest, 1), paper_stand(largest, 2), *([stop_strip()] if shifted else [])]
    to_try = tool_pieces(room) if room is not None else ()
    tool_minutes = work_minutes(measure_work(Nets(part, scale, (), (), to_try)), pace) if to_try else 0.0
    sets.append(("stands", (*stands, *to_try)))
    for name, pieces in sets:
        nets, pages, sheets = _printed(f"{part}, {name.replace('-', ' ')}", scale, pieces, made.paper.name)
        files[f"{name}.pdf"] = pdf(pages, nets.part)
        files[f"{name}.net.json"] = net_json(nets, sheets)
        minutes += work_minutes(_work_without_double_cuts(nets), pace)
    minutes += HAND_WORK_MIN * len(chucks)
    minutes += (TRAY_MIN if shifted else 0.0) - tool_minutes
    corners = np.concatenate([p.corners for p in made.faceted.prisms])
    long = float(np.ptp(corners[:, 2]))
    tool = None if room is None else _tool_text(room)
    printed = draw_steps_pages(part, rows, (minutes, tool_minutes), long + SKEWER_BEYOND_MM, tool)
    level = largest + BELOW_DISC_MM
    rig = Rig(STAND_WIDTH_MM, STAND_DEPTH_MM, level, level + ABOVE_SKEWER_MM)
    printed += draw_picture_pages(part, pictures, [r.shift for r in rows], rig)
    if shifted:
        printed.append(draw_tray(part, rows, (STAND_WIDTH_MM, STAND_DEPTH_MM)))
    files["in-hand.pdf"] = pdf(printed, f"{part}, the set-up in the hand")
    return InHand(files, tuple(chucks), minutes, tool_minutes, tuple(findings))


def _printed(
    title: str, scale: float, pieces: tuple[Piece, ...], paper: str
) -> tuple[Nets, tuple[Drawing, ...], tuple[Sheet, ...]]:
    """Nets that passed the fold-up check, their pages and sheets. Raises FoldsketchError."""
    from foldsketch.sheet.layout.caption_positions import letter_nets
    from foldsketch.sheet.layout.pack import pack
    from foldsketch.sheet.layout.paper import parse_paper
    from foldsketch.sheet.page.draw import draw_sheets

    nets = Nets(title, scale, (), (), pieces)
    checks = check_nets(nets)
    if not checks.passed():
        gap, overlap, depth = checks.refold_gap, checks.overlap_area, checks.overlap_depth
        raise DOES_NOT_FOLD.error(title, gap=gap, overlap=overlap, depth=depth)
    sheets = pack(pieces, parse_paper(paper))
    turned = {placed.piece: placed.angle for sheet in sheets for placed in sheet.placed}
    pieces = tuple(_upright(p, turned[p.id]) for p in pieces)
    nets = replace(nets, pieces=pieces, checks=checks)
    return nets, draw_sheets(replace(nets, pieces=letter_nets(pieces, sheets)), sheets), sheets


def _upright(piece: Piece, angle: float) -> Piece:
    """A net whose level words stand upright where it is laid, turned by an angle; a disc has places for its own."""
    if any(m.kind == "pin" for m in piece.marks):
        return piece
    return replace(piece, marks=tuple(m._replace(angle=-angle) if m.text and not m.angle else m for m in piece.marks))


def _work_without_double_cuts(nets: Nets) -> Work:
    """The work in the nets; a jaw and its window share their cut."""
    work = measure_work(nets)
    double = 0.0
    for piece in nets.pieces:
        holes = piece.panels[0].holes
        double += sum(dist(a, b) for hole in holes for a, b in zip(hole, np.roll(hole, -1, axis=0), strict=True))
        double -= sum(dist(*f.line) for f in piece.folds[: len(holes)])  # windows come first
    return replace(work, cut=work.cut - double)


def _row(c: PaperChuck, made: Model) -> InHandRow:
    s: SetUp = c.set_up
    jaws = _folded_text(c)
    return InHandRow(
        s.number,
        s.clamping.spindle,
        s.clamping.on_centreline,
        f"{s.clamping.held_on} Ø{s.held_diameter:g}",
        jaws,
        s.shift * made.nets.scale,
        (paper_swing(s, made), round_swing(s, made)),
    )


def _apart(before: ChuckPicture, after: ChuckPicture) -> float:
    """Between the two discs that hold the part at a hand-over, mm; 0 where the spindle stays the same."""
    return 0.0 if before.spindle == after.spindle else sub_disc_distance(before, after)


def picture_of(c: PaperChuck, made: Model) -> ChuckPicture:
    """A chuck and its part as the booklet shows them."""
    s, disc = c.set_up, c.disc.panels[0]
    part = bodies(s, made)
    # A part cut from a bar, and one that nothing grips, lies on the disc itself.
    low = min(b.start for b in part)
    low = 0.0 if c.fixture is not None or (c.creases and low < 0) else low
    points = {a.name: np.array([a.point[:2]]) for a in made.part.axes}
    return ChuckPicture(
        s.number,
        s.clamping.spindle,
        s.clamping.on_centreline,
        (disc.outline, *disc.holes),
        tuple(p.in_space(p.outline) for p in c.disc.panels[1:]),
        c.foot,
        CONE_HEIGHT_MM,
        tuple((b.outline, b.start - low, b.end - low) for b in part),
        {name: to_disc(s, made.nets.scale, at)[0] for name, at in points.items()},
        held_body(s, made) is None,
    )


def _folded_text(c: PaperChuck) -> str:
    """What stands up from a disc or a floor, in words."""
    if c.fixture is not None:
        named = ((c.fixture.flap, "flap"), (c.fixture.key, "key"))
        return ", ".join(["3 walls", *(word for flap, word in named if flap is not None)])
    jaws = c.set_up.jaws
    if not c.creases:
        return "nothing"
    return f"{len(c.creases)} of {len(jaws)} jaws" if jaws else f"{len(c.creases)} of 4 stops"


def _is_on_paper(piece: Piece, mark: Mark) -> bool:
    """Whether a centre is on its panel: not in a bore that is built, and no letter beside it."""
    from shapely import Point, Polygon

    if mark.panel is None or mark.text:
        return False
    panel = piece.panel(mark.panel)
    return bool(Polygon(panel.outline, panel.holes).contains(Point(mark.at)))


def _tool_text(r: ToolRoom) -> str:
    """How the paper tool is tried, with its figures."""
    return (
        f"Tool: fold the channel, slide it into the holder up to the long line, {r.overhang:.0f} mm out. In set-up "
        f"{r.set_up} hold it still beside {r.feature} and turn the skewer: between it and what swings around it paper "
        f"leaves {r.paper:.1f} mm, the round part {r.round_part:.1f} mm."
    )
