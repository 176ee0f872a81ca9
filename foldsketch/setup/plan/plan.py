"""Plan: the chosen sequence of set-ups with every figure, the others and why not, and what cannot be done."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.findings import Finding, input_error
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.base.units import format_count
from foldsketch.part.mass.mass_properties import MassProperties, mass_properties
from foldsketch.part.model import Feature, Part
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import Alternative, Clamping, SetUp, SetUpPlan
from foldsketch.setup.plan.clampings import ClampingOptions, features_to_turn, find_clampings
from foldsketch.setup.plan.search import BestSequence, SequenceRules, best_sequence
from foldsketch.setup.plan.setup_figures import calculate_set_up

MAX_ALTERNATIVES = 3
"""Other sequences that are told."""

EQUAL_COST_REASON = "as good; the other comes first in the part file"
"""Why another sequence was not chosen that costs the same."""


def plan(
    part: Part, machine: Machine, tolerance: Tolerance = DEFAULT_TOLERANCE, listener: Listener = ignore_progress
) -> SetUpPlan:
    """The set-ups of a part on a machine. Raises FoldsketchError for a part with nothing to turn along z."""
    wanted = features_to_turn(part, machine)
    if not wanted:
        raise input_error(
            f"part '{part.name}'",
            "has no feature to turn on an axis along z",
            'give a cylinder, cone or ring on an upright axis, not finish = "cast" without stock',
        )
    listener("mass", 0.0)
    mass = mass_properties(part, tolerance)
    listener("clampings", 0.2)
    held = find_clampings(part, machine, mass)
    needed = frozenset(f.name for f in wanted)
    rules = SequenceRules(machine.kind == "twin", machine.cross_travel)
    listener("order", 0.4)
    found = best_sequence(held.clampings, needed, rules)
    setups: list[SetUp] = []
    if found is not None:
        done: set[str] = set()
        for k, index in enumerate(found.steps):
            before = held.clampings[found.steps[k - 1]] if k else None
            setups.append(calculate_set_up(part, machine, mass, held.clampings[index], before, done, needed, k + 1))
            done |= set(held.clampings[index].turned)
    listener("others", 0.7)
    others = _alternative_sequences(held, needed, rules, found)
    left = _unturned_features(needed - (found.done if found else frozenset()), held)
    findings = _plan_findings(part, machine, mass, wanted, left)
    axes = len({f.axis for f in wanted if found is None or f.name in found.done})
    why = f"{axes} axes have to come onto the centreline, one a clamping"
    return SetUpPlan(
        part.name,
        machine.name,
        mass.mass,
        tuple(setups),
        left,
        others,
        (*held.refused, *((f"feature '{name}'", why) for name, why in held.unreached)),
        found.states if found else 0,
        (axes, why),
        findings,
    )


def _unturned_features(missing: frozenset[str], held: ClampingOptions) -> tuple[tuple[str, str], ...]:
    """Features that are not turned, each with the reasons, the first few."""
    result = []
    for name in sorted(missing):
        reasons = [why for feature, why in held.unreached if feature == name]
        if not reasons:
            reasons = [f"{what}: {why}" for what, why in held.refused]
        result.append((name, "; ".join(reasons[:3]) or "no clamping brings its axis onto the centreline"))
    return tuple(result)


def _alternative_sequences(
    held: ClampingOptions, needed: frozenset[str], rules: SequenceRules, chosen: BestSequence | None
) -> tuple[Alternative, ...]:
    """The best sequences that begin otherwise, each with what it costs more."""
    if chosen is None:
        return ()
    first = held.clampings[chosen.steps[0]]
    seen = {(first.from_end, first.held_on, first.on_centreline)}
    found = []
    for k, c in enumerate(held.clampings):
        key = (c.from_end, c.held_on, c.on_centreline)
        if key in seen or not c.turned:
            continue
        seen.add(key)
        other = best_sequence(held.clampings, needed, rules, k)
        if other is not None:
            found.append(((-len(other.done), other.cost, other.steps), other))
    found.sort(key=lambda f: f[0])
    return tuple(
        Alternative(tuple(clamping_text(held.clampings[i]) for i in other.steps), _rejection_reason(other, chosen))
        for _, other in found[:MAX_ALTERNATIVES]
    )


def clamping_text(c: Clamping) -> str:
    """A clamping in one line."""
    way = "" if c.way == "centred" else f" ({c.way})"
    return f"{c.spindle}, held on '{c.held_on}'{way}, axis {c.on_centreline} on the centreline, working {c.from_end}"


def _rejection_reason(other: BestSequence, chosen: BestSequence) -> str:
    if len(other.done) < len(chosen.done):
        return f"leaves {', '.join(sorted(chosen.done - other.done))} unturned"
    a, b = other.cost, chosen.cost
    if a[0] > b[0]:
        return f"{format_count(a[0] - b[0], 'clamping')} more"
    if a[1] > b[1]:
        return f"as many clampings, {a[1] - b[1]} more of them off centre"
    if a[2] > b[2] + 1e-6:
        return f"as many clampings, {100 * (a[2] / b[2] - 1):.0f} % more unbalance in all" if b[2] else "more unbalance"
    if a[3] > b[3]:
        return "as good, but with more to set"
    return EQUAL_COST_REASON


def _plan_findings(
    part: Part, machine: Machine, mass: MassProperties, wanted: Sequence[Feature], left: Sequence[tuple[str, str]]
) -> tuple[Finding, ...]:
    found = []
    for name, why in left:
        found.append(
            Finding(
                "warning",
                f"feature '{name}'",
                f"cannot be turned complete on this machine: {why}",
                "another machine file, another way of holding, or a shorter neighbour",
            )
        )
    if mass.mass is None:
        cure = "give material = … or density = … in the part file"
        found.append(Finding("note", f"part '{part.name}'", "has no density: unbalance and speed are missing", cure))
    if not mass.exact:
        found.append(
            Finding("note", f"part '{part.name}'", "has features on slant axes: its mass is good to about 1e-5", "")
        )
    crossing = [f.name for f in part.features if f.round and not part.axis(f.axis).along_z]
    if crossing:
        names = ", ".join(f"'{n}'" for n in crossing)
        found.append(Finding("note", names, "crosses the spindle and is not turned", "use a driven tool"))
    turned = {f.name for f in wanted}
    drilled = [
        f.name
        for f in part.features
        if f.round and f.cut and f.name not in turned and part.axis(f.axis).along_z and f.finish != "cast"
    ]
    if drilled:
        names = ", ".join(f"'{n}'" for n in drilled)
        what = f"up to {machine.tools.drill:g} mm: left to a driven drill, with no set-up of their own"
        found.append(Finding("note", names, what, 'give finish = "machined" to have them turned'))
    return tuple(found)
