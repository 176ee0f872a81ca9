"""What there is to report about a plan as a whole: what is left, what is not known, and tolerances not kept."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from foldsketch.base.findings import Finding, Quantity, mm, worst_first
from foldsketch.part.model import Part
from foldsketch.setup import messages
from foldsketch.setup.formulas.workpiece_rules import location_between
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import LENGTH_TOLERANCE_MM, SetUp
from foldsketch.setup.plan.options import OptionFinder
from foldsketch.setup.plan.order import Order
from foldsketch.setup.work.states import WorkStates


def plan_findings(
    part: Part,
    machine: Machine,
    finder: OptionFinder,
    order: Order | None,
    unturned: tuple[str, ...],
    setups: tuple[SetUp, ...],
) -> tuple[Finding, ...]:
    """Notes and warnings, the worst first. unturned: surfaces that are asked for and not cut."""
    states, cuts, where = finder.states, finder.cuts, f"part '{part.name}'"
    found = [messages.FEATURE_NOT_TURNED.at(_place_of(name, states)) for name in unturned]
    found += states.blank.findings
    if states.blank.kind == "bar" and not any(s.clamping.way == "fed_bar" for s in setups):
        bar = (messages.BAR_NOT_FED.code, messages.NO_PARTING_BLADE.code)
        found += list(dict.fromkeys(replace(f, where=where) for f in finder.rejected if f.code in bar))
    if part.density is None:
        found.append(messages.NO_DENSITY.at(where))
    elif not states.mass(frozenset()).exact:
        found.append(messages.MASS_APPROXIMATE.at(where))
    if cuts.data is None:
        found.append(messages.NO_CUTTING_DATA.at(where, minutes=Quantity(cuts.fixed_minutes, "min", 1)))
    if order is not None and not order.exact:
        found.append(messages.SEARCH_STOPPED.at(where, count=order.states))
    cut = {c.surface for s in setups for c in s.cuts}
    for f in part.features:
        if f.is_round and not part.axis(f.axis).along_z:
            found.append(messages.NOT_ALONG_SPINDLE.at(f"feature '{f.name}'"))
        elif f.is_round and f.cut and f.name not in finder.needed and f.finish != "cast":
            found.append(messages.DRILLED.at(f"feature '{f.name}'", most=mm(machine.tools.drill)))
        elif f.name in cut and not f.is_round:
            found.append(messages.TURNED_TO_CORNERS.at(f"feature '{f.name}'", diameter=mm(2 * f.radius)))
        elif not f.is_round and states.blank.bar:
            found.append(messages.NOT_ROUND.at(f"feature '{f.name}'"))
    found += _location_findings(part, finder, setups)
    found += _halves_findings(setups, states)
    return tuple(worst_first(found))


def _location_findings(part: Part, finder: OptionFinder, setups: tuple[SetUp, ...]) -> list[Finding]:
    """Features with a location tolerance that the set-ups between them and the datum do not keep."""
    made_in = {n: s for s in setups for n in s.features}
    datum = next((s for s in setups for n in s.features if finder.groups.axis_of(n) == part.datum.name), None)
    found = []
    for f in part.features:
        s = made_in.get(f.name)
        if f.location is None or s is None or (datum is not None and s.number == datum.number):
            continue
        if datum is None:
            if not finder.states.blank.bar:
                values = {"axis": part.datum.name, "allowed": mm(f.location, 3)}
                found.append(messages.LOCATION_FROM_CAST.at(f"feature '{f.name}'", **values))
            continue
        share = _location_between(setups[min(s.number, datum.number) : max(s.number, datum.number)])
        if share > f.location:
            values = {"location": mm(share), "allowed": mm(f.location)}
            found.append(messages.LOCATION_NOT_KEPT.at(f"feature '{f.name}'", **values))
    return found


def _location_between(between: tuple[SetUp, ...]) -> float:
    """What the set-ups after the first add to the location, mm; a raw surface adds its own, however it is held."""
    shares = ["hard_jaws" if s.clamping.raw else s.clamping.way for s in between]
    return location_between((*shares, *("hand_over" for s in between if not s.by_hand)))


def _halves_findings(setups: tuple[SetUp, ...], states: WorkStates) -> list[Finding]:
    """Diameters of which two set-ups each cut a part: the line where they meet, and the step that is likely there."""
    found = []
    for a, b in combinations(setups, 2):
        share = mm(_location_between(setups[a.number : b.number]))
        for one in a.cuts:
            for other in b.cuts:
                band = one.band or other.band  # one of them may mill all that is left
                if one.surface == other.surface and band:
                    ends = band[1] < states.rounds[one.surface].high - LENGTH_TOLERANCE_MM
                    values = {"height": mm(band[1] if ends else band[0]), "share": share}
                    found.append(messages.SURFACE_IN_TWO_SETUPS.at(f"feature '{one.surface}'", **values))
    return found


def _place_of(name: str, states: WorkStates) -> str:
    return f"face '{name}'" if name in states.faces else f"feature '{name}'"
