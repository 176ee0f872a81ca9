"""One run: a part and the user's choices in, every stage of the paper model out, with progress and a deadline."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import hypot, pi
from typing import Literal

from foldsketch.assembly.build_warnings import find_build_warnings
from foldsketch.assembly.work_time import DEFAULT_PACE, Pace
from foldsketch.base.card import NO_CARD, Card
from foldsketch.base.findings import Finding, FoldsketchError, input_error
from foldsketch.base.lettering import unprintable_characters
from foldsketch.base.progress import Deadline, Listener, ignore_progress
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.net.build import build_nets
from foldsketch.net.model import Nets
from foldsketch.part.check import check_part
from foldsketch.part.detail_removal import remove_details
from foldsketch.part.model import Part
from foldsketch.part.tiny_steps import remove_tiny_steps
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.pack import min_sheets_by_area, pack
from foldsketch.sheet.layout.paper import STANDARD_SCALES, Paper, parse_paper, printable_size
from foldsketch.sheet.messages import FITS_NO_PAGE
from foldsketch.solid.card.allowance import apply_card_allowance
from foldsketch.solid.faceting.facet import FacetedPart, facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import JoinRule, Solids, join


@dataclass(frozen=True, slots=True)
class Choices:
    """What the user chose for a paper model.

    scale: paper over part, or None to choose; sheets: how many sheets a chosen scale may need; margins as the paper's;
    join: "auto" is "faces", but quickest.model may fuse; quick: leave out what does not show the axes, and tabs that
    can be spared; pace: of the user's hands; card: what it is made of, to be allowed for; least_step: steps smaller
    than this, mm on paper, are merged.
    """

    paper: str = "A4"
    scale: float | None = None
    sheets: int = 6
    facets: FacetChoice = field(default_factory=FacetChoice)
    join: JoinRule | Literal["auto"] = "auto"
    quick: bool = False
    pace: Pace = DEFAULT_PACE
    card: Card = NO_CARD
    least_step: float = 0.0
    seconds: float = 120.0
    tolerance: Tolerance = DEFAULT_TOLERANCE


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Every stage of one paper model, from the part to the sheets. join: how its features were joined."""

    part: Part
    faceted: FacetedPart
    solids: Solids
    nets: Nets
    sheets: tuple[Sheet, ...]
    bound: int
    paper: Paper
    findings: tuple[Finding, ...]
    join: JoinRule = "faces"


def make_model(part: Part, choices: Choices | None = None, listener: Listener = ignore_progress) -> Model:
    """The checked paper model of a part. Raises FoldsketchError when it cannot be built or fails the oracle."""
    chosen = choices or Choices()
    paper = parse_paper(chosen.paper)
    deadline = Deadline(chosen.seconds)
    findings = check_part(part, chosen.tolerance)
    if any(f.level == "error" for f in findings):
        raise FoldsketchError([f for f in findings if f.level == "error"])
    if chosen.quick:
        part, told = remove_details(part)
        findings += told
    findings += unprintable_name_findings(part)
    scales = [chosen.scale] if chosen.scale else scales_for_part(part, paper, chosen.sheets)
    rule = "faces" if chosen.join == "auto" else chosen.join

    def at(scale: float) -> Model:
        listener("facet", 0.0)
        own, merged = remove_tiny_steps(part, chosen.least_step, scale) if chosen.least_step else (part, ())
        faceted = facet(own, scale, chosen.facets, chosen.tolerance)
        made = finish_model(faceted, join(faceted, rule, chosen.tolerance), scale, chosen, paper, listener)
        return replace(made, findings=(*merged, *made.findings), join=rule)

    return first_fitting_model(scales, at, chosen.sheets, findings, deadline)


def first_fitting_model(
    scales: Sequence[float],
    at: Callable[[float], Model],
    sheets: int,
    findings: tuple[Finding, ...],
    deadline: Deadline,
) -> Model:
    """The model at the first scale that needs no more than so many sheets, or at the last; findings come before its
    own. Raises FoldsketchError."""
    last: FoldsketchError | None = None
    for k, scale in enumerate(scales):
        deadline.check("the paper model")
        try:
            made = at(scale)
        except FoldsketchError as why:
            if k + 1 == len(scales) or not _is_too_large(why):
                raise
            last = why
            continue
        if len(made.sheets) <= sheets or k + 1 == len(scales):
            return replace(made, findings=(*findings, *made.findings))
    raise last or input_error("scale", "no scale fits", "give --scale or a larger --paper")


def unprintable_name_findings(part: Part) -> tuple[Finding, ...]:
    """A note for characters that no font on this machine has: they are printed as question marks."""
    names = [part.name, *(a.name for a in part.axes), *(f.name for f in part.features)]
    absent = unprintable_characters(names)
    if not absent:
        return ()
    shown = " ".join(absent[:10])
    what = f"cannot be printed: no font on this machine has {shown}; a question mark stands in"
    return (Finding("warning", "names", what, "install a font that has them, or spell the names otherwise"),)


def _is_too_large(why: FoldsketchError) -> bool:
    return any(f.code == FITS_NO_PAGE.code for f in why.findings)


def finish_model(
    faceted: FacetedPart,
    solids: Solids,
    scale: float,
    chosen: Choices,
    paper: Paper,
    listener: Listener = ignore_progress,
) -> Model:
    """Nets, checks and sheets of blocks. Raises FoldsketchError when the nets do not fold back."""
    part = faceted.part
    solids = apply_card_allowance(faceted, solids, chosen.card, scale)
    nets = build_nets(faceted, solids, scale, printable_size(paper), listener, chosen.card, chosen.quick)
    checks = nets.checks
    if checks is None or not checks.passed(chosen.tolerance.gap):
        raise input_error(
            f"part '{part.name}'",
            f"the nets do not fold back to the model (edges {checks.refold_gap if checks else 0:.2g} mm apart, "
            f"overlap {checks.overlap_area if checks else 0:.2g} mm2), so no sheets are written",
            "please report the part file; fewer sides or --join fuse may help meanwhile",
        )
    listener("pack", 0.0)
    sheets = pack(nets.pieces, paper)
    told = (*nets.findings, *find_build_warnings(nets.pieces))
    return Model(part, faceted, solids, nets, tuple(sheets), min_sheets_by_area(nets.pieces, paper), paper, told)


def scales_for_part(part: Part, paper: Paper, sheets: int) -> list[float]:
    """Scales of the ISO 5455 series, largest first, that a rough area estimate allows on so many sheets.

    Parts are shown at full size where they fit; only what is smaller than 40 mm is enlarged.
    """
    surface = sum(_cylinder_area(f.radius, f.length) for f in part.features)
    size = max((hypot(2 * f.radius, f.length) for f in part.features), default=1.0)
    return scales_for_area(surface, size, paper, sheets)


def scales_for_area(surface: float, size: float, paper: Paper, sheets: int) -> list[float]:
    """The same for a surface in mm2 and the longest measure in mm."""
    w, h = printable_size(paper)
    room = w * h * sheets * 0.62
    largest = 1.0 if size > 40 else 2.0 if size > 16 else 5.0
    fitting = [s for s in STANDARD_SCALES if s <= largest and surface * s * s <= room and 1.3 * size * s < max(w, h)]
    return fitting[:4] or [min(STANDARD_SCALES)]


def _cylinder_area(radius: float, length: float) -> float:
    return 2 * pi * radius * radius + 2 * pi * radius * length
