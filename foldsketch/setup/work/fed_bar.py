"""A bar fed through the main spindle: held behind the part, all of which is cut before it is parted off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from foldsketch.base.findings import Finding, mm
from foldsketch.setup import messages
from foldsketch.setup.cutters import Cutter
from foldsketch.setup.model import PartEnd
from foldsketch.setup.spindle import Spindle
from foldsketch.setup.work.blank import WorkBlank
from foldsketch.setup.work.holding import HeldSurface
from foldsketch.setup.work.solid import BAR_NAME

FED_GRIP_MM = 40.0
"""Length on which jaws hold a bar that comes through the spindle [M]."""


class FedBar(NamedTuple):
    """How a bar is held.

    held: what of it lies in the jaws; grip: heights between which it does, mm; parting: width of the blade between jaws
    and part, mm.
    """

    held: HeldSurface
    grip: tuple[float, float]
    parting: float


def fed_bar(
    blank: WorkBlank, at: tuple[float, float], spindle: Spindle, end: PartEnd, cutters: Sequence[Cutter]
) -> FedBar | Finding:
    """A bar through a spindle with one end of the part outward, or why it is not fed: it is sawn into pieces then.

    at: x and y of the bar's axis. A parting blade stands between the jaws and the part, and reaches the bar's middle.
    """
    d, where = blank.diameter, f"{spindle.name} spindle"
    if d > spindle.bar:
        return messages.BAR_NOT_FED.at(where, diameter=mm(d), most=mm(spindle.bar))
    if not spindle.smallest <= d <= spindle.largest:
        smallest, largest = mm(spindle.smallest), mm(spindle.largest)
        return messages.OUTSIDE_CHUCK_RANGE.at(where, diameter=mm(d), offset=mm(0), smallest=smallest, largest=largest)
    blades = [c.width for c in cutters if c.kind == "blade" and c.reach >= d / 2]
    if not blades:
        return messages.NO_PARTING_BLADE.at(where, needed=mm(d / 2))
    width = min(blades)
    if end == "+z":
        grip = (blank.low - width - FED_GRIP_MM, blank.low - width)
    else:
        grip = (blank.high + width, blank.high + width + FED_GRIP_MM)
    return FedBar(HeldSurface("", BAR_NAME, "outside", blank.axis, at, d, *grip, True), grip, width)
