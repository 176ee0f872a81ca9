"""Layout of printed text: labels, wrapping, and findings of several set-ups as one line."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from foldsketch.base.findings import Finding
from foldsketch.base.units import format_count

WIDTH, INDENT = 80, 7
"""Characters of a line, and those before its text."""

HOURS_FROM_MIN = 1000.0
"""Minutes from which a time is printed in hours."""


def with_right(left: str, right: str) -> list[str]:
    """A line with something at its right end, or two lines where one is too narrow.

    >>> [len(line) for line in with_right("part", "50: 6.2 min each")], len(with_right("p" * 70, "50: 6.2 min each"))
    ([80], 2)
    """
    if len(left) + len(right) + 2 > WIDTH:
        return [left, right.rjust(WIDTH)]
    return [left + right.rjust(WIDTH - len(left))]


def labelled(label: str, rows: Iterable[str]) -> list[str]:
    """Rows with a word before the first one, wrapped."""
    made: list[str] = []
    for row in rows:
        wrapped = textwrap.wrap(row, WIDTH - INDENT) or [""]
        made += [(label if not made and k == 0 else "").ljust(INDENT) + text for k, text in enumerate(wrapped)]
    return made


def duration(minutes: float) -> str:
    """A time of a batch.

    >>> duration(311.2), duration(22268)
    ('311 min', '371 h')
    """
    return f"{minutes:.0f} min" if minutes < HOURS_FROM_MIN else f"{minutes / 60:.0f} h"


def joined_findings(findings: Iterable[Finding], units: str) -> list[str]:
    """Findings of set-ups, a line for each thing said; a kind that needs the same cure has it once, at its end.

    >>> from foldsketch.base.findings import Message
    >>> cast = Message("cast", "note", "grips '{name}'", "use rocking jaws")
    >>> joined_findings([cast.at("set-up 1", name="hub"), cast.at("set-up 3", name="pin")], "mm")
    ["set-up 1: grips 'hub'", "set-up 3: grips 'pin'; use rocking jaws"]
    """
    groups: dict[tuple[str, str], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.code, f.wording(units)[1]), []).append(f)
    lines = []
    for (_, cure), own in groups.items():
        by_words: dict[str, list[str]] = {}
        for f in own:
            by_words.setdefault(f.wording(units)[0], []).append(f.where)
        for words, places in by_words.items():
            numbers = list(dict.fromkeys(p.removeprefix("set-up ") for p in places))
            where = places[0] if len(numbers) == 1 else f"set-ups {', '.join(numbers[:-1])} and {numbers[-1]}"
            lines.append(f"{where}: {words}")
        lines[-1] += f"; {cure}" if cure else ""
    return lines


def joined_reasons(reasons: Sequence[Finding], units: str) -> str:
    """Reasons why something is not cut: what is true of both ends is said once.

    >>> from foldsketch.base.findings import Message
    >>> short = Message("short", "note", "too short")
    >>> joined_reasons([short.at(f"main spindle on 'rim', machined from {end}") for end in ("+z", "-z")], "mm")
    "main spindle on 'rim': too short"
    """
    said: dict[str, list[str]] = {}
    for f in reasons:
        what, cure = f.wording(units)
        said.setdefault(f"{what}; {cure}" if cure else what, []).append(f.where)
    made = []
    for what, places in said.items():
        common = places[0]
        if len(places) > 1:
            common = "" if places[0].startswith("from ") else places[0].partition(", machined from")[0]
        made.append(f"{common}: {what}" if common else what)
    return "; ".join(made)


def counted_surfaces(cut: int, of: int) -> str:
    """How much of a part is cut.

    >>> counted_surfaces(3, 8)
    'cuts 3 of 8 surfaces'
    """
    return f"cuts {cut} of {format_count(of, 'surface')}"
