"""Each feature's name and size on its ends and its strip, a key for names that do not fit, and the z arrow."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin

import numpy as np

from foldsketch.base.arrays import Point
from foldsketch.base.lettering import is_ambiguous_upside_down, text_width
from foldsketch.net.labels.panel_space import text_line_centres
from foldsketch.net.marks.dimension_text import name_and_size
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import Mark
from foldsketch.solid.faceting.facet import FacetedPart

LABEL_HEIGHTS_MM = (3.5, 2.5, 1.8)
"""Capital heights that are tried for words, mm [ISO 3098-1]."""

KEY_LETTERS = "krstvxyzcefgj"
"""Letters of the key, which no tab has: without those that read as figures or, upside down, as another letter; what
the first axes of a part are called comes last."""

PieceKeys = dict[int, list[tuple[str, str]]]
"""Piece -> letters printed on its panels, each with what it means; an empty letter is printed nowhere."""


def mark_feature_names(faceted: FacetedPart, views: Sequence[PanelView], keys: PieceKeys) -> None:
    """Names on the panels of one block; a letter with a key where they do not fit."""
    by_feature: dict[str, list[PanelView]] = {}
    for s in views:
        by_feature.setdefault(s.panel.feature, []).append(s)
    for name, own in by_feature.items():
        feature = faceted.prisms_by_name[name].feature
        words = name_and_size(feature, faceted.part.units)
        for s in own:
            if s.panel.kind == "end" and not _place_name(s, words):
                add_key_entry(s, " ".join(words), keys)
        sides = [s for s in own if s.panel.kind != "end"]
        _draw_z_arrow(sides)
        for piece in sorted({s.piece for s in sides}):
            choice = sorted(
                (s for s in sides if s.piece == piece), key=lambda s: (s.has_datum_mark, -round(s.area, 3), s.face)
            )
            if not any(_place_name(s, words) for s in choice[:4]):
                add_key_entry(choice[0], " ".join(words), keys)


def mark_net_number(views: Sequence[PanelView], number: str) -> None:
    """The net's own number in a frame on one of its large panels: once it is cut out nothing else says which it is."""
    for s in sorted(views, key=lambda s: (-round(s.area, 3), s.face))[:4]:
        for text in (f"net {number}", number):
            found = s.free_space.place_level([text], (2.5, 1.8), clear=0.9)
            if found:
                at, size, angle = found
                s.marks.append(Mark("text", s.panel.id, "", at, text, size, angle, paths=(_text_frame(text, *found),)))
                return


def _text_frame(text: str, at: Point, size: float, angle: float) -> tuple[Point, ...]:
    """A box round words, with room for the line below a number that reads as another one upside down."""
    w, h = text_width(text, size) / 2 + 0.6, size / 2 + 0.6
    low = -h - 0.25 if is_ambiguous_upside_down(text) else -h
    c, t = cos(angle), sin(angle)
    corners = ((-w, low), (w, low), (w, h), (-w, h), (-w, low))
    return tuple((at[0] + u * c - v * t, at[1] + u * t + v * c) for u, v in corners)


def _place_name(s: PanelView, words: tuple[str, ...]) -> bool:
    options = [(words[0] + " " + words[1],), words] if len(words) > 1 and words[1] else [words[:1]]
    for lines in options:
        found = s.free_space.place_level(lines, LABEL_HEIGHTS_MM)
        if found:
            at, size, angle = found
            for text, p in zip(lines, text_line_centres(at, len(lines), size, angle), strict=True):
                s.marks.append(Mark("text", s.panel.id, "", p, text, size, angle))
            return True
    return False


def add_key_entry(s: PanelView, text: str, keys: PieceKeys) -> None:
    """A circled letter on the panel if it fits, and what it means beside the net.

    What is circled nowhere on the net is listed without a letter.
    """
    own = keys.setdefault(s.piece, [])
    at_row = next((k for k, (_, t) in enumerate(own) if t == text), None)
    if at_row is None:
        at_row = len(own)
        own.append(("", text))
    letter = own[at_row][0] or key_letter(sum(bool(n) for n, _ in own))
    found = s.free_space.place_level([letter], (1.8,), clear=0.9)
    if found:
        at, size, angle = found
        r = 1.75
        ring = tuple((at[0] + r * cos(t), at[1] + r * sin(t)) for t in np.linspace(0, 2 * pi, 17).tolist())
        s.marks.append(Mark("text", s.panel.id, "", at, letter, size, angle, paths=(ring,)))
        s.free_space.add_obstacle(ring)
        own[at_row] = (letter, text)


def key_letter(k: int) -> str:
    """The letter of the key's entry k, from 0.

    >>> [key_letter(k) for k in (0, 1, 12, 13, 14, 26)]
    ['k', 'r', 'j', 'kk', 'kr', 'rk']
    """
    more, last = divmod(k, len(KEY_LETTERS))
    return (key_letter(more - 1) if more else "") + KEY_LETTERS[last]


def _draw_z_arrow(sides: Sequence[PanelView]) -> None:
    """A small arrow with the letter z on one side panel of the strip, pointing to the part's +z end."""
    for s in sorted(sides, key=lambda s: (not s.has_datum_mark, -round(s.area, 3))):
        up = s.panel.to_space[2, :2].tolist()
        if hypot(*up) < 0.9:
            continue
        angle = atan2(up[1], up[0]) - pi / 2
        found = s.free_space.place_level(["z"], (1.8,), clear=2.0) or s.free_space.place_level(["z"], (1.8,), clear=1.3)
        if not found:
            continue
        at, size, _ = found
        c, t = cos(angle), sin(angle)

        def put(x: float, y: float, at: Point = at, c: float = c, t: float = t) -> Point:
            return (at[0] + x * c - y * t, at[1] + x * t + y * c)

        paths = ((put(-1.0, -1.8), put(-1.0, 1.8)), (put(-1.6, 0.7), put(-1.0, 1.8), put(-0.4, 0.7)))
        for path in paths:
            s.free_space.add_obstacle(path)
        s.marks.append(Mark("text", s.panel.id, "", put(0.7, 0.0), "z", size, angle, paths=paths))
        return
