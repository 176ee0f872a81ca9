"""setups: the set-up plan of a part on a machine, as a table, a report and set-up sheets."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.commands.arguments import (
    Progress,
    Subparsers,
    add_command,
    add_machine_option,
    add_part_argument,
    print_findings,
    print_json,
)
from foldsketch.commands.inputs import file_stem, machine_from_options, part_from_options

if TYPE_CHECKING:
    from foldsketch.job.in_hand_outputs import InHand
    from foldsketch.part.model import Part
    from foldsketch.setup.machine import Machine
    from foldsketch.setup.model import SetUpPlan

EXAMPLE = """\
example:
  foldsketch setups samples/bilge-pump-cover.toml --machine samples/machines/twin-spindle.toml --out out
      prints the sequence and writes out/bilge-pump-cover-setups.pdf, the set-up sheets
"""

MAX_CASTING_TOLERANCE_MM = 1000.0


def add_parser(commands: Subparsers) -> None:
    """The command setups."""
    setups = add_command(
        commands,
        "setups",
        "set-up plan: which axis goes on the spindle",
        "Plan the set-ups of a part on a machine.",
        EXAMPLE,
    )
    add_part_argument(setups)
    add_machine_option(setups)
    setups.add_argument("--out", default=".", metavar="DIR", help="folder for the set-up sheets (default: here)")
    setups.add_argument("--json", action="store_true", help="print the set-up report instead, and write nothing")
    setups.add_argument("--batch", type=int, metavar="N", help="parts to plan for (default: the machine file's batch)")
    setups.add_argument(
        "--plan", type=int, default=1, metavar="N", help="which of the printed plans (default 1, the cheapest)"
    )
    setups.add_argument("--explain", action="store_true", help="print every figure with its formula")
    setups.add_argument(
        "--jaws",
        action="store_true",
        help="also draw the bored jaws or the fixture plate of each set-up: PDF, DXF, and a part file of them",
    )
    setups.add_argument(
        "--in-hand", action="store_true", help="also print the set-ups to hold in the hand: paper chucks, stands, steps"
    )
    setups.add_argument(
        "--gauge", action="store_true", help="also print a card stand and one swing gauge for each set-up"
    )
    setups.add_argument(
        "--scale", default="auto", metavar="N:M", help="scale of the paper model that gauges and chucks are for"
    )
    setups.add_argument("--paper", default="A4", metavar="SIZE", help="paper for gauges and chucks")
    setups.add_argument(
        "--location", type=float, metavar="MM", help="casting tolerance on a centre, mm: does it clean up?"
    )
    setups.add_argument(
        "--cast-size", type=float, default=0.0, metavar="MM", help="casting tolerance on a diameter, plus or minus mm"
    )
    setups.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan, print, write."""
    from foldsketch.base.files import write_all_atomically
    from foldsketch.job.setup_outputs import setup_sheets
    from foldsketch.part.check import check_part
    from foldsketch.setup.plan.castings_and_time import (
        CastingCheck,
        castings_text,
        check_castings,
        time_comparison,
    )
    from foldsketch.setup.plan.figure_text import explain_figures
    from foldsketch.setup.plan.plan import plan
    from foldsketch.setup.plan.plan_text import IN_ROWS, plan_table
    from foldsketch.setup.plan.report import plan_report
    from foldsketch.sheet.layout.paper import parse_paper, parse_scale

    scale = parse_scale(options.scale)
    parse_paper(options.paper)
    progress = Progress()
    part, read = part_from_options(options, progress)
    findings = (*read, *check_part(part))
    if wrong := [f for f in findings if f.level == "error"]:
        raise FoldsketchError(wrong)
    machine = machine_from_options(options)
    _check_numbers(options)
    try:
        planned = plan(part, machine, listener=progress, batch=options.batch, number=options.plan)
        cast: tuple[CastingCheck, ...] = ()
        if options.location is not None:
            cast = check_castings(part, planned, options.location, options.cast_size, progress)
    finally:
        progress.clear()
    time = time_comparison(planned, machine)
    if options.json:
        findings = (*findings, *planned.findings, *(f for s in planned.setups for f in s.findings))
        print_json(plan_report(planned, cast, time))
        print_findings(findings, options.all_findings, part.units)
        return 0
    findings = (*findings, *(f for f in planned.findings if f.code not in IN_ROWS))
    print(plan_table(planned))
    if cast:
        print("\n" + castings_text(cast, part.units))
    if options.explain:
        print("\n" + explain_figures(planned))
    stem = Path(options.out) / file_stem(options, part)
    out = stem.with_name(f"{stem.name}-setups.pdf")
    files = {out: setup_sheets(part, planned, machine, cast, time)}
    notes = [f"wrote {out}"]
    extra = _extra_files(options, part, planned, machine, scale, progress)
    files |= {stem.with_name(f"{stem.name}-{end}"): data for end, data in extra.files.items()}
    notes += [f"wrote {stem.with_name(f'{stem.name}-{end}')}" for end in extra.files]
    notes += extra.notes
    findings = (*findings, *extra.findings)
    write_all_atomically(files)
    print("\n".join(notes))
    print_findings(findings, options.all_findings, part.units)
    return 0


def _check_numbers(options: argparse.Namespace) -> None:
    """Raise FoldsketchError for a casting tolerance or a batch that cannot be meant."""
    from foldsketch.job.choices import out_of_range
    from foldsketch.setup.machine_file.tables import MAX_BATCH

    given = {"--location": options.location or 0.0, "--cast-size": options.cast_size}
    wrong = [f for name, value in given.items() for f in out_of_range(name, value, 0, MAX_CASTING_TOLERANCE_MM, "mm")]
    if options.batch is not None:
        wrong += out_of_range("--batch", options.batch, 1, MAX_BATCH, whole=True)
    if wrong:
        raise FoldsketchError(wrong)


class ExtraFiles(NamedTuple):
    """files: bytes by the end of their names; notes: lines to print; findings: about them."""

    files: dict[str, bytes]
    notes: list[str]
    findings: list[Finding]


def _extra_files(
    options: argparse.Namespace,
    part: Part,
    planned: SetUpPlan,
    machine: Machine,
    scale: float | None,
    progress: Progress,
) -> ExtraFiles:
    """What --jaws, --in-hand and --gauge ask for."""
    from foldsketch.job.jaw_outputs import jaw_drawings

    extra = ExtraFiles({}, [], [])
    if options.jaws:
        jaws = jaw_drawings(part, planned, machine)
        extra.files.update(jaws.files)
        extra.findings.extend(jaws.findings)
    if options.in_hand:
        hand = _in_hand(options, part, planned, machine, scale, progress)
        extra.files.update(hand.files)
        tool = f", {hand.tool_minutes:.0f} more for the tool" if hand.tool_minutes else ""
        takes = f"about {hand.minutes:.0f} minutes beside the part's own model{tool}"
        extra.notes.append(f"the set-up in the hand takes {takes}")
        extra.findings.extend(hand.findings)
    if options.gauge:
        extra.files["gauge.pdf"], size, more = _gauge_sheets(options, part, planned, scale, progress)
        extra.notes.append(f"gauge.pdf is for the model at {size}")
        extra.findings.extend(more)
    return extra


def _in_hand(
    options: argparse.Namespace,
    part: Part,
    planned: SetUpPlan,
    machine: Machine,
    scale: float | None,
    progress: Progress,
) -> InHand:
    """Paper chucks and stands for the part's paper model, as `make` builds it."""
    from foldsketch.job.budget import model
    from foldsketch.job.choices import Choices
    from foldsketch.job.in_hand_outputs import set_up_in_hand

    try:
        made = model(part, Choices(paper=options.paper, scale=scale), progress)
    finally:
        progress.clear()
    return set_up_in_hand(made, planned, machine)


def _gauge_sheets(
    options: argparse.Namespace, part: Part, planned: SetUpPlan, wanted: float | None, progress: Progress
) -> tuple[bytes, str, tuple[Finding, ...]]:
    """The sheets of the stand and the swing gauges as PDF, the scale of the model they are for, and findings."""
    from foldsketch.job.choices import Choices
    from foldsketch.job.pipeline import make_model
    from foldsketch.job.swing_gauge import make_swing_gauge
    from foldsketch.sheet.layout.paper import scale_text
    from foldsketch.write.pdf import pdf

    scale = wanted or make_model(part, Choices(paper=options.paper), progress).nets.scale
    try:
        pair = make_swing_gauge(planned, scale, options.paper, progress)
    finally:
        progress.clear()
    return pdf(pair.pages, f"{part.name}, stand and swing gauges"), scale_text(scale), pair.stand.findings
