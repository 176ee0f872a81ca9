"""The text of a part file as a tree of values that know their lines. TOML and JSON, nothing guessed."""

from __future__ import annotations

import json
import re
import tomllib
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from foldsketch.base.findings import Finding, FoldsketchError, input_error
from foldsketch.part.file.lines import KeyPath, json_line_numbers, toml_line_numbers

MAX_PART_FILE_BYTES = 1_000_000
"""Bytes above which a part file is not read."""

MAX_NESTING_LEVELS = 32
"""Levels of brackets above which a part file is not read."""

FileFormat = Literal["toml", "json"]

FORMAT_HELP = "see docs/part-file.md"


class ValueTree:
    """The values of a part file, and the line of every one (looked up only when there is something to say)."""

    def __init__(self, values: dict[str, Any], text: str, kind: FileFormat) -> None:
        self.values = values
        self._text = text
        self._kind = kind

    @cached_property
    def lines(self) -> dict[KeyPath, int]:
        """Place of every table, key and entry to its line."""
        return toml_line_numbers(self._text) if self._kind == "toml" else json_line_numbers(self._text)[0]

    def line(self, place: KeyPath) -> int:
        """The line of a value; of its table when the value is missing; 1 when nothing is known."""
        while place:
            if place in self.lines:
                return self.lines[place]
            place = place[:-1]
        return 1


def load_text(path: Path) -> tuple[str, FileFormat]:
    """The text of a part file. Raises FoldsketchError when it cannot be read as one."""
    where = str(path)
    try:
        if path.is_dir():
            raise input_error(where, "is a folder", "name a part file in it")
        if path.exists() and not path.is_file():
            raise input_error(where, "is not a file", "name a part file (TOML or JSON)")
        with path.open("rb") as file:
            data = file.read(MAX_PART_FILE_BYTES + 1)
    except FileNotFoundError as why:
        raise input_error(where, "does not exist", "check the name") from why
    except (OSError, ValueError) as why:
        raise input_error(where, f"cannot be read ({getattr(why, 'strerror', None) or why})", "check the name") from why
    if len(data) > MAX_PART_FILE_BYTES:
        raise input_error(where, "is larger than 1 MB", "a part file is a short text")
    if b"\x00" in data:
        raise input_error(where, "is not a text file, or not saved as UTF-8", "name a part file (TOML or JSON)")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as why:
        line = data[: why.start].count(b"\n") + 1
        raise input_error(f"{where} line {line}", "is not UTF-8 text", "save the file as UTF-8") from why
    return text, "json" if path.suffix.lower() == ".json" else "toml"


def parse_text(text: str, kind: FileFormat, source: str) -> ValueTree:
    """The tree of a part file's text. Raises FoldsketchError with the line of what cannot be understood."""
    if len(text) > MAX_PART_FILE_BYTES:
        raise input_error(source, "is larger than 1 MB", "a part file is a short text")
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise input_error(source, "is empty", "start from one of the samples")
    level = deepest = 0
    for c in re.findall(r"[\[\]{}]", text):
        level += 1 if c in "[{" else -1
        deepest = max(deepest, level)
    if deepest > MAX_NESTING_LEVELS:
        raise input_error(source, f"has brackets nested {deepest} deep", "a part file needs four levels")
    if kind == "toml" and (line := _find_long_key(text)):
        raise input_error(
            f"{source} line {line}",
            f"has a key of more than {MAX_NESTING_LEVELS} names",
            "a part file needs no dots in keys",
        )
    return _parse_toml(text, source) if kind == "toml" else _parse_json(text, source)


def _find_long_key(text: str) -> int:
    """The line of a key with too many dots, over which the parser would sit for minutes; 0 where there is none."""
    for number, row in enumerate(text.split("\n"), 1):
        if row.count(".") > MAX_NESTING_LEVELS:
            for chunk in re.split(r"[,\[\]{}#=]", row):
                if sum(1 for name in chunk.split(".") if name.strip()) > MAX_NESTING_LEVELS:
                    return number
    return 0


def _parse_toml(text: str, source: str) -> ValueTree:
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as why:
        found = re.search(r"^(.*) \(at (?:line (\d+), column \d+|end of document)\)$", str(why), re.DOTALL)
        message, line = (found[1], found[2]) if found else (str(why), None)
        number = int(line) if line else text.rstrip().count("\n") + 1
        what, cure = _explain_toml_error(message, text.split("\n")[number - 1].strip())
        raise input_error(f"{source} line {number}", what, cure) from why
    except (RecursionError, ValueError) as why:
        raise _unreadable_error(text, source) from why
    return ValueTree(values, text, "toml")


def _explain_toml_error(message: str, row: str) -> tuple[str, str]:
    """What the TOML parser met, in words for whoever wrote the row, and the cure."""
    value = row.partition("=")[2].partition("#")[0].strip()
    key = row.partition("=")[0].strip()
    if "overwrite" in message:
        return f"'{key}' is given twice in one table", "keep one; every [[axis]] and [[feature]] begins a new table"
    if message.startswith("Cannot declare") and row.startswith("["):
        name = row.strip("[] ")
        return f"[{name}] stands in single brackets", f"write [[{name}]] above each {name}"
    if "'=' after a key" in message:
        return (
            f"expected an equals sign after the key in '{_truncate(row)}'",
            "write key = value, such as diameter = 90",
        )
    if "statement" in message and re.match(r"[-+\d.]+,\d", value):
        return f"'{_truncate(row)}': a comma within a number", "write a decimal point: 14.5"
    if "statement" in message and re.match(r"[-+\d.]+\s*[^\W\d]", value):
        return (
            f"'{_truncate(row)}': words after a number",
            'write the number alone; units = "…" at the top holds for all',
        )
    if message == "Invalid value" and value.lower() in ("true", "false", "yes", "no"):
        return f"'{_truncate(row)}': expected true or false in small letters", "write cut = true"
    if message == "Invalid value" and re.match(r"[^\W\d]", value):
        return f"'{_truncate(row)}': a word without quotes", f'write {key} = "{_truncate(value)}"'
    if message == "Invalid value" and re.match(r"[-+]?\.\d", value):
        return f"'{_truncate(row)}': a number begins with its point", "write 0.5, not .5"
    if message == "Invalid value" and not value:
        return f"'{_truncate(row)}': the value is missing", "write key = value, such as diameter = 90"
    if "Unclosed array" in message or value[:1] in ("[", "{") or "inline table" in message:
        return "a bracket is not closed, or a comma is missing between numbers", "write [0, 14]"
    if "Unterminated string" in message or "Illegal character '\\n'" in message:
        return "the quotes are not closed", 'a text stands between two quotes: "flange"'
    return f"cannot be understood: {message[:1].lower()}{message[1:]}", FORMAT_HELP


def _truncate(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."


def _unreadable_error(text: str, source: str) -> FoldsketchError:
    """The error for a text that is well formed and yet cannot be turned into values."""
    long = re.search(r"\d[\d_]{999,}", text)
    if long:
        line = text[: long.start()].count("\n") + 1
        return input_error(f"{source} line {line}", "holds a number of more than a thousand digits", "shorten it")
    return input_error(source, "cannot be understood", FORMAT_HELP)


def _parse_json(text: str, source: str) -> ValueTree:
    twice: list[bool] = []

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        table = dict(items)
        if len(table) < len(items):
            twice.append(True)
        return table

    try:
        values = json.loads(text, object_pairs_hook=pairs)
    except json.JSONDecodeError as why:
        what = f"cannot be understood: {why.msg[:1].lower()}{why.msg[1:]}"
        raise input_error(f"{source} line {why.lineno}", what, FORMAT_HELP) from why
    except (RecursionError, ValueError) as why:
        raise _unreadable_error(text, source) from why
    if not isinstance(values, dict):
        raise input_error(source, "holds no object", "a part file in JSON is { … } with the keys of docs/part-file.md")
    if twice:
        again = list(json_line_numbers(text)[1].items())[:100]
        raise FoldsketchError(
            Finding("error", f"{source} line {line}", f"the key '{place[-1]}' is given twice", "keep one of them")
            for place, line in again
        )
    return ValueTree(values, text, "json")
