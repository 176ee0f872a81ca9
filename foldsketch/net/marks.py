"""Marks: centres with their axis letters, offsets, the datum line, joint outlines, pin holes, names and numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import atan2, cos, hypot, pi, sin

import numpy as np

from foldsketch.base.findings import Finding
from foldsketch.base.units import degrees
from foldsketch.base.vector import cross
from foldsketch.net.model import Array, Butt, Mark, Panel, Piece, Point, Tab
from foldsketch.net.room import Room, baselines
from foldsketch.net.words import length_text, title
from foldsketch.solid.blocks import Joint, Solids
from foldsketch.solid.facet import Faceted

PIN = 0.75
"""Radius of a pin hole, mm: a thin knitting needle or a cocktail stick pierces it to size."""

SHARES = (0.5, 0.35, 0.65, 0.25, 0.75)
"""Where along its edge a number is tried."""

SIZES = (3.5, 2.5, 1.8)
"""Capital heights that are tried for words, mm [ISO 3098-1]."""


@dataclass(slots=True, eq=False)
class Sheeted:
    """A panel while it is being marked. face: number of its face in the block's skin."""

    piece: int
    block: int
    face: int
    panel: Panel
    room: Room
    marks: list[Mark] = field(default_factory=list)
    _area: float | None = None

    def flat(self, p: Array) -> Array:
        """Points in space (n, 3), part frame, onto the panel's paper (n, 2)."""
        return (p - self.panel.origin) @ self.panel.to_space[:, :2]

    @property
    def area(self) -> float:
        """Area of the panel, mm2, to six places."""
        if self._area is None:
            self._area = round(_area(self.panel), 6)
        return self._area

    @property
    def normal(self) -> Array:
        """Outward normal, part frame."""
        return self.panel.to_space[:, 2]


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """An axis of the part at paper scale, part frame. carries: it has a feature that adds material."""

    name: str
    point: Array
    direction: Array
    offset: float
    angle: float
    carries: bool
    parallel: bool


def mark(
    faceted: Faceted,
    solids: Solids,
    pieces: Sequence[Piece],
    faces_of: Sequence[dict[int, int]],
    scale: float,
) -> tuple[list[Piece], list[Finding]]:
    """The pieces with everything printed on them. faces_of: for each piece, panel id -> face of its block's skin."""
    lines = _lines(faceted, scale)
    datum = faceted.turn @ faceted.datum_direction
    sheeted = [
        Sheeted(k, piece.block, faces_of[k][p.id], p, Room(p)) for k, piece in enumerate(pieces) for p in piece.panels
    ]
    by_face: dict[tuple[int, int], Sheeted] = {(s.block, s.face): s for s in sheeted}
    # What has its place comes first; numbers, letters and names then find room around it.
    for joint in solids.joints:
        _joint(faceted, solids, joint, by_face, lines, datum)
    slants = np.array([x.direction for x in lines])
    centres = [_centres(s, lines, slants) for s in sheeted]
    named = {x.name: x for x in lines}
    own_line = {f.name: named[f.axis] for f in faceted.part.features if f.axis in named}
    for s in sheeted:
        _datum(s, own_line, datum)
    arrows = [_arrows(s, own, lines[0]) for s, own in zip(sheeted, centres, strict=True)]
    skipped = _numbers(pieces, sheeted)
    keys: dict[int, list[tuple[str, str]]] = {}
    for s, own, drawn in zip(sheeted, centres, arrows, strict=True):
        for arrow in drawn:
            _offset_words(faceted, s, arrow, keys)
        for line, p, hole in own:
            _letter(s, line, p, hole)
    for block in solids.blocks:
        _names(faceted, [s for s in sheeted if s.block == block.id], keys, solids)
    marked = [
        replace(
            piece,
            marks=tuple(m for s in sheeted if s.piece == k for m in s.marks),
            key=tuple(keys.get(k, ())),
        )
        for k, piece in enumerate(pieces)
    ]
    findings = []
    if skipped:
        findings.append(
            Finding(
                "note",
                "marks",
                f"{skipped} edge number{'s' if skipped > 1 else ''} found no room on narrow panels",
                "go by the neighbouring numbers, or print larger",
            )
        )
    return marked, findings


def _lines(faceted: Faceted, scale: float) -> list[Line]:
    part = faceted.part
    carries = {f.axis for f in part.features if not f.cut}
    used = {f.axis for f in part.features}
    origin, along = np.array(part.datum.point), np.array(part.datum.direction)
    ex, ey, _ = (np.array(v) for v in part.datum.frame)
    result = []
    for a in part.axes:
        if a.name not in used and a.name != part.datum.name:
            continue
        p, d = np.array(a.point), np.array(a.direction)
        w = p - origin
        x, y = float(w @ ex), float(w @ ey)
        result.append(
            Line(a.name, p * scale, d, hypot(x, y), atan2(y, x), a.name in carries, abs(abs(d @ along) - 1) < 1e-9)
        )
    return result


def _numbers(pieces: Sequence[Piece], sheeted: Sequence[Sheeted]) -> int:
    """The number of every glued edge, small, just inside the panel that receives it; how many found no room."""
    names = {piece.id: k for k, piece in enumerate(pieces)}
    by_panel = {(s.piece, s.panel.id): s for s in sheeted}
    wanted: dict[int, list[tuple[str, float, tuple[float, float, float, float]]]] = {}
    for piece in pieces:
        joined: list[Tab | Butt] = [*piece.tabs, *piece.butts]
        for t in joined:
            (x0, y0), (x1, y1) = t.meets.line
            if hypot(x1 - x0, y1 - y0) < 1:
                continue
            s = by_panel[names[t.meets.piece], t.meets.panel]
            wanted.setdefault(id(s), []).append((str(t.number), atan2(y1 - y0, x1 - x0), (x0, y0, x1, y1)))
    skipped = 0
    for s in sheeted:
        own = wanted.get(id(s), [])
        if own:
            skipped += _numbers_on(s, own)
    return skipped


def _numbers_on(s: Sheeted, own: Sequence[tuple[str, float, tuple[float, float, float, float]]]) -> int:
    """Edge numbers of one panel: first all at the middle of their edges, then those that clash elsewhere."""
    texts = [text for text, _, _ in own]
    angles = np.array([along for _, along, _ in own])
    lines = np.array([line for _, _, line in own])
    inward = np.column_stack((-np.sin(angles), np.cos(angles)))
    middle = (lines[:, :2] + lines[:, 2:]) / 2 + inward * 1.75
    put = s.room.place_each(texts, 1.8, middle, angles, clear=0.25)
    skipped = 0
    for k, text in enumerate(texts):
        at, angle = _point(middle[k]), float(angles[k])
        if not put[k]:
            along = lines[k, 2:] - lines[k, :2]
            spots = np.array([lines[k, :2] + along * u + inward[k] * d for d in (1.75, 2.2) for u in SHARES] * 2)
            turns = np.repeat([angle, angle + pi / 2], len(spots) // 2)
            found = s.room.place_first(text, 1.8, spots, turns, clear=0.25)
            if found is None:
                skipped += 1
                continue
            at, angle = found
        s.marks.append(Mark("text", s.panel.id, "", at, text, 1.8, angle))
    return skipped


def _joint(
    faceted: Faceted,
    solids: Solids,
    joint: Joint,
    by_face: dict[tuple[int, int], Sheeted],
    lines: Sequence[Line],
    datum: Array,
) -> None:
    """The outline of the smaller face on the larger one that receives it, with its datum tick."""
    one, two = (by_face[b, f] for b, f in zip(joint.blocks, joint.faces, strict=True))
    own, other = (one, two) if one.area >= two.area else (two, one)
    back = faceted.turn.T
    loops = [own.flat(ring @ back) for ring in (joint.outline, *joint.holes)]
    if abs(own.area - other.area) > 0.5:
        paths = tuple(tuple((float(x), float(y)) for x, y in (*loop, loop[0])) for loop in loops)
        middle = loops[0].mean(axis=0)
        own.marks.append(Mark("outline", own.panel.id, _axis_of(faceted, solids, other), _point(middle), paths=paths))
        own.room.covered.append(loops[0])
        for path in paths:
            own.room.bar(path)
    feature = faceted.prisms[solids.blocks[other.block].features[0]].feature
    line = next((x for x in lines if x.name == feature.axis), None)
    if line is not None and line.parallel:
        centre = _pierce(own, line)
        if centre is not None:
            _tick(own, loops[0], centre, datum, line.name)


def _axis_of(faceted: Faceted, solids: Solids, s: Sheeted) -> str:
    return faceted.prisms[solids.blocks[s.block].features[0]].feature.axis


def _area(panel: Panel) -> float:
    total = 0.0
    for loop in (panel.outline, *panel.holes):
        x, y = loop[:, 0], loop[:, 1]
        total += float(x[:-1] @ y[1:] - y[:-1] @ x[1:] + x[-1] * y[0] - y[-1] * x[0]) / 2
    return total


def _point(p: Array) -> Point:
    return (float(p[0]), float(p[1]))


def _pierce(s: Sheeted, line: Line) -> Point | None:
    """Where an axis goes through the plane of a panel, on its paper; None for an axis in that plane."""
    slope = float(line.direction @ s.normal)
    if abs(slope) < 1e-6:
        return None
    k = float((s.panel.origin - line.point) @ s.normal) / slope
    return _point(s.flat((line.point + k * line.direction)[None, :])[0])


def _tick(s: Sheeted, loop: Array, centre: Point, datum: Array, axis: str) -> None:
    """A short line at the edge of a loop where the datum line from its centre leaves it."""
    toward = datum @ s.panel.to_space[:, :2]
    far = _leave(loop, centre, toward)
    if far is None:
        return
    reach = min(3.0, far * 0.5)
    a = (centre[0] + toward[0] * (far - reach), centre[1] + toward[1] * (far - reach))
    b = (centre[0] + toward[0] * far, centre[1] + toward[1] * far)
    path = ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
    s.marks.append(Mark("datum", s.panel.id, axis, path[1], paths=(path,)))
    s.room.bar(path)


def _leave(loop: Array, start: Point, toward: Array) -> float | None:
    """Distance along a ray at which it last crosses a loop; None when it never does."""
    a, b = loop - np.array(start), np.roll(loop, -1, axis=0) - np.array(start)
    side_a, side_b = (toward[0] * p[:, 1] - toward[1] * p[:, 0] for p in (a, b))
    across = (side_a > 0) != (side_b > 0)
    if not across.any():
        return None
    a, b, p, q = a[across], b[across], side_a[across], side_b[across]
    at = a + (b - a) * (p / (p - q))[:, None]
    along = at @ toward
    return float(along.max()) if along.max() > 0.5 else None


Centre = tuple[Line, Point, bool]
"""An axis that goes square through a panel, where, and whether that is in a hole."""


def _centres(s: Sheeted, lines: Sequence[Line], slants: Array) -> list[Centre]:
    """A cross and a pin hole for every axis that goes through the panel; returns those that do so squarely."""
    seen: list[Point] = []
    centres: list[Centre] = []
    slopes = (slants @ s.normal).tolist()
    for line in (x for x, slope in zip(lines, slopes, strict=True) if abs(slope) > 1e-6):
        p = _pierce(s, line)
        if p is None or any(hypot(q[0] - p[0], q[1] - p[1]) < 1e-6 for q in seen):
            continue
        ring = next((h for h in s.panel.holes if _within(h, p)), None)
        if ring is None and not bool(s.room.inside(np.array([p]))[0]):
            continue
        seen.append(p)
        square = abs(abs(float(line.direction @ s.normal)) - 1) < 1e-9
        if square:
            centres.append((line, p, ring is not None))
        if ring is None:
            _cross(s, line, p, square)
            s.marks.append(Mark("pin", s.panel.id, line.name, p, dots=((*p, PIN),)))
        elif square:
            _hole_cross(s, line, p, ring)
    return centres


Arrow = tuple[Line, Point, Point]
"""The axis that an arrow points to, its tip and its tail."""


def _arrows(s: Sheeted, centres: Sequence[Centre], base: Line) -> list[Arrow]:
    """Arrows from the datum axis to the centres on the panel."""
    shown = [c for c in centres if c[0].parallel and c[0].offset > 1e-9]
    if sum(1 for c in shown if not c[0].carries) > 3:
        shown = [c for c in shown if c[0].carries]
    start = _pierce(s, base)
    if start is None:
        return []
    return [_arrow(s, line, start, p) for line, p, _ in shown]


def _within(loop: Array, p: Point) -> bool:
    a, b = loop, np.roll(loop, -1, axis=0)
    up = (a[:, 1] > p[1]) != (b[:, 1] > p[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        x = a[:, 0] + (p[1] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    return bool((up & (p[0] < x)).sum() % 2)


def _cross(s: Sheeted, line: Line, p: Point, square: bool) -> None:
    """A centre cross around a pin hole; smaller where the axis goes through a side."""
    paths: list[tuple[Point, ...]] = []
    up = complex(*_paper_up(s))
    for k in range(4):
        d = up * 1j**k
        far = s.room.reach(p, (d.real, d.imag), 5.0 if square else 2.0) - 0.4
        if far >= PIN + 0.6:
            near = PIN + 0.3
            paths.append(((p[0] + d.real * near, p[1] + d.imag * near), (p[0] + d.real * far, p[1] + d.imag * far)))
    s.marks.append(Mark("centre", s.panel.id, line.name, p, paths=tuple(paths)))
    for path in paths:
        s.room.bar(path)
    r = PIN + 0.2
    s.room.bar(((p[0] - r, p[1]), (p[0], p[1] + r), (p[0] + r, p[1]), (p[0], p[1] - r), (p[0] - r, p[1])))


def _hole_cross(s: Sheeted, line: Line, p: Point, ring: Array) -> None:
    """The centre lies in a bore: four short lines point to it from corners of the bore, between the edge numbers."""
    away = ring - np.array(p)
    bearing = np.arctan2(away[:, 1], away[:, 0])
    paths = []
    for k in sorted({int(np.argmin(np.abs(np.angle(np.exp(1j * (bearing - t)))))) for t in (0.8, 2.4, 3.9, 5.5)}):
        reach = float(np.hypot(*away[k]))
        if reach < 0.5:
            continue  # the axis runs along an edge of the bore
        d = away[k] / reach
        a = (float(ring[k, 0] + 0.5 * d[0]), float(ring[k, 1] + 0.5 * d[1]))
        more = s.room.reach(a, (float(d[0]), float(d[1])), 3.0) - 0.4
        if more > 0.8:
            paths.append((a, (float(a[0] + d[0] * more), float(a[1] + d[1] * more))))
    s.marks.append(Mark("centre", s.panel.id, line.name, p, paths=tuple(paths)))
    for path in paths:
        s.room.bar(path)


def _paper_up(s: Sheeted) -> tuple[float, float]:
    """A direction on paper for crosses: the projection of a main direction of the part."""
    m = s.panel.to_space
    for axis in (1, 0, 2):
        v = m[axis, :2]
        if hypot(*v) > 0.5:
            n = hypot(*v)
            return (float(v[0] / n), float(v[1] / n))
    return (0.0, 1.0)


def _letter(s: Sheeted, line: Line, p: Point, hole: bool) -> None:
    start = 2.6
    if hole:
        start = max(s.room.reach(p, (cos(t), sin(t)), 1e6) for t in (0.8, 2.4, 3.9, 5.5)) + 1.5
    spots = np.array(
        [
            (p[0] + r * cos(t), p[1] + r * sin(t))
            for r in (start, start + 1.2, start + 2.5, start + 4.5)
            for t in (pi / 4, 3 * pi / 4, 5 * pi / 4, 7 * pi / 4, pi / 8, 5 * pi / 8, 9 * pi / 8, 13 * pi / 8)
        ]
    )
    found = s.room.place([line.name], SIZES, (0.0,), spots, clear=0.4)
    if found:
        at, size, angle = found
        s.marks.append(Mark("centre", s.panel.id, line.name, at, line.name, size, angle))


def _arrow(s: Sheeted, line: Line, start: Point, end: Point) -> Arrow:
    """From the datum axis to an offset centre, as far as it lies on the panel."""
    total = hypot(end[0] - start[0], end[1] - start[1])
    d = ((start[0] - end[0]) / total, (start[1] - end[1]) / total)
    gap = PIN + 0.5
    inside = bool(s.room.inside(np.array([end]))[0])
    first = gap
    if not inside:
        first = s.room.reach(end, d, total) + 0.5
    probe = (end[0] + d[0] * first, end[1] + d[1] * first)
    length = s.room.reach(probe, d, max(0.0, total - first - gap))
    if length < total - first - gap - 1e-6:
        length -= 0.5
    along = atan2(-d[1], -d[0])
    if length > 2.5:
        tip, tail = probe, (probe[0] + d[0] * length, probe[1] + d[1] * length)
        head = min(2.2, length / 2)
        barbs = [(tip[0] + head * cos(along + pi + a), tip[1] + head * sin(along + pi + a)) for a in (0.26, -0.26)]
        s.marks.append(Mark("offset", s.panel.id, line.name, tip, paths=((tail, tip), (barbs[0], tip, barbs[1]))))
        s.room.bar((tail, tip))
        s.room.bar((barbs[0], tip, barbs[1]))
    else:
        tip, tail = probe, (probe[0] + d[0] * max(length, 0.0), probe[1] + d[1] * max(length, 0.0))
    return line, tip, tail


def _offset_words(faceted: Faceted, s: Sheeted, arrow: Arrow, keys: dict[int, list[tuple[str, str]]]) -> None:
    """Distance and angle beside their arrow, elsewhere on the panel, or in the key."""
    line, tip, tail = arrow
    text = f"{length_text(line.offset, faceted.part.units)} at {_angle_text(line.angle)}"
    along = atan2(tip[1] - tail[1], tip[0] - tail[0])
    d = (-cos(along), -sin(along))
    upright = along if -pi / 2 < along <= pi / 2 else along + pi
    n = (-sin(along), cos(along))
    middle = ((tip[0] + tail[0]) / 2, (tip[1] + tail[1]) / 2)
    near = np.array(
        [
            (middle[0] + n[0] * k + d[0] * m, middle[1] + n[1] * k + d[1] * m)
            for k in (2.2, -2.2, 3.0, -3.0, 4.5, -4.5, 6.5, -6.5)
            for m in (0.0, 3.0, -3.0, 6.0, -6.0)
        ]
    )
    found = s.room.place([text], (2.5, 1.8), (upright,), near, clear=0.4) or s.room.place_level([text], (2.5, 1.8))
    if found:
        at, size, angle = found
        s.marks.append(Mark("offset", s.panel.id, line.name, at, text, size, angle))
    else:
        _key(s, f"axis {line.name}: {text}", keys)


def _angle_text(angle: float) -> str:
    value = round(degrees(angle), 2) % 360
    return f"{value:g}°"


def _datum(s: Sheeted, own: dict[str, Line], datum: Array) -> None:
    """The datum line: along the middle of the side that faces the datum direction, and a tick on the ends."""
    line = own.get(s.panel.feature)
    if line is None or not line.parallel:
        return
    if s.panel.kind == "end":
        p = _pierce(s, line)
        if p is not None and not any(m.kind == "datum" and m.axis == line.name for m in s.marks):
            _tick(s, s.panel.outline, p, datum, line.name)
        return
    across = cross(datum, line.direction)
    corners = s.panel.outline @ s.panel.to_space[:, :2].T + s.panel.origin - line.point
    level = corners @ across
    facing = corners @ datum
    ends: list[Point] = []
    n = len(level)
    for i in range(n):
        j = (i + 1) % n
        if (level[i] > 0) != (level[j] > 0):
            k = level[i] / (level[i] - level[j])
            if facing[i] + (facing[j] - facing[i]) * k > 0:
                ends.append(_point(s.panel.outline[i] + (s.panel.outline[j] - s.panel.outline[i]) * k))
    if len(ends) != 2 or hypot(ends[0][0] - ends[1][0], ends[0][1] - ends[1][1]) < 0.5:
        return
    a, b = ends
    s.marks.append(Mark("datum", s.panel.id, line.name, a, paths=((a, b),)))
    s.room.bar((a, b))


def _names(
    faceted: Faceted, sheeted: Sequence[Sheeted], keys: dict[int, list[tuple[str, str]]], solids: Solids
) -> None:
    """Each feature's name and size on every end and once on its strip; a number with a key where it finds no room."""
    by_feature: dict[str, list[Sheeted]] = {}
    for s in sheeted:
        by_feature.setdefault(s.panel.feature, []).append(s)
    for name, own in by_feature.items():
        feature = faceted.prisms_by_name[name].feature
        words = title(feature, faceted.part.units)
        for s in own:
            if s.panel.kind == "end" and not _write(s, words):
                _key(s, " ".join(words), keys)
        sides = [s for s in own if s.panel.kind != "end"]
        _up_arrow(faceted, sides)
        for piece in sorted({s.piece for s in sides}):
            choice = sorted(
                (s for s in sides if s.piece == piece),
                key=lambda s: (any(m.kind == "datum" for m in s.marks), -round(s.area, 3), s.face),
            )
            if not any(_write(s, words) for s in choice[:4]):
                _key(choice[0], " ".join(words), keys)


def _write(s: Sheeted, words: tuple[str, ...]) -> bool:
    options = [(words[0] + " " + words[1],), words] if len(words) > 1 and words[1] else [words[:1]]
    best = None
    for lines in options:
        found = s.room.place_level(lines, SIZES)
        if found:
            best = (lines, found)
            break
    if best is None:
        return False
    lines, (at, size, angle) = best
    for text, p in zip(lines, baselines(at, len(lines), size, angle), strict=True):
        s.marks.append(Mark("text", s.panel.id, "", p, text, size, angle))
    return True


def _key(s: Sheeted, text: str, keys: dict[int, list[tuple[str, str]]]) -> None:
    """A circled number on the panel where there is room for it, and what it means beside the net."""
    own = keys.setdefault(s.piece, [])
    number = str(len(own) + 1)
    same = next((n for n, t in own if t == text), None)
    if same is not None:
        number = same
    found = s.room.place_level([number], (1.8,), clear=0.9)
    if found:
        at, size, angle = found
        r = 1.75
        ring = tuple((at[0] + r * cos(t), at[1] + r * sin(t)) for t in np.linspace(0, 2 * pi, 17).tolist())
        s.marks.append(Mark("text", s.panel.id, "", at, number, size, angle, paths=(ring,)))
    if same is None:
        own.append((number, text))


def _up_arrow(faceted: Faceted, sides: Sequence[Sheeted]) -> None:
    """A small arrow with the letter z on one side panel of the strip, pointing to the part's +z end."""
    for s in sorted(sides, key=lambda s: (not any(m.kind == "datum" for m in s.marks), -round(s.area, 3))):
        up = s.panel.to_space[2, :2]
        if hypot(*up) < 0.9:
            continue
        angle = atan2(up[1], up[0]) - pi / 2
        found = s.room.place_level(["z"], (1.8,), clear=2.0) or s.room.place_level(["z"], (1.8,), clear=1.3)
        if not found:
            continue
        at, size, _ = found
        c, t = cos(angle), sin(angle)

        def put(x: float, y: float, at: Point = at, c: float = c, t: float = t) -> Point:
            return (at[0] + x * c - y * t, at[1] + x * t + y * c)

        paths = ((put(-1.0, -1.8), put(-1.0, 1.8)), (put(-1.6, 0.7), put(-1.0, 1.8), put(-0.4, 0.7)))
        for path in paths:
            s.room.bar(path)
        s.marks.append(Mark("text", s.panel.id, "", put(0.7, 0.0), "z", size, angle, paths=paths))
        return
