"""Writes those parts of the docs that the program itself says: the commands, and what the tutorial's commands print.

    python .ci/pages.py            write them
    python .ci/pages.py --check    change nothing; exit code 1 when a page is out of date

tests/docs holds the written pages against what this makes.
"""

from __future__ import annotations

import argparse
import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"

HEAD = """# Commands

Every command and option, written by `python .ci/pages.py` from the program's own parser.

Exit code 0: done, perhaps with warnings. 2: the input or the options are at fault, told on standard error in one line
a finding. 1: our fault. 130: stopped with Ctrl-C. With `--json` nothing but the report goes to standard output.

`foldsketch --help` and `foldsketch COMMAND --help` say the same; `foldsketch --version` tells the version.
"""


def commands_page() -> str:
    """The page of all commands, as Markdown."""
    from foldsketch.cli import build_parser

    top = build_parser()
    sub = next(a for a in top._actions if isinstance(a, argparse._SubParsersAction))
    short = {a.dest: a.help for a in sub._choices_actions}
    lines = [HEAD]
    lines += ["| command | does |", "|---|---|"]
    lines += [f"| [`{name}`](#{name}) | {short[name]} |" for name in sub.choices]
    for name, command in sub.choices.items():
        own = [a for a in command._actions if not isinstance(a, argparse._HelpAction)]
        named = " ".join(f"{a.metavar}…" if a.nargs == "+" else str(a.metavar) for a in own if not a.option_strings)
        lines += ["", f"## {name}", "", str(command.description), ""]
        lines += ["```", f"foldsketch {name} {named} [options]".replace("  ", " "), "```", ""]
        lines += ["| argument | default | meaning |", "|---|---|---|"]
        lines += [_row(a) for a in own]
        lines += ["", *_example(str(command.epilog))]
    return "\n".join(lines) + "\n"


def _row(a: argparse.Action) -> str:
    """One argument as a row of its table."""
    name = a.option_strings[0] if a.option_strings else str(a.metavar)
    words = "\\|".join(map(str, a.choices)) if a.choices else a.metavar if a.option_strings and a.nargs != 0 else ""
    shown = f"`{name}`" + (f" {words}" if words else "")
    default = "" if a.default in (None, False, argparse.SUPPRESS) or not a.option_strings else f"`{a.default}`"
    return f"| {shown} | {default} | {a.help} |"


def _example(epilog: str) -> list[str]:
    """The example below a command's help: the command, then what it does."""
    rows = [r.strip() for r in epilog.splitlines()[1:] if r.strip()]
    return ["```sh", rows[0], "```", "", *rows[1:]] if rows[1:] else ["```sh", rows[0], "```"]


BLOCK = re.compile(r"^```(toml|sh|text)\n(.*?)^```$", re.M | re.S)


def told(page: str) -> str:
    """The tutorial's page with every ```text block replaced by what the ```sh block before it prints.

    Every ```toml block is saved as eccentric.toml first, as the page tells its reader to.
    """
    with tempfile.TemporaryDirectory() as folder:
        said = ""

        def follow(block: re.Match[str]) -> str:
            nonlocal said
            kind, text = block[1], block[2]
            if kind == "toml":
                (Path(folder) / "eccentric.toml").write_text(text, "utf-8")
            elif kind == "sh":
                said = "".join(_said(line, folder) for line in text.splitlines())
            else:
                text = said
            return f"```{kind}\n{text}```"

        return BLOCK.sub(follow, page)


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
    "tapered-spigot": "a cone off the centre of its foot",
    "three-boss-rocker": "three bosses on two arms that fuse around the pivot",
    "valve-lever": "a lever measured in inches",
}

SAMPLES = """# The samples

All from a small harbour workshop that overhauls bilge and ballast pumps; all invented. The figures are those that
`foldsketch make samples/NAME.toml` prints, on A4; this page is written by `python .ci/pages.py`.

| sample | what it shows |
|---|---|
{about}

Each built in three ways: as it comes, with `--quick`, and with `--walls rolled`. In brackets the fewest sheets by area.
Folds count the roots of tabs; the teeth of a rolled rim are one fold and one glue joint. Minutes by the model that
[The booklet](booklet.md) states.

| sample | way | scale | pieces | sheets | cut | folds | glue joints | minutes |
|---|---|---|---|---|---|---|---|---|
{ways}

Five more, for teaching, lie in `samples/lessons` ([Lessons](lessons.md)), machine files in `samples/machines`
([The machine file](machine-file.md)), meshes beside the part files ([From an STL](from-an-stl.md)).

{pictures}"""


def samples_page() -> str:
    """The page of all samples: what each shows, and what it takes to build it in three ways."""
    from foldsketch.assembly.work_time import measure_work, work_minutes
    from foldsketch.job import pipeline, quick_model
    from foldsketch.part.file.read import read_part
    from foldsketch.sheet.layout.paper import scale_text
    from foldsketch.solid.faceting.sides import FacetChoice, coarsen_facets

    ways = {
        "as it comes": pipeline.Choices(),
        "quick": pipeline.Choices(quick=True, facets=coarsen_facets(FacetChoice())),
        "rolled": pipeline.Choices(facets=FacetChoice(walls="rolled")),
    }
    about, rows, pictures = [], [], []
    for stem, words in ABOUT.items():
        part = read_part(ROOT / "samples" / f"{stem}.toml")[0]
        about.append(f"| [{part.name}](../samples/{stem}.toml) | {words} |")
        pictures.append(f"## {part.name}\n\n![{part.name}](pictures/{stem}.png)\n")
        for way, choices in ways.items():
            made = quick_model.model(part, choices)
            w = measure_work(made.nets)
            sheets = f"{len(made.sheets)} ({made.bound})"
            counts = f"{len(made.nets.pieces)} | {sheets} | {w.cut / 1000:.1f} m | {w.folds} | {w.glued}"
            scale = scale_text(made.nets.scale) + (", one body" if made.join == "fuse" else "")
            rows.append(f"| {part.name} | {way} | {scale} | {counts} | {work_minutes(w):.0f} |")
    return SAMPLES.format(about="\n".join(about), ways="\n".join(rows), pictures="\n".join(pictures))


def last_bits_apart(text: str) -> str:
    """The text without figures of the size of rounding errors, which differ between machines."""
    return re.sub(r"\d\.\de-1\d", "tiny", text)


def pages() -> dict[Path, str]:
    """Every page that is written, and how it should read."""
    tutorial = DOCS / "tutorial.md"
    return {
        DOCS / "commands.md": commands_page(),
        DOCS / "samples.md": samples_page(),
        tutorial: told(tutorial.read_text("utf-8")),
    }


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--check", action="store_true")
    check = ask.parse_args().check
    stale = 0
    for path, text in pages().items():
        if path.exists() and last_bits_apart(path.read_text("utf-8")) == last_bits_apart(text):
            continue
        stale += 1
        print(f"{path.relative_to(ROOT)} is out of date" if check else f"wrote {path.relative_to(ROOT)}")
        if not check:
            path.write_text(text, "utf-8")
    return 1 if check and stale else 0


if __name__ == "__main__":
    raise SystemExit(main())
