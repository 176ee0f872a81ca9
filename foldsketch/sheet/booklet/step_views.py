"""Stages: what the booklet shows of a net that is glued: bent, opened and lifted as hands would have it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import cos, sin

import numpy as np

from foldsketch.assembly.build_warnings import breadth
from foldsketch.assembly.glue_batches import bent
from foldsketch.assembly.partial_fold import Standing, standing
from foldsketch.assembly.sequence import Step
from foldsketch.base.drawing import WHITE, Colour, LineType
from foldsketch.net.marks.datum_lines import ticked
from foldsketch.net.model import Array, Fold, Panel, Piece
from foldsketch.sheet.booklet.scene import ELEVATION, LIT, TAB, Face, Path, Rank, hollow, look, moved, normal

AJAR = 0.3
"""How far a lid is bent while it stands open."""

ABOVE = 14.0
"""Least height at which what is set in is held above the open net, mm."""


ABOVE_ALL: Rank = (9.0,)


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """Things in space and how they are seen, (3, 3) rows right, up, towards the reader."""

    things: list[Face | Path]
    seen: Array

    @property
    def with_outlines(self) -> Stage:
        """With the outline of every numbered tab dashed over all, for what hides behind a wall."""
        faces = [t for t in self.things if isinstance(t, Face) and t.label]
        loops = [np.vstack((f.loops[0], f.loops[0][:1])) for f in faces]
        outlines = [Path(loop, line=LineType.DASHED, rank=ABOVE_ALL) for loop in loops]
        return Stage([*self.things, *outlines], self.seen)

    @property
    def upside_down(self) -> bool:
        """Whether the part's +z end points down to the table."""
        up = self.seen[1] * cos(ELEVATION) + self.seen[2] * sin(ELEVATION)
        return float(up[2]) < -0.5


def _hinge(piece: Piece, lid: int | None) -> Panel | None:
    """The panel that a lid hangs on."""
    if lid is None:
        return None
    for f in piece.folds:
        if lid in f.panels:
            return piece.panel(f.panels[0] if f.panels[1] == lid else f.panels[1])
    return None


def _middle(panel: Panel) -> Array:
    there: Array = panel.to_space[:, :2] @ panel.outline.mean(axis=0) + panel.origin
    return there


def view_of(piece: Piece, lid: int | None) -> Array:
    """How a net is seen while it is glued: its lid on top with the hinge at the back; a tube upright with its seam in
    front; anything else as it stands in the part."""
    hinge = _hinge(piece, lid)
    if hinge is not None and lid is not None:
        top = piece.panel(lid)
        return look(top.to_space[:, 2], _middle(hinge) - _middle(top))
    sides = [f for f in piece.folds if all(piece.panel(k).kind == "side" for k in f.panels)]
    if not hollow(piece) or not sides:
        return look()
    first = piece.panel(sides[0].panels[0])
    along = first.to_space[:, :2] @ np.subtract(sides[0].line[1], sides[0].line[0])
    along = along / np.linalg.norm(along)
    if float(along @ (0.01, 0.02, 1.0)) < 0:
        along = -along
    seam = next((t for t in piece.tabs if t.meets.piece == piece.id), None)
    if seam is None:
        return look(along)
    middle = np.mean([_middle(p) for p in piece.panels], axis=0)
    return look(along, middle - _middle(piece.panel(seam.panel)))


def gluing(piece: Piece, step: Step, lid: int | None) -> Stage:
    """A net folded up, not quite closed, the tabs that are glued now grey with their numbers."""
    kinds = {p.id: p.kind for p in piece.panels}
    sided = "side" in kinds.values()
    ready, now = bent(piece, step.before), bent(piece, step.tabs)

    def share(f: Fold) -> float:
        if f.panels in ready:
            return 1.0
        if step.only and f.panels not in now:
            return 0.0
        if lid in f.panels:
            return AJAR
        if not sided:
            return 0.82
        return 0.75 if any(kinds[k] != "side" for k in f.panels) else 0.88

    hinge = _hinge(piece, lid)
    base = hinge.id if hinge else None
    seen = view_of(piece, lid)
    if len(step.only) == 1:
        base, seen = _table(piece, share, now)
    # Of a net that is glued in batches the faces at the folds of this one are light grey.
    turning = {k for pair in now - ready for k in pair} if step.only or ready else set()
    things: list[Face | Path] = []
    for s in _seen_tabs(standing(piece, share, base=base, tab_share=_due(step, 0.85)), step):
        glued = bool(s.tab) and s.tab in step.tabs
        closing = not s.tab and s.panel == step.last
        moving = not s.tab and s.panel in turning
        fill = LIT if glued or closing else TAB if moving else WHITE
        # Of what stands already the floor is painted before its walls, however near its middle is.
        rank = _depth(piece, s, seen, s.panel == lid) if ready and not step.only else ()
        things.append(Face(s.loops, fill, rank, str(s.tab) if glued else "", 0.18 if s.tab else 0.25))
    return Stage(things, seen)


def _depth(piece: Piece, s: Standing, seen: Array, lid: bool) -> Rank:
    """When a face of an open net is painted: an open lid, the floor seen from its blank side, walls seen from theirs,
    and what faces the reader."""
    if lid:
        return OPEN_LID
    if float(normal(s.loops[0]) @ seen[2]) > 1e-6:
        return (2.0,)
    return (0.0, 2.0 if s.tab else 0.0 if piece.panel(s.panel).kind == "end" else 1.0)


def _table(piece: Piece, share: Callable[[Fold], float], now: Collection[tuple[int, int]]) -> tuple[int, Array]:
    """A panel of what stays flat on the table, printed side down, and how the net is seen: what is folded in front. The
    panel is one below which nothing hangs, or as little as can be; of such the one with most that is flat around it."""
    lying = {p.id: {p.id} for p in piece.panels}
    for f in piece.folds:
        if share(f) == 0:
            one = lying[f.panels[0]] | lying[f.panels[1]]
            lying |= dict.fromkeys(one, one)
    best: tuple[float, float, int] | None = None
    for base in sorted({min(own) for own in lying.values()}):
        panel = piece.panel(base)
        up = -panel.to_space[:, 2]
        shown = standing(piece, share, tabs=False, base=base)
        low = min(float(((s.loops[0] - panel.origin) @ up).min()) for s in shown)
        size = sum(breadth(piece.panel(k)) for k in lying[base])
        if best is None or (round(low, 3), size) > best[:2]:
            best = (round(low, 3), size, base)
    assert best is not None
    base = best[2]
    places = {s.panel: s.loops[0].mean(axis=0) for s in standing(piece, 0.0, tabs=False, base=base)}
    folded = np.mean([places[k] for pair in now for k in pair], axis=0)
    back = np.mean([places[k] for k in lying[base]], axis=0) - folded
    return base, look(-piece.panel(base).to_space[:, 2], back)


def setting_in(piece: Piece, others: Sequence[Piece], step: Step, lid: int | None) -> Stage:
    """A net that stands open with what goes into it: tubes held above it, other nets where they go."""
    seen = view_of(piece, lid)
    behind = _set_behind(piece, others, step)
    if lid is None and behind is not None:
        seen = look(-behind.to_space[:, 2])  # from where it is open
    rest = [f for p in others if not hollow(p) for f in _closed(p, step, seen, TAB if p.id in step.to else WHITE)]
    return _held_over([*_standing_open(piece, step, lid, seen), *rest], others, step, seen, not rest)


def _set_behind(piece: Piece, others: Sequence[Piece], step: Step) -> Panel | None:
    """The end of a net behind which a tube is set in a step."""
    for p in (piece, *others):
        for t in p.tabs:
            if t.number in step.tabs and t.angle > 0 and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece):
                end = piece.panel(t.panel if p is piece else t.meets.panel)
                if end.kind == "end":
                    return end
    return None


def setting_on(piece: Piece, others: Sequence[Piece], step: Step, face: int) -> Stage:
    """A face with its printed side on the table, its walls up, and the tubes that are glued onto its back."""
    top = piece.panel(face)
    hinge = _hinge(piece, face)
    back = _middle(hinge) - _middle(top) if hinge else np.array([0.0, 1.0, 0.0])
    seen = look(-top.to_space[:, 2], back)
    return _held_over(_closed(piece, step, seen), others, step, seen, True)


def _held_over(body: Sequence[Face], others: Sequence[Piece], step: Step, seen: Array, above: bool) -> Stage:
    """Tubes above what they go into, or in it."""
    tubes = [p for p in others if hollow(p)]
    held = [f for p in tubes for f in _closed(p, step, seen, LIT if p.id in step.to else WHITE)]
    if not above or not tubes:
        return Stage([*body, *held], seen)
    up = seen[1] * cos(ELEVATION) + seen[2] * sin(ELEVATION)
    heights = [f.loops[0] @ up for f in body if f.rank != OPEN_LID]
    top, low = max(float(h.max()) for h in heights), min(float(h.min()) for h in heights)
    bottom = min(float((f.loops[0] @ up).min()) for f in held)
    lift = up * (top - bottom + max(0.25 * (top - low), ABOVE))
    lines: list[Face | Path] = []
    for p in tubes:
        middle = np.mean([_middle(q) for q in p.panels], axis=0)
        lines.append(Path(np.array([middle + lift, middle]), line=LineType.CENTRE, rank=(1.5,)))
    lifted = [Face(f.loops, f.fill, (3.0, *f.rank), f.label, f.pen) for f in moved(held, lift)]
    return Stage([*body, *lines, *lifted], seen)


def closing(piece: Piece, others: Sequence[Piece], step: Step, on_lid: Sequence[Piece] = ()) -> Stage:
    """A lid, grey, over what it closes; the tabs that it is pressed on are grey with their numbers. on_lid: what
    stands on the lid and opens with it."""
    if len(piece.panels) == 1:
        return _capping(piece, others, step)
    seen = view_of(piece, step.last)
    things: list[Face | Path] = [*_standing_open(piece, step, step.last, seen)]
    for p in others:
        things += _closed(p, step, seen)
    hinge = _hinge(piece, step.last)
    if on_lid and hinge is not None and step.last is not None:
        turn, shift = _opened(piece, step.last, hinge)
        for p in on_lid:
            for f in _closed(p, step, seen):
                loops = tuple(loop @ turn.T + shift for loop in f.loops)
                things.append(Face(loops, f.fill, (*BEHIND_LID, *f.rank), f.label, f.pen))
    return Stage(things, seen)


def _opened(piece: Piece, lid: int, hinge: Panel) -> tuple[Array, Array]:
    """How a lid moves from closed to ajar: rotation (3, 3) and shift (3,)."""

    def at(share: float) -> Array:
        shown = standing(piece, lambda f: share if lid in f.panels else 1.0, tabs=False, base=hinge.id)
        return next(s.loops[0] for s in shown if s.panel == lid)

    def frame(loop: Array) -> Array:
        x = loop[1] - loop[0]
        x = x / np.linalg.norm(x)
        z = normal(loop)
        return np.column_stack((x, np.cross(z, x), z))

    closed, ajar = at(1.0), at(AJAR)
    turn = frame(ajar) @ frame(closed).T
    return turn, ajar[0] - turn @ closed[0]


def _capping(piece: Piece, others: Sequence[Piece], step: Step) -> Stage:
    """A face that is a net by itself held over the walls that it goes on, which are seen from that end."""
    from shapely import Point, Polygon

    cap = piece.panels[0]
    up = cap.to_space[:, 2]
    ticks = [m.at for m in piece.marks if m.kind == "datum" and m.paths]
    back = _middle(cap) - cap.to_space[:, :2] @ ticks[0] - cap.origin if ticks else None  # its tick is in front
    seen = look(up, back)
    walls = [f for p in others for f in _closed(p, step, seen)]
    heights = [f.loops[0] @ up for f in walls] or [np.zeros(1)]
    tall = max(float(h.max()) for h in heights) - min(float(h.min()) for h in heights)
    lift = up * max(0.4 * tall, ABOVE)
    lines: list[Face | Path] = []
    held = moved(_closed(piece, step, seen, LIT), lift)
    lines += _datum_lines(piece, lift, 5.0)
    for p in others:
        lines += _datum_lines(p, np.zeros(3), 2.5, seen)
    hiding = Polygon(held[0].loops[0] @ seen[:2].T, [loop @ seen[:2].T for loop in held[0].loops[1:]])
    # All teeth of a rim bear one number: those that the face hides need not show it.
    hidden = [bool(f.label) and hiding.contains(Point(f.loops[0].mean(axis=0) @ seen[:2].T)) for f in walls]
    walls = [Face(f.loops, f.fill, f.rank, "" if h else f.label, f.pen) for f, h in zip(walls, hidden, strict=True)]
    return Stage([*walls, *lines, *(Face(f.loops, f.fill, (4.0,), f.label, f.pen) for f in held)], seen)


def _datum_lines(piece: Piece, lift: Array, rank: float, seen: Array | None = None) -> list[Face | Path]:
    """The datum lines printed on a net, lifted; seen: only those on panels that face the reader."""
    lines: list[Face | Path] = []
    for m in piece.marks:
        if m.kind != "datum" or m.panel is None or not m.paths:
            continue
        panel = piece.panel(m.panel)
        if seen is not None and float(panel.to_space[:, 2] @ seen[2]) <= 1e-6:
            continue
        line = LineType.SOLID if ticked(m.paths[0]) else LineType.DOTTED
        there = np.array(m.paths[0]) @ panel.to_space[:, :2].T + panel.origin + lift
        lines.append(Path(there, line=line, rank=(rank,)))
    return lines


OPEN_LID: Rank = (-1.0,)
BEHIND_LID: Rank = (-2.0,)


def _standing_open(piece: Piece, step: Step, lid: int | None, seen: Array) -> list[Face]:
    """A net folded up with its lid open."""
    hinge = _hinge(piece, lid)
    if len(piece.panels) == 1 or hinge is None:
        return _closed(piece, step, seen, LIT if step.last is not None else WHITE)
    shown = standing(piece, lambda f: AJAR if lid in f.panels else 1.0, base=hinge.id, tab_share=_due(step))
    return [
        _face(piece, s, step, seen, LIT if s.panel == step.last and not s.tab else WHITE, s.panel == lid)
        for s in _seen_tabs(shown, step)
    ]


def _closed(piece: Piece, step: Step | None, seen: Array, fill: Colour = WHITE) -> list[Face]:
    bend = _due(step) if step else 1.0
    shown = standing(piece, 1.0, tabs=step is not None, base=piece.panels[0].id, tab_share=bend)
    return [_face(piece, s, step, seen, fill, False) for s in (_seen_tabs(shown, step) if step else shown)]


def _due(step: Step, share: float = 1.0) -> Callable[[int], float]:
    """How far tabs are bent: those of the step; the others wait straight, out of the way."""
    return lambda number: share if number in step.tabs else 0.0


def _seen_tabs(shown: Sequence[Standing], step: Step) -> list[Standing]:
    """Without the tabs that are glued already, for they lie behind."""
    return [s for s in shown if not s.tab or s.tab not in step.before]


def _face(piece: Piece, s: Standing, step: Step | None, seen: Array, fill: Colour, lid: bool) -> Face:
    """A panel or tab as a face. Walls seen from their blank side come first, then bores, then what hides them."""
    now = step is not None and bool(s.tab) and s.tab in step.tabs
    if s.tab:
        fill = LIT if now else WHITE
    rank = _depth(piece, s, seen, lid)
    if hollow(piece) and not lid:
        rank = (1.0,)
    elif now and rank == (2.0,):
        rank = (1.5,)  # it goes behind the wall that it is glued to
    bends = {k for f in piece.folds if f.rolled for k in f.panels}
    pen = 0.18 if s.tab else 0.1 if s.panel in bends else 0.25
    return Face(s.loops, fill, rank, str(s.tab) if now else "", pen)
