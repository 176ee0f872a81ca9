"""One run: a part and the user's choices in, every stage of the paper model out, with progress and a deadline."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import hypot, pi

from foldsketch.assembly.build_warnings import find_build_warnings, find_panels_without_width
from foldsketch.base.findings import Finding, FoldsketchError, Quantity, mm
from foldsketch.base.lettering import unprintable_characters
from foldsketch.base.progress import Deadline, Listener, ignore_progress
from foldsketch.job.choices import Choices as Choices
from foldsketch.job.messages import DOES_NOT_FOLD, NAMES_NOT_PRINTABLE
from foldsketch.job.model import Model as Model
from foldsketch.net.build import build_nets
from foldsketch.net.model import Piece
from foldsketch.part.check import check_part
from foldsketch.part.model import Part
from foldsketch.part.reduction import ReducedPart, ReductionLevel, split_part
from foldsketch.part.tiny_steps import remove_tiny_steps
from foldsketch.sheet.layout.caption import quarter_turns
from foldsketch.sheet.layout.caption_positions import letter_nets
from foldsketch.sheet.layout.model import Sheet
from foldsketch.sheet.layout.pack import min_sheets_by_area, pack
from foldsketch.sheet.layout.paper import STANDARD_SCALES, Paper, parse_paper, printable_size
from foldsketch.sheet.messages import FITS_NO_PAGE
from foldsketch.solid.faceting.facet import FacetedPart, facet
from foldsketch.solid.joining.blocks import Solids, join

PACKED_AREA_SHARE = 0.62
"""Share of a page's area that nets fill at most, for the first estimate."""

MAX_SCALES_TRIED = 4

PRINTED_DOT_MM = 0.02
"""A dot of a printer with 1200 dots an inch, mm: smaller steps are merged in any case."""


def make_model(
    part: Part,
    choices: Choices | None = None,
    listener: Listener = ignore_progress,
    level: ReductionLevel = "all",
    spare_tabs: bool = False,
) -> Model:
    """The checked model of a part, whatever its minutes: `foldsketch.model` keeps to them. Raises FoldsketchError.

    level: what is built, the rest is drawn; spare_tabs: without the tabs that neighbours make needless.
    """
    chosen = choices or Choices()
    paper = parse_paper(chosen.paper)
    deadline = Deadline(chosen.seconds)
    findings = check_before_making(part, chosen)
    reduced = split_part(part, level)
    scales = [chosen.scale] if chosen.scale else scales_for_part(reduced.built, paper, chosen.sheets)
    rule = "faces" if chosen.join == "auto" else chosen.join

    def at(scale: float) -> Model:
        listener("facet", 0.0)
        own, merged = remove_tiny_steps(reduced.built, max(chosen.least_step, PRINTED_DOT_MM), scale)
        faceted = facet(own, scale, chosen.facets, chosen.tolerance)
        solids = join(faceted, rule, chosen.tolerance)
        made = finish_model(faceted, solids, scale, chosen, paper, listener, spare_tabs, reduced)
        return replace(made, findings=(*merged, *made.findings), join=rule, drawn=reduced.drawn)

    return first_fitting_model(scales, at, chosen.sheets, findings, deadline)


def check_before_making(part: Part, chosen: Choices) -> tuple[Finding, ...]:
    """What the user should know of the part before its model is made. Raises FoldsketchError for errors."""
    findings = check_part(part, chosen.tolerance)
    if any(f.level == "error" for f in findings):
        raise FoldsketchError([f for f in findings if f.level == "error"])
    return (*findings, *unprintable_name_findings(part))


def first_fitting_model(
    scales: Sequence[float],
    at: Callable[[float], Model],
    sheets: int,
    findings: tuple[Finding, ...],
    deadline: Deadline,
) -> Model:
    """The model at the first scale that needs no more than so many sheets, or at the last scale.

    scales: paper over part, at least one; findings: put before the model's own. Raises FoldsketchError when the last
    scale fails too, or at once when a scale fails for another reason than that a net fits no page.
    """
    for scale in scales[:-1]:
        deadline.check("the paper model")
        try:
            made = at(scale)
        except FoldsketchError as why:
            if not any(f.code == FITS_NO_PAGE.code for f in why.findings):
                raise
            continue
        if len(made.sheets) <= sheets:
            return replace(made, findings=(*findings, *made.findings))
    deadline.check("the paper model")
    made = at(scales[-1])
    return replace(made, findings=(*findings, *made.findings))


def unprintable_name_findings(part: Part) -> tuple[Finding, ...]:
    """A warning about characters that no font on this computer has."""
    absent = unprintable_characters([part.name, *(a.name for a in part.axes), *(f.name for f in part.features)])
    return (NAMES_NOT_PRINTABLE.at("names", characters=" ".join(absent[:10])),) if absent else ()


def finish_model(
    faceted: FacetedPart,
    solids: Solids,
    scale: float,
    chosen: Choices,
    paper: Paper,
    listener: Listener = ignore_progress,
    spare_tabs: bool = False,
    reduced: ReducedPart | None = None,
) -> Model:
    """Nets, checks and sheets of blocks. Raises FoldsketchError when the nets do not fold back.

    spare_tabs: without the tabs that neighbours make needless; reduced: what is built and drawn.
    """
    part = faceted.part
    if chosen.card:  # what few models need is imported when one does: a cold start is half imports
        from foldsketch.solid.card.allowance import apply_card_allowance

        solids = apply_card_allowance(faceted, solids, chosen.card, scale)
    page = printable_size(paper)
    tongues = chosen.on_tongues
    stand = spare_tabs or chosen.hold == "tape" or tongues
    sheets: list[Sheet] = []

    def lay(pieces: Sequence[Piece]) -> list[int]:
        listener("pack", 0.0)
        sheets[:] = pack(pieces, paper)
        turns = {placed.piece: quarter_turns(placed.angle) for sheet in sheets for placed in sheet.placed}
        return [turns[p.id] for p in pieces]

    nets = build_nets(
        faceted, solids, scale, page, listener, chosen.card, spare_tabs, reduced, chosen.hold, stand, lay, tongues
    )
    without_width = find_panels_without_width(nets.pieces)
    if without_width:
        raise FoldsketchError(without_width)
    checks = nets.checks
    if checks is None or not checks.passed(chosen.tolerance.gap):
        gap, area, deep = (checks.refold_gap, checks.overlap_area, checks.overlap_depth) if checks else (0.0, 0.0, 0.0)
        overlap = Quantity(area, "mm2", 6)
        raise DOES_NOT_FOLD.error(f"part '{part.name}'", gap=mm(gap, 6), overlap=overlap, depth=mm(deep, 4))
    nets = replace(nets, pieces=letter_nets(nets.pieces, sheets))
    findings = (*nets.findings, *find_build_warnings(nets.pieces))
    return Model(part, faceted, solids, nets, tuple(sheets), min_sheets_by_area(nets.pieces, paper), paper, findings)


def scales_for_part(part: Part, paper: Paper, sheets: int, largest: float | None = None) -> list[float]:
    """Scales of the ISO 5455 series, largest first, that a rough area estimate allows on so many sheets.

    largest: no scale is larger; None: parts are shown at full size where they fit, those below 40 mm larger.
    """
    surface = sum(2 * pi * f.radius * (f.radius + f.length) for f in part.features)
    size = max((hypot(2 * f.radius, f.length) for f in part.features), default=1.0)
    return scales_for_area(surface, size, paper, sheets, largest)


def scales_for_area(
    surface: float, size: float, paper: Paper, sheets: int, largest: float | None = None
) -> list[float]:
    """The same for a surface in mm2 and the longest measure in mm."""
    w, h = printable_size(paper)
    room = w * h * sheets * PACKED_AREA_SHARE
    if largest is None:
        largest = 1.0 if size > 40 else 2.0 if size > 16 else 5.0
    fitting = [s for s in STANDARD_SCALES if s <= largest and surface * s * s <= room and 1.3 * size * s < max(w, h)]
    return fitting[:MAX_SCALES_TRIED] or [min(STANDARD_SCALES)]
