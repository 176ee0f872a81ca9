"""Panels, folds, tabs, marks and pieces, all on paper: x right, y up, printed side towards you, mm and radians."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.base.card import NO_CARD, Card
from foldsketch.base.findings import Finding
from foldsketch.base.tolerance import DEFAULT_TOLERANCE
from foldsketch.geometry.ragged_polygons import MAX_OVERLAP_DEPTH_MM
from foldsketch.part.model import Feature

MAX_VOLUME_ERROR = 1e-9
"""Relative error of volume that a block may have when it is folded up: rounding, and no more."""

PaperLine = tuple[Point, Point]
PanelKind = Literal["side", "end", "other"]
MarkKind = Literal["centre", "datum", "outline", "pin", "offset", "text", "tape", "sign", "slit", "drawn", "hidden"]
Hold = Literal["glue", "tape", "tuck"]
"""What holds cut edges together: tabs with glue, strips of tape, or flaps and tongues that are tucked in."""
TuckPart = Literal["", "flap", "lip", "lock", "land", "hook"]
"""What a tab is that is tucked in: a flap of an end behind a wall; the lip of a wall under an end, and the end's tongue
through the slit in that lip; the land of one wall behind the next one, and that one's hook through the land's slit."""
Feet = Literal["glued", "tongues"]
"""How a block stands on another: held as its edges are, or on tongues through slits."""


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One flat face of the skin, on paper.

    outline: (n, 2) mm, anticlockwise; holes: each (m, 2) mm, clockwise.
    space = origin + to_space @ (x, y, 0): to_space (3, 3) is a rotation whose third column is the outward normal.
    """

    id: int
    outline: Array
    holes: tuple[Array, ...]
    feature: str
    kind: PanelKind
    side: int
    to_space: Array
    origin: Array

    def in_space(self, points: Array) -> Array:
        """Where points (n, 2) on the panel's paper are in space, (n, 3)."""
        return points @ self.to_space[:, :2].T + self.origin


class Fold(NamedTuple):
    """Two panels of one piece joined on paper, the first one left of the line.

    angle: radians, + mountain, - valley, 0 flat; rolled: the paper is bent there and not creased.
    """

    panels: tuple[int, int]
    line: PaperLine
    angle: float
    rolled: bool = False


class MatingEdge(NamedTuple):
    """The edge that a tab is glued behind: the panel of a piece and the line on it."""

    piece: str
    panel: int
    line: PaperLine


class Tab(NamedTuple):
    """A glue flap on a cut edge.

    panel: the one that carries it; outline: (n, 2) mm, anticlockwise, outside the panel; line: its root on the panel;
    angle: the fold at the root, radians, + mountain; label_size: 0 where no number fits; crease_shift: mm by which the
    crease is drawn inside the root, so that the tab is one thickness of card below its target; joint: number of the
    joint on which a foot tab is glued, face to face, inside the outline; None: behind an edge; slit: of a tongue, which
    is not glued: the line on the panel it meets through which it goes, to be bent in behind that; part: what it is in a
    model that is tucked together; openings: slits in the tab itself; bend: a second crease, beyond which it is bent
    over behind the lip.
    """

    number: int
    panel: int
    outline: Array
    line: PaperLine
    meets: MatingEdge
    angle: float
    label_at: Point = (0.0, 0.0)
    label_size: float = 0.0
    label_angle: float = 0.0
    crease_shift: float = 0.0
    joint: int | None = None
    slit: PaperLine | None = None
    part: TuckPart = ""
    openings: tuple[PaperLine, ...] = ()
    bend: PaperLine | None = None

    @property
    def glued(self) -> bool:
        """Whether it gets glue: it is neither a tongue nor tucked in."""
        return not self.slit and not self.part

    @property
    def behind(self) -> Array:
        """Its outline (n, 2) up to the second crease, if it has one: what lies flat behind the panel it meets."""
        if self.bend is None:
            return self.outline
        root, crease = np.array(self.line), np.array(self.bend)
        return np.concatenate((root[:1], crease, root[1:]))


@dataclass(frozen=True, slots=True)
class ButtEdge:
    """A cut edge without a tab: its two sides are set against each other.

    bare: it needs neither tab nor tape, because the edges beside it hold; strips: of tape that hold it in a model held
    by tape; of an edge with neither, no tab fits, and it is taped last of all; angle: of the faces, radians, +
    mountain; joint: number of the joint that it stands on, where the block has no end of its own.
    """

    number: int
    panel: int
    line: PaperLine
    meets: MatingEdge
    bare: bool = False
    strips: int = 0
    angle: float = 0.0
    joint: int | None = None


class DrawnFeature(NamedTuple):
    """What is drawn on a panel in place of a feature that is not built, or the true circle of one that is.

    centre: of the circle, or middle of the line, mm; radius: mm, 0 for a line; hidden: another block will cover it.
    """

    feature: str
    axis: str
    panel: int
    kind: Literal["circle", "line"]
    centre: Point
    radius: float
    line: PaperLine | None
    hidden: bool

    def points(self, count: int) -> Array:
        """The line, or so many points of the circle, closed: (n, 2) mm."""
        if self.line is not None:
            return np.array(self.line)
        turns = np.linspace(0.0, 2 * np.pi, count)
        rim: Array = np.column_stack((np.cos(turns), np.sin(turns))) * self.radius + self.centre
        return rim


class Mark(NamedTuple):
    """Something printed on a panel, or beside the net when panel is None.

    at: anchor; text: centred on `at`, capital height size mm, turned by angle radians; paths: thin lines, mm; dots:
    circles (x, y, radius), mm, to be pierced; circles: the same, to be drawn only.
    """

    kind: MarkKind
    panel: int | None
    axis: str
    at: Point
    text: str = ""
    size: float = 0.0
    angle: float = 0.0
    paths: tuple[tuple[Point, ...], ...] = ()
    dots: tuple[tuple[float, float, float], ...] = ()
    circles: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A net with its tabs and marks: one piece of paper.

    key: letter printed on a panel, and what it means; open: joints that close its block where it has no end of its own;
    title: the features that it shows; size: their sizes; caption_at: centre of its caption in its own frame, mm, where
    that is not beside the net but in free space of its page.
    """

    id: str
    block: int
    panels: tuple[Panel, ...]
    folds: tuple[Fold, ...]
    tabs: tuple[Tab, ...] = ()
    butts: tuple[ButtEdge, ...] = ()
    marks: tuple[Mark, ...] = ()
    drawn: tuple[DrawnFeature, ...] = ()
    key: tuple[tuple[str, str], ...] = ()
    open: tuple[int, ...] = ()
    title: str = ""
    size: str = ""
    caption_at: Point | None = None

    def __repr__(self) -> str:
        return f"<Piece {self.id}: {len(self.panels)} panels, {len(self.folds)} folds, {len(self.tabs)} tabs>"

    @property
    def held_edges(self) -> tuple[Tab | ButtEdge, ...]:
        """The cut edges of the block itself that are glued or taped in their turn."""
        return (*(t for t in self.tabs if t.joint is None), *(b for b in self.butts if b.strips))

    def panel(self, number: int) -> Panel:
        """The panel with that id. Raises KeyError."""
        for p in self.panels:
            if p.id == number:
                return p
        raise KeyError(number)


@dataclass(frozen=True, slots=True, eq=False)
class BlockFacts:
    """A block, as the fold-up check needs it: its features, faceted volume (paper mm3) and V - E + F."""

    id: int
    features: tuple[str, ...]
    volume: float
    euler: int


@dataclass(frozen=True, slots=True, eq=False)
class JointFacts:
    """A flat contact of two blocks, paper mm.

    at: (3,); normal: (3,) from the first block to the second; outline: (n, 3); holes: each (m, 3); taped: edges of the
    outline, by the number of their first corner, that tape holds in a model held by tape.
    """

    blocks: tuple[int, int]
    at: Array
    normal: Array
    outline: Array
    holes: tuple[Array, ...] = ()
    taped: tuple[int, ...] = ()

    @property
    def taped_edges(self) -> list[tuple[Array, Array]]:
        """The ends (3,) of the edges that tape holds."""
        return [(self.outline[k], self.outline[(k + 1) % len(self.outline)]) for k in self.taped]


@dataclass(frozen=True, slots=True)
class Checks:
    """Result of the fold-up check; lengths in paper mm, areas in mm2.

    refold_gap: between the two sides of a cut edge; overlap_area: of panels and tabs on paper; tabs_inside: every tab
    is wholly behind its target; volume_error: relative; panel_gap: between where a panel is and where the net says it
    is; tab_clash: area that tabs share behind panels; overlap_depth: how far they reach into each other at most.
    """

    refold_gap: float
    overlap_area: float
    tabs_inside: bool
    volume_error: float
    panel_gap: float = 0.0
    tab_clash: float = 0.0
    overlap_depth: float = 0.0

    def passed(self, gap: float = DEFAULT_TOLERANCE.gap) -> bool:
        """Whether the model may be printed. gap: mm that edges and panels may be off."""
        return (
            self.tabs_inside
            and max(self.refold_gap, self.panel_gap) <= gap
            and self.overlap_depth <= MAX_OVERLAP_DEPTH_MM
            and self.volume_error <= MAX_VOLUME_ERROR
        )


@dataclass(frozen=True, slots=True, eq=False)
class Nets:
    """All pieces of a paper model. scale: paper mm per part mm; drawn: features that are drawn and not built."""

    part: str
    scale: float
    blocks: tuple[BlockFacts, ...]
    joints: tuple[JointFacts, ...]
    pieces: tuple[Piece, ...]
    checks: Checks | None = None
    drawn: tuple[Feature, ...] = ()
    findings: tuple[Finding, ...] = field(default=())
    card: Card = NO_CARD
    hold: Hold = "glue"

    def __repr__(self) -> str:
        return f"<Nets of '{self.part}': {len(self.pieces)} nets of {len(self.blocks)} blocks at scale {self.scale:g}>"
