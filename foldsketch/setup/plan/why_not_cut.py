"""Why a surface is not cut in any set-up of a plan: what keeps tools away, and what keeps jaws from holding."""

from __future__ import annotations

from dataclasses import replace

from foldsketch.base.findings import Finding
from foldsketch.setup import messages
from foldsketch.setup.access.tool_access import why_not_reached
from foldsketch.setup.machine import Machine
from foldsketch.setup.plan.options import PART_ENDS, OptionFinder
from foldsketch.setup.plan.targets import Place
from foldsketch.setup.work.holding import held_surfaces, length_for_jaws
from foldsketch.setup.work.solid import Done
from foldsketch.setup.work.states import WorkStates

MAX_REASONS = 3
"""Reasons listed for a surface that cannot be cut."""


def why_not_cut(name: str, done: Done, machine: Machine, finder: OptionFinder) -> tuple[Finding, ...]:
    """What keeps tools away from a surface, then what keeps jaws from holding. done: what the plan machines."""
    states, found = finder.states, list[Finding]()
    part, axis = states.part, finder.groups.axis_of(name)
    feature = next((f for f in part.features if f.name == name), None)
    if feature is not None and name in states.rounds:
        at, work = part.axis(axis).point[:2], states.solid(done | {name}).part
        made = next((f for f in work.features if f.name == name), None)
        for end in PART_ENDS:
            held = held_surfaces(states, done)[0]
            place = Place(machine.spindles[0], end, held, (held.low, held.low), axis, (at[0], at[1]))
            approach = replace(finder.cuts.access.approach(place), chuck=None)
            reason = why_not_reached(part, feature, approach)
            if reason is None and made is not None:  # free in the end, but behind what stays uncut
                reason = why_not_reached(work, made, approach)
            if reason is not None:
                found.append(replace(reason, where=f"from {end}"))
        if len(found) == len(PART_ENDS):
            return tuple(found)[:1] if found[0].code == found[1].code and not found[0].values else tuple(found)
    if name in states.faces and (face := states.faces[name]).carries:
        at, held = part.axis(face.axis).point[:2], held_surfaces(states, done)[0]
        place = Place(machine.spindles[0], face.end, held, (held.low, held.low), face.axis, (at[0], at[1]))
        if not finder.cuts.access.is_face_free(name, place):
            return (messages.STANDS_ON_FACE.at(features=face.carries),)
    own = [f for f in finder.rejected if f.where.startswith(f"axis {axis} ")]
    about = [f for f in finder.rejected if f.where.endswith(f"with axis {axis} on it")]
    found = list(dict.fromkeys([*own, *_holding_reasons(done, machine, states), *about]))[:MAX_REASONS]
    return tuple(found) or (messages.NO_CLAMPING_FOUND.at(),)


def _holding_reasons(done: Done, machine: Machine, states: WorkStates) -> list[Finding]:
    """Why the surfaces of the last state are not held."""
    found = []
    for held in held_surfaces(states, done):
        for end in PART_ENDS:
            span = length_for_jaws(states, done, held, end, machine.spindles[0])
            if isinstance(span, Finding):
                found.append(span)
    return found
