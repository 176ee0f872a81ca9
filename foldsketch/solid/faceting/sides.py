"""How many sides a round gets: what the user chose, what a hand can fold, what can be rolled."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import acos, ceil, pi
from typing import Literal

from foldsketch.base.findings import input_error
from foldsketch.part.model import Feature, Plate, Ring
from foldsketch.solid.faceting.polygon import RadiusRule, RegularPolygon
from foldsketch.solid.faceting.rolled_walls import can_roll, rolled_side_count, round_radii

WallStyle = Literal["folded", "rolled"]

MIN_SIDES, MAX_SIDES = 3, 120
"""Bounds for a number of sides that a hand can fold."""


@dataclass(frozen=True, slots=True)
class FacetChoice:
    """What the user chose. chord_error and smallest: mm on paper; sides: the same number for every round, or None;
    walls: rounds are folded as prisms, or rolled where they can be; fewest: sides of a round whatever the chord error,
    where they are no narrower than the smallest; turned: radians, the sides of rounds and the datum line, away from
    the line about which the offsets are symmetric."""

    chord_error: float = 0.5
    smallest: float = 5.0
    sides: int | None = None
    radius: RadiusRule = "equal-area"
    walls: WallStyle = "folded"
    fewest: int = 4
    turned: float = 0.0

    def __post_init__(self) -> None:
        if self.sides is not None and not MIN_SIDES <= self.sides <= MAX_SIDES:
            raise input_error("--sides", f"{self.sides} sides cannot be folded", f"give {MIN_SIDES} to {MAX_SIDES}")
        if not 0.01 <= self.chord_error <= 50:
            raise input_error("--chord-error", f"{self.chord_error:g} mm is out of range", "give 0.01 to 50 mm")


QUICK_FACETING = (2.5, 6)
"""Chord error of the quick model, mm on paper, and the fewest sides of its rounds: with four a round reads as a bar."""


def coarsen_facets(choice: FacetChoice) -> FacetChoice:
    """The same choice with no finer sides than the quick model's."""
    return replace(choice, chord_error=max(choice.chord_error, QUICK_FACETING[0]), fewest=QUICK_FACETING[1])


def side_count(radius: float, smallest_radius: float, choice: FacetChoice) -> int:
    """An even number of sides: enough for the chord error, no more than keep a side at the smallest foldable width.

    radius: the largest on the feature; smallest_radius: the smallest round that gets the same number of sides.
    """
    e = min(choice.chord_error / radius, 1.0)
    n = max(4, ceil(pi / acos(1 - e) / 2) * 2 if e < 1 else 4)
    while n > 4 and RegularPolygon.of(n - 2, radius, choice.radius).chord_error <= choice.chord_error:
        n -= 2
    if choice.radius != "inside":
        while n < MAX_SIDES and RegularPolygon.of(n, radius, choice.radius).chord_error > choice.chord_error:
            n += 2
    n = max(n, choice.fewest)
    while n > 4 and RegularPolygon.of(n, smallest_radius, choice.radius).side < 0.9 * choice.smallest:
        n -= 2
    return min(n, MAX_SIDES)


@dataclass(slots=True)
class FacetPlan:
    """How one feature will be faceted; n is 0 where there is no round; folded: sides and rule if it is not rolled."""

    n: int
    rule: RadiusRule
    radii: tuple[float, ...]
    fixed: bool = False
    rolled: bool = False
    folded: tuple[int, RadiusRule] = (0, "equal-area")

    def fold(self) -> None:
        """Fold after all what was to be rolled."""
        self.rolled = False
        self.n, self.rule = self.folded


def plan_facets(f: Feature, scale: float, choice: FacetChoice, roll: bool = False) -> FacetPlan:
    """How a feature is faceted at a scale; roll: its walls are rolled where the radius lets them."""
    radii = tuple(r * scale for r in round_radii(f))
    if isinstance(f.shape, Plate):
        return FacetPlan(0, choice.radius, radii, rolled=roll and not f.sides and bool(radii) and can_roll(radii))
    if not radii:
        return FacetPlan(0, choice.radius, ())
    given = f.sides or choice.sides
    large = max(radii)
    small = min(radii) if isinstance(f.shape, Ring) else large
    n = given or side_count(large, small, choice)
    folded = (n, choice.radius)
    if roll and not f.sides and can_roll(radii):
        return FacetPlan(rolled_side_count(large), "equal-perimeter", radii, rolled=True, folded=folded)
    return FacetPlan(n, choice.radius, radii, fixed=bool(given), folded=folded)
