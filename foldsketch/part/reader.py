"""The checks that every value of a part file goes through, and the findings they leave behind."""

from __future__ import annotations

import math
import unicodedata
from difflib import get_close_matches
from typing import Any, Literal

from foldsketch.base.findings import Finding
from foldsketch.part.text import Place, Tree

LONGEST_NAME = 60
SMALLEST, LARGEST = 1e-3, 1e5
"""Bounds for a length that is not zero, mm."""


class Reader:
    """The findings of one part file while it is read, and the checks that every value goes through."""

    def __init__(self, tree: Tree, source: str) -> None:
        self.tree = tree
        self.source = source
        self.findings: list[Finding] = []
        self.mm = 1.0

    def note(self, level: Literal["note", "warning", "error"], place: Place, what: str, cure: str = "") -> None:
        """One finding about the value at a place."""
        owner = ""
        if len(place) > 1 and isinstance(place[1], int):
            table = self.tree.values[str(place[0])][place[1]]
            name = table.get("name") if isinstance(table, dict) else None
            owner = f", {place[0]} '{name}'" if isinstance(name, str) else f", {place[0]} {place[1] + 1}"
        self.findings.append(Finding(level, f"{self.source} line {self.tree.line(place)}{owner}", what, cure))

    def fault(self, place: Place, what: str, cure: str = "") -> None:
        """An error about the value at a place."""
        self.note("error", place, what, cure)

    def keys(self, place: Place, table: dict[str, Any], known: tuple[str, ...]) -> None:
        """Every key must be a known one."""
        for key in table:
            if key not in known:
                self.fault((*place, key), f"unknown key {show(key)}", nearest(key, known))

    def number(
        self,
        place: Place,
        value: Any,
        least: float = -LARGEST,
        most: float = LARGEST,
        above: float | None = None,
        factor: float = 1.0,
    ) -> float | None:
        """A finite number within bounds, times factor; None after a fault. Bounds apply to the result."""
        key = place[-1] if isinstance(place[-1], str) else place[-2]
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(place, f"{key} = {show(value)}: expected a number")
            return None
        try:
            number = float(value) * factor
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            self.fault(place, f"{key} = {show(value)}: expected a finite number")
            return None
        if above is not None and number <= above:
            self.fault(place, f"{key} = {show(value)}: expected a number above {above:g}")
            return None
        if not least <= number <= most:
            self.fault(place, f"{key} = {show(value)}: expected {least:g} to {most:g}" + (" mm" if factor != 1 else ""))
            return None
        return number

    def length(self, place: Place, value: Any, zero: bool = False) -> float | None:
        """A size in mm: above 0, or at least 0."""
        if zero and value == 0 and not isinstance(value, bool):
            return 0.0
        return self.number(place, value, SMALLEST, LARGEST, above=None if zero else 0.0, factor=self.mm)

    def numbers(self, place: Place, value: Any, count: int, factor: float = 1.0) -> tuple[float, ...] | None:
        """A list of so many finite numbers, times factor."""
        if not isinstance(value, list) or len(value) != count:
            self.fault(place, f"{place[-1]} = {show(value)}: expected {count} numbers in brackets")
            return None
        found = [self.number((*place, k), v, factor=factor) for k, v in enumerate(value)]
        return None if any(v is None for v in found) else tuple(v for v in found if v is not None)

    def name(self, place: Place, value: Any) -> str | None:
        """A name that can be printed."""
        if not isinstance(value, str) or not value.strip():
            self.fault(place, f"{place[-1]} = {show(value)}: expected a name in quotes")
            return None
        text = unicodedata.normalize("NFC", value.strip())
        if any(unicodedata.category(c) in {"Cc", "Cs", "Co", "Zl", "Zp"} for c in text):
            self.fault(
                place, f"{place[-1]} = {show(value)}: holds a control character", "use letters, digits and signs"
            )
            return None
        if len(text) > LONGEST_NAME:
            self.fault(place, f"{place[-1]} = {show(text)}: longer than {LONGEST_NAME} characters", "shorten it")
            return None
        return text

    def tables(self, key: str, most: int) -> list[tuple[Place, dict[str, Any]]]:
        """The tables of a list of tables, with their places."""
        value = self.tree.values.get(key)
        if value is None or value == []:
            self.fault((key,), f"no [[{key}]] table", f"a part needs at least one {key}")
            return []
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.fault((key,), f"{key} is not a list of tables", f"write [[{key}]] above each")
            return []
        if len(value) > most:
            self.fault((key,), f"{len(value)} {key} tables: at most {most} are read", "leave out what does not matter")
            return []
        return [((key, k), v) for k, v in enumerate(value)]


def show(value: Any) -> str:
    """A value as it stood in the file, shortened."""
    text = repr(value) if not isinstance(value, bool) else str(value).lower()
    return text if len(text) <= 40 else text[:37] + "..."


def nearest(word: Any, known: tuple[str, ...] | list[str]) -> str:
    """What may have been meant."""
    close = get_close_matches(str(word).lower(), [k.lower() for k in known], 1, 0.6)
    if close:
        return f"did you mean '{next(k for k in known if k.lower() == close[0])}'?"
    return "known are " + ", ".join(known)
