"""The text of a part file as a tree of values that know their lines. TOML and JSON, nothing guessed."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from foldsketch.base.findings import refuse

LARGEST = 1_000_000
"""Bytes above which a part file is not read."""

DEEPEST = 8
"""Levels of brackets above which a part file is not read."""

Kind = Literal["toml", "json"]
Place = tuple[str | int, ...]
"""Where a value stands: ("feature", 2, "diameter")."""


@dataclass(frozen=True, slots=True)
class Tree:
    """The values of a part file and the line of every key."""

    values: dict[str, Any]
    lines: dict[Place, int] = field(default_factory=dict)

    def line(self, place: Place) -> int:
        """The line of a key; of its table when the key is missing; 1 when nothing is known."""
        while place:
            if place in self.lines:
                return self.lines[place]
            place = place[:-1]
        return 1


def load(path: Path) -> tuple[str, Kind]:
    """The text of a part file. Raises FoldsketchError when it cannot be read as one."""
    where = str(path)
    try:
        if path.is_dir():
            raise refuse(where, "is a folder", "name a part file in it")
        if path.stat().st_size > LARGEST:
            raise refuse(where, "is larger than 1 MB", "a part file is a short text")
        data = path.read_bytes()
    except FileNotFoundError as why:
        raise refuse(where, "does not exist", "check the name") from why
    except (OSError, ValueError) as why:
        raise refuse(where, f"cannot be read ({getattr(why, 'strerror', None) or why})", "check the name") from why
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as why:
        line = data[: why.start].count(b"\n") + 1
        raise refuse(f"{where} line {line}", "is not UTF-8 text", "save the file as UTF-8") from why
    if "\x00" in text:
        raise refuse(where, "is not a text file", "name a part file (TOML or JSON)")
    return text, "json" if path.suffix.lower() == ".json" else "toml"


def parse(text: str, kind: Kind, source: str) -> Tree:
    """The tree of a part file's text. Raises FoldsketchError with the line of what cannot be understood."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise refuse(source, "is empty", "start from one of the samples")
    level = deepest = 0
    for c in text:
        level += (c in "[{") - (c in "]}")
        deepest = max(deepest, level)
    if deepest > DEEPEST * 4:
        raise refuse(source, f"has brackets nested {deepest} deep", "a part file needs four levels")
    return _toml(text, source) if kind == "toml" else _json(text, source)


def _toml(text: str, source: str) -> Tree:
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as why:
        found = re.search(r"^(.*) \(at line (\d+), column (\d+)\)$", str(why))
        what, line = (found[1], int(found[2])) if found else (str(why), text.count("\n") + 1)
        where = f"{source} line {line}"
        raise refuse(where, f"cannot be understood: {what[:1].lower()}{what[1:]}", "see docs/part-file.md") from why
    except RecursionError as why:
        raise refuse(source, "is nested too deep", "a part file needs four levels") from why
    lines: dict[Place, int] = {}
    table: Place = ()
    count: dict[str, int] = {}
    for number, row in enumerate(text.split("\n"), 1):
        header = re.match(r"\s*\[\[\s*([\w-]+)\s*\]\]", row)
        single = re.match(r"\s*\[\s*([\w.-]+)\s*\]", row)
        key = re.match(r"""\s*(?:([\w-]+)|"([^"]*)"|'([^']*)')\s*=""", row)
        if header:
            k = count.get(header[1], -1) + 1
            count[header[1]] = k
            table = (header[1], k)
            lines[header[1],] = lines.get((header[1],), number)
            lines[table] = number
        elif single:
            table = tuple(single[1].split("."))
            lines[table] = number
        elif key:
            lines.setdefault((*table, key[1] or key[2] or key[3] or ""), number)
    return Tree(values, lines)


def _json(text: str, source: str) -> Tree:
    twice: list[str] = []

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        names = [k for k, _ in items]
        twice.extend(k for k in dict.fromkeys(names) if names.count(k) > 1)
        return dict(items)

    try:
        values = json.loads(text, object_pairs_hook=pairs)
    except json.JSONDecodeError as why:
        raise refuse(
            f"{source} line {why.lineno}", f"cannot be understood: {why.msg}", "see docs/part-file.md"
        ) from why
    except (RecursionError, ValueError) as why:
        raise refuse(source, "cannot be understood as JSON", "see docs/part-file.md") from why
    if not isinstance(values, dict):
        raise refuse(source, "holds no object", "a part file in JSON is { … } with the keys of docs/part-file.md")
    lines = _json_lines(text)
    if twice:
        line = next((n for p, n in lines.items() if p and p[-1] == twice[0]), 1)
        raise refuse(f"{source} line {line}", f"the key '{twice[0]}' is given twice", "keep one of them")
    return Tree(values, lines)


def _json_lines(text: str) -> dict[Place, int]:
    """The line of every key of a valid JSON text."""
    lines: dict[Place, int] = {}
    stack: list[list[Any]] = []  # [kind, key or index]
    number = 1
    for token in re.finditer(r'"(?:[^"\\]|\\.)*"|[{}\[\],:]|\n', text):
        t = token[0]
        if t == "\n":
            number += 1
        elif t in "{[":
            stack.append([t, 0 if t == "[" else None])
            if len(stack) > 1 and t == "{" and stack[-2][0] == "[":
                lines[tuple(s[1] for s in stack[:-1])] = number
        elif t in "}]":
            stack.pop()
        elif t == "," and stack and stack[-1][0] == "[":
            stack[-1][1] += 1
        elif t == "," and stack:
            stack[-1][1] = None
        elif t[0] == '"' and stack and stack[-1][0] == "{" and stack[-1][1] is None:
            stack[-1][1] = json.loads(t)
            lines.setdefault(tuple(s[1] for s in stack), number)
    return lines
