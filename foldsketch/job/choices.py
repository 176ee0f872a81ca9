"""What the user chooses for a paper model, every value checked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields, replace
from numbers import Integral, Real
from typing import Any, Literal, get_args

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace
from foldsketch.base.card import MAX_THICKNESS_MM, MIN_THICKNESS_MM, NO_CARD, Card
from foldsketch.base.findings import Finding, FoldsketchError, Quantity
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.job.messages import OUT_OF_RANGE, TAPE_AND_ROLLED_WALLS, TUCK_AND_CARD, UNKNOWN_CHOICE, WRONG_TYPE
from foldsketch.net.model import Feet, Hold
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import JoinRule

MIN_SCALE, MAX_SCALE = 1e-4, 100.0
"""Paper over part."""

MAX_SHEETS = 200

DEFAULT_MINUTES = 15.0
"""What people wait for before a meeting."""

MIN_MINUTES, MAX_MINUTES = 1.0, 10_000.0
"""Bounds of the minutes in which a model is to be built."""

RADIUS_RULES = ("inside", "equal-area", "outside")
"""What may lie on the true diameter: the corners, neither (the same area), or the flats."""

MAX_LEAST_STEP_MM = 20.0
"""Steps up to this size may be merged, mm on paper."""

MAX_SECONDS = 86_400.0
"""A day: the longest time limit of one run."""

MAX_SECONDS_PER_FOLD = 3600.0
"""The slowest working speed: seconds for one fold, tab, joint, tooth or mm of cut."""


@dataclass(frozen=True, slots=True)
class Choices:
    """How a paper model is made.

    Parameters
    ----------
    paper : str
        ``"A4"``, ``"A3"``, ``"Letter"``, ``"Tabloid"``, or width x height such as ``"210x297"`` (mm) or ``"8x10in"``.
    scale : float or None
        Paper over part, 0.5 for 1:2. None takes the largest standard scale that needs no more than `sheets`.
    sheets : int
        Sheets that a model may need when its scale is chosen for you, 1 to 200.
    facets : FacetChoice
        How many flat sides a diameter gets.
    minutes : float or None
        Minutes in which the model is to be built. What does not fit is drawn on the faces, has fewer tabs and sides,
        and last a smaller scale. None builds everything.
    join : {"auto", "faces", "fuse"}
        Touching features: separate and glued ("faces", the same as "auto"), or one net ("fuse").
    hold : {"glue", "tape", "tuck"}
        What holds the cut edges: tabs with glue, strips of tape, or flaps and tongues that are tucked in. Glue gives
        way to tape where that keeps the minutes, unless `fixed` has ``"hold"``.
    feet : {"glued", "tongues"}
        How a block stands on another: held as the edges are, or on tongues of its foot through slits in the face, as
        always in a model that is tucked together.
    pace : Pace
        Your working speed, seconds.
    card : Card
        The card that you print on, so that its thickness is compensated.
    least_step : float
        Steps smaller than this are merged, mm on paper, 0 to 20.
    seconds : float
        Time limit for one run.
    tolerance : Tolerance
        Lengths that count as none, mm.
    fixed : frozenset of str
        Names of facet options to keep, as ``"chord_error"``, even where they have their usual value, and ``"hold"``.
        Others count as chosen when they differ from it.

    Raises
    ------
    FoldsketchError
        With one finding for each wrong value.

    Examples
    --------
    >>> Choices(scale=0.5, join="fuse").paper
    'A4'
    >>> Choices(join="sew", sheets=0)
    Traceback (most recent call last):
    foldsketch.base.findings.FoldsketchError: error: sheets: 0 is out of range; use 1 to 200
    error: join: 'sew' is not a choice; use auto, faces or fuse
    """

    paper: str = "A4"
    scale: float | None = None
    sheets: int = 6
    facets: FacetChoice = field(default_factory=FacetChoice)
    join: JoinRule | Literal["auto"] = "auto"
    minutes: float | None = DEFAULT_MINUTES
    hold: Hold = "glue"
    feet: Feet = "glued"
    pace: Pace = DEFAULT_PACE
    card: Card = NO_CARD
    least_step: float = 0.0
    seconds: float = 120.0
    tolerance: Tolerance = DEFAULT_TOLERANCE
    fixed: frozenset[str] = frozenset()

    @property
    def fixed_facets(self) -> frozenset[str]:
        """Names of the facet options that the user chose: no budget of minutes changes them."""
        usual = FacetChoice()
        return self.fixed | {
            f.name for f in fields(FacetChoice) if getattr(self.facets, f.name) != getattr(usual, f.name)
        }

    @property
    def on_tongues(self) -> bool:
        """Whether blocks stand on tongues."""
        return self.feet == "tongues" or self.hold == "tuck"

    @property
    def may_tape(self) -> bool:
        """Whether tape may stand in for glue to keep the minutes."""
        return self.hold == "glue" and self.facets.walls != "rolled" and "hold" not in self.fixed

    def __post_init__(self) -> None:
        wrong = [*_wrong_types(self)] or [*_wrong_values(self)]
        if wrong:
            raise FoldsketchError(wrong)


def out_of_range(
    where: str, value: Any, least: float, most: float, unit: str = "", whole: bool = False
) -> tuple[Finding, ...]:
    """A finding for a value that is no number or not within bounds, else nothing. whole: a whole number is wanted."""
    kind: Any = Integral if whole else Real
    if isinstance(value, bool) or not isinstance(value, kind):
        return (WRONG_TYPE.at(where, value=repr(value), expected="a whole number" if whole else "a number"),)
    if least <= value <= most:
        return ()
    low, high, shown = (Quantity(float(v), unit, 4) for v in (least, most, value))
    return (OUT_OF_RANGE.at(where, value=shown, least=low, most=high),)


def _wrong_types(c: Choices) -> Iterator[Finding]:
    kinds = {"paper": str, "facets": FacetChoice, "pace": Pace, "card": Card, "tolerance": Tolerance}
    for name, kind in kinds.items():
        value = getattr(c, name)
        if not isinstance(value, kind):
            yield WRONG_TYPE.at(name, value=repr(value), expected=f"a {kind.__name__}")


def _wrong_values(c: Choices) -> Iterator[Finding]:
    try:
        parse_paper(c.paper)
    except FoldsketchError as why:
        yield from (replace(f, where="paper") for f in why.findings)
    if c.scale is not None:
        yield from out_of_range("scale", c.scale, MIN_SCALE, MAX_SCALE)
    if c.minutes is not None:
        yield from out_of_range("minutes", c.minutes, MIN_MINUTES, MAX_MINUTES)
    yield from out_of_range("sheets", c.sheets, 1, MAX_SHEETS, whole=True)
    yield from _not_among("join", c.join, ("auto", *get_args(JoinRule)))
    yield from _not_among("hold", c.hold, get_args(Hold))
    yield from _not_among("feet", c.feet, get_args(Feet))
    if c.hold != "glue" and c.facets.walls == "rolled":
        yield TAPE_AND_ROLLED_WALLS.at("hold", hold=c.hold)
    if c.hold == "tuck" and c.card:
        yield TUCK_AND_CARD.at("hold")
    yield from out_of_range("least_step", c.least_step, 0, MAX_LEAST_STEP_MM, "mm")
    yield from out_of_range("seconds", c.seconds, 0, MAX_SECONDS, "s")
    for part in fields(Pace):
        yield from out_of_range(f"pace.{part.name}", getattr(c.pace, part.name), 0, MAX_SECONDS_PER_FOLD, "s")
    if c.card.thickness != 0:
        yield from out_of_range("card.thickness", c.card.thickness, MIN_THICKNESS_MM, MAX_THICKNESS_MM, "mm")


def _not_among(where: str, value: Any, known: Sequence[str]) -> Iterator[Finding]:
    if value not in known:
        listed = f"{', '.join(known[:-1])} or {known[-1]}"
        yield UNKNOWN_CHOICE.at(where, value=repr(value), known=listed)
