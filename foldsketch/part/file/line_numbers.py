"""The line of every value of a part file, which the parsers of TOML and JSON do not give."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]
"""The place of a value in the tree: ("feature", 2, "diameter")."""

TOKEN_PATTERN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}'  # strings over several lines
    r'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\''  # strings on one line
    r"|#[^\n]*|\n|[\[\]{},=:]|[^\s\[\]{},=:#\"']+",
    re.DOTALL,
)
TABLE_HEADER_PATTERN = re.compile(r"\[(\[)?([^\]\n]*)\]")


@dataclass(slots=True)
class _ValueScanner:
    """A value while its tokens are read. open_brackets: each with the key or entry that is being read in it."""

    place: KeyPath
    lines: dict[KeyPath, int]
    duplicates: dict[KeyPath, int] = field(default_factory=dict)
    open_brackets: list[list[str | int | None]] = field(default_factory=list)

    def feed(self, token: str, line: int) -> None:
        """Read one token of the value, brackets and strings included."""
        inner = self.open_brackets[-1] if self.open_brackets else None
        if token in ("]", "}"):
            if self.open_brackets:
                self.open_brackets.pop()
        elif inner is not None and token == ",":
            inner[1] = inner[1] + 1 if isinstance(inner[1], int) else None
        elif inner is not None and inner[0] == "{" and inner[1] is None:
            inner[1] = unquote_key(token)
            self._record_line(line)
        else:
            if inner is not None and inner[0] == "[":
                self._record_line(line)
            if token in ("[", "{"):
                self.open_brackets.append([token, 0 if token == "[" else None])

    def _record_line(self, line: int) -> None:
        place = self.place + tuple(k for _, k in self.open_brackets if k is not None)
        if self.open_brackets[-1][0] == "{" and place in self.lines:
            self.duplicates.setdefault(place, line)
        self.lines.setdefault(place, line)


def unquote_key(token: str) -> str:
    r"""A key without its quotes and with its escapes resolved.

    >>> unquote_key('"a\\u0062"'), unquote_key("'a'"), unquote_key("a")
    ('ab', 'a', 'a')
    """
    if token[:1] == '"':
        try:
            return str(json.loads(token))
        except ValueError:
            return token.strip('"')
    return token.strip("'")


def json_line_numbers(text: str) -> tuple[dict[KeyPath, int], dict[KeyPath, int]]:
    r"""The line of every value of a valid JSON text, and the line of every key given a second time.

    >>> json_line_numbers('{"a": [1,\n2],\n"a": 3}')
    ({('a',): 1, ('a', 0): 1, ('a', 1): 2}, {('a',): 3})
    """
    value, line = _ValueScanner((), {}), 1
    for found in TOKEN_PATTERN.finditer(text):
        if found[0] == "\n":
            line += 1
        elif found[0] != ":":
            value.feed(found[0], line)
    return value.lines, value.duplicates


def toml_line_numbers(text: str) -> dict[KeyPath, int]:
    r"""The line of every table, key and entry of a valid TOML text.

    >>> toml_line_numbers('[[axis]]\nat = [0,\n 5]')
    {('axis',): 1, ('axis', 0): 1, ('axis', 0, 'at'): 2, ('axis', 0, 'at', 0): 2, ('axis', 0, 'at', 1): 3}
    """
    lines: dict[KeyPath, int] = {}
    count: dict[KeyPath, int] = {}
    table: KeyPath = ()
    key: list[str] = []
    value: _ValueScanner | None = None
    line, resume = 1, 0
    for found in TOKEN_PATTERN.finditer(text):
        t = found[0]
        if found.start() < resume or t[0] == "#":
            continue
        if t == "\n":
            line += 1
            if value is None or not value.open_brackets:
                key, value = [], None
        elif value is not None:
            if t not in ("=", ":"):
                value.feed(t, line)
            line += t.count("\n")
        elif t == "=":
            value = _ValueScanner((*table, *key), lines)
            lines.setdefault(value.place, line)
        elif t == "[" and not key and (header := TABLE_HEADER_PATTERN.match(text, found.start())):
            table = _table_path(header, count)
            if header[1]:
                lines.setdefault(table[:-1], line)
            lines.setdefault(table, line)
            resume = header.end()
        else:
            key += [unquote_key(k) for k in ([t] if t[0] in "\"'" else t.split(".")) if k]
    return lines


def _table_path(header: re.Match[str], count: dict[KeyPath, int]) -> KeyPath:
    """The place that a header opens: [[axis]] opens the next of its list, [axis.more] a table in the latest one."""
    place: KeyPath = ()
    names = [unquote_key(n.strip()) for n in header[2].split(".")]
    for k, name in enumerate(names):
        place = (*place, name)
        if header[1] and k == len(names) - 1:
            count[place] = count.get(place, -1) + 1
        if place in count:
            place = (*place, count[place])
    return place
