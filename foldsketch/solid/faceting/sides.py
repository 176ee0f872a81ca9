"""How many sides a round feature gets: what the user chose, what can be folded by hand, what can be rolled."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, ceil, pi
from typing import Literal, get_args

from foldsketch.base.findings import FoldsketchError
from foldsketch.part.model import Feature, Plate, Ring
from foldsketch.solid import messages
from foldsketch.solid.faceting.polygon import RadiusRule, RegularPolygon
from foldsketch.solid.faceting.rolled_walls import can_roll, rolled_side_count, round_radii

WallStyle = Literal["folded", "rolled"]

MIN_SIDES, MAX_SIDES = 3, 120
"""Bounds for the number of sides of a folded prism."""

MIN_BUDGET_SIDES = 6
"""Fewest sides of a diameter in a model built within a budget of minutes: a prism of four does not look round."""


@dataclass(frozen=True, slots=True)
class FacetChoice:
    """How many flat sides a diameter gets.

    Attributes
    ----------
    chord_error : float
        Largest gap between a flat side and the true diameter, mm on paper, 0.01 to 50.
    min_side_width : float
        Narrowest side that can be folded, mm on paper, 0.1 to 100.
    sides : int or None
        The same number of sides for every diameter, 3 to 120.
    radius_rule : {"equal-area", "inside", "outside"}
        What lies on the true diameter: neither (the same area), corners, or flats.
    walls : {"folded", "rolled"}
        Flat sides, or round strips where the diameter allows it.
    min_sides : int
        Fewest sides of a diameter; up to 4 unless they get narrower than `min_side_width`, above 4 always.
    max_sides : int or None
        Most sides of a diameter, unless it would touch its neighbours: 3 to 120.
    yields : bool
        Whether a diameter with its flats on the round takes the same area where it would touch its neighbours.
    rotation : float
        Turns the sides, and the datum line with them, away from the symmetry line of the offsets, radians.

    Raises
    ------
    FoldsketchError
        With one finding for each value that is not allowed.

    Examples
    --------
    >>> FacetChoice(sides=8).walls
    'folded'
    """

    chord_error: float = 0.5
    min_side_width: float = 5.0
    sides: int | None = None
    radius_rule: RadiusRule = "equal-area"
    walls: WallStyle = "folded"
    min_sides: int = 4
    max_sides: int | None = None
    yields: bool = False
    rotation: float = 0.0

    def __post_init__(self) -> None:
        rules, counts = get_args(RadiusRule)[:3], f"{MIN_SIDES} to {MAX_SIDES}"
        checks = (
            ("--sides", self.sides, self.sides is None or _is_side_count(self.sides), counts),
            ("--chord-error", self.chord_error, _is_within(self.chord_error, 0.01, 50), "0.01 to 50 mm"),
            ("--smallest", self.min_side_width, _is_within(self.min_side_width, 0.1, 100), "0.1 to 100 mm"),
            ("--radius", self.radius_rule, self.radius_rule in rules, ", ".join(rules)),
            ("--walls", self.walls, self.walls in get_args(WallStyle), "folded or rolled"),
            ("min_sides", self.min_sides, _is_side_count(self.min_sides), counts),
            ("max_sides", self.max_sides, self.max_sides is None or _is_side_count(self.max_sides), counts),
            ("rotation", self.rotation, _is_within(self.rotation, -2 * pi, 2 * pi), "-2 pi to 2 pi"),
        )
        wrong = [
            messages.FACET_CHOICE.at(at, value=value, allowed=use) for at, value, allowed, use in checks if not allowed
        ]
        if wrong:
            raise FoldsketchError(wrong)


def _is_within(value: object, low: float, high: float) -> bool:
    return isinstance(value, int | float) and low <= value <= high


def _is_side_count(value: object) -> bool:
    return isinstance(value, int) and MIN_SIDES <= value <= MAX_SIDES


def side_count(radius: float, smallest_radius: float, choice: FacetChoice) -> int:
    """An even number of sides: enough for the chord error, few enough for sides that can be folded.

    radius: the largest of the feature, mm on paper; smallest_radius: the smallest that gets the same number of sides.
    """
    # What may yield is counted as if it had: so turning flats to the round never adds sides.
    rule = "equal-area" if choice.yields else choice.radius_rule
    e = min(choice.chord_error / radius, 1.0)
    n = max(4, ceil(pi / acos(1 - e) / 2) * 2 if e < 1 else 4)
    while n > 4 and RegularPolygon.of(n - 2, radius, rule).chord_error <= choice.chord_error:
        n -= 2
    if rule != "inside":
        while n < MAX_SIDES and RegularPolygon.of(n, radius, rule).chord_error > choice.chord_error:
            n += 2
    n = max(min(n, choice.max_sides or n), choice.min_sides)
    fewest, least_side = max(4, choice.min_sides), 0.9 * choice.min_side_width
    while n > fewest and RegularPolygon.of(n, smallest_radius, rule).side < least_side:
        n -= 2
    return min(n, MAX_SIDES)


@dataclass(slots=True)
class FacetPlan:
    """How one feature is to be faceted.

    n: number of sides, 0 for a feature that is not round; radii: mm on paper; fixed: the user gave the number of sides;
    rolled: its walls are rolled; if_folded: number of sides and rule if they are folded after all; yields: with its
    flats on the round it takes the same area where it would touch a neighbour.
    """

    n: int
    rule: RadiusRule
    radii: tuple[float, ...]
    fixed: bool = False
    rolled: bool = False
    if_folded: tuple[int, RadiusRule] = (0, "equal-area")
    yields: bool = False

    def fold(self) -> None:
        """Fold the walls that were to be rolled."""
        self.rolled = False
        self.n, self.rule = self.if_folded

    def at_least(self, sides: int) -> None:
        """Take no fewer sides than that, unless the user gave their number or the wall is rolled."""
        if self.n and not self.fixed and not self.rolled:
            self.n = max(self.n, sides)

    def polygon(self, radius: float) -> RegularPolygon:
        """The polygon for a circle of a radius, mm on paper."""
        return RegularPolygon.of(self.n, radius, self.rule)


def plan_facets(f: Feature, scale: float, choice: FacetChoice, roll: bool = False) -> FacetPlan:
    """How a feature is faceted at scale paper mm per part mm; roll: roll its walls where the radius allows it."""
    radii = tuple(r * scale for r in round_radii(f))
    roll = roll and not f.sides and can_roll(radii)
    if isinstance(f.shape, Plate) or not radii:
        return FacetPlan(0, choice.radius_rule, radii, rolled=roll)
    given = f.sides or choice.sides
    large = max(radii)
    small = min(radii) if isinstance(f.shape, Ring) else large
    n = given or side_count(large, small, choice)
    folded = (n, choice.radius_rule)
    if roll:
        return FacetPlan(rolled_side_count(large), "equal-perimeter", radii, rolled=True, if_folded=folded)
    return FacetPlan(n, choice.radius_rule, radii, fixed=bool(given), if_folded=folded, yields=choice.yields)
