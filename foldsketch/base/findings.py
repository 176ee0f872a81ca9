"""Findings: what Foldsketch has to say about a part, a model or a set-up, and the one base error.

Every finding comes from a `Message`: its code, level and wording stand once, in the `messages.py` of the floor that
reports it, and what is found fills in place and values. Logic goes by codes and values, never by the words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple

from foldsketch.base.units import MM_PER_UNIT, format_number

Level = Literal["note", "warning", "error"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")
"""Worst first."""

LENGTH_POWERS = {"mm": 1, "mm2": 2, "mm3": 3}
"""Units that turn to inches, and how often the inch goes into them."""


class Quantity(NamedTuple):
    """A value with its unit, as it stands in a sentence. places: decimals shown; unit: "mm", "deg", "kg", "%", ..."""

    value: float
    unit: str
    places: int = 2

    def text(self, units: str = "mm") -> str:
        """With its unit; lengths in mm or inches.

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
        return f"{int(self)} {one if self == 1 else many or f'{one}s'}"


def mm(value: float, places: int = 2) -> Quantity:
    """A length in mm."""
    return Quantity(value, "mm", places)


def percent(share: float, places: int = 1) -> Quantity:
    """A share of 1 as per cent."""
    return Quantity(100 * share, "%", places)


def quoted(names: Iterable[str], most: int = 6) -> str:
    """Names in quotes, at most so many, and how many more.

    >>> quoted(["boss", "web"]), quoted("abc", 2)
    ("'boss' and 'web'", "'a', 'b' and 1 more")
    """
    listed = list(names)
    shown = [f"'{n}'" for n in listed[:most]]
    if len(listed) > most:
        shown.append(f"{len(listed) - most} more")
    return " and ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)


@dataclass(frozen=True, slots=True)
class Finding:
    """One note, warning or error: where it is, what it is and what to do about it.

    Attributes
    ----------
    level : {"note", "warning", "error"}
        How bad it is.
    where : str
        The place, such as ``"feature 'boss'"``.
    what, cure : str
        Wording with the names of values in braces; `text` has the values filled in.
    code : str
        Stable name of this kind of finding.
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

    level: Level
    where: str
    what: str
    cure: str = ""
    code: str = ""
    values: tuple[tuple[str, Any], ...] = ()
    count: int = 1

    def value(self, name: str) -> Any:
        """One value: a number, a text or a Quantity. Raises KeyError."""
        return dict(self.values)[name]

    def text_in(self, units: str) -> str:
        """Where, what and the cure in one line, without the level; lengths in "mm" or "in"."""
        what, cure = self.what, self.cure
        if self.code:
            shown = {name: _shown(value, units) for name, value in self.values}
            what, cure = what.format(**shown), cure.format(**shown)
        line = f"{self.where}: {what}" if self.where else what
        return f"{line}; {cure}" if cure else line

    @property
    def text(self) -> str:
        """The same, in mm."""
        return self.text_in("mm")

    def __str__(self) -> str:
        return f"{self.level}: {self.text}"

    def as_dict(self, units: str = "mm") -> dict[str, Any]:
        """The finding as the report files carry it; values as {"value", "unit"} where they have a unit."""
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
    if isinstance(value, Quantity):
        return value.text(units)
    if isinstance(value, tuple):
        return quoted(value)
    return _Count(value) if isinstance(value, int) else value


@dataclass(frozen=True, slots=True)
class Message:
    """A kind of finding. code: stable, words joined by hyphens; what, cure: the wording, values in braces (`{gap}`;
    whole numbers make their noun agree, `{count:hole}`); about: for the list in docs, where the wording needs it."""

    code: str
    level: Level
    what: str
    cure: str = ""
    about: str = ""

    def at(self, where: str = "", **values: Any) -> Finding:
        """The finding at one place."""
        return Finding(self.level, where, self.what, self.cure, self.code, tuple(values.items()))

    def error(self, where: str = "", **values: Any) -> FoldsketchError:
        """The error to raise for it."""
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
        super().__init__("\n".join(str(f) for f in self.findings))


def input_error(where: str, what: str, cure: str = "") -> FoldsketchError:
    """The error for one finding, ready to be raised."""
    return FoldsketchError(Finding("error", where, what, cure))


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Each finding once, errors before warnings before notes, and alike ones as one.

    Alike are findings of one code and level whose place begins with the same word. Of those the first stands, with
    the other places named.

    >>> thin = Message("thin", "note", "is thin")
    >>> [f.text for f in worst_first([thin.at("feature 'rib'"), thin.at("feature 'web'")])]
    ["2 features ('rib' and 'web'): is thin"]
    """
    groups: dict[tuple[Any, ...], list[Finding]] = {}
    for f in dict.fromkeys(findings):
        kind = f.where.partition(" ")[0]
        key = (f.level, f.code, kind) if f.code and kind != f.where else (f,)
        groups.setdefault(key, []).append(f)
    merged = [_merged(group) for group in groups.values()]
    return sorted(merged, key=lambda f: LEVELS.index(f.level))


def _merged(group: Sequence[Finding]) -> Finding:
    if len(group) == 1:
        return group[0]
    kind = group[0].where.partition(" ")[0]
    names = [f.where.partition(" ")[2].strip("'") for f in group]
    alike = all(f.values == group[0].values for f in group)
    others = "" if alike else f"; and {len(group) - 1} more like it"
    where = f"{len(group)} {kind}s ({quoted(names)})" if alike else group[0].where
    return replace(group[0], where=where, cure=group[0].cure + others, count=len(group))
