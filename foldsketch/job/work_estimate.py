"""The work in a model, estimated from its prisms before any net is laid out. Lengths paper mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil, dist, hypot

import numpy as np

from foldsketch.assembly.work_time import Work
from foldsketch.part.model import Ring
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.prism import Prism
from foldsketch.solid.joining.blocks import Solids, join

CUT_PER_TAB_MM, CUT_PER_SPARED_TAB_MM = 4.5, 7.5
"""What a tab adds to the cut: its two slanted ends, less what its outer edge is shorter than its root. Where tabs are
spared those that are left are wider."""

MAX_BARE_EDGES_IN_ROW, MAX_BARE_LENGTH_MM = 2, 40.0
"""Where tabs are spared: so many edges beside one another have none, if they measure no more together."""

MIN_OVERLAP_MM = 1e-6
"""Less than this is touching, mm."""


@dataclass(frozen=True, slots=True)
class _Wall:
    """A ring of flat sides.

    sides: how many; width: of one, mm; height: mm; rims: how many ends of it are glued all round; lids: how many hang
    on it by a fold.
    """

    sides: int
    width: float
    height: float
    rims: int
    lids: int


def estimate_work(faceted: FacetedPart, spare_tabs: bool = False, page: float = 1e9) -> Work:
    """Cut, folds, tabs and joints of a model. Raises FoldsketchError where features cannot be joined.

    spare_tabs: without the tabs that neighbours make needless; page: longest strip that fits the paper, mm.
    """
    material = [p for p in faceted.prisms if not p.cut]
    groups = _fused_groups(material)
    if len(set(groups.values())) < len(groups) or any(_breaks_out(p, material) for p in faceted.prisms if p.cut):
        return _work_of_skins(join(faceted), spare_tabs)
    cut = folds = tabs = 0.0
    for wall in _walls(faceted.prisms, material):
        strips = ceil(wall.sides * wall.width / page)
        edges = wall.rims * wall.sides + wall.lids * (wall.sides - 1)
        cut += 2 * (strips * wall.height + edges * wall.width)
        folds += wall.sides - strips + wall.lids
        held = _held_edges(wall.sides, wall.width) if spare_tabs else wall.sides
        tabs += strips + wall.rims * held + wall.lids * (held - 1)
    return _work(cut, folds, tabs, _joints(material), spare_tabs)


def _work(cut: float, folds: float, tabs: float, joints: int, spare_tabs: bool) -> Work:
    number = round(tabs)
    each = CUT_PER_SPARED_TAB_MM if spare_tabs else CUT_PER_TAB_MM
    return Work(cut + number * each, round(folds) + number, number, joints)


def _work_of_skins(solids: Solids, spare_tabs: bool) -> Work:
    """The work in joined solids, for features that go into one another: counted by faces and edges.

    Folds hold every net of a block together; how long they are is taken from the mean edge.
    """
    cut = folds = tabs = 0.0
    for skin in (b.skin for b in solids.blocks):
        edges, total, spared = 0.0, 0.0, 0
        for face in skin.faces:
            for k, loop in enumerate(face.loops):
                around = _perimeter(skin.corners[list(loop)].tolist())
                edges += len(loop) / 2
                total += around / 2
                if face.kind == "end" or k:
                    spared += len(loop) - _held_edges(len(loop), around / len(loop))
        nets = 1 + (2 - skin.euler) // 2
        folded = len(skin.faces) - nets
        folds += folded
        cut += 2 * total * (1 - folded / edges)
        tabs += max(1, edges - folded - (spared if spare_tabs else 0))
    return _work(cut, folds, tabs, len(solids.joints), spare_tabs)


def _held_edges(sides: int, width: float) -> int:
    """How many edges of a rim hold where tabs are spared."""
    row = min(MAX_BARE_EDGES_IN_ROW, int(MAX_BARE_LENGTH_MM / width)) if sides > 3 else 0
    return ceil(sides / (row + 1))


def _walls(prisms: Sequence[Prism], material: Sequence[Prism]) -> Iterator[_Wall]:
    """The outer walls and tubes of every feature."""
    for p in material:
        sides, width = _rim(p)
        height = p.feature.length * _scale(p)
        yield _Wall(sides, width, height, 0, sum(f.kind == "end" for f in p.faces))
        if isinstance(p.feature.shape, Ring):
            yield _Wall(sides, width * p.feature.shape.bore / p.feature.shape.diameter, height, 2, 0)
    for c in (p for p in prisms if p.cut):
        sides, width = _rim(c)
        for p in material:
            if p.index < c.index and _overlap(p, c):
                yield _Wall(sides, width, _shared_height(p, c), 2, 0)


def _rim(p: Prism) -> tuple[int, float]:
    """Number of sides of the outer wall and their mean width."""
    end = max((f for f in p.faces if f.kind == "end"), key=lambda f: len(f.loops[0]))
    sides = len(end.loops[0])
    return sides, _perimeter(p.corners[list(end.loops[0])].tolist()) / sides


def _perimeter(corners: list[list[float]]) -> float:
    return sum(dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))


def _scale(p: Prism) -> float:
    """Paper over part."""
    low, high = _span(p)
    return (high - low) / p.feature.length


def _span(p: Prism) -> tuple[float, float]:
    """Lowest and highest point along its own axis."""
    along = (p.corners - p.frame.origin) @ p.frame.z
    return float(along.min()), float(along.max())


def _shared_height(p: Prism, c: Prism) -> float:
    """By how much two prisms overlap along the axis of the second."""
    along = (p.corners - c.frame.origin) @ c.frame.z
    low, high = _span(c)
    return min(float(along.max()), high) - max(float(along.min()), low)


def _overlap(p: Prism, q: Prism) -> bool:
    """Whether two prisms have room in common: by their boxes, and by their circles where their axes are parallel."""
    if (p.low > q.high - MIN_OVERLAP_MM).any() or (q.low > p.high - MIN_OVERLAP_MM).any():
        return False
    if abs(float(p.frame.z @ q.frame.z)) < 1 - 1e-9 or not (p.sides and q.sides):
        return True
    away = _axis_distance(p, q)
    for a, b in ((p, q), (q, p)):
        if isinstance(a.feature.shape, Ring) and away + _radius(b) <= a.feature.shape.bore / 2 * _scale(a) + 1e-6:
            return False
    return away < _radius(p) + _radius(q) - MIN_OVERLAP_MM


def _radius(p: Prism) -> float:
    return p.feature.radius * _scale(p)


def _axis_distance(p: Prism, q: Prism) -> float:
    away = q.frame.origin - p.frame.origin
    away = away - (away @ p.frame.z) * p.frame.z
    return float(np.linalg.norm(away))


def _breaks_out(c: Prism, material: Sequence[Prism]) -> bool:
    """Whether a cut is more than a bore from end to end of what it cuts: it goes across, or through an outer wall."""
    for p in material:
        if p.index > c.index or not _overlap(p, c):
            continue
        if abs(float(p.frame.z @ c.frame.z)) < 1 - 1e-9:
            return True
        if p.sides and c.sides and _axis_distance(p, c) + _radius(c) > _radius(p) - MIN_OVERLAP_MM:
            return True
    return False


def _fused_groups(material: Sequence[Prism]) -> dict[int, int]:
    """For every feature the first one of those that it is one body with."""
    first = {p.index: p.index for p in material}
    for p, q in combinations(material, 2):
        if first[p.index] != first[q.index] and _overlap(p, q):
            old, new = sorted((first[p.index], first[q.index]), reverse=True)
            first = {k: new if v == old else v for k, v in first.items()}
    return first


def _joints(material: Sequence[Prism]) -> int:
    """How often one feature stands on the end of another."""
    return sum(
        abs(float(p.frame.z @ q.frame.z)) > 1 - 1e-9
        and abs(_shared_height(p, q)) < MIN_OVERLAP_MM
        and _footprints_meet(p, q)
        for p, q in combinations(material, 2)
    )


def _footprints_meet(p: Prism, q: Prism) -> bool:
    """Whether the ends of two prisms on parallel axes share area."""
    if p.sides and q.sides:
        return _axis_distance(p, q) < _radius(p) + _radius(q) - MIN_OVERLAP_MM
    gaps = np.maximum(p.low - q.high, q.low - p.high)
    across = gaps - (gaps @ p.frame.z) * p.frame.z
    return hypot(*np.maximum(across, 0.0).tolist()) < MIN_OVERLAP_MM
