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


def without_dominated(options: list[Option], handed_over: bool) -> list[Option]:
    """Of options with the same result those that no other one beats in setting and minutes; of equals the longest grip.

    handed_over: the shortest one as well, which leaves most to the jaws of the other spindle.
    """
    groups: dict[tuple[object, ...], list[tuple[float, float, float, int]]] = {}
    for k, o in enumerate(options):
        p, setting = o.place, round(o.setting + TOOL_MIN * len(o.tools), 9)
        key = (p.spindle.name, p.from_end, p.line, p.held.name, o.after, o.raw_after, o.holding.chuck)
        ranked = (setting, round(o.minutes + o.each, 9), p.grip[0] - p.grip[1], k)
        groups.setdefault(key, []).append(ranked)
    kept: dict[int, Option] = {}
    for group in groups.values():
        for sense in (1, -1) if handed_over else (1,):
            best: list[Option] = []
            for *_, k in sorted((s, m, sense * short, k) for s, m, short, k in group):
                o = options[k]
                if all(o.minutes < b.minutes - 1e-9 or o.each < b.each - 1e-9 for b in best):
                    best.append(o)
                    kept[k] = o
    return list(kept.values())
