"""Workholding: with which ways and chucks of a machine a surface is held, and why not with the others."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import NamedTuple

from foldsketch.base.findings import Finding, mm
from foldsketch.setup import messages
from foldsketch.setup.formulas.bored_pocket import largest_bored_offset
from foldsketch.setup.formulas.centre_holes import centre_holes
from foldsketch.setup.formulas.jaws import bored_jaws, frictionless_offset_limit
from foldsketch.setup.machine import HOLDING_METHODS, Machine
from foldsketch.setup.model import HoldingMethod
from foldsketch.setup.plan.targets import Place, Target
from foldsketch.setup.spindle import ChuckKind, Spindle
from foldsketch.setup.work.clamping_limits import CLAMPED_WAYS
from foldsketch.setup.work.holding import CENTRED_WAYS, RAW_WAYS, HeldSurface
from foldsketch.setup.work.solid import Done
from foldsketch.setup.work.states import WorkStates

JAW_WAYS = (*RAW_WAYS, "fed_bar", *CENTRED_WAYS, "packed_three_jaw", "four_jaw", "bored_jaws")
"""Ways in which jaws hold the work: the grip is asked."""

THREE_JAW_ALONE = ("soft_jaws", "packed_three_jaw", "bored_jaws")
"""Ways that need a three-jaw chuck."""


class Workholding(NamedTuple):
    """way: key of [way]; chuck: that it needs, or None where the machine's own stays on."""

    way: str
    chuck: ChuckKind | None

    @property
    def method(self) -> HoldingMethod:
        """The way as it is shown."""
        return HOLDING_METHODS.get(self.way, "centred")

    @property
    def in_jaws(self) -> bool:
        """Whether jaws hold the work."""
        return self.way in JAW_WAYS


def workholdings(
    states: WorkStates,
    done: Done,
    raw_used: frozenset[str],
    held: HeldSurface,
    line: str,
    offset: float,
    spindle: Spindle,
    machine: Machine,
) -> tuple[list[Workholding], list[Finding]]:
    """Ways in which a surface is held with an axis, so far from its own, on the centreline; and why not others.

    raw_used: features whose raw surface was held before, "" for the bar.
    """
    where = f"{spindle.name} spindle on '{held.name}' with axis {line} on it"
    if held.raw and held.of in raw_used:
        return [], [messages.RAW_HELD_TWICE.at(where)]
    if held.raw and held.kind not in ("plate", "rectangle") and offset:
        return [], [messages.RAW_OFF_CENTRE.at(where, offset=mm(offset))]
    chucks = (spindle.chuck, *spindle.chucks)
    ways = list(held.ways(offset, raw_used))
    flat = held.kind in ("plate", "rectangle")
    if "four-jaw" in chucks and not offset and not flat and (held.flats or "three-jaw" not in chucks):
        ways.append("four_jaw")
    if offset and held.kind == "outside" and spindle.name == "main":
        ways.append("between_centres")
    found: list[Workholding] = []
    refused: list[Finding] = []
    # Where no jaws hold a finished surface centred, it is located on and clamped.
    clamped = CLAMPED_WAYS if not offset and not held.raw and not flat else ()
    for group in (ways, clamped):
        for way in () if found else group:
            reason = _why_not(states, done, way, held, line, offset, spindle, machine)
            if reason is None:
                found.append(Workholding(way, _chuck_for(way, chucks)))
            else:
                refused.append(replace(reason, where=where))
    return found, refused


def fed_holding(spindle: Spindle) -> Workholding:
    """A bar through the spindle, in hard jaws."""
    return Workholding("fed_bar", _chuck_for("hard_jaws", (spindle.chuck, *spindle.chucks)))


def is_covered(states: WorkStates, place: Place, holding: Workholding, centre: bool, target: Target) -> bool:
    """Whether a centre stands where the tool would cut, or straps hold the work there [C].

    A bore on the centreline has the centre in it; an end between centres has had its hole before; a tailstock centre
    comes up when the end is faced and drilled for it. centre: with a tailstock centre.
    """
    r, face = states.rounds.get(target.name), states.faces.get(target.name)
    own = r.feature if r is not None else face.feature if face is not None else ""
    if place.held.kind == "plate" and own == place.held.name and (holding.way == "face_plate" or place.held.raw):
        return True
    between = holding.way == "between_centres"
    if r is not None:
        return (centre or between) and r.cut and r.axis == place.line
    if face is None or not between or not face.free:
        return False
    x, y = states.part.axis(face.axis).point[:2]
    return hypot(x - place.at[0], y - place.at[1]) < face.radius


def _chuck_for(way: str, chucks: tuple[ChuckKind, ...]) -> ChuckKind | None:
    """The chuck that a way needs; jaws on raw or finished surfaces go into the mounted one."""
    if way in THREE_JAW_ALONE:
        return "three-jaw"
    if way in ("hard_jaws", "pads"):
        return "three-jaw" if "three-jaw" in chucks else "four-jaw"
    return {"four_jaw": "four-jaw", "face_plate": "face plate"}.get(way)  # type: ignore[return-value]


def _why_not(
    states: WorkStates,
    done: Done,
    way: str,
    held: HeldSurface,
    line: str,
    offset: float,
    spindle: Spindle,
    machine: Machine,
) -> Finding | None:
    """Why a way does not hold a surface here, without the place; None where it does."""
    chuck, chucks = _chuck_for(way, (spindle.chuck, *spindle.chucks)), (spindle.chuck, *spindle.chucks)
    if chuck is not None and chuck not in chucks:
        return messages.NO_SUCH_CHUCK.at(chuck=chuck, method=HOLDING_METHODS.get(way, "centred"))
    d = held.diameter
    if held.rectangle is not None:
        sides = held.rectangle.distances(states.part.axis(line).point[:2])
        if min(sides) < spindle.smallest / 2 or max(sides) > spindle.largest / 2:
            smallest, largest, offset_text = mm(spindle.smallest), mm(spindle.largest), mm(offset)
            across = mm(held.rectangle.across[0])
            return messages.OUTSIDE_CHUCK_RANGE.at(
                diameter=across, offset=offset_text, smallest=smallest, largest=largest
            )
    elif way in JAW_WAYS and not spindle.smallest <= d <= spindle.largest - 2 * offset:
        smallest, largest = mm(spindle.smallest), mm(spindle.largest)
        return messages.OUTSIDE_CHUCK_RANGE.at(diameter=mm(d), offset=mm(offset), smallest=smallest, largest=largest)
    if chuck == "three-jaw" and held.flats % 3:
        return messages.FLATS_IN_THREE_JAWS.at(flats=held.flats)
    if way in HOLDING_METHODS and (offset or held.kind == "plate" or way in CLAMPED_WAYS):
        method = HOLDING_METHODS[way]
        most = dict(machine.max_offsets).get(method)
        if most is None:
            return messages.NO_OFFSET_HOLDING.at()
        limit = min(most, _shape_limit(way, held, spindle))
        if offset > most or offset >= _shape_limit(way, held, spindle):
            return messages.OFFSET_TOO_LARGE.at(offset=mm(offset), method=method, most=mm(limit))
    if way == "bored_jaws":
        return why_not_bored(held.diameter, offset, spindle)
    if way == "face_plate" and held.kind != "plate":
        pieces = [p for p in states.solid(done).pieces if not p.feature.cut]
        height = max(p.high for p in pieces) - min(p.low for p in pieces)
        if height > held.diameter:  # straps do not keep tall work from tipping [C]
            return messages.TOO_HIGH_FOR_STRAPS.at(height=mm(height), width=mm(held.diameter))
    if way == "between_centres" and not all(h.fits for h in centre_holes(states.solid(done).part, (line,))):
        return messages.NO_CENTRE_HOLES.at(axis=line)
    return None


def _shape_limit(way: str, held: HeldSurface, spindle: Spindle) -> float:
    """Offset, mm, that a way must stay below for this surface, whatever the machine file allows."""
    if way == "packed_three_jaw":
        return 0.0 if held.flats else frictionless_offset_limit(held.diameter)
    return held.diameter / 2 if way == "four_jaw" and held.rectangle is None else 1e9


def why_not_bored(diameter: float, offset: float, spindle: Spindle) -> Finding | None:
    """Why a spindle's soft jaws cannot be bored for a diameter so far off centre, mm, or None."""
    jaws = bored_jaws(diameter, offset, spindle.soft_jaw_width, spindle.smallest)
    most = mm(max(0.0, largest_bored_offset(diameter, spindle.soft_jaw_width, spindle.smallest, spindle.largest)), 1)
    if not jaws.wide_enough:
        return messages.BORED_JAWS_TOO_NARROW.at(needed=mm(jaws.width, 1), width=mm(spindle.soft_jaw_width), most=most)
    if not jaws.within_chuck:
        return messages.BORED_JAWS_TOO_DEEP.at(radius=mm(jaws.least_radius), least=mm(spindle.smallest / 2), most=most)
    return None
