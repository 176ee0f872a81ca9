"""lesson: for each part a worksheet for apprentices, its answers, and the model that both are about."""

from __future__ import annotations

import argparse
from pathlib import Path

from foldsketch.base.findings import Finding
from foldsketch.commands.arguments import Progress, Subparsers, add_command, add_machine_option, print_findings
from foldsketch.commands.choices import add_hold_option, add_minutes_option, hold_from_options, minutes_from_options
from foldsketch.commands.inputs import machine_from_options

EXAMPLE = """\
example:
  foldsketch lesson samples/lessons/*.toml --out out
      writes for each a worksheet, answers with a class plan, and the model that they are about with its booklet
"""


def add_parser(commands: Subparsers) -> None:
    """The command lesson."""
    lesson = add_command(commands, "lesson", "worksheets and answers", "Write lessons for apprentices.", EXAMPLE)
    lesson.add_argument("parts", nargs="+", metavar="PART", help="part files (TOML or JSON)")
    add_machine_option(lesson)
    lesson.add_argument(
        "--scale", default="auto", metavar="N:M", help="scale of the paper model (default: as foldsketch make chooses)"
    )
    add_minutes_option(lesson)
    add_hold_option(lesson)
    lesson.add_argument("--out", default=".", metavar="DIR", help="folder for the files (default: here)")
    lesson.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan each part and write its sheets."""
    from foldsketch.base.files import write_all_atomically
    from foldsketch.job.choices import Choices
    from foldsketch.job.messages import SAME_NAME
    from foldsketch.job.setup_outputs import lesson
    from foldsketch.part.file.read import read_part
    from foldsketch.setup.plan.plan import plan
    from foldsketch.sheet.layout.paper import parse_scale

    names = [Path(p).stem for p in options.parts]
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            raise SAME_NAME.error(name)
    machine = machine_from_options(options)
    hold, kept = hold_from_options(options)
    choices = Choices(
        minutes=minutes_from_options(options),
        scale=parse_scale(options.scale),
        hold=hold,
        fixed=kept,
        feet=options.feet,
    )
    progress = Progress()
    parts = [(Path(p).stem, *read_part(Path(p))) for p in options.parts]
    files: dict[Path, bytes] = {}
    findings: list[Finding] = []
    for k, (stem, part, own) in enumerate(parts):
        progress("lessons", k / len(parts))
        planned = plan(part, machine)
        for what, data in lesson(part, machine, choices, planned).items():
            files[Path(options.out) / f"{stem}-{what}.pdf"] = data
        findings += (*own, *planned.findings)
    progress.clear()
    write_all_atomically(files)
    for out in files:
        print(f"wrote {out}")
    print_findings(findings, options.all_findings)
    return 0
