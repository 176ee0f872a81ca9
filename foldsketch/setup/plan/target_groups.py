"""Target groups: which targets are cut together in one clamping, and which may be left for another."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from foldsketch.part.details import find_fasteners
from foldsketch.setup.plan.clamping_cuts import ClampingCuts, small_hole
from foldsketch.setup.plan.targets import Target
from foldsketch.setup.work.states import WorkStates


@dataclass
class TargetGroups:
    """Groups the targets of one part."""

    states: WorkStates
    cuts: ClampingCuts
    _together: dict[str, frozenset[str]] = field(default_factory=dict)

    def axis_of(self, name: str) -> str:
        """The axis of a feature or face, "" for none along z."""
        faces, rounds = self.states.faces, self.states.rounds
        if name in faces:
            return faces[name].axis
        return rounds[name].axis if name in rounds else ""

    def is_fastening(self, name: str) -> bool:
        """Whether an axis has nothing but small holes that a driven tool drills, and pads around them."""
        axis = self.axis_of(name)
        own = [r for r in self.states.rounds.values() if r.axis == axis]
        return bool(own) and all(r.feature in self._fasteners or self._is_small_and_drilled(r.feature) for r in own)

    def subsets(self, targets: tuple[Target, ...]) -> list[tuple[Target, ...]]:
        """All targets; without one other axis that driven tools reach; without any of them."""
        other = {self.axis_of(t.name) for t in targets if t.how != "turned"}
        groups = self._alike(other)
        found = [tuple(targets)]
        for group in groups:
            found.append(tuple(t for t in targets if t.how == "turned" or self.axis_of(t.name) not in group))
        if len(groups) > 1:
            found.append(tuple(t for t in targets if t.how == "turned"))
        kept = [self.kept_together(t) for t in found]
        return [t for t in dict.fromkeys(kept) if t]

    def _alike(self, axes: set[str]) -> list[frozenset[str]]:
        """Axes with holes of one pattern, in pads perhaps, as one group."""
        patterns: dict[object, set[str]] = {}
        for a in sorted(axes):
            own = [r for r in self.states.rounds.values() if r.axis == a]
            key: object = a
            if all(r.feature in self._fasteners or self._is_drilled(r.feature) for r in own):
                key = tuple(sorted((r.cut, round(r.radius, 6), round(r.low, 6), round(r.high, 6)) for r in own))
            patterns.setdefault(key, set()).add(a)
        return [frozenset(g) for g in patterns.values()]

    def _is_drilled(self, name: str) -> bool:
        return self.states.rounds[name].cut and self.cuts.is_drilled(self.cuts.features[name])

    def _is_small_and_drilled(self, name: str) -> bool:
        most = small_hole(self.cuts.part, self.cuts.machine)
        return self._is_drilled(name) and 2 * self.cuts.features[name].radius <= most

    @cached_property
    def _fasteners(self) -> frozenset[str]:
        """Names of small holes and of the pads around them, unless they are to be turned."""
        part = self.states.part
        machined = {f.name for f in part.features if f.turned or f.finish == "machined"}
        return find_fasteners(part) - machined

    def kept_together(self, targets: tuple[Target, ...]) -> tuple[Target, ...]:
        """Without bores whose spigot is not cut with them though it could be, and the other way round."""
        names = {t.name for t in targets}
        return tuple(t for t in targets if not (self._partners(t.name) - names))

    def _partners(self, name: str) -> frozenset[str]:
        """Features of the same axis that stay in one clamping with a feature: a bore and the outside around it."""
        if name not in self._together:
            self._together[name] = self._find_partners(name)
        return self._together[name]

    def _find_partners(self, name: str) -> frozenset[str]:
        rounds, features = self.states.rounds, self.cuts.features
        if name not in rounds or not features[name].together or self._is_small_hole(name):
            return frozenset()
        r = rounds[name]
        found = set()
        for o in rounds.values():
            wanted = o.feature in self.states.to_machine and features[o.feature].together
            if o.axis != r.axis or o.cut == r.cut or not wanted or self._is_small_hole(o.feature):
                continue
            if o.low < r.high and o.high > r.low and not self._ends_alone(o.axis):
                found.add(o.feature)
        return frozenset(found)

    def _is_small_hole(self, name: str) -> bool:
        r = self.states.rounds[name]
        alone = all(o.cut for o in self.states.rounds.values() if o.axis == r.axis)
        return r.cut and alone

    def _ends_alone(self, axis: str) -> bool:
        """Whether an axis has several outsides, which are turned from both ends."""
        return sum(not o.cut for o in self.states.rounds.values() if o.axis == axis) > 1
