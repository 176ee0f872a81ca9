"""Plan: the chosen sequence of set-ups with all figures, the others and why not, and what cannot be done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from foldsketch.base.findings import Finding, mm, worst_first
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.mass.mass_properties import MassProperties, mass_properties
from foldsketch.part.model import Feature, Part
from foldsketch.setup import messages
from foldsketch.setup.machine import DEFAULT_MACHINE, Machine
from foldsketch.setup.model import Alternative, Clamping, SetUp, SetUpPlan
from foldsketch.setup.plan.clampings import ClampingOptions, features_to_turn, find_clampings
from foldsketch.setup.plan.search import BestSequence, SequenceRules, best_sequence
from foldsketch.setup.plan.setup_figures import calculate_set_up

MAX_ALTERNATIVES = 3
"""Other sequences that a plan lists."""

MAX_REASONS = 3
"""Reasons listed for a feature that cannot be turned."""


def plan(
    part: Part,
    machine: Machine = DEFAULT_MACHINE,
    tolerance: Tolerance = DEFAULT_TOLERANCE,
    listener: Listener = ignore_progress,
) -> SetUpPlan:
    """Plan the set-ups of a part on a machine.

    Parameters
    ----------
    part : Part
        Features on upright axes are turned. Without a density there are no balance figures.
    machine : Machine, optional
        From `read_machine`; by default an invented twin-spindle lathe.
    tolerance : Tolerance, optional
        Lengths that count as none, mm.
    listener : callable, optional
        Called with the name of a stage and a share from 0 to 1.

    Returns
    -------
    SetUpPlan
        The sequence with the fewest set-ups, then the fewest off centre. Angles in it are radians; `plan_report` gives
        degrees.

    Raises
    ------
    FoldsketchError
        When the part has nothing to turn on an axis along z.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> [(s.clamping.on_centreline, s.clamping.offset) for s in foldsketch.plan(part).setups]
    [('A', 0.0), ('A', 0.0), ('B', 6.0)]
    """
    wanted = features_to_turn(part, machine)
    if not wanted:
        raise messages.NOTHING_TO_TURN.error(f"part '{part.name}'")
    listener("mass", 0.0)
    mass = mass_properties(part, tolerance)
    listener("clampings", 0.2)
    options = find_clampings(part, machine, mass)
    needed = frozenset(f.name for f in wanted)
    rules = SequenceRules(machine.kind == "twin", machine.cross_travel)
    listener("order", 0.4)
    found = best_sequence(options.clampings, needed, rules)
    setups: list[SetUp] = []
    done: set[str] = set()
    before = None
    for c in (options.clampings[k] for k in found.steps) if found else ():
        setups.append(calculate_set_up(part, machine, mass, c, before, done, needed, len(setups) + 1))
        done |= set(c.turned)
        before = c
    listener("others", 0.7)
    unturned = _unturned_features(needed - done, options)
    axes = len({f.axis for f in wanted if found is None or f.name in done})
    return SetUpPlan(
        part=part.name,
        machine=machine.name,
        units=part.units,
        mass=mass.mass,
        setups=tuple(setups),
        unturned=unturned,
        alternatives=_alternative_sequences(options, needed, rules, found),
        rejected=(
            *options.rejected,
            *(replace(reason, where=f"'{name}' {reason.where}") for name, reason in options.unreachable),
        ),
        states_searched=found.states_searched if found else 0,
        lower_bound=(axes, f"{axes} {'axis' if axes == 1 else 'axes'} must go on the spindle, one per set-up"),
        findings=_plan_findings(part, machine, mass, wanted, [name for name, _ in unturned]),
    )


def _unturned_features(
    missing: frozenset[str], options: ClampingOptions
) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """Features that are not turned, each with its first few reasons."""
    result = []
    for name in sorted(missing):
        reasons = [reason for feature, reason in options.unreachable if feature == name] or list(options.rejected)
        result.append((name, tuple(reasons[:MAX_REASONS])))
    return tuple(result)


def _alternative_sequences(
    options: ClampingOptions, needed: frozenset[str], rules: SequenceRules, chosen: BestSequence | None
) -> tuple[Alternative, ...]:
    """The best sequences that begin otherwise, each with why it was not chosen."""
    if chosen is None:
        return ()
    first = options.clampings[chosen.steps[0]]
    seen = {(first.from_end, first.held_on, first.on_centreline)}
    found: list[BestSequence] = []
    for k, c in enumerate(options.clampings):
        key = (c.from_end, c.held_on, c.on_centreline)
        if key in seen or not c.turned:
            continue
        seen.add(key)
        other = best_sequence(options.clampings, needed, rules, k)
        if other is not None:
            found.append(other)
    found.sort(key=lambda s: (-len(s.done), s.cost, s.steps))
    return tuple(
        Alternative(tuple(clamping_text(options.clampings[k]) for k in other.steps), rejection_reason(other, chosen))
        for other in found[:MAX_ALTERNATIVES]
    )


def clamping_text(c: Clamping) -> str:
    """A clamping in one line."""
    method = "" if c.holding_method == "centred" else f" ({c.holding_method})"
    return f"{c.spindle}, hold '{c.held_on}'{method}, axis {c.on_centreline}, machined from {c.from_end}"


def rejection_reason(other: BestSequence, chosen: BestSequence) -> Finding:
    """Why the chosen sequence was preferred to another one."""
    if len(other.done) < len(chosen.done):
        return messages.ORDER_LEAVES_FEATURES.at(features=", ".join(sorted(chosen.done - other.done)))
    (steps, off_centre, unbalance, effort), least = other.cost, chosen.cost
    if steps > least[0]:
        return messages.ORDER_MORE_SET_UPS.at(count=steps - least[0])
    if off_centre > least[1]:
        return messages.ORDER_MORE_OFF_CENTRE.at(count=off_centre - least[1])
    if unbalance > least[2] + 1e-6:
        more = f"{100 * (unbalance / least[2] - 1):.0f} % more" if least[2] else "more"
        return messages.ORDER_MORE_UNBALANCE.at(more=more)
    return messages.ORDER_MORE_TO_SET.at() if effort > least[3] else messages.ORDER_EQUALLY_GOOD.at()


def _plan_findings(
    part: Part, machine: Machine, mass: MassProperties, wanted: Sequence[Feature], unturned: Sequence[str]
) -> tuple[Finding, ...]:
    found = [messages.FEATURE_NOT_TURNED.at(f"feature '{name}'") for name in unturned]
    if mass.mass is None:
        found.append(messages.NO_DENSITY.at(f"part '{part.name}'"))
    if not mass.exact:
        found.append(messages.MASS_APPROXIMATE.at(f"part '{part.name}'"))
    for f in part.features:
        if not f.is_round:
            continue
        if not part.axis(f.axis).along_z:
            found.append(messages.NOT_ALONG_SPINDLE.at(f"feature '{f.name}'"))
        elif f.cut and f not in wanted and f.finish != "cast":
            found.append(messages.DRILLED.at(f"feature '{f.name}'", most=mm(machine.tools.drill)))
    return tuple(worst_first(found))
