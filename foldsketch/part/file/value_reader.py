"""Checked values of a part file: every value is tested for type, bounds and wording, every error is collected."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from foldsketch.base.findings import Finding, Quantity
from foldsketch.part.file import messages
from foldsketch.part.file.line_numbers import KeyPath
from foldsketch.part.file.value_tree import Table, ValueTree
from foldsketch.part.file.wording import closest_word, did_you_mean, format_value, is_printable, normalize_name

MAX_NAME_CHARACTERS = 60
MIN_LENGTH_MM, MAX_LENGTH_MM = 1e-3, 1e5
"""Bounds for a length that is not zero, mm."""

MAX_REPORTED_UNKNOWN_KEYS = 100
"""Unknown keys that are reported one by one."""


Word = TypeVar("Word", bound=str)


class ValueReader:
    """The findings of one file while it is read, and the tests of its values.

    Methods that read a value return None after an error. mm_per_unit: factor for lengths, once the units are known.
    """

    def __init__(self, tree: ValueTree, source: str) -> None:
        self.tree = tree
        self.source = source
        self.findings: list[Finding] = []
        self.mm_per_unit = 1.0
        self._misspelt_keys: set[KeyPath] = set()
        self._unknown_key_count = 0

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The errors so far."""
        return tuple(f for f in self.findings if f.level == "error")

    def add_finding(self, place: KeyPath, finding: Finding) -> None:
        """A finding about the value at a place: its `where` becomes file, line and the axis or feature."""
        where = f"{self.source} line {self.tree.line(place)}"
        if len(place) > 1 and isinstance(place[1], int):
            table = self.tree.values[str(place[0])][place[1]]
            name = table.get("name") if isinstance(table, dict) else None
            where += f", {place[0]} " + (f"'{normalize_name(name)}'" if isinstance(name, str) else f"{place[1] + 1}")
        self.findings.append(replace(finding, where=where))

    def report_missing(self, place: KeyPath, key: str, advice: str = "") -> None:
        """An error about a key that a table lacks, unless a misspelt form of it was reported."""
        if (*place, key) not in self._misspelt_keys:
            self.add_finding((*place, key), messages.KEY_MISSING.at(key=key, advice=advice))

    def check_keys(
        self, place: KeyPath, table: Table, known: Sequence[str], foreign: Mapping[str, Finding] | None = None
    ) -> None:
        """Every key must be a known one. foreign: what to report for keys that belong elsewhere."""
        for key in table:
            if key in known:
                continue
            self._unknown_key_count += 1
            if self._unknown_key_count > MAX_REPORTED_UNKNOWN_KEYS:
                return
            if foreign and key in foreign:
                self.add_finding((*place, key), foreign[key])
                continue
            self._misspelt_keys.add((*place, closest_word(key, known)))
            shown = format_value(key)[1:-1]
            self.add_finding((*place, key), messages.UNKNOWN_KEY.at(key=shown, advice=did_you_mean(key, known)))

    def one_key_of(self, place: KeyPath, table: Table, keys: Sequence[str], advice: str) -> str | None:
        """The one of some keys that a table has; an error if it has none or several."""
        given = [k for k in keys if k in table]
        if len(given) == 1:
            return given[0]
        if given:
            error = messages.KEYS_TOGETHER.at(keys=" and ".join(given), advice=advice)
            self.add_finding((*place, given[-1]), error)
        elif not any((*place, k) in self._misspelt_keys for k in keys):
            self.report_missing(place, keys[0], advice)
        return None

    def number(
        self,
        place: KeyPath,
        value: Any,
        least: float = -MAX_LENGTH_MM,
        most: float = MAX_LENGTH_MM,
        above: float | None = None,
        unit: str = "",
    ) -> float | None:
        """A finite number from least to most and more than above.

        unit: "mm" for a length, which is converted to mm before it is compared.
        """
        if isinstance(value, bool) or not isinstance(value, int | float):
            self._wrong_type(place, value, "a number")
            return None
        try:
            number = float(value) * (self.mm_per_unit if unit == "mm" else 1.0)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            self._wrong_type(place, value, "a finite number")
            return None
        too_low = above is not None and number <= above
        if least <= number <= most and not too_low:
            return number
        key, given = _key_label(place), format_value(value)
        if above is not None and too_low:
            self.add_finding(place, messages.VALUE_TOO_LOW.at(key=key, given=given, bound=Quantity(above, unit)))
        else:
            low, high = Quantity(least, unit, 3), Quantity(most, unit, 3)
            self.add_finding(place, messages.VALUE_RANGE.at(key=key, given=given, least=low, most=high))
        return None

    def length(self, place: KeyPath, value: Any, zero: bool = False) -> float | None:
        """A size in mm: more than 0, or with zero 0 as well."""
        if zero and value == 0 and not isinstance(value, bool):
            return 0.0
        return self.number(place, value, MIN_LENGTH_MM, MAX_LENGTH_MM, above=None if zero else 0.0, unit="mm")

    def numbers(self, place: KeyPath, value: Any, count: int, unit: str = "") -> tuple[float, ...] | None:
        """A list of so many finite numbers; unit as in `number`."""
        if not isinstance(value, list) or len(value) != count:
            self._wrong_type(place, value, f"{count} numbers in brackets")
            return None
        found = [self.number((*place, k), v, unit=unit) for k, v in enumerate(value)]
        numbers = tuple(v for v in found if v is not None)
        return numbers if len(numbers) == count else None

    def rows(self, place: KeyPath, value: Any, count: int, most: int) -> list[tuple[float, ...]] | None:
        """A list of 1 to most lists of so many lengths, in mm."""
        if not isinstance(value, list) or not 1 <= len(value) <= most:
            self._wrong_type(place, value, f"a list of 1 to {most} entries of {count} numbers")
            return None
        found = [self.numbers((*place, k), row, count, "mm") for k, row in enumerate(value)]
        rows = [row for row in found if row is not None]
        return rows if len(rows) == len(value) else None

    def whole_number(self, place: KeyPath, value: Any, least: int, most: int) -> int | None:
        """A whole number from least to most."""
        if isinstance(value, bool) or not isinstance(value, int):
            self._wrong_type(place, value, "a whole number")
            return None
        return None if self.number(place, value, least, most) is None else value

    def words(self, place: KeyPath, value: Any) -> list[str] | None:
        """A list of words in quotes, of any length."""
        if isinstance(value, list) and all(isinstance(v, str) for v in value):
            return value
        self._wrong_type(place, value, 'a list of words: ["…", "…"]')
        return None

    def flag(self, place: KeyPath, value: Any) -> bool:
        """A switch, true or false; false after an error."""
        if not isinstance(value, bool):
            self._wrong_type(place, value, "true or false without quotes")
        return value is True

    def choice(self, place: KeyPath, value: Any, choices: Sequence[Word], advice: str = "") -> Word | None:
        """One of a few words."""
        for word in choices:
            if value == word:
                return word
        expected = " or ".join(f'"{c}"' for c in choices)
        close = closest_word(value, choices)
        advice = advice or (f"did you mean '{close}'?" if close else "")
        key, given = _key_label(place), format_value(value)
        self.add_finding(place, messages.VALUE_UNKNOWN.at(key=key, given=given, expected=expected, advice=advice))
        return None

    def name(self, place: KeyPath, value: Any) -> str | None:
        """A name that can be printed."""
        if value is None:
            self.report_missing(place[:-1], str(place[-1]), f'give {place[-1]} = "…"')
            return None
        if not isinstance(value, str) or not value.strip():
            self._wrong_type(place, value, "a name in quotes")
            return None
        return self.printable_text(place, normalize_name(value), MAX_NAME_CHARACTERS)

    def printable_text(self, place: KeyPath, value: Any, most: int, breaks: str = "") -> str | None:
        """A text of at most so many characters without control characters but breaks."""
        if not isinstance(value, str):
            self._wrong_type(place, value, "a text in quotes")
            return None
        printable = is_printable(value, breaks)
        if printable and len(value) <= most:
            return value
        key, given = _key_label(place), format_value(value)
        if printable:
            self.add_finding(place, messages.TEXT_TOO_LONG.at(key=key, given=given, most=most))
        else:
            self.add_finding(place, messages.CONTROL_CHARACTER.at(key=key, given=given))
        return None

    def table(self, key: str) -> Table | None:
        """A table of the file; None where it is missing, or after an error."""
        value = self.tree.values.get(key)
        if value is None or isinstance(value, dict):
            return value
        self.add_finding((key,), messages.TABLE_NOT_TABLE.at(key=key))
        return None

    def tables(self, key: str, most: int) -> list[tuple[KeyPath, Table]]:
        """The tables of a list of tables, with their places."""
        value = self.tree.values.get(key)
        if value is None or value == []:
            if (key,) not in self._misspelt_keys:
                self.add_finding((key,), messages.TABLE_MISSING.at(key=key))
        elif not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.add_finding((key,), messages.TABLES_NOT_LIST.at(key=key))
        elif len(value) > most:
            self.add_finding((key,), messages.TOO_MANY_TABLES.at(count=len(value), key=key, most=most))
        else:
            return [((key, k), v) for k, v in enumerate(value)]
        return []

    def _wrong_type(self, place: KeyPath, value: Any, expected: str) -> None:
        given = format_value(value)
        self.add_finding(place, messages.VALUE_TYPE.at(key=_key_label(place), given=given, expected=expected))


def _key_label(place: KeyPath) -> str:
    """The key of a value; for rows of a list with the number of the row.

    >>> _key_label(("axis", 0, "at", 1)), _key_label(("feature", 2, "outline", 3, 0))
    ('at', 'outline entry 4')
    """
    k = max((i for i, part in enumerate(place) if isinstance(part, str)), default=0)
    row = place[k + 1 : k + 2] if len(place) > k + 2 or place[k] in ("outline", "hull") else ()
    return str(place[k]) + (f" entry {int(row[0]) + 1}" if row else "")
