"""Target groups: which targets are cut together in one clamping, and which may be left for another."""

from __future__ import annotations

from dataclasses import dataclass, field

from foldsketch.setup.plan.clamping_cuts import ClampingCuts, small_hole
from foldsketch.setup.plan.targets import Target
from foldsketch.setup.work.states import WorkStates


@dataclass(slots=True)
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

    def is_drilled_pattern(self, name: str) -> bool:
        """Whether a hole is small and drilled with a driven tool, on an axis that has nothing else."""
        if name not in self.states.rounds or not self._is_small_hole(name):
            return False
        f = self.cuts.features[name]
        return self.cuts.is_drilled(f) and 2 * f.radius <= small_hole(self.cuts.part, self.cuts.machine)

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
        """Axes with holes of one pattern as one group."""
        patterns: dict[object, set[str]] = {}
        for a in sorted(axes):
            own = [r for r in self.states.rounds.values() if r.axis == a]
            key: object = a
            if all(r.cut and self.cuts.is_drilled(self.cuts.features[r.feature]) for r in own):
                key = tuple(sorted((round(r.radius, 6), round(r.low, 6), round(r.high, 6)) for r in own))
            patterns.setdefault(key, set()).add(a)
        return [frozenset(g) for g in patterns.values()]

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
