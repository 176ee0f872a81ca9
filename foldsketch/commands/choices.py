"""The options that say how a model is made, for every command that makes one."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from foldsketch.base.findings import input_error

if TYPE_CHECKING:
    from foldsketch.job.pipeline import Choices
    from foldsketch.solid.faceting.sides import FacetChoice


def add_model_options(command: argparse.ArgumentParser) -> None:
    """Paper, scale, sides, walls, card and how features join."""
    command.add_argument(
        "--paper", default="A4", metavar="SIZE", help="A4, A3, Letter, Tabloid, 210x297 (mm) or 8x10in"
    )
    command.add_argument("--scale", default="auto", metavar="N:M", help="1:1, 1:2, 2:1 … or auto (default)")
    command.add_argument("--sheets", type=int, default=6, metavar="N", help="sheets that auto may use (default 6)")
    command.add_argument("--sides", type=int, metavar="N", help="sides of every round feature")
    command.add_argument(
        "--chord-error", type=float, default=0.5, metavar="MM", help="how far a side may stray on paper (0.5)"
    )
    command.add_argument("--smallest", type=float, default=5.0, metavar="MM", help="narrowest side panel on paper (5)")
    command.add_argument(
        "--quick",
        action="store_true",
        help="the ten-minute model: fewer sides and tabs, no small bores, chamfers, grooves; smaller or in one body",
    )
    command.add_argument(
        "--radius",
        choices=("inside", "equal-area", "outside"),
        default="equal-area",
        help="corners on the round, the same area (default), or flats on the round",
    )
    command.add_argument(
        "--least-step",
        type=float,
        default=0.0,
        metavar="MM",
        help="merge steps and leave out grooves smaller than this on paper (default: none)",
    )
    command.add_argument(
        "--card", metavar="CARD", default="0mm", help="allow for its thickness: 160gsm or 0.25mm (default: none)"
    )
    command.add_argument(
        "--walls",
        choices=("folded", "rolled"),
        default="folded",
        help="rounds as prisms (default), or as strips as long as the round, with teeth on their rims",
    )
    command.add_argument(
        "--join",
        choices=("auto", "faces", "fuse"),
        default="auto",
        help="features that touch: glued face to face, or fused into one body; auto: faces unless --quick fuses them",
    )


def choices_from_options(options: argparse.Namespace) -> Choices:
    """What the user chose. Raises FoldsketchError."""
    from foldsketch.assembly.work_time import parse_pace
    from foldsketch.base.card import parse_card
    from foldsketch.job import pipeline
    from foldsketch.sheet.layout.paper import parse_scale

    if not 0 <= options.least_step <= 20:
        raise input_error("--least-step", f"{options.least_step:g} mm is out of range", "give 0 to 20 mm")
    if not 1 <= options.sheets <= 200:
        raise input_error("--sheets", f"{options.sheets} is out of range", "give 1 to 200")
    return pipeline.Choices(
        paper=options.paper,
        scale=parse_scale(options.scale),
        sheets=options.sheets,
        facets=_facet_choice(options),
        join=options.join,
        quick=options.quick,
        pace=parse_pace(getattr(options, "pace", "")),
        card=parse_card(options.card),
        least_step=options.least_step,
    )


def _facet_choice(options: argparse.Namespace) -> FacetChoice:
    """How rounds are faceted: coarser for the quick model, unless the user said otherwise."""
    from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

    chosen = FacetChoice(options.chord_error, options.smallest, options.sides, options.radius, options.walls)
    return coarsen_facets(chosen) if options.quick else chosen
