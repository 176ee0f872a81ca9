"""The options that say how a model is made, for every command that makes one."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices


def add_model_options(command: argparse.ArgumentParser) -> None:
    """Paper, scale, sides, walls, card and how features join."""
    add = command.add_argument
    add("--paper", default="A4", metavar="SIZE", help="A4 (default), A3, Letter, Tabloid, 210x297 (mm) or 8x10in")
    add(
        "--scale",
        default="auto",
        metavar="N:M",
        help="1:1, 1:2, 2:1 … or auto: the largest that fits on --sheets (default auto)",
    )
    add("--sheets", type=int, default=6, metavar="N", help="sheets that --scale auto may use (default 6)")
    add("--sides", type=int, metavar="N", help="flat sides of every diameter (default: from --chord-error)")
    add(
        "--chord-error",
        type=float,
        default=0.5,
        metavar="MM",
        help="largest gap between a flat side and the true diameter, mm on paper (default 0.5)",
    )
    add("--smallest", type=float, default=5.0, metavar="MM", help="narrowest flat side, mm on paper (default 5)")
    add(
        "--quick",
        action="store_true",
        help="a model in about ten minutes: fewer sides and tabs, no small bores, chamfers or grooves, perhaps smaller "
        "or in one net",
    )
    add(
        "--radius",
        choices=("inside", "equal-area", "outside"),
        default="equal-area",
        help="what lies on the true diameter: corners (inside), flats (outside), or neither (equal-area, default)",
    )
    add(
        "--least-step",
        type=float,
        default=0.0,
        metavar="MM",
        help="merge steps and leave out grooves smaller than this, mm on paper (default: none)",
    )
    add(
        "--card", metavar="CARD", default="0mm", help="card you print on: 160gsm or 0.25mm (default: thickness ignored)"
    )
    add(
        "--walls",
        choices=("folded", "rolled"),
        default="folded",
        help="diameters as flat sides (folded, default), or as round strips with teeth on their rims (rolled)",
    )
    add(
        "--join",
        choices=("auto", "faces", "fuse"),
        default="auto",
        help="touching features: separate and glued (faces), or one net (fuse); auto: faces, unless --quick fuses them",
    )


def choices_from_options(options: argparse.Namespace) -> Choices:
    """What the user chose. Raises FoldsketchError."""
    from foldsketch.assembly.work_time import parse_pace
    from foldsketch.base.card import parse_card
    from foldsketch.job.choices import Choices
    from foldsketch.sheet.layout.paper import parse_scale
    from foldsketch.solid.faceting.sides import FacetChoice

    return Choices(
        paper=options.paper,
        scale=parse_scale(options.scale),
        sheets=options.sheets,
        facets=FacetChoice(options.chord_error, options.smallest, options.sides, options.radius, options.walls),
        join=options.join,
        quick=options.quick,
        pace=parse_pace(getattr(options, "pace", "")),
        card=parse_card(options.card),
        least_step=options.least_step,
    )
