"""Cutters: the tools of the shop's cupboard, and the usual small list used where a machine file has none."""

from __future__ import annotations

from typing import Literal, NamedTuple

CutterKind = Literal["outside", "axial", "blade", "bar", "drill", "cutter"]
CUTTER_KINDS: tuple[CutterKind, ...] = ("outside", "axial", "blade", "bar", "drill", "cutter")
TOOL_NAMES: dict[str, str] = {
    "outside": "turning tool",
    "axial": "axial tool",
    "blade": "grooving blade",
    "bar": "boring bar",
    "drill": "drill",
    "cutter": "milling cutter",
}
"""What users read."""

ROUND_KINDS: tuple[CutterKind, ...] = ("bar", "drill", "cutter")
"""Kinds that are known by their diameter."""


BLADE_DEPTH_PER_WIDTH = 8.0
"""How many times its width a blade goes in: deeper it bends sideways, wanders and jams its chips [C: 8 to 10]."""


class Cutter(NamedTuple):
    """A tool.

    kind: outside turning tool, axial tool (fed along the axis beside a spigot or into a face groove), blade (groove,
    parting), boring bar, drill, or driven cutter; width: of the insert, blade or bar in the plane of the cut, mm;
    shank: its height across that plane, mm; overhang: how far it may stick out, mm; diameter: of bar, drill or cutter,
    mm, 0 for the others; depth: how deep a blade goes, mm, 0 for what is usual for its width.
    """

    kind: CutterKind
    width: float
    shank: float
    overhang: float
    diameter: float = 0.0
    depth: float = 0.0

    @property
    def reach(self) -> float:
        """How far it may stick out, mm; a blade no farther than it goes in."""
        if self.kind != "blade":
            return self.overhang
        return min(self.overhang, self.depth or BLADE_DEPTH_PER_WIDTH * self.width)


def _round(kind: CutterKind, ratio: float, *diameters: float) -> tuple[Cutter, ...]:
    """Bars, drills or cutters that stick out so many times their diameter."""
    return tuple(Cutter(kind, d, d, ratio * d, d) for d in diameters)


DEFAULT_CUTTERS: tuple[Cutter, ...] = (
    Cutter("outside", 20.0, 20.0, 40.0),
    Cutter("axial", 4.0, 10.0, 35.0),
    Cutter("blade", 3.0, 26.0, 35.0),
    Cutter("blade", 4.0, 32.0, 50.0),
    Cutter("blade", 6.0, 32.0, 50.0),
    *_round("bar", 4.0, 8.0, 12.0, 16.0, 20.0),
    *_round("drill", 6.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0, 16.0, 18.0, 20.0),
    *_round("cutter", 5.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0),
)
"""Usual sizes [C]: solid steel bars stick out 4 times their diameter, driven cutters 5 times."""
