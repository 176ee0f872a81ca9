"""Where a cut ends: beyond the stock on the face where it opens, short of the material that stays behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import NamedTuple

from foldsketch.part.model import Feature, Part
from foldsketch.setup.access.sweep import sweep_of
from foldsketch.setup.model import LENGTH_TOLERANCE_MM
from foldsketch.setup.work.blank import WorkBlank

Extent = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Piece:
    """A length of one feature, or of the bar, as it is.

    of: the part's feature, "" for the bar; low, high: mm; raw: not yet machined.
    """

    of: str
    feature: Feature
    low: float
    high: float
    raw: bool


class Heights(NamedTuple):
    """Lowest and highest z of the features by name, mm, part frame. with_stock: with the stock left on their ends."""

    finished: Mapping[str, Extent]
    with_stock: Mapping[str, Extent]


def cut_end(part: Part, blank: WorkBlank, f: Feature, heights: Heights, pieces: Sequence[Piece], up: bool) -> float:
    """Height, mm, where a finished cut along z ends at its upper or lower end while stock is on the face there.

    It runs out of the stock as far as out of the finished face, but not into material behind it that stays: so the
    work never grows when the face is machined after the cut. f: the cut in the part; pieces: the material as it is.
    """
    sense = 1.0 if up else -1.0

    def at(extent: Extent) -> float:
        """The end of two heights that is looked at, so that beyond it is more."""
        return sense * extent[up]

    end = at(heights.finished[f.name])
    out_of_stock, raw_faces = end, [end]
    for m in part.features:
        if m.cut or not part.axis(m.axis).along_z:
            continue
        face, raw_face = at(heights.finished[m.name]), at(heights.with_stock[m.name])
        meets = blank.bar or _meet_seen_along_z(part, f, m, blank.rounds.get(m.name, 0.0))
        if meets and face - LENGTH_TOLERANCE_MM <= end < raw_face:
            raw_faces.append(raw_face)
            out_of_stock = max(out_of_stock, raw_face + end - face)
    for p in pieces:
        behind = at(heights.finished[p.of]) > end if p.of else at((p.low, p.high)) > max(raw_faces)
        begins = sense * (p.low if up else p.high)
        if behind and begins < out_of_stock and _reaches_into(part, f, p.feature):
            out_of_stock = max(end, begins)
    return sense * out_of_stock


def _reaches_into(part: Part, f: Feature, piece: Feature) -> bool:
    """Whether a piece lies in the way of a cut along z, seen along it."""
    x, y, _ = part.axis(f.axis).point
    return _meet_seen_along_z(part, f, piece) and sweep_of(part, piece, (x, y)).inner < f.radius - LENGTH_TOLERANCE_MM


def _meet_seen_along_z(part: Part, f: Feature, m: Feature, stock: float = 0.0) -> bool:
    """Whether two features along z may meet when seen along it, by the rounds around them."""
    a, b = part.axis(f.axis).point, part.axis(m.axis).point
    return hypot(a[0] - b[0], a[1] - b[1]) < f.radius + m.radius + stock
