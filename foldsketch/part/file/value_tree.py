"""The text of a part file (TOML or JSON) as a tree of values, each with its line."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace
from functools import cached_property
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from foldsketch.base.findings import FoldsketchError, Quantity
from foldsketch.part.file import messages
from foldsketch.part.file.line_numbers import TOKEN_PATTERN, KeyPath, json_line_numbers, toml_line_numbers
from foldsketch.part.file.toml_errors import explain_toml_error
from foldsketch.part.file.wording import closest_word

MAX_NAMES_COMPARED = 1000
"""Files of a folder that are looked at for a name that was misspelt."""

MAX_PART_FILE_BYTES = 1_000_000
"""Larger part files are not read."""

MAX_NESTING_LEVELS = 32
"""Most brackets within brackets, and most names of a dotted key."""

MAX_REPORTED_REPEATED_KEYS = 100
"""Keys given twice that are reported one by one."""

MESH_SUFFIXES = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")
CAD_SUFFIXES = (".step", ".stp", ".iges", ".igs")
"""Names of mesh files, which are to be read by the command `read` first."""

FileFormat = Literal["toml", "json"]

Table = dict[str, Any]
"""Keys and values of one table."""


class ValueTree:
    """The values of a part file, and the line of each (looked up only when there is something to report)."""

    def __init__(self, values: dict[str, Any], text: str, file_format: FileFormat) -> None:
        self.values = values
        self._text = text
        self._format = file_format

    @cached_property
    def lines(self) -> dict[KeyPath, int]:
        """Line of every table, key and entry."""
        return toml_line_numbers(self._text) if self._format == "toml" else json_line_numbers(self._text)[0]

    def line(self, place: KeyPath) -> int:
        """The line of a value; of its table if the value is missing; 1 if nothing is known."""
        while place:
            if place in self.lines:
                return self.lines[place]
            place = place[:-1]
        return 1


def load_text(path: Path) -> tuple[str, FileFormat]:
    """The text of a part file and its format. Raises FoldsketchError if it is not a text file of bounded size."""
    where = str(path)
    try:
        if path.is_dir():
            raise messages.FILE_IS_FOLDER.error(where)
        if path.exists() and not path.is_file():
            raise messages.FILE_NOT_REGULAR.error(where)
        with path.open("rb") as file:
            data = file.read(MAX_PART_FILE_BYTES + 1)
    except FileNotFoundError as why:
        raise messages.FILE_NOT_FOUND.error(where, advice=_name_advice(path)) from why
    except (OSError, ValueError) as why:
        raise messages.FILE_UNREADABLE.error(where, reason=getattr(why, "strerror", None) or str(why)) from why
    if path.suffix.lower() in MESH_SUFFIXES:
        raise messages.FILE_IS_MESH.error(where, name=path.name)
    if path.suffix.lower() in CAD_SUFFIXES:
        raise messages.FILE_IS_CAD.error(where, name=path.name)
    if len(data) > MAX_PART_FILE_BYTES:
        raise messages.FILE_TOO_LARGE.error(where, most=Quantity(MAX_PART_FILE_BYTES / 1e6, "MB"))
    if b"\x00" in data:
        raise messages.FILE_NOT_TEXT.error(where)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as why:
        line = data[: why.start].count(b"\n") + 1
        raise messages.FILE_NOT_UTF8.error(f"{where} line {line}") from why
    return text, "json" if path.suffix.lower() == ".json" else "toml"


def _name_advice(path: Path) -> str:
    """What a file that does not exist may have been meant to be: the file beside it with the closest name."""
    try:
        beside = [p.name for p in islice(path.parent.iterdir(), MAX_NAMES_COMPARED) if p.suffix == path.suffix]
    except OSError:
        beside = []
    close = closest_word(path.name, beside)
    return f"did you mean {path.with_name(close)}?" if close else "check the name"


def parse_text(text: str, file_format: FileFormat, source: str) -> ValueTree:
    """The tree of a part file's text. Raises FoldsketchError with the line of what is wrong.

    source: name of the file, for the error.
    """
    if len(text) > MAX_PART_FILE_BYTES:
        raise messages.FILE_TOO_LARGE.error(source, most=Quantity(MAX_PART_FILE_BYTES / 1e6, "MB"))
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise messages.FILE_EMPTY.error(source)
    level = deepest = 0
    for c in re.findall(r"[\[\]{}]", text):
        level += 1 if c in "[{" else -1
        deepest = max(deepest, level)
    if deepest > MAX_NESTING_LEVELS:
        raise messages.BRACKETS_TOO_DEEP.error(source, levels=deepest)
    if file_format == "json":
        return _parse_json(text, source)
    if line := _find_long_key(text):
        raise messages.KEY_TOO_LONG.error(f"{source} line {line}", most=MAX_NESTING_LEVELS)
    return _parse_toml(text, source)


def _find_long_key(text: str) -> int:
    """The line of a key with too many dots, on which the parser would spend minutes; 0 if there is none."""
    if all(row.count(".") <= MAX_NESTING_LEVELS for row in text.split("\n")):
        return 0
    bare = TOKEN_PATTERN.sub(_without_text, text)
    for number, row in enumerate(bare.split("\n"), 1):
        for chunk in re.split(r"[,\[\]{}=]", row):
            if sum(1 for name in chunk.split(".") if name.strip()) > MAX_NESTING_LEVELS:
                return number
    return 0


def _without_text(token: re.Match[str]) -> str:
    """A token of TOML with strings made short and comments left out; it keeps its line ends."""
    if token[0][0] not in "\"'#":
        return token[0]
    return ("" if token[0][0] == "#" else "x") + "\n" * token[0].count("\n")


def _parse_toml(text: str, source: str) -> ValueTree:
    try:
        return ValueTree(tomllib.loads(text), text, "toml")
    except tomllib.TOMLDecodeError as why:
        found = re.search(r"^(.*) \(at (?:line (\d+), column \d+|end of document)\)$", str(why), re.DOTALL)
        message, line = (found[1], found[2]) if found else (str(why), None)
        number = int(line) if line else text.rstrip().count("\n") + 1
        error = explain_toml_error(message, text.split("\n")[number - 1].strip())
        raise FoldsketchError(replace(error, where=f"{source} line {number}")) from why
    except (RecursionError, ValueError) as why:
        raise _unreadable_error(text, source) from why


def _parse_json(text: str, source: str) -> ValueTree:
    repeated = False

    def table(items: list[tuple[str, Any]]) -> dict[str, Any]:
        nonlocal repeated
        repeated = repeated or len(dict(items)) < len(items)
        return dict(items)

    try:
        values = json.loads(text, object_pairs_hook=table)
    except json.JSONDecodeError as why:
        reason = why.msg[:1].lower() + why.msg[1:]
        raise messages.TEXT_NOT_UNDERSTOOD.error(f"{source} line {why.lineno}", reason=reason) from why
    except (RecursionError, ValueError) as why:
        raise _unreadable_error(text, source) from why
    if not isinstance(values, dict):
        raise messages.JSON_NOT_OBJECT.error(source)
    if repeated:
        again = list(json_line_numbers(text)[1].items())[:MAX_REPORTED_REPEATED_KEYS]
        raise FoldsketchError(messages.KEY_TWICE.at(f"{source} line {line}", key=place[-1]) for place, line in again)
    return ValueTree(values, text, "json")


def _unreadable_error(text: str, source: str) -> FoldsketchError:
    """The error for a text that is well formed but cannot be turned into values."""
    long = re.search(r"\d[\d_]{999,}", text)
    if long:
        line = text[: long.start()].count("\n") + 1
        return messages.NUMBER_TOO_LONG.error(f"{source} line {line}")
    return messages.TEXT_NOT_UNDERSTOOD.error(source, reason="a value cannot be read")
