"""The checks that every value of a part file goes through, and the findings they leave behind."""

from __future__ import annotations

import json
import math
import unicodedata
from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any, Literal

from foldsketch.base.findings import Finding
from foldsketch.part.file.lines import KeyPath
from foldsketch.part.file.text import ValueTree

MAX_NAME_CHARACTERS = 60
MIN_LENGTH_MM, MAX_LENGTH_MM = 1e-3, 1e5
"""Bounds for a length that is not zero, mm."""

MAX_REPORTED_UNKNOWN_KEYS = 100
"""Unknown keys that are told one by one."""


class ValueReader:
    """The findings of one part file while it is read, and the checks that every value goes through."""

    def __init__(self, tree: ValueTree, source: str) -> None:
        self.tree = tree
        self.source = source
        self.findings: list[Finding] = []
        self.mm = 1.0
        self._meant: set[KeyPath] = set()
        self._unknown = 0

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The errors so far."""
        return tuple(f for f in self.findings if f.level == "error")

    def note(self, level: Literal["note", "warning", "error"], place: KeyPath, what: str, cure: str = "") -> None:
        """One finding about the value at a place."""
        self.findings.append(Finding(level, self._where(place), what, cure))

    def add_finding(self, place: KeyPath, finding: Finding) -> None:
        """A finding about the value at a place."""
        self.findings.append(replace(finding, where=self._where(place)))

    def _where(self, place: KeyPath) -> str:
        owner = ""
        if len(place) > 1 and isinstance(place[1], int):
            table = self.tree.values[str(place[0])][place[1]]
            name = table.get("name") if isinstance(table, dict) else None
            owner = (
                f", {place[0]} '{normalize_name(name)}'" if isinstance(name, str) else f", {place[0]} {place[1] + 1}"
            )
        return f"{self.source} line {self.tree.line(place)}{owner}"

    def fault(self, place: KeyPath, what: str, cure: str = "") -> None:
        """An error about the value at a place."""
        self.note("error", place, what, cure)

    def missing(self, place: KeyPath, key: str, cure: str = "") -> None:
        """An error about a key that a table lacks, unless a misspelt one was told already."""
        if (*place, key) not in self._meant:
            self.fault((*place, key), f"{key} is missing", cure)

    def keys(
        self, place: KeyPath, table: dict[str, Any], known: tuple[str, ...], elsewhere: Mapping[str, str] | None = None
    ) -> None:
        """Every key must be a known one. elsewhere: keys that belong somewhere else, and what to say of them."""
        for key in table:
            if key in known:
                continue
            self._unknown += 1
            if self._unknown > MAX_REPORTED_UNKNOWN_KEYS:
                return
            if elsewhere and key in elsewhere:
                self.fault((*place, key), f"{key} does not belong here", elsewhere[key])
                continue
            close = closest_word(key, known)
            self._meant.add((*place, close))
            self.fault((*place, key), f"unknown key '{format_value(key)[1:-1]}'", did_you_mean(key, known))

    def number(
        self,
        place: KeyPath,
        value: Any,
        least: float = -MAX_LENGTH_MM,
        most: float = MAX_LENGTH_MM,
        above: float | None = None,
        factor: float = 1.0,
    ) -> float | None:
        """A finite number within bounds, times factor; None after a fault. Bounds apply to the result."""
        expected, number = "", 0.0
        if isinstance(value, bool) or not isinstance(value, int | float):
            expected = "a number"
        else:
            try:
                number = float(value) * factor
            except OverflowError:
                number = math.inf
            if not math.isfinite(number):
                expected = "a finite number"
            elif above is not None and number <= above:
                expected = f"a number above {above:g}"
            elif not least <= number <= most:
                expected = f"{least:g} to {most:g}" + (" mm" if factor != 1 else "")
        if expected:
            self.fault(place, f"{_key_label(place)} = {format_value(value)}: expected {expected}")
            return None
        return number

    def length(self, place: KeyPath, value: Any, zero: bool = False) -> float | None:
        """A size in mm: above 0, or at least 0."""
        if zero and value == 0 and not isinstance(value, bool):
            return 0.0
        return self.number(place, value, MIN_LENGTH_MM, MAX_LENGTH_MM, above=None if zero else 0.0, factor=self.mm)

    def numbers(self, place: KeyPath, value: Any, count: int, factor: float = 1.0) -> tuple[float, ...] | None:
        """A list of so many finite numbers, times factor."""
        if not isinstance(value, list) or len(value) != count:
            self.fault(place, f"{_key_label(place)} = {format_value(value)}: expected {count} numbers in brackets")
            return None
        found = [self.number((*place, k), v, factor=factor) for k, v in enumerate(value)]
        return None if any(v is None for v in found) else tuple(v for v in found if v is not None)

    def name(self, place: KeyPath, value: Any) -> str | None:
        """A name that can be printed."""
        if value is None:
            self.missing(place[:-1], str(place[-1]), f'give {place[-1]} = "…"')
            return None
        if not isinstance(value, str) or not value.strip():
            self.fault(place, f"{place[-1]} = {format_value(value)}: expected a name in quotes")
            return None
        text = normalize_name(value)
        if not is_printable(text):
            self.fault(
                place,
                f"{place[-1]} = {format_value(value)}: holds a control character",
                "use letters, digits and signs",
            )
            return None
        if len(text) > MAX_NAME_CHARACTERS:
            self.fault(
                place, f"{place[-1]} = {format_value(text)}: longer than {MAX_NAME_CHARACTERS} characters", "shorten it"
            )
            return None
        return text

    def tables(self, key: str, most: int) -> list[tuple[KeyPath, dict[str, Any]]]:
        """The tables of a list of tables, with their places."""
        value = self.tree.values.get(key)
        if value is None or value == []:
            if (key,) not in self._meant:
                self.fault((key,), f"no [[{key}]] table", f"at least one {key} is needed")
            return []
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.fault((key,), f"{key} is not a list of tables", f"write [[{key}]] above each")
            return []
        if len(value) > most:
            self.fault((key,), f"{len(value)} {key} tables: at most {most} are read", "leave out what does not matter")
            return []
        return [((key, k), v) for k, v in enumerate(value)]


def normalize_name(text: str) -> str:
    """A name in the one form in which it is kept and compared: composed characters, no blanks around it."""
    return unicodedata.normalize("NFC", text.strip())


def is_printable(text: str, breaks: str = "") -> bool:
    """True when a text holds nothing that cannot stand on a sheet: no controls, no halves of characters.

    breaks: control characters that are allowed all the same.
    """
    return all(
        c in breaks or (unicodedata.category(c) not in {"Cc", "Cs", "Co", "Zl", "Zp"} and ord(c) & 0xFFFE != 0xFFFE)
        for c in text
    )


def _key_label(place: KeyPath) -> str:
    """The key that a value stands under, with the number of the entry for rows of a list."""
    k = max((i for i, part in enumerate(place) if isinstance(part, str)), default=0)
    row = place[k + 1 : k + 2] if len(place) > k + 2 or place[k] in ("outline", "hull") else ()
    return str(place[k]) + (f" entry {int(row[0]) + 1}" if row else "")


def format_value(value: Any) -> str:
    """A value as it stands in the file, shortened."""
    if isinstance(value, str):
        value = value[:60]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    try:
        text = json.dumps(value, ensure_ascii=False, default=str)
    except (ValueError, TypeError):
        return "(too long to show)"
    text = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text[:60])
    return text if len(text) <= 40 else text[:37] + "..."


def closest_word(word: Any, known: tuple[str, ...] | list[str]) -> str:
    """The known word that comes nearest, or nothing."""
    close = get_close_matches(str(word)[:60].lower(), [k.lower() for k in known], 1, 0.6)
    return next(k for k in known if k.lower() == close[0]) if close else ""


def did_you_mean(word: Any, known: tuple[str, ...] | list[str]) -> str:
    """What may have been meant."""
    close = closest_word(word, known)
    return f"did you mean '{close}'?" if close else "known are " + ", ".join(known)
