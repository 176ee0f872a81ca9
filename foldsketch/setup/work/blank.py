"""The blank of a part: what was said of it and what is taken as usual, as stock on every surface."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil, hypot

from foldsketch.base.findings import Finding, mm
from foldsketch.base.points import Point
from foldsketch.part.model import Blank, BlankKind, Cone, Cylinder, Feature, Part, PrismShape
from foldsketch.setup import messages
from foldsketch.setup.access.sweep import sweep_of, sweeps, swing, z_extent
from foldsketch.setup.model import LENGTH_TOLERANCE_MM
from foldsketch.setup.work.grown_shapes import grown
from foldsketch.setup.work.surfaces import Face, faces_of, features_along_z

BAR_STOCK_MM = 2.0
"""A bar is so much larger in diameter than the smallest that holds the part [C]."""

BAR_SIZE_STEP_MM = {"mm": 1.0, "in": 25.4 / 16}
"""Steps in which bars come, by the part's units: whole mm, or sixteenths of an inch [C]."""

SAWN_END_MM, BAR_END_MM = 2.0, 0.5
"""Left on each end of a sawn piece, and to face on a fed bar (where it is parted a pip stays) [C]."""

LEFT_BESIDE_MM = 2.0
"""Left around what is not yet turned when a neighbour at the same height is turned from the bar [M]."""

CORED_FROM_MM = 25.0
"""Bores from this diameter on are cast in; smaller ones are cast solid [C]."""


@dataclass(frozen=True, slots=True)
class WorkBlank:
    """The material as it comes.

    kind: bar, sawn or casting; axis, diameter, low, high: of a bar, which lies around that axis between two heights, mm
    ("" and 0 for a casting); rounds: stock a side on each feature that is not yet machined, mm; faces: stock on each
    face that has some, by name, mm; cores: bores that are cast in; findings: what was taken as usual, and what does not
    fit.
    """

    kind: BlankKind
    axis: str
    diameter: float
    low: float
    high: float
    rounds: Mapping[str, float]
    faces: Mapping[str, float]
    cores: frozenset[str]
    findings: tuple[Finding, ...]

    @property
    def bar(self) -> bool:
        """Whether it is a bar or a piece of one."""
        return self.kind != "casting"


def work_blank(part: Part) -> WorkBlank:
    """The blank of a part; where the part file has none: a casting if any feature has stock or is cast, else sawn.

    Raises FoldsketchError for a bar from which the part cannot be made.
    """
    said = part.blank
    if said is None:
        said = Blank("casting" if any(f.stock or f.finish == "cast" for f in part.features) else "sawn")
    return _casting(part, said) if said.kind == "casting" else _bar(part, said)


def lathe_form(part: Part) -> Part:
    """The part as a lathe leaves it: from a bar, prisms in deep stock are round over their corners [C].

    So what is behind them can be reached and held; their flats are milled elsewhere.
    """
    blank = work_blank(part)
    return part.with_features(tuple(_over_corners(part, blank, f) if blank.bar else f for f in part.features))


def _over_corners(part: Part, blank: WorkBlank, f: Feature) -> Feature:
    axis = part.axis(f.axis)
    if f.cut or not isinstance(f.shape, PrismShape) or not axis.along_z:
        return f
    x, y = part.axis(blank.axis).point[:2]
    depth = blank.diameter / 2 + hypot(axis.point[0] - x, axis.point[1] - y) - f.radius
    return replace(f, shape=Cylinder(2 * f.radius), turned=True) if depth > LEFT_BESIDE_MM else f


def _casting(part: Part, said: Blank) -> WorkBlank:
    """Stock on every feature that has some, on free ends or the faces that are named; larger bores cast in."""
    faces = {f.name: f for f in faces_of(part)}
    stock = {f.name: f.stock for f in part.features}
    named = said.faces if said.faces is not None else tuple(n for n, f in faces.items() if f.free)
    on_faces = {n: stock[faces[n].feature] for n in named if n in faces and stock[faces[n].feature] > 0}
    found = [] if part.blank else [messages.BLANK_ASSUMED_CASTING.at(f"part '{part.name}'")]
    bores = [f for f in features_along_z(part) if f.cut and isinstance(f.shape, Cylinder | Cone)]
    cores = said.cores if said.cores is not None else tuple(b.name for b in bores if _cast_in(b))
    allowance = max(stock.values(), default=0.0)
    for b in bores:
        if b.name in cores and not b.stock and b.finish != "cast":
            stock[b.name] = allowance
            found.append(messages.CORE_STOCK_ASSUMED.at(f"feature '{b.name}'", stock=mm(allowance)))
    return WorkBlank("casting", "", 0.0, 0.0, 0.0, stock, on_faces, frozenset(cores), tuple(found))


def _cast_in(bore: Feature) -> bool:
    """Whether a bore is usually cored: all of it at least 25 mm, or cast to size."""
    s = bore.shape
    least = min(s.start_diameter, s.end_diameter) if isinstance(s, Cone) else 2 * bore.radius
    return least >= CORED_FROM_MM or (bore.finish == "cast" and not bore.stock)


def _bar(part: Part, said: Blank) -> WorkBlank:
    """A bar around the datum axis, or the first one along z where the datum is not."""
    axis = next((a for a in part.axes if a.along_z), part.datum)
    at = (axis.point[0], axis.point[1])
    needed = swing(sweeps(part, at))
    step = BAR_SIZE_STEP_MM[part.units]
    usual = step * ceil((needed + BAR_STOCK_MM) / step - 1e-9)
    diameter = said.diameter if said.diameter is not None else usual
    extents = [z_extent(part, f) for f in part.features if not f.cut]
    bottom, top = min(e[0] for e in extents), max(e[1] for e in extents)
    left = SAWN_END_MM if said.kind == "sawn" else BAR_END_MM
    if said.length is not None:
        left = (said.length - (top - bottom)) / 2
    where = f"part '{part.name}'"
    found = []
    if part.blank is None:
        found.append(messages.BLANK_ASSUMED_SAWN.at(where, diameter=mm(diameter), length=mm(top - bottom + 2 * left)))
    if diameter < needed - LENGTH_TOLERANCE_MM:
        raise messages.BAR_TOO_SMALL.error(where, diameter=mm(diameter), needed=mm(needed), axis=axis.name)
    if left < -LENGTH_TOLERANCE_MM:
        raise messages.BAR_TOO_SHORT.error(where, length=mm(said.length or 0.0), needed=mm(top - bottom))
    rounds = {f.name: f.stock or LEFT_BESIDE_MM for f in part.features}
    for f in part.features:  # what is left around a feature lies in the bar
        if not f.cut:
            rounds[f.name] *= _share_in_bar(part, f, rounds[f.name], at, diameter / 2)
    faces = {f.name: _end_stock(f, bottom, top, left) for f in faces_of(part) if f.free}
    kept = {name: stock for name, stock in faces.items() if stock > LENGTH_TOLERANCE_MM}
    low, high = bottom - left, top + left
    return WorkBlank(said.kind, axis.name, diameter, low, high, rounds, kept, frozenset(), tuple(found))


def _share_in_bar(part: Part, f: Feature, stock: float, at: Point, radius: float) -> float:
    """Share of the stock on a feature that lies in a bar of a radius about a point, mm.

    With the stock the distance of a corner from the bar's axis grows evenly or ever faster: a share of it by the
    distances without and with all of it never lies outside.
    """
    bare, thick = (sweep_of(part, g, at).outer for g in (f, replace(f, shape=grown(f.shape, stock))))
    return 1.0 if thick <= radius else max(0.0, (radius - bare) / (thick - bare))


def _end_stock(face: Face, bottom: float, top: float, left: float) -> float:
    """Stock on a free end of a part from bar: that of the bar on its outermost ends, some on others."""
    outermost = bottom if face.end == "-z" else top
    return left if abs(face.height - outermost) < LENGTH_TOLERANCE_MM else LEFT_BESIDE_MM
