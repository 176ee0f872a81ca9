"""Tabs of any shape on a cut edge: where they are on paper, and the corners that their roots make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import dist
from typing import NamedTuple

import numpy as np

from foldsketch.base.arrays import Point
from foldsketch.net.model import MatingEdge, Panel, PaperLine, Tab, TuckPart

Profile = Sequence[Point]
"""Corners of a tab from the beginning of its root to the end: along the edge, and out from it, mm."""


class TabEdge(NamedTuple):
    """One side of a cut edge: the panel, the line along its outline, and the same of what it meets."""

    number: int
    piece: str
    panel: int
    line: PaperLine
    meets: MatingEdge
    angle: float

    @property
    def length(self) -> float:
        """Of the edge, mm."""
        return dist(*self.line)

    @property
    def other(self) -> TabEdge:
        """The same edge from the panel that it meets."""
        m = self.meets
        return TabEdge(self.number, m.piece, m.panel, m.line, MatingEdge(self.piece, self.panel, self.line), self.angle)

    def point(self, x: float, out: float = 0.0) -> Point:
        """A point so far along the edge, and so far outside the panel."""
        (x0, y0), (x1, y1) = self.line
        u, v = (x1 - x0) / self.length, (y1 - y0) / self.length
        return (x0 + x * u + out * v, y0 + x * v - out * u)

    def cross(self, start: float, end: float, out: float) -> PaperLine:
        """A line beside the edge."""
        return (self.point(start, out), self.point(end, out))

    def tab(self, part: TuckPart, profile: Profile, shift: float) -> Tab:
        """A tab on this side. shift: of its crease, into the panel."""
        a, b = profile[0][0], profile[-1][0]
        far = self.other
        meets = self.meets._replace(line=far.cross(self.length - b, self.length - a, 0.0))
        outline = np.array([self.point(x, out) for x, out in profile])
        root = self.cross(a, b, 0.0)
        return Tab(self.number, self.panel, outline, root, meets, self.angle, crease_shift=shift, part=part)


def split_edge(panel: Panel, root: PaperLine) -> Panel:
    """A panel with the ends of a root as corners on the edge that it lies on."""
    a, b = panel.outline, np.roll(panel.outline, -1, axis=0)
    middle = np.mean(root, axis=0)
    off = [abs(dist(p, middle) + dist(middle, q) - dist(p, q)) for p, q in zip(a.tolist(), b.tolist(), strict=True)]
    start = int(np.argmin(off))
    new = [q for q in root if min(dist(q, a[start]), dist(q, b[start])) > 1e-7]
    return replace(panel, outline=np.insert(a, start + 1, np.array(new).reshape(-1, 2), axis=0))
