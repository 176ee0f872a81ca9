"""The options that say how a model is made, for every command that makes one."""

from __future__ import annotations

import argparse
from math import nan
from typing import TYPE_CHECKING, Any

from foldsketch.commands.messages import MINUTES_UNKNOWN, QUICK_IS_MINUTES

if TYPE_CHECKING:
    from foldsketch.job.choices import Choices


def add_model_options(command: argparse.ArgumentParser) -> None:
    """Minutes, paper, scale, sides, walls, card and how features join."""
    add = command.add_argument
    add_minutes_option(command)
    add("--paper", default="A4", metavar="SIZE", help="A4 (default), A3, Letter, Tabloid, 210x297 (mm) or 8x10in")
    add(
        "--scale",
        default="auto",
        metavar="N:M",
        help="1:1, 1:2, 2:1 … or auto: the largest that fits on --sheets (default auto)",
    )
    add("--sheets", type=int, default=6, metavar="N", help="sheets that --scale auto may use (default 6)")
    add("--sides", type=int, metavar="N", help="flat sides of every diameter (default: as --minutes allows)")
    add(
        "--chord-error",
        type=float,
        metavar="MM",
        help="largest gap between a flat side and the true diameter, mm on paper (default 0.5, or as --minutes allows)",
    )
    add("--smallest", type=float, default=5.0, metavar="MM", help="narrowest flat side, mm on paper (default 5)")
    add_hold_option(command)
    add(
        "--radius",
        choices=("inside", "equal-area", "outside"),
        help="what lies on the true diameter: corners (inside), flats (outside), or neither (equal-area); default: "
        "flats of up to eight sides, else neither",
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
        help="touching features: separate and glued (faces, auto), or one net (fuse)",
    )


def add_minutes_option(command: argparse.ArgumentParser) -> None:
    """The budget of minutes."""
    command.add_argument(
        "--minutes",
        default="15",
        metavar="N",
        help="minutes in which the model is to be built, or all: what does not fit is drawn on the faces (default 15)",
    )
    command.add_argument("--quick", action="store_true", help=argparse.SUPPRESS)


def add_hold_option(command: argparse.ArgumentParser) -> None:
    """What holds the cut edges, and the feet of blocks."""
    command.add_argument(
        "--hold",
        choices=("glue", "tape", "tuck"),
        help="what holds the cut edges: glue on tabs, tape across the edges, or neither: flaps and tongues that are "
        "tucked in, card is best (default: glue, or tape where glue takes longer than --minutes)",
    )
    command.add_argument(
        "--feet",
        choices=("glued", "tongues"),
        default="glued",
        help="how a block stands on another: glued or taped (default), or on tongues through slits in the face, as "
        "--hold tuck always does",
    )


def minutes_from_options(options: argparse.Namespace) -> float | None:
    """The budget; None for all. Raises FoldsketchError."""
    from foldsketch.job.choices import MAX_MINUTES, MIN_MINUTES

    if options.quick:
        raise QUICK_IS_MINUTES.error("--quick")
    if options.minutes.strip().lower() == "all":
        return None
    try:
        minutes = float(options.minutes)
    except ValueError:
        minutes = nan
    if not MIN_MINUTES <= minutes <= MAX_MINUTES:
        raise MINUTES_UNKNOWN.error("--minutes", given=options.minutes, least=int(MIN_MINUTES), most=int(MAX_MINUTES))
    return minutes


def hold_from_options(options: argparse.Namespace) -> tuple[Any, frozenset[str]]:
    """What holds the edges, and "hold" if that was asked for: else glue gives way to tape to keep the minutes."""
    return options.hold or "glue", frozenset({"hold"} if options.hold else ())


def choices_from_options(options: argparse.Namespace) -> Choices:
    """What the user chose. Raises FoldsketchError."""
    from foldsketch.assembly.work_time import parse_pace
    from foldsketch.base.card import parse_card
    from foldsketch.job.choices import Choices
    from foldsketch.sheet.layout.paper import parse_scale
    from foldsketch.solid.faceting.sides import FacetChoice

    given = {"chord_error": options.chord_error, "radius_rule": options.radius}
    given = {name: value for name, value in given.items() if value is not None}
    hold, kept = hold_from_options(options)
    return Choices(
        paper=options.paper,
        scale=parse_scale(options.scale),
        sheets=options.sheets,
        facets=FacetChoice(min_side_width=options.smallest, sides=options.sides, walls=options.walls, **given),
        fixed=kept | set(given),
        minutes=minutes_from_options(options),
        hold=hold,
        feet=options.feet,
        join=options.join,
        pace=parse_pace(getattr(options, "pace", "")),
        card=parse_card(options.card),
        least_step=options.least_step,
    )
