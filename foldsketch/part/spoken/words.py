"""Spoken lines as words, numbers and signs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from foldsketch.part.spoken.messages import COMMA_DOUBTFUL, NOT_UNDERSTOOD, OTHER_UNIT

_TOKEN = re.compile(r"\s*(?:(\d[\d.,]*\d|\d|\.\d+)|([xX](?=[\d.Øø])|[^\W\d_Øø][\w'/-]*)|([°\"Øø⌀×,])|(\S))")
_DOUBTFUL = re.compile(r"\d{1,3},\d{3}")
_DECIMAL_COMMA = re.compile(r"\d+,\d+")
_PLAIN = re.compile(r"\d*\.?\d+")
SIGNS = {"°": "deg", "Ø": "dia", "ø": "dia", "⌀": "dia", "×": "x", '"': "in"}
SAME_WORDS = {
    **dict.fromkeys(("degree", "degrees"), "deg"),
    **dict.fromkeys(("diameter", "diam"), "dia"),
    **dict.fromkeys(("by", "long"), "x"),
    **dict.fromkeys(("inch", "inches"), "in"),
    **dict.fromkeys(("bored", "bores"), "bore"),
    "hex": "hexagon",
    "cone": "taper",
}
"""Other ways to say the same."""


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or sign. kind: "number", "word" or ","; word: as it is looked up; said: as it was said."""

    kind: str
    word: str
    said: str
    number: float = 0.0


def split_statements(said: str) -> list[str]:
    """The statements: each line, and what semicolons part. Empty ones and comments behind # are left out.

    >>> split_statements("flange 110 x 14; inlet 42 x 35 at 24")
    ['flange 110 x 14', 'inlet 42 x 35 at 24']
    """
    lines = (line.split("#", 1)[0] for line in said.splitlines())
    return [s for line in lines for s in (part.strip() for part in line.split(";")) if s]


def read_tokens(statement: str, units: str) -> list[Token]:
    """The words of a statement. Raises FoldsketchError for a sign or a number that is not understood.

    >>> [t.word for t in read_tokens("boss Ø30 × 12,5 at 31", "mm")]
    ['boss', 'dia', '30', 'x', '12.5', 'at', '31']
    """
    return list(_tokens(statement, units))


def _tokens(statement: str, units: str) -> Iterator[Token]:
    last = ""
    for found in _TOKEN.finditer(statement.strip()):
        number, word, sign, other = found.groups()
        if other:
            raise NOT_UNDERSTOOD.error(f"'{statement}'", word=other)
        if number:
            yield _number(number, statement)
            last = "number"
            continue
        known = SIGNS.get(sign or "", sign or word.lower())
        known = SAME_WORDS.get(known, known)
        if last == "number" and known in ("mm", "in"):
            if known != units:
                raise OTHER_UNIT.error(f"'{statement}'", unit=known, own=units)
            continue
        yield Token("," if known == "," else "word", known, (sign or word))
        last = known


def _number(said: str, statement: str) -> Token:
    if _DOUBTFUL.fullmatch(said):
        both = {"decimal": said.replace(",", "."), "thousands": said.replace(",", "")}
        raise COMMA_DOUBTFUL.error(f"'{statement}'", typed=said, **both)
    plain = said.replace(",", ".") if _DECIMAL_COMMA.fullmatch(said) else said
    if not _PLAIN.fullmatch(plain):
        raise NOT_UNDERSTOOD.error(f"'{statement}'", word=said)
    return Token("number", plain, said, float(plain))
