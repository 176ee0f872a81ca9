"""The command line."""

from __future__ import annotations

import argparse
import gc
import sys
from collections.abc import Sequence
from importlib import import_module

from foldsketch.base.findings import FoldsketchError
from foldsketch.base.interrupt import defer_interrupt_during_import
from foldsketch.commands.arguments import CommandParser, print_findings

COMMAND_MODULES = ("make", "read", "setups", "lesson", "share", "serve")
"""The modules of foldsketch.commands that add commands, in the order of the help. main imports them, so that Ctrl-C
is handled from the start."""


def build_parser() -> argparse.ArgumentParser:
    """All commands and their options."""
    modules = [import_module(f"foldsketch.commands.{name}") for name in COMMAND_MODULES]
    top = CommandParser(
        prog="foldsketch",
        description="Paper models for turned parts whose round features do not share one axis.",
        epilog=modules[0].EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="store_true", help="print the version and stop")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", parser_class=CommandParser)
    for module in modules:
        module.add_parser(commands)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns 0: done, 2: the input or the options are wrong, 130: stopped. A bug in Foldsketch raises, and Python ends
    with 1.
    """
    try:
        with defer_interrupt_during_import():
            return _run_command(arguments)
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        sys.stderr.write("\nstopped; no file was left half written\n")
        return 130


def _run_command(arguments: Sequence[str] | None) -> int:
    # A short run makes little garbage: it is quicker not to look for it.
    gc.disable()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    parser = build_parser()
    options = parser.parse_args(arguments)
    if options.version:
        from importlib.metadata import version

        print(version("foldsketch"))
        return 0
    if options.command is None:
        parser.print_help()
        return 2
    try:
        return int(options.run(options))
    except FoldsketchError as why:
        print_findings(why.findings, getattr(options, "all_findings", False))
        return 2


if __name__ == "__main__":
    raise SystemExit(main())
