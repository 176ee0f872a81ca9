"""Checks of single values that machine files have and part files have not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from foldsketch.part.file.lines import KeyPath
from foldsketch.part.file.reader import ValueReader, did_you_mean, format_value
from foldsketch.setup import messages

Word = TypeVar("Word", bound=str)


def read_choice(r: ValueReader, place: KeyPath, value: Any, known: Sequence[Word]) -> Word | None:
    """One of the known words; None after an error."""
    found = next((k for k in known if k == value), None)
    if found is None:
        hint = did_you_mean(value, list(known))
        given = format_value(value)
        r.add_finding(place, messages.MACHINE_CHOICE.at(key=place[-1], value=given, known=", ".join(known), hint=hint))
    return found


def read_flag(r: ValueReader, place: KeyPath, value: Any) -> bool | None:
    """True or false; None after an error."""
    if isinstance(value, bool):
        return value
    r.add_finding(place, messages.MACHINE_FLAG.at(key=place[-1], value=format_value(value)))
    return None


def read_list(r: ValueReader, place: KeyPath, value: Any) -> list[Any] | None:
    """A list of any length; None after an error."""
    if isinstance(value, list):
        return value
    r.add_finding(place, messages.MACHINE_LIST.at(key=place[-1], value=format_value(value)))
    return None


def read_table(r: ValueReader, key: str) -> dict[str, Any] | None:
    """A table of the file; None where it is missing or is none."""
    table = r.tree.values.get(key)
    if table is None or isinstance(table, dict):
        return table
    r.add_finding((key,), messages.MACHINE_NOT_A_TABLE.at(key=key))
    return None
