"""Directions about a centreline as a machinist finds them: from a jaw, or from an axis of the part that he sees."""

from __future__ import annotations

from math import atan2, degrees, hypot, pi, remainder

from foldsketch.setup.model import LENGTH_TOLERANCE_MM, SetUp, WeightPlace

ON_LINE = 0.02
"""Within this angle, radians, a direction is that of a jaw or an axis, or opposite to it."""


def direction_text(s: SetUp, angle: float) -> str:
    """A direction from the centreline of a set-up: "opposite jaw 1", or "20° clockwise from axis B".

    angle: radians from the part's +x. Which way round is as seen on the end that is machined.
    """
    marks = [(f"jaw {j.number}", s.angle + j.angle) for j in s.jaws] or _axes(s)
    if not marks:
        return f"{degrees(angle) % 360:.0f}° from the part's x, anticlockwise seen from the +z end"
    turns = [(name, remainder(angle - mark, 2 * pi)) for name, mark in marks]
    on = [f"{'on the line of' if name.startswith('axis') else 'at'} {name}" for name, t in turns if abs(t) < ON_LINE]
    opposite = [f"opposite {name}" for name, t in turns if pi - abs(t) < ON_LINE]
    if on or opposite:
        return (opposite + on)[0] if opposite and opposite[0].endswith("jaw 1") else (on + opposite)[0]
    name, t = min(turns, key=lambda v: abs(v[1]))
    return f"{degrees(abs(t)):.0f}° {way_round(s, t)} from {name}"


def way_round(s: SetUp, turn: float) -> str:
    """Which way a turn goes, seen on the end that is machined. turn: radians, anticlockwise seen from +z."""
    return "anticlockwise" if (turn > 0) == (s.clamping.from_end == "+z") else "clockwise"


def weights_text(s: SetUp, weights: tuple[WeightPlace, ...]) -> str:
    """Where counterweights stand."""
    return " and ".join(dict.fromkeys(direction_text(s, w.angle) for w in weights))


def _axes(s: SetUp) -> list[tuple[str, float]]:
    """Axes of the work beside the centreline, the held one first."""
    x, y = s.clamping.at
    found = []
    for a in sorted(s.work.axes, key=lambda a: a.name != s.clamping.held_axis):
        dx, dy = a.point[0] - x, a.point[1] - y
        if (
            a.along_z
            and hypot(dx, dy) > LENGTH_TOLERANCE_MM
            and any(f.axis == a.name and not f.cut for f in s.work.features)
        ):
            found.append((f"axis {a.name}", atan2(dy, dx)))
    return found
