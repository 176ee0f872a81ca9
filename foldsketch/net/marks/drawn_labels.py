"""Names and sizes of what is drawn and not built, beside its circle or line."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin

from foldsketch.base.lettering import text_width
from foldsketch.base.points import Point
from foldsketch.net.labels.panel_space import text_line_centres
from foldsketch.net.marks.dimension_text import size_text
from foldsketch.net.marks.feature_labels import LABEL_HEIGHTS_MM
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import DrawnFeature, Mark
from foldsketch.part.model import Cone, Feature, Plate

DRAWN_LABEL_HEIGHT_MM = 2.5
"""Capital height of the words, mm."""

MIN_PATTERN = 2
"""So many equal holes on a panel have one label."""


def label_drawn(s: PanelView, here: Sequence[DrawnFeature], drawn: Sequence[Feature], units: str) -> None:
    """Name and size of each drawn feature once on its panel; equal holes share one, with their number.

    What finds no room keeps its size alone, and then nothing: it has its name in the report and in the booklet.
    """
    by_name = {f.name: f for f in drawn}
    groups: dict[str, list[DrawnFeature]] = {}
    for d in here:
        f = by_name.get(d.feature)
        if f is None or d.hidden or (d.kind == "circle" and isinstance(f.shape, Cone) and not f.cut):
            continue
        key = size_text(f, units) if d.kind == "circle" else d.feature
        groups.setdefault(key, []).append(d)
    for own in groups.values():
        f = by_name[own[0].feature]
        size, count = size_text(f, units), len({d.feature for d in own})
        axis = next((m.axis for m in s.marks if m.at == own[0].centre and m.kind == "drawn"), "")
        if own[0].kind == "line":
            own_words = (
                [(f.name,)] if isinstance(f.shape, Plate) else [(f"{f.name} {size}",), (f.name, size), (f.name,)]
            )
            _place_anywhere(s, axis, own_words)
        else:
            texts = [f"{count} × {size}"] if count >= MIN_PATTERN else [f"{f.name} {size}", size]
            _place_beside_circle(s, axis, own, texts)


def _place_beside_circle(s: PanelView, axis: str, own: Sequence[DrawnFeature], texts: Sequence[str]) -> None:
    """Words at the first of the circles that has room for them."""
    height = DRAWN_LABEL_HEIGHT_MM
    for text in texts:
        for d in own:
            spots = _spots_at_circle(s, d, text_width(text, height) / 2, height)
            found = s.free_space.place([text], (height,), s.free_space.level, spots, clear=0.5)
            if found:
                s.marks.append(Mark("drawn", s.panel.id, axis, found[0], text, height, s.free_space.level))
                return


def _place_anywhere(s: PanelView, axis: str, options: Sequence[tuple[str, ...]]) -> None:
    """Words on a wall with lines, beside the first of its walls that has room."""
    if any(m.kind == "drawn" and m.text == options[-1][0] for m in s.marks):
        return
    for lines in options:
        found = s.free_space.place_level(lines, LABEL_HEIGHTS_MM[1:]) or s.free_space.place_upward(
            lines, LABEL_HEIGHTS_MM[1:]
        )
        if found:
            at, size, angle = found
            for text, p in zip(lines, text_line_centres(at, len(lines), size, angle), strict=True):
                s.marks.append(Mark("drawn", s.panel.id, axis, p, text, size, angle))
            return


def _spots_at_circle(s: PanelView, d: DrawnFeature, half: float, height: float) -> list[Point]:
    """Inside the circle below and above its middle as the page is read, then all round it."""
    low, r = d.radius - 1.2 * height, d.radius + 1.0
    ways = [(0.0, -k * low) for k in (0.85, 0.65, -0.85, -0.65)] if low > 0 else []
    ways += [((r + half) * cos(t), (r + height) * sin(t)) for t in (k * pi / 8 for k in range(-4, 12))]
    return [(d.centre[0] + x, d.centre[1] + y) for x, y in (s.free_space.on_page(*way) for way in ways)]
