"""The ladder: what a model gives up, step by step, until it is built within the minutes that there are."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import get_args

from foldsketch.assembly.work_time import Work, work_minutes
from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.job.choices import Choices
from foldsketch.job.messages import STEP_DOWN, STEP_TAKEN, STEP_UP
from foldsketch.job.work_estimate import estimate_work
from foldsketch.net.model import Hold
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.part.reduction import ReducedPart, ReductionLevel, split_part
from foldsketch.part.tiny_steps import remove_tiny_steps
from foldsketch.sheet.layout.paper import STANDARD_SCALES, parse_paper, printable_size, scale_text
from foldsketch.solid.faceting.facet import FacetedPart, facet
from foldsketch.solid.faceting.sides import MIN_BUDGET_SIDES, FacetChoice

MIN_END_FACE_MM = 15.0
"""End faces are not made smaller than this on paper, mm, and the largest one of a small part not left so."""

TUCKED_SIDE_MM = 10.4
"""Narrowest side in a model that is tucked together, mm on paper: a tenth less leaves room for a tongue with ears."""

MIN_NAMED_MINUTES = 0.5
"""Steps that differ by less than this, minutes, are not named as a choice."""


STEP_WORDS = {
    "everything": ("everything is built", "small holes, chamfers, grooves, ribs and pads built"),
    "details-drawn": ("small holes, chamfers, grooves, ribs and pads are drawn", "bores as tubes"),
    "bores-drawn": ("bores are drawn", "a tab on every edge"),
    "tabs-spared": ("tabs only where neighbours do not hold", "as many sides as each diameter asks for"),
    "twelve-sides": ("twelve sides at most", "up to twelve sides instead of octagons"),
    "octagons": ("octagons", "octagons instead of hexagons"),
    "taped": ("octagons, held with tape", "octagons instead of hexagons"),
    "hexagons": ("hexagons", ""),
}
"""For every step what it gives up, and what the next one lacks."""

GAIN_OF_GLUE = "glue instead of tape"
"""What octagons have where tape comes next."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the ladder.

    code: its name; level: what is built; spare_tabs: without the tabs that neighbours make needless; facets: sides of
    diameters; hold: what holds the edges; scale: paper over part; words: what it gives up beyond the one before; gain:
    what it has and the next one lacks.
    """

    code: str
    level: ReductionLevel
    spare_tabs: bool
    facets: FacetChoice
    hold: Hold
    scale: float
    words: str
    gain: str


def ladder_steps(part: Part, choices: Choices, scale: float) -> tuple[Step, ...]:
    """The steps of a part, each giving up one thing more than the one before. scale: paper over part at full size.

    What the user chose is changed by none: sides, chord error, radius rule, hold and scale.
    """
    fixed = choices.fixed_facets
    every = replace(choices.facets, min_sides=max(MIN_BUDGET_SIDES, choices.facets.min_sides))
    if choices.hold == "tuck":
        every = _facets_to_tuck(every, fixed)
    coarsest = every if fixed & {"sides", "chord_error"} else replace(every, max_sides=12)
    levels = get_args(ReductionLevel)
    # A block with a bore cannot be tucked together: within a budget bores are drawn.
    begin = 2 if choices.hold == "tuck" and choices.minutes is not None else 0
    found = [
        Step(code, level, spare, facets, choices.hold, scale, *STEP_WORDS[code])
        for code, level, spare, facets in (
            ("everything", levels[0], False, every),
            ("details-drawn", levels[1], False, every),
            ("bores-drawn", levels[2], False, every),
            ("tabs-spared", levels[2], True, every),
            ("twelve-sides", levels[2], True, coarsest),
        )[begin:]
    ]
    for code, sides in (("octagons", 8), ("hexagons", 6)):
        own = every if fixed & {"sides", "chord_error"} else replace(every, max_sides=sides)
        own = own if "radius_rule" in fixed else replace(own, radius_rule="outside", yields=True)
        hold: Hold = "tape" if code == "hexagons" and choices.may_tape else choices.hold
        found.append(Step(code, "no shown bores", True, own, hold, scale, *STEP_WORDS[code]))
        if code == "octagons" and choices.may_tape:
            found[-1] = replace(found[-1], gain=GAIN_OF_GLUE)
            words, gain = STEP_WORDS["taped"]
            found.append(replace(found[-1], code="taped", hold="tape", words=words, gain=gain))
    if choices.scale is None:
        least = min((_end_face_size(f) for f in part.features if not f.cut), default=0.0)
        for smaller in STANDARD_SCALES:
            if smaller < scale and smaller * least >= MIN_END_FACE_MM:
                found.append(
                    replace(found[-1], code="smaller", scale=smaller, words=f"{scale_text(smaller)}, hexagons")
                )
    return tuple(found)


def _facets_to_tuck(facets: FacetChoice, fixed: frozenset[str]) -> FacetChoice:
    """At most so many sides as can be tucked together, each wide enough for a tongue, unless the user chose them."""
    if fixed & {"sides", "chord_error"}:
        return facets
    from foldsketch.net.unfolding.tucked_prisms import FLAP_SIDES

    width = facets.min_side_width if "min_side_width" in fixed else TUCKED_SIDE_MM
    return replace(facets, max_sides=max(FLAP_SIDES), min_side_width=width)


def full_size(part: Part) -> float:
    """Scale at which a part is shown in full: 1, or the standard scale that brings its largest end face to 15 mm."""
    largest = max((_end_face_size(f) for f in part.features if not f.cut), default=MIN_END_FACE_MM)
    return min((s for s in STANDARD_SCALES if s >= 1 and s * largest >= MIN_END_FACE_MM), default=STANDARD_SCALES[0])


def _end_face_size(f: Feature) -> float:
    """Width of a feature's end face, of the smaller one that there is, mm."""
    match f.shape:
        case Cylinder(d) | Ring(d, _):
            return d
        case Cone(a, b):
            return min(a, b) or max(a, b)
        case PrismShape(_, across, _):
            return across
        case Plate(outline, hull):
            if hull:
                return 2 * max(r for _, _, r in hull)
            x, y = zip(*outline, strict=True)
            return float(min(max(x) - min(x), max(y) - min(y)))


class Ladder:
    """The steps of one part at one full size, with the minutes that each takes by estimate."""

    def __init__(self, part: Part, choices: Choices, scale: float) -> None:
        self.choices = choices
        self.steps = ladder_steps(part, choices, scale)
        self._part = part
        self._parts: dict[ReductionLevel, ReducedPart] = {}
        self._faceted: dict[tuple[object, ...], FacetedPart] = {}
        self._minutes: dict[int, float] = {}

    def reduced(self, k: int) -> ReducedPart:
        """What step k builds and draws."""
        level = self.steps[k].level
        if level not in self._parts:
            self._parts[level] = split_part(self._part, level)
        return self._parts[level]

    def faceted(self, k: int) -> tuple[FacetedPart, tuple[Finding, ...]]:
        """The prisms of step k, and notes on the small steps that were merged."""
        step, smallest = self.steps[k], self.choices.least_step
        part = self.reduced(k).built
        part, findings = remove_tiny_steps(part, smallest, step.scale) if smallest else (part, ())
        # A bore that is drawn may free its neighbours for more sides: the step above has as many by then.
        below = self.faceted(k + 1)[0].prisms if k + 1 < len(self.steps) else ()
        key = (part, step.scale, step.facets)
        if key not in self._faceted:
            least = {p.feature.name: p.sides for p in below if not p.rolled}
            self._faceted[key] = facet(part, step.scale, step.facets, self.choices.tolerance, least)
        return self._faceted[key], findings

    def choices_of(self, k: int) -> Choices:
        """What the user chose, with the hold of step k."""
        return replace(self.choices, hold=self.steps[k].hold)

    def minutes(self, k: int) -> float:
        """Estimated minutes of step k. Where features cannot be joined: the minutes do not count, 0."""
        if k not in self._minutes:
            step = self.steps[k]
            same = (self.reduced(k).built, *_facts(step))
            if k and same == (self.reduced(k - 1).built, *_facts(self.steps[k - 1])):
                self._minutes[k] = self.minutes(k - 1)
            else:
                self._minutes[k] = work_minutes(self._work(k), self.choices.pace)
        return self._minutes[k]

    @cached_property
    def _page(self) -> float:
        return max(printable_size(parse_paper(self.choices.paper)))

    def _work(self, k: int) -> Work:
        try:
            own = self.choices_of(k)
            return estimate_work(self.faceted(k)[0], self.steps[k].spare_tabs, self._page, own.hold, own.on_tongues)
        except FoldsketchError:  # it comes again, with its reason, when the model is made
            return Work(0.0, 0, 0, 0)

    def first_within(self, minutes: float | None) -> int:
        """The first step that keeps to so many minutes by estimate, else the quickest; None: everything."""
        if minutes is None:
            return 0
        steps = range(len(self.steps))
        return next((k for k in steps if self.minutes(k) <= minutes), min(steps, key=self.minutes))

    def minutes_with_tape(self) -> int:
        """Minutes in which tape builds a full-size model within the budget where glue was asked for; else 0."""
        own = self.choices
        if own.hold != "glue" or own.minutes is None or own.facets.walls == "rolled" or own.may_tape:
            return 0
        taped = Ladder(self._part, replace(own, hold="tape"), self.steps[0].scale)
        k = taped.first_within(own.minutes)
        minutes = round(taped.minutes(k))
        return minutes if minutes <= own.minutes and taped.steps[k].scale == self.steps[0].scale else 0

    def minutes_with_glue(self) -> int:
        """Minutes of the quickest glued model at full size."""
        own = replace(self.choices, fixed=self.choices.fixed | {"hold"})
        glued = Ladder(self._part, own, self.steps[0].scale)
        return round(min(glued.minutes(k) for k, s in enumerate(glued.steps) if s.scale == self.steps[0].scale))

    def next_poorer(self, k: int, saving: float = 0.0) -> int | None:
        """The next step down that saves more than so many minutes."""
        below = range(k + 1, len(self.steps))
        return next((j for j in below if self.minutes(j) < self.minutes(k) - saving), None)

    def taken(self, k: int, minutes: float) -> Finding:
        """What step k is. minutes: of the model as it came out."""
        step = self.steps[k]
        return STEP_TAKEN.at("model", step=step.code, words=step.words, minutes=round(minutes))

    def step_up(self, k: int) -> Finding | None:
        """What the next step up would have, and cost."""
        up = next((j for j in range(k - 1, -1, -1) if self.minutes(j) > self.minutes(k) + MIN_NAMED_MINUTES), None)
        if up is None:
            return None
        more = round(self.minutes(up) - self.minutes(k))
        return STEP_UP.at("model", step=self.steps[up].code, gain=self._gain(up), minutes=more)

    def step_down(self, k: int) -> Finding | None:
        """What the next step down would be, and save."""
        down = self.next_poorer(k, MIN_NAMED_MINUTES)
        if down is None:
            return None
        less = round(self.minutes(k) - self.minutes(down))
        return STEP_DOWN.at("model", step=self.steps[down].code, words=self.steps[down].words, minutes=less)

    def _gain(self, k: int) -> str:
        step = self.steps[k]
        if k + 1 < len(self.steps) and self.steps[k + 1].scale != step.scale:
            return f"{scale_text(step.scale)} instead of {scale_text(self.steps[k + 1].scale)}"
        return step.gain


def _facts(step: Step) -> tuple[FacetChoice, float, bool, Hold]:
    return step.facets, step.scale, step.spare_tabs, step.hold
