"""setups: the sequence of clampings of a part on a machine, as a table, a report and talk sheets."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.base.findings import Finding, input_error
from foldsketch.commands.arguments import (
    Progress,
    Subparsers,
    add_command,
    add_machine_option,
    add_part_argument,
    print_findings,
)
from foldsketch.commands.sources import machine_from_options, part_from_options

if TYPE_CHECKING:
    from foldsketch.part.model import Part
    from foldsketch.setup.model import SetUpPlan

EXAMPLE = """\
example:
  foldsketch setups samples/bilge-pump-cover.toml --machine samples/machines/twin-spindle.toml --out out
      prints the sequence and writes out/bilge-pump-cover-setups.pdf, the talk sheets to leave on the table
"""


def add_parser(commands: Subparsers) -> None:
    """The command setups."""
    setups = add_command(
        commands, "setups", "which centre on which centreline", "Plan the set-ups of a part on a machine.", EXAMPLE
    )
    add_part_argument(setups)
    add_machine_option(setups)
    setups.add_argument("--out", default=".", metavar="DIR", help="folder for the talk sheets (default: here)")
    setups.add_argument("--json", action="store_true", help="print the set-up report instead, and write nothing")
    setups.add_argument("--explain", action="store_true", help="print every figure with its formula")
    setups.add_argument(
        "--gauge", action="store_true", help="write sheets of a stand and of a swing gauge for every set-up as well"
    )
    setups.add_argument("--scale", default="auto", metavar="N:M", help="scale of the paper model the gauge is for")
    setups.add_argument("--paper", default="A4", metavar="SIZE", help="paper of the gauge's sheets")
    setups.add_argument(
        "--location",
        type=float,
        metavar="MM",
        help="how far a cast centre may lie off: for clean-up and yield",
    )
    setups.add_argument(
        "--cast-size", type=float, default=0.0, metavar="MM", help="how far a cast diameter may stray either way (0)"
    )
    setups.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan, print, write."""
    from foldsketch.base.files import write_all_atomically
    from foldsketch.setup.plan.castings_and_time import CastingCheck, check_castings, time_comparison
    from foldsketch.setup.plan.figure_text import explain_figures
    from foldsketch.setup.plan.plan import plan
    from foldsketch.setup.plan.plan_text import castings_and_time_text, plan_table
    from foldsketch.setup.plan.report import plan_report_json
    from foldsketch.sheet.layout.paper import parse_paper, parse_scale
    from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets
    from foldsketch.write.pdf import pdf

    scale = parse_scale(options.scale)
    parse_paper(options.paper)
    progress = Progress()
    part, findings = part_from_options(options, progress)
    machine = machine_from_options(options)
    for name, value in (("--location", options.location or 0.0), ("--cast-size", options.cast_size)):
        if not 0 <= value <= 1000:
            raise input_error(name, f"{value:g} is out of range", "give 0 to 1000 mm")
    try:
        made = plan(part, machine, listener=progress)
        cast: tuple[CastingCheck, ...] = ()
        if options.location is not None:
            cast = check_castings(part, made, options.location, options.cast_size, progress)
    finally:
        progress.clear()
    time = time_comparison(made, machine)
    told = (*findings, *made.findings, *(f for s in made.setups for f in s.findings))
    if options.json:
        sys.stdout.write(plan_report_json(made, cast, time).decode())
        print_findings(told, part.units)
        return 0
    print(plan_table(made))
    batch = machine.times.batch if machine.times else 0
    if cast or time:
        print("\n" + castings_and_time_text(cast, time, batch, part.units))
    if options.explain:
        print("\n" + explain_figures(made))
    stem = Path(options.out) / Path(options.part).stem
    talk = stem.with_name(f"{stem.name}-setups.pdf")
    files = {talk: pdf(draw_talk_sheets(part, machine, made, cast, time), f"{part.name}, set-ups")}
    notes = [f"wrote {talk}"]
    if options.gauge:
        out = stem.with_name(f"{stem.name}-gauge.pdf")
        files[out], size, more = _gauge_sheets(options, part, made, scale, progress)
        notes.append(f"wrote {out} (for the model at {size})")
        told = (*told, *more)
    write_all_atomically(files)
    print("\n".join(notes))
    print_findings(told, part.units)
    return 0


def _gauge_sheets(
    options: argparse.Namespace, part: Part, made: SetUpPlan, wanted: float | None, progress: Progress
) -> tuple[bytes, str, tuple[Finding, ...]]:
    """The sheets of the stand and the swing gauges, the scale of the model they are for, and what there is to tell."""
    from foldsketch.job import pipeline
    from foldsketch.job.swing_gauge import make_swing_gauge
    from foldsketch.sheet.layout.paper import scale_text
    from foldsketch.write.pdf import pdf

    scale = wanted or pipeline.make_model(part, pipeline.Choices(paper=options.paper), progress).nets.scale
    try:
        pair = make_swing_gauge(made, scale, options.paper, progress)
    finally:
        progress.clear()
    return pdf(pair.pages, f"{part.name}, stand and swing gauges"), scale_text(scale), pair.stand.findings
