"""Panels, folds, tabs, marks and pieces, all on paper: x right, y up, printed side towards you, mm and radians."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from foldsketch.base.arrays import Array, Point
from foldsketch.base.card import NO_CARD, Card
from foldsketch.base.findings import Finding

PaperLine = tuple[Point, Point]
PanelKind = Literal["side", "end", "other"]
MarkKind = Literal["centre", "datum", "outline", "pin", "offset", "text"]


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One flat face of the skin, laid on paper.

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


class Fold(NamedTuple):
    """Two panels of one piece joined on paper. angle: radians, + mountain, - valley, 0 flat; rolled: the paper is
    bent there and not creased."""

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
    """A glue flap on a cut edge. panel carries it; line is its root on that panel; outline (n, 2) anticlockwise lies
    outside the panel; angle: the fold at its root, radians, + mountain. label_size is 0 where no number fits.
    crease_shift: mm by which its crease is drawn inside the root line, so that the tab lies one thickness under its target."""

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


@dataclass(frozen=True, slots=True)
class ButtEdge:
    """A cut edge without a tab: the two lines are set against each other and, where none fits, joined with tape or
    glue; bare: it was left without one, because the edges beside it hold."""

    number: int
    panel: int
    line: PaperLine
    meets: MatingEdge
    bare: bool = False


class Mark(NamedTuple):
    """Something printed on a panel, or beside the net when panel is None.

    at: anchor; text: words centred on `at`, capital height size mm, turned by angle radians; paths: polylines in mm
    drawn as thin lines; dots: circles (x, y, radius) to be pierced or drawn.
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


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A net with its tabs and marks: one piece of paper."""

    id: str
    block: int
    panels: tuple[Panel, ...]
    folds: tuple[Fold, ...]
    tabs: tuple[Tab, ...] = ()
    butts: tuple[ButtEdge, ...] = ()
    marks: tuple[Mark, ...] = ()
    key: tuple[tuple[str, str], ...] = ()  # number printed on a panel -> what it stands for

    def panel(self, number: int) -> Panel:
        """The panel with that id. Raises KeyError."""
        for p in self.panels:
            if p.id == number:
                return p
        raise KeyError(number)


@dataclass(frozen=True, slots=True, eq=False)
class BlockFacts:
    """What the oracle needs to know of a block: its features, faceted volume (paper mm3) and V - E + F."""

    id: int
    features: tuple[str, ...]
    volume: float
    euler: int


@dataclass(frozen=True, slots=True, eq=False)
class JointFacts:
    """A flat contact of two blocks, paper mm. at: (3,); normal: (3,) from the first block to the second;
    outline: (n, 3); holes: each (m, 3)."""

    blocks: tuple[int, int]
    at: Array
    normal: Array
    outline: Array
    holes: tuple[Array, ...] = ()


@dataclass(frozen=True, slots=True)
class Checks:
    """What the oracle found. Lengths and areas in paper mm; volume_error relative."""

    refold_gap: float
    overlap_area: float
    tabs_inside: bool
    volume_error: float
    panel_gap: float = 0.0
    tab_clash: float = 0.0

    def passed(self, gap: float = 1e-6) -> bool:
        """True when the model may be printed."""
        return (
            self.refold_gap <= gap
            and self.panel_gap <= gap
            and self.overlap_area <= 1e-6
            and self.tab_clash <= 1e-6
            and self.tabs_inside
            and self.volume_error <= 1e-9
        )


@dataclass(frozen=True, slots=True, eq=False)
class Nets:
    """All pieces of a paper model. scale: paper mm per part mm."""

    part: str
    scale: float
    blocks: tuple[BlockFacts, ...]
    joints: tuple[JointFacts, ...]
    pieces: tuple[Piece, ...]
    checks: Checks | None = None
    findings: tuple[Finding, ...] = field(default=())
    card: Card = NO_CARD
