"""What was heard, written as a part file: TOML for people to edit."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from foldsketch.base.units import format_number
from foldsketch.part.spoken.statements import SaidFeature

Row = tuple[str, str]
"""Key and value of a line of the part file."""

AFTER_ENDS = ("stock", "finish")
"""Keys that stand behind start and end."""


@dataclass
class Placed:
    """A feature that stands: its axis, its ends in the part's unit, and the other lines of its table."""

    name: str
    axis: str
    start: float
    end: float
    rows: list[Row]
    cut: bool = False


def part_text(top: Sequence[Row], axes: Mapping[str, Sequence[Row]], features: Sequence[Placed]) -> str:
    """The text of a part file. top: its first lines, none for tables that go behind others."""
    lines = [*(_table("", top) if top else ())]
    for letter, rows in axes.items():
        lines += _table("[[axis]]", [("name", quoted(letter)), *rows])
    for f in features:
        before, after = ([r for r in f.rows if (r[0] in AFTER_ENDS) == late] for late in (False, True))
        ends = [("start", shown(f.start)), ("end", shown(f.end)), *([("cut", "true")] if f.cut else [])]
        lines += _table("[[feature]]", [("name", quoted(f.name)), ("axis", quoted(f.axis)), *before, *ends, *after])
    return "\n".join(lines).lstrip("\n") + "\n"


def _table(head: str, rows: Sequence[Row]) -> Iterator[str]:
    yield ""
    if head:
        yield head
    wide = max(len(key) for key, _ in rows)
    yield from (f"{key:<{wide}} = {value}" for key, value in rows)


def shown(value: float) -> str:
    """A number as the part file has it."""
    return format_number(value, 6)


def quoted(words: str) -> str:
    """Words as TOML has them."""
    made: str = json.dumps(words, ensure_ascii=False)
    return made.replace("\x7f", "\\u007f")


def shape_rows(said: SaidFeature) -> list[Row]:
    """The lines of a feature's shape and sizes."""
    sizes = [shown(v) for v in said.sizes]
    if said.shape == "taper":
        return [("shape", '"cone"'), ("start_diameter", sizes[0]), ("end_diameter", sizes[1])]
    if said.shape in ("hexagon", "square"):
        return [("shape", '"prism"'), ("sides", "6" if said.shape == "hexagon" else "4"), ("across_flats", sizes[0])]
    return [("shape", '"cylinder"'), ("diameter", sizes[0])]
