"""What a face is called: the feature and which end of it, on the ends; on a wall only where a net has no such face."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.points import Point
from foldsketch.geometry.polygon_loops import point_in_polygon
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import Mark, Piece
from foldsketch.solid.faceting.facet import FacetedPart

LABEL_HEIGHTS_MM = (3.5, 2.5)
"""Capital heights that are tried for words, mm [ISO 3098-1]."""

NAME_CLEARANCE_MM, NAME_STEP_MM = 1.0, 1.5
"""Clear paper around a name, and the steps in which places above the lowest are tried, mm."""

MIN_LEVEL_COSINE = 0.9
"""An end whose normal has at least this along z, up or down, is told by its sign."""


def mark_face_names(faceted: FacetedPart, pieces: Sequence[Piece], views: Sequence[PanelView]) -> list[str]:
    """Names on the ends, each as low on its face as it fits; returns the features that are named nowhere on paper."""
    unnamed: dict[str, None] = {}
    sides = {(s.panel.feature, _side_sign(s)) for s in views if s.panel.kind == "end"}
    for k, piece in enumerate(pieces):
        own = [s for s in views if s.piece == k]
        named: set[str] = set()
        for s in own:
            if s.panel.kind != "end":
                continue
            name, sign = s.panel.feature, _side_sign(s)
            both = sign and (name, -sign) in sides
            texts = [f"{name}, {'+' if sign > 0 else '-'}z end", name] if both else [name]
            if any(place(s, text) for place in (_place_low, _place_anywhere) for text in texts):
                named.add(name)
        lettered = any(m.kind == "centre" and m.text for s in own if s.panel.kind == "end" for m in s.marks)
        if not named and not lettered:
            # Once it is cut out nothing else tells which net it is.
            words = (f"{piece.id} {own[0].panel.feature}", piece.id)
            walls = sorted(own, key=lambda s: (-round(s.area, 3), s.face))[:4]
            if any(_place_anywhere(s, text) for text in words for s in walls):
                named.add(own[0].panel.feature)
        if not named and not lettered:
            unnamed |= dict.fromkeys(s.panel.feature for s in own)
    return list(unnamed)


def _side_sign(s: PanelView) -> int:
    """1 for an end that looks along +z, -1 along -z, 0 for another."""
    up = float(s.normal[2])
    return 0 if abs(up) < MIN_LEVEL_COSINE else 1 if up > 0 else -1


def _place_low(s: PanelView, text: str) -> bool:
    space = s.free_space
    (x0, y0), (x1, y1) = space.low, space.high
    middle, (dx, dy) = ((x0 + x1) / 2, (y0 + y1) / 2), space.on_page(0.0, 1.0)
    half = (abs(dx) * (x1 - x0) + abs(dy) * (y1 - y0)) / 2
    steps = range(int(2 * half / NAME_STEP_MM))
    spots: list[Point] = [
        (middle[0] + dx * (k * NAME_STEP_MM - half), middle[1] + dy * (k * NAME_STEP_MM - half)) for k in steps
    ]
    covered = [[[x, y] for x, y, *_ in lines] for lines in space.hidden_areas]
    spots = [p for p in spots if not any(point_in_polygon(loop, p) for loop in covered)]
    found = space.place([text], LABEL_HEIGHTS_MM, space.level, spots, NAME_CLEARANCE_MM) if spots else None
    if found is None:
        return False
    at, size = found
    s.marks.append(Mark("text", s.panel.id, "", at, text, size, space.level))
    return True


def _place_anywhere(s: PanelView, text: str) -> bool:
    found = s.free_space.place_level([text], LABEL_HEIGHTS_MM)
    if found is None:
        return False
    at, size, angle = found
    s.marks.append(Mark("text", s.panel.id, "", at, text, size, angle))
    return True
