"""Option: a clamping that can be made of the work as it is, and which of several are not worth keeping."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.setup.formulas.way_cost import TOOL_MIN
from foldsketch.setup.formulas.work_limits import WorkLimits
from foldsketch.setup.plan.targets import Cut, Place
from foldsketch.setup.plan.workholding import Workholding
from foldsketch.setup.work.solid import Done
from foldsketch.setup.work.surface_cuts import Tool


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """A clamping that can be made in a state.

    holding: how; weighted: with a counterweight; centre: with a tailstock centre; raw_after: features whose raw surface
    has been held then; minutes: a part, of cuts and tool calls; each: of work by hand besides loading, while nothing
    turns; setting: before the batch, without tools and chuck change; tools: that it calls; parting: minutes of parting
    it off a fed bar, 0 for none.
    """

    place: Place
    holding: Workholding
    weighted: bool
    centre: bool
    before: Done
    after: Done
    raw_after: frozenset[str]
    cuts: tuple[Cut, ...]
    limits: WorkLimits
    minutes: float
    each: float
    setting: float
    tools: frozenset[Tool]
    parting: float = 0.0


def without_dominated(options: list[Option]) -> list[Option]:
    """Of options with the same result those that no other one beats in setting and minutes."""
    groups: dict[tuple[object, ...], list[Option]] = {}
    for o in options:
        p = o.place
        key = (p.spindle.name, p.from_end, p.line, p.held.name, o.after, o.raw_after, o.holding.chuck, p.parting)
        groups.setdefault(key, []).append(o)
    kept = []
    for group in groups.values():
        best: list[Option] = []
        for o in sorted(group, key=lambda o: (o.setting + TOOL_MIN * len(o.tools), o.minutes + o.each)):
            if all(o.minutes < b.minutes - 1e-9 or o.each < b.each - 1e-9 for b in best):
                best.append(o)
        kept += best
    return kept
