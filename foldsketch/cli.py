"""The command line: words in, results out."""

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
"""The modules of foldsketch.commands that add commands, in the order in which help shows them. They are imported
within main, so that Ctrl-C finds it ready."""


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
    """Run one command. Returns 0: done, 2: the input or the options are at fault, 1: our fault."""
    try:
        with defer_interrupt_during_import():
            return _run_command(arguments)
    except FoldsketchError as why:
        print_findings(why.findings)
        return 2
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        sys.stderr.write("\nstopped; nothing was half written\n")
        return 130


def _run_command(arguments: Sequence[str] | None) -> int:
    # One short run: what the collector would find is not worth looking for.
    gc.disable()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    options = build_parser().parse_args(arguments)
    if options.version:
        from importlib.metadata import version

        print(version("foldsketch"))
        return 0
    if options.command is None:
        build_parser().print_help()
        return 2
    return int(options.run(options))


if __name__ == "__main__":
    raise SystemExit(main())
