"""Writes the pages that come from the program: commands, messages, samples, lessons, and the tutorial's output.

    python .ci/pages.py            write them
    python .ci/pages.py --check    change nothing; exit code 1 when a page is out of date
    python .ci/pages.py --plans    also the page of all set-up plans, which takes a minute or two
    python .ci/pages.py --models   also that of the models for 5 minutes to all

tests/docs compares the written pages with what this makes.
"""

from __future__ import annotations

import argparse
import os
import pkgutil
import re
import shlex
import subprocess
import sys
import tempfile
from collections import Counter
from importlib import import_module
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"

HEAD = """# Commands

Every command and option, written by `python .ci/pages.py` from the program's own parser. `foldsketch --help` and
`foldsketch COMMAND --help` say the same; `foldsketch --version` prints the version.

Exit codes: 0 done, perhaps with warnings; 2 wrong input or options, one line each on standard error; 1 bug in
Foldsketch; 130 stopped with Ctrl-C. With `--json` only the report goes to standard output.
"""

COMMON = """
## Common options

A command lists these below its own.

| option | default | meaning |
|---|---|---|"""


def commands_page() -> str:
    """The page of all commands, as Markdown."""
    from foldsketch.cli import build_parser

    top = build_parser()
    sub = next(a for a in top._actions if isinstance(a, argparse._SubParsersAction))
    short = {a.dest: a.help for a in sub._choices_actions}
    actions = {
        name: [a for a in c._actions if a.help != argparse.SUPPRESS and not isinstance(a, argparse._HelpAction)]
        for name, c in sub.choices.items()
    }
    often = Counter(_row(a) for own in actions.values() for a in own if a.option_strings)
    common = [row for row, times in often.items() if times > 1]
    lines = [HEAD]
    lines += ["| command | does |", "|---|---|"]
    lines += [f"| [`{name}`](#{name}) | {short[name]} |" for name in sub.choices]
    for name, command in sub.choices.items():
        own = actions[name]
        named = " ".join(f"{a.metavar}…" if a.nargs == "+" else str(a.metavar) for a in own if not a.option_strings)
        lines += ["", f"## {name}", "", str(command.description), ""]
        lines += ["```", f"foldsketch {name} {named} [options]".replace("  ", " "), "```", ""]
        rows = [_row(a) for a in own if _row(a) not in common]
        if rows:
            lines += ["| argument | default | meaning |", "|---|---|---|", *rows, ""]
        shared = [f"`{a.option_strings[0]}`" for a in own if a.option_strings and _row(a) in common]
        if shared:
            lines += [f"[Common options](#common-options): {', '.join(shared)}", ""]
        lines += _example(str(command.epilog))
    return "\n".join([*lines, COMMON, *common]) + "\n"


def _row(a: argparse.Action) -> str:
    """One argument as a row of its table."""
    name = a.option_strings[0] if a.option_strings else str(a.metavar)
    words = "\\|".join(map(str, a.choices)) if a.choices else a.metavar if a.option_strings and a.nargs != 0 else ""
    shown = f"`{name}`" + (f" {words}" if words else "")
    default = "" if a.default in (None, False, "", argparse.SUPPRESS) or not a.option_strings else f"`{a.default}`"
    return f"| {shown} | {default} | {a.help} |"


def _example(epilog: str) -> list[str]:
    """The example below a command's help: the command, then what it does."""
    rows = [r.strip() for r in epilog.splitlines()[1:] if r.strip()]
    return ["```sh", rows[0], "```", "", *rows[1:]] if rows[1:] else ["```sh", rows[0], "```"]


BLOCK = re.compile(r"^```(toml|sh|text)\n(.*?)^```$", re.M | re.S)


SLIP = ("diamter = 30", "diameter = 30")
"""The typing error of the tutorial's part file; after the first command the page has its reader correct it."""


def tutorial_page(page: str) -> str:
    """The tutorial with every ```text block replaced by what the ```sh block before it prints.

    The ```toml block is saved as eccentric.toml first, as the page says.
    """
    with tempfile.TemporaryDirectory() as folder:
        part = Path(folder) / "eccentric.toml"
        said = ""

        def follow(block: re.Match[str]) -> str:
            nonlocal said
            kind, text = block[1], block[2]
            if kind == "toml":
                part.write_text(text, "utf-8")
            elif kind == "sh":
                said = "".join(_said(line, folder) for line in text.splitlines())
                part.write_text(part.read_text("utf-8").replace(*SLIP), "utf-8")
            else:
                text = said
            return f"```{kind}\n{text}```"

        return BLOCK.sub(follow, page)


PRINTED_PLAN = re.compile(r"(?<=The plan for ten:\n\n```\n).*?(?=```)", re.S)


def worked_example_page(page: str) -> str:
    """The worked example with the plan that its command prints, without the cautions."""
    command = next(words for kind, words in BLOCK.findall(page) if kind == "sh").strip()
    with tempfile.TemporaryDirectory() as folder:
        said = _said(command.replace("samples/", f"{ROOT}/samples/"), folder)
    plan = said.partition("\nFirst estimates")[0] + "\n"
    assert PRINTED_PLAN.search(page)
    return PRINTED_PLAN.sub(lambda _: plan, page)


def _said(line: str, folder: str) -> str:
    """What a command says, on standard output and standard error together, as a terminal shows it."""
    words = shlex.split(line)
    if words[:1] != ["foldsketch"]:
        raise SystemExit(f"the tutorial runs nothing but foldsketch: {line}")
    done = subprocess.run(
        [sys.executable, "-m", "foldsketch.cli", *words[1:]],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        cwd=folder,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1", "PYTHONPATH": str(ROOT)},
        check=False,
    )
    if done.returncode not in (0, 2):
        raise SystemExit(f"{line}: {done.stdout}")
    return done.stdout


ABOUT = {
    "bilge-pump-cover": "two offset spigots and bores on a flange, four bolt holes",
    "cross-drilled-boss": "a boss with a hole across it",
    "double-throw-crank": "round webs and two pins half a turn apart",
    "eccentric-shaft": "an eccentric between two journals",
    "hex-eccentric": "a hexagon head, an eccentric journal, a clip groove",
    "offset-bore-sleeve": "a sleeve whose bore is off centre",
    "single-throw-crank": "hull-shaped webs and one pin",
    "tapered-spigot": "a cone off the centre of its base",
    "three-boss-rocker": "three bosses on two arms that fuse around the pivot",
    "valve-lever": "a lever measured in inches",
}

SAMPLES = """# The samples

All are invented: a small harbour workshop overhauls bilge and ballast pumps. The figures are those that
`foldsketch make` prints, on A4, with the most sides of any round. 15 minutes, glued, is the default; the others are
`--minutes 5`, `--hold tape`, `--hold tuck`, `--minutes 30` and `--minutes all`. This page is written by
`python .ci/pages.py`.

| sample | what it shows | 5 min | 15 min | 15 min, tape | 15 min, tuck | 30 min | all |
|---|---|---|---|---|---|---|---|
{rows}

Five more, for teaching, are in `samples/lessons` ([Lessons](lessons.md)), machine files in `samples/machines`
([The machine file](machine-file.md)), meshes beside the part files ([From an STL or STEP](from-an-stl.md)).
"""

LESSONS = {
    "1-one-offset-spigot": "two axes; holding off centre; jaws bored off centre instead of packing",
    "2-offset-bore": "a bore off centre; thick and thin wall",
    "3-eccentric": "the stroke is twice the offset; from both ends",
    "4-two-spigots": "a neighbour's sweep; clearance and stick-out; what unbalance on a fixture does to the speed",
    "5-double-throw-crank": "three axes; two set-ups off centre, one for each pin",
}

TABLE = re.compile(r"(^\| lesson \| .*\n\|---.*\n)(?:^\|.*\n)*", re.M)


def made(path: Path, minutes: float | None, hold: str = "glue", scale: float | None = None) -> tuple[Any, int]:
    """The model of a part file for so many minutes, None for all, and the minutes that it takes to build."""
    from foldsketch.assembly.work_time import measure_work, work_minutes
    from foldsketch.job.budget import model
    from foldsketch.job.choices import Choices
    from foldsketch.part.file.read import read_part

    made = model(read_part(path)[0], Choices(minutes=minutes, hold=hold, scale=scale))
    return made, round(work_minutes(measure_work(made.nets)))


def count(number: int, noun: str) -> str:
    """A number with its noun."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


COLUMNS: tuple[tuple[float | None, str], ...] = (
    (5, "glue"),
    (15, "glue"),
    (15, "tape"),
    (15, "tuck"),
    (30, "glue"),
    (None, "glue"),
)


def samples_page() -> str:
    """The page of all samples: what each shows, its picture, and what is built of it in how many minutes."""
    from foldsketch.sheet.layout.paper import scale_text

    rows = []
    for stem, words in ABOUT.items():
        cells = []
        for minutes, hold in COLUMNS:
            model, takes = made(ROOT / "samples" / f"{stem}.toml", minutes, hold)
            sides = max((p.sides or 0 for p in model.faceted.prisms), default=0)
            nets, sheets = count(len(model.nets.pieces), "net"), count(len(model.sheets), "sheet")
            cells.append(f"{scale_text(model.nets.scale)}, {sides} sides, {nets}, {sheets}: **{takes} min**")
        name = f"[{model.part.name}](../samples/{stem}.toml)"
        rows.append(f"| {name} ![{model.part.name}](pictures/{stem}.png) | {words} | {' | '.join(cells)} |")
    return SAMPLES.format(rows="\n".join(rows))


def lessons_page(page: str) -> str:
    """The page of lessons with its table filled in."""
    from foldsketch.setup.machine import DEFAULT_MACHINE
    from foldsketch.setup.plan.plan import plan

    rows = []
    for stem, words in LESSONS.items():
        path = ROOT / "samples" / "lessons" / f"{stem}.toml"
        (usual, minutes), (full, all_minutes) = made(path, 15, scale=1), made(path, None, scale=1)
        setups = len(plan(full.part, DEFAULT_MACHINE).setups)
        name = full.part.name.removeprefix("Lesson ").replace(":", "")
        sheets = f"{len(usual.sheets)} ({len(full.sheets)})"
        rows.append(f"| {name} | {words} | {setups} | {sheets} | {minutes} ({all_minutes}) |\n")
    return TABLE.sub(lambda found: found[1] + "".join(rows), page)


FLOORS = {
    "base": "Files and options",
    "part": "Part files",
    "mesh": "Meshes",
    "solid": "Bodies of the paper model",
    "net": "Nets",
    "assembly": "Building",
    "setup": "Set-ups",
    "sheet": "Sheets and booklets",
    "write": "Files that are written",
    "job": "Making a model",
    "commands": "Commands",
    "web": "The page",
}

FINDINGS = """# Messages

A message begins with its level and the place: `error: cover.toml line 28, feature 'flange': …`. Errors stop the run;
warnings and notes do not. Each has a code that does not change, for scripts (`code` in the
[reports](file-formats.md)). Words in italics are filled in. This page is written by `python .ci/pages.py`.
"""


def messages() -> dict[str, list[Any]]:
    """The messages of each floor, from its modules called messages and the modules of folders called messages."""
    import foldsketch
    from foldsketch.base.findings import Message

    found: dict[str, list[Any]] = {floor: [] for floor in FLOORS}
    seen: set[int] = set()
    names = [m.name for m in pkgutil.walk_packages(foldsketch.__path__, "foldsketch.")]
    for floor in FLOORS:
        for name in names:
            if name.startswith(f"foldsketch.{floor}.") and "messages" in name.split("."):
                own = [v for v in vars(import_module(name)).values() if isinstance(v, Message) and id(v) not in seen]
                seen |= {id(v) for v in own}
                found[floor] += own
    return found


def findings_page(found: dict[str, list[Any]]) -> str:
    """The page of all messages, as Markdown. Raises ValueError for a code that stands for two messages."""
    often = [code for code, times in Counter(m.code for own in found.values() for m in own).items() if times > 1]
    if often:
        raise ValueError(f"codes of two messages: {', '.join(often)}")
    lines = [FINDINGS]
    for floor, own in found.items():
        if own:
            lines += [f"## {FLOORS[floor]}", "", "| code | level | message |", "|---|---|---|"]
            lines += [f"| `{m.code}` | {m.level} | {_worded(m)} |" for m in sorted(own, key=lambda m: m.code)]
            lines.append("")
    return "\n".join(lines)


def _worded(message: Any) -> str:
    """A message as it reads: values in italics, numbers with the plural of their noun."""

    def shown(found: re.Match[str]) -> str:
        name, _, noun = found[1].partition(":")
        one, _, many = noun.partition("|")
        return f"*{name.replace('_', ' ')}* {many or f'{one}s'}" if noun else f"*{name.replace('_', ' ')}*"

    text = f"{message.what}; {message.cure}" if message.cure else message.what
    text = re.sub(r"\{([^{}]+)\}", shown, text)
    about = message.about[:1].upper() + message.about[1:]
    return (f"{text}. {about}" if about else text).replace("|", "\\|").replace("\n", " ")


def api_page() -> str:
    """The page of the Python API, from the docstrings."""
    sys.path.insert(0, str(ROOT / ".ci"))
    import api_page

    return api_page.api_page()


def last_bits_apart(text: str) -> str:
    """The text without figures of the size of rounding errors, which differ between machines."""
    return re.sub(r"\d\.\de-1\d", "tiny", text)


def slow_page(module: str) -> str:
    """A page that takes a minute or two, by the module beside this one that writes it."""
    sys.path.insert(0, str(ROOT / ".ci"))
    found: str = getattr(import_module(module), module)()
    return found


def pages() -> dict[Path, str]:
    """Every page that is written at once, and how it should read."""
    tutorial = DOCS / "tutorial.md"
    return {
        DOCS / "api.md": api_page(),
        DOCS / "commands.md": commands_page(),
        DOCS / "worked-example.md": worked_example_page((DOCS / "worked-example.md").read_text("utf-8")),
        DOCS / "findings.md": findings_page(messages()),
        DOCS / "samples.md": samples_page(),
        DOCS / "lessons.md": lessons_page((DOCS / "lessons.md").read_text("utf-8")),
        tutorial: tutorial_page(tutorial.read_text("utf-8")),
    }


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--check", action="store_true")
    ask.add_argument("--plans", action="store_true")
    ask.add_argument("--models", action="store_true")
    given = ask.parse_args()
    check, stale, wanted = given.check, 0, pages()
    if given.plans:
        wanted[DOCS / "set-up-plans.md"] = slow_page("plans_page")
    if given.models:
        wanted[DOCS / "models.md"] = slow_page("models_page")
    for path, text in wanted.items():
        if path.exists() and last_bits_apart(path.read_text("utf-8")) == last_bits_apart(text):
            continue
        stale += 1
        print(f"{path.relative_to(ROOT)} is out of date" if check else f"wrote {path.relative_to(ROOT)}")
        if not check:
            path.write_text(text, "utf-8")
    return 1 if check and stale else 0


if __name__ == "__main__":
    raise SystemExit(main())
