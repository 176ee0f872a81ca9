"""Findings: notes, warnings and errors about a part, a model or a set-up, and the one base error.

Every finding comes from a `Message`, which holds its code, level and wording. The messages of a floor are in its
`messages.py`; whoever finds something adds the place and the values. Code goes by `code` and `values`, never by words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple

from foldsketch.base.units import MM_PER_UNIT, format_count, format_number, plural

Level = Literal["note", "warning", "error"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")
"""Worst first."""

LENGTH_POWERS = {"mm": 1, "mm2": 2, "mm3": 3}
"""Units that are shown in inches where inches are asked for, and the power of the length in them."""

MAX_NAMES_SHOWN = 6
"""Names listed in a sentence before the rest is only counted."""

_PLACE = re.compile(r"([a-z]+) (?:'(.*)'|(\S+))")
"""A kind of thing and the name of one: "feature 'boss'", "axis B"."""


_NUMBERED = re.compile(r"(.*\D)(0|[1-9]\d*)")
"""A name that ends in a number."""


class Quantity(NamedTuple):
    """A value with its unit. unit: "mm", "deg", "kg", "%", ...; places: most decimals shown."""

    value: float
    unit: str
    places: int = 2

    def text(self, units: str = "mm") -> str:
        """As shown in a sentence; lengths, areas and volumes in "mm" or "in".

        >>> Quantity(25.4, "mm").text(), Quantity(25.4, "mm").text("in"), Quantity(12.5, "%", 1).text()
        ('25.4 mm', '1 in', '12.5 %')
        """
        value, unit, places = self
        if units == "in" and unit in LENGTH_POWERS:
            power = LENGTH_POWERS[unit]
            value, unit, places = value / MM_PER_UNIT["in"] ** power, unit.replace("mm", "in"), places + 1 + power
        shown = format_number(value, places)
        return f"{shown}°" if unit == "deg" else f"{shown} {unit}".rstrip()


class _Count(int):
    """A number that makes its noun agree: `{count:hole}` or `{count:hole is|holes are}`."""

    def __format__(self, noun: str) -> str:
        if not noun:
            return str(int(self))
        one, _, many = noun.partition("|")
        return f"{int(self)} {one if self == 1 else many}" if many else format_count(self, one)


def mm(value: float, places: int = 2) -> Quantity:
    """A length in mm."""
    return Quantity(value, "mm", places)


def percent(share: float, places: int = 1) -> Quantity:
    """A share of 1 as per cent."""
    return Quantity(100 * share, "%", places)


def numbered_runs(names: Iterable[str]) -> list[list[str]]:
    """Names, in lists: three or more that differ by a running number are together, others alone.

    >>> numbered_runs(["boss", "hole 2", "hole 1", "web", "hole 3", "hole 7"])
    [['boss'], ['hole 1', 'hole 2', 'hole 3'], ['hole 7'], ['web']]
    """
    alike: dict[str, list[tuple[int, str]]] = {}
    for name in names:
        found = _NUMBERED.fullmatch(name)
        stem, number = (found[1], int(found[2])) if found else (name, 0)
        alike.setdefault(stem, []).append((number, name))
    runs: list[list[str]] = []
    for same in alike.values():
        last = -1
        for number, name in sorted(same):
            if runs and number == last + 1 and number:
                runs[-1].append(name)
            else:
                runs.append([name])
            last = number
    return [part for run in runs for part in ([run] if len(run) > 2 else [[name] for name in run])]


def listed(names: Iterable[str]) -> str:
    """Names without quotes.

    >>> listed(["boss", "hole 1", "hole 2", "hole 3"])
    'boss, hole 1 to 3'
    """
    return ", ".join(_run_text(run, "") for run in numbered_runs(names))


def quoted(names: Iterable[str], most: int = MAX_NAMES_SHOWN) -> str:
    """Names in quotes, at most so many, and how many more.

    >>> quoted(["boss", "web"]), quoted("abc", 2)
    ("'boss' and 'web'", "'a', 'b' and 1 more")
    >>> quoted(["hole 1", "hole 2", "hole 3", "web"])
    "'hole 1' to '3' and 'web'"
    """
    runs = numbered_runs(names)
    shown = [_run_text(run) for run in runs[:most]]
    if len(runs) > most:
        shown.append(f"{sum(map(len, runs[most:]))} more")
    return " and ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)


def _run_text(run: Sequence[str], quote: str = "'") -> str:
    last = _NUMBERED.fullmatch(run[-1])
    ends = (run[0], last[2]) if last and len(run) > 1 else (run[0],)
    return " to ".join(f"{quote}{name}{quote}" for name in ends)


@dataclass(frozen=True, slots=True)
class Finding:
    """One note, warning or error: where it is, what it is and what to do about it.

    Attributes
    ----------
    code : str
        Stable name of this kind of finding, listed in docs/findings.md.
    level : {"note", "warning", "error"}
        How bad it is.
    where : str
        The place, such as ``"feature 'boss'"``.
    what, cure : str
        Wording with the names of values in braces; `text` has the values filled in.
    values : tuple of (str, value)
        Name and value of each; a `Quantity` has a unit, lengths are mm.
    count : int
        How many findings this one represents.

    Examples
    --------
    >>> too_long = Message("too-long", "error", "is {length} long", "make it shorter than {most}")
    >>> print(too_long.at("feature 'boss'", length=mm(30.0), most=mm(25.4)))
    error: feature 'boss': is 30 mm long; make it shorter than 25.4 mm
    >>> too_long.at("feature 'boss'", length=mm(30.0), most=mm(25.4)).text_in("in")
    "feature 'boss': is 1.1811 in long; make it shorter than 1 in"
    """

    code: str
    level: Level
    where: str
    what: str
    cure: str = ""
    values: tuple[tuple[str, Any], ...] = ()
    count: int = 1

    def value(self, name: str) -> Any:
        """One value: a number, a text, a tuple of names or a Quantity. Raises KeyError."""
        return dict(self.values)[name]

    def wording(self, units: str = "mm") -> tuple[str, str]:
        """What it is and the cure, with the values filled in; lengths in "mm" or "in"."""
        shown = {name: _shown(value, units) for name, value in self.values}
        return self.what.format(**shown), self.cure.format(**shown)

    def text_in(self, units: str) -> str:
        """Where, what and cure in one line, without the level; lengths in "mm" or "in"."""
        what, cure = self.wording(units)
        line = f"{self.where}: {what}" if self.where else what
        return f"{line}; {cure}" if cure else line

    @property
    def text(self) -> str:
        """Where, what and cure in one line, without the level; lengths in mm."""
        return self.text_in("mm")

    def __str__(self) -> str:
        return f"{self.level}: {self.text}"

    def as_dict(self, units: str = "mm") -> dict[str, Any]:
        """The finding for report files; a value with a unit is {"value", "unit"}, always in its own unit.

        >>> Message("thin", "note", "is {gap} thick").at("rib", gap=mm(0.5)).as_dict()["values"]
        {'gap': {'value': 0.5, 'unit': 'mm'}}
        """
        values = {
            name: {"value": value.value, "unit": value.unit} if isinstance(value, Quantity) else value
            for name, value in self.values
        }
        return {
            "code": self.code,
            "level": self.level,
            "where": self.where,
            "text": self.text_in(units),
            "values": values,
        }


def _shown(value: Any, units: str) -> Any:
    """A value as its sentence shows it."""
    if isinstance(value, Quantity):
        return value.text(units)
    if isinstance(value, tuple):
        return quoted(value)
    return _Count(value) if isinstance(value, int) else value


@dataclass(frozen=True, slots=True)
class Message:
    """A kind of finding.

    code: stable, words joined by hyphens, unique in the project; what, cure: wording with values in braces (`{gap}`),
    where whole numbers can make a noun agree (`{count:hole}`); about: for the list in docs, if the wording alone does
    not explain it.
    """

    code: str
    level: Level
    what: str
    cure: str = ""
    about: str = ""

    def at(self, where: str = "", **values: Any) -> Finding:
        """A finding of this kind at one place."""
        return Finding(self.code, self.level, where, self.what, self.cure, tuple(values.items()))

    def error(self, where: str = "", **values: Any) -> FoldsketchError:
        """The error to raise for a finding of this kind."""
        return FoldsketchError(replace(self.at(where, **values), level="error"))


class FoldsketchError(Exception):
    """The one base error: the input or the options are wrong.

    Attributes
    ----------
    findings : tuple of Finding
        Each says where, what and what to do.

    Examples
    --------
    >>> import foldsketch
    >>> try:
    ...     foldsketch.read_part("no-such-file.toml")
    ... except foldsketch.FoldsketchError as error:
    ...     print([finding.level for finding in error.findings])
    ['error']
    """

    def __init__(self, findings: Finding | Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = (findings,) if isinstance(findings, Finding) else tuple(findings)
        super().__init__(self.findings)

    def __str__(self) -> str:
        return "\n".join(str(f) for f in self.findings)


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Each finding once, errors before warnings before notes, and alike ones as one.

    Alike are findings of one code and level about things of one kind, such as features. Where their values differ, the
    first one's are shown.

    >>> thin = Message("thin", "note", "is {gap} thick")
    >>> [f.text for f in worst_first([thin.at("feature 'rib'", gap=mm(1)), thin.at("feature 'web'", gap=mm(1))])]
    ["2 features ('rib' and 'web'): is 1 mm thick"]
    >>> [f.text for f in worst_first([thin.at("feature 'rib'", gap=mm(1)), thin.at("feature 'web'", gap=mm(2))])]
    ["feature 'rib' (similar: 'web'): is 1 mm thick"]
    """
    groups: dict[tuple[Any, ...], list[Finding]] = {}
    for f in dict.fromkeys(findings):
        place = _PLACE.fullmatch(f.where)
        groups.setdefault((f.level, f.code, place[1]) if place else (f,), []).append(f)
    merged = [_merged(group) for group in groups.values()]
    return sorted(merged, key=lambda f: LEVELS.index(f.level))


def _merged(group: Sequence[Finding]) -> Finding:
    first = group[0]
    if len(group) == 1:
        return first
    places = [found for f in group if (found := _PLACE.fullmatch(f.where))]
    names = [found[2] or found[3] for found in places]
    if all(f.values == first.values for f in group):
        where = f"{len(group)} {plural(places[0][1])} ({quoted(names)})"
    else:
        where = f"{first.where} (similar: {quoted(names[1:])})"
    return replace(first, where=where, count=sum(f.count for f in group))
