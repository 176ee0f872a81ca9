"""Tools as polygons in the half-plane (r, z), with a thickness across it.

A fixed tool meets what turns where sqrt(x2 + y2) is in the swept region for one of its points (x, y, z): x in the plane
through the centreline, y across it. An axial tool has its edge at centre height and a body that goes so far below it; a
bar or a drill is round, so its section in the plane says all, and a radial tool runs outwards for ever. [D]

The origin of a tool is its tip. x runs away from the centreline, z out of the chuck; mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, tan

from foldsketch.setup.access.swept_region import FAR_MM
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.formulas.bar_deflection import beam_deflection, second_moment_of_area, second_moment_of_rectangle

HOLDER_MM = 40.0
"""Width of what a tool stands in: block, sleeve or collet nut [C]."""

TRAILING_ANGLE = radians(5)
"""Between the edge that trails and the surface behind it: 80 degree insert, set at 95 degrees [C]."""

BORING_BAR_SHARE = 0.7
"""Diameter of a boring bar over the bore that has room for it and its chips [C]."""

BAR_HEAD_MM = 2.0
"""How far the tip of a boring bar stands out beside the bar [C]."""

BAR_SLEEVE_MM = 10.0
"""How far the sleeve of a boring bar stands out beyond its tip [C: bars of 8 to 20, 12 to 7]."""

Corner = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Piece:
    """A convex piece of a tool.

    corners: x and z, mm; height: thickness across the plane, below centre height, mm, 0 where it does not matter.
    """

    corners: tuple[Corner, ...]
    height: float = 0.0


@dataclass(frozen=True, slots=True)
class Stance:
    """A tool as it stands with its tip on a surface.

    edge: from the tip along its cutting edge, mm, (0, 0) for a pointed one; straight: where it can stand it can also
    come, along its own length.
    """

    pieces: tuple[Piece, ...]
    edge: Corner = (0.0, 0.0)
    straight: bool = True


def tool_stances(cutter: Cutter, stick_out: float, room: float = 0.0) -> tuple[Stance, ...]:
    """All ways in which a tool stands: right and left hand; none for a driven cutter.

    stick_out: from the tip to what holds it, mm; room: radial gap that an axial tool asks for beside a surface, mm.
    """
    w = cutter.width
    match cutter.kind:
        case "outside":
            back = w * tan(TRAILING_ANGLE)
            shank = Piece(((0.0, 0.0), (back, w), (FAR_MM, w), (FAR_MM, 0.0)))
            right = (shank, Piece(_box(stick_out, 0.0, FAR_MM, max(w, HOLDER_MM))))
            return Stance(right), Stance(tuple(_mirrored(p) for p in right))
        case "blade":
            shank = Piece(_box(0.0, 0.0, FAR_MM, w))
            blocks = (0.0, max(w, HOLDER_MM)), (w - max(w, HOLDER_MM), w)
            return tuple(Stance((shank, Piece(_box(stick_out, a, FAR_MM, b))), (0.0, w)) for a, b in blocks)
        case "axial":
            block = _box(-HOLDER_MM / 2, stick_out, max(w, HOLDER_MM / 2), FAR_MM)
            pieces = (Piece(_box(0.0, 0.0, w, FAR_MM), cutter.shank), Piece(block))
            beside = (Piece(_box(0.0, 0.0, room, FAR_MM)),) if room > w else ()
            return (Stance((*pieces, *beside), (w, 0.0)),)
        case "bar":
            deep = cutter.diameter / BORING_BAR_SHARE
            head = min(BAR_HEAD_MM, deep / 2)
            tip = ((0.0, 0.0), (-head, 2 * head), (-deep, 2 * head), (-deep, 0.0))
            shank = Piece(_box(-deep, 0.0, -head, FAR_MM))
            sleeve = _box(min(-deep, BAR_SLEEVE_MM - HOLDER_MM), stick_out, BAR_SLEEVE_MM, FAR_MM)
            # Straight in, a bar takes up its whole width; around a corner it may go in beside the wall and then out.
            body = Piece(_box(-deep, 0.0, 0.0, FAR_MM))
            return Stance((body, Piece(sleeve))), Stance((Piece(tip), shank, Piece(sleeve)), straight=False)
        case "drill":
            d, half = cutter.diameter, max(cutter.diameter, HOLDER_MM) / 2
            nut = _box(-d / 2 - half, stick_out, half - d / 2, FAR_MM)
            return (Stance((Piece(_box(-d, 0.0, 0.0, FAR_MM)), Piece(nut))),)
    return ()


def slimmed(cutter: Cutter, share: float) -> Cutter:
    """The same tool, narrower in the plane."""
    return cutter._replace(width=cutter.width * share, diameter=cutter.diameter * share)


def tool_size(cutter: Cutter) -> float:
    """What a tool is known by, mm: the diameter of a bar, drill or cutter, the width of the others."""
    return cutter.diameter or cutter.width


def stiffness(cutter: Cutter) -> float:
    """Second moment of area against the cutting force, which is square to the plane, mm4."""
    if cutter.diameter:
        return second_moment_of_area(cutter.diameter)
    return second_moment_of_rectangle(cutter.width, cutter.shank)


def overhang_ratio(cutter: Cutter, stick_out: float) -> float:
    """Stick-out over the diameter, or over the height of a tool that has none."""
    return stick_out / (cutter.diameter or cutter.shank)


def tool_deflection(cutter: Cutter, stick_out: float, force: float) -> float:
    """Deflection at the tip, mm, under a force in N square to the plane."""
    return beam_deflection(force, stick_out, stiffness(cutter))


def _box(x0: float, z0: float, x1: float, z1: float) -> tuple[Corner, ...]:
    return ((x0, z0), (x1, z0), (x1, z1), (x0, z1))


def _mirrored(p: Piece) -> Piece:
    return Piece(tuple((x, -z) for x, z in p.corners), p.height)
