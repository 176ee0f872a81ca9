"""Names and values of a part file as they are compared and as messages show them."""

from __future__ import annotations

import json
import math
import unicodedata
from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

from foldsketch.base.lettering import look_alike

MAX_SHOWN_CHARACTERS = 40
"""Longer values and rows are shortened in messages."""


def normalize_name(text: str) -> str:
    """A name in the one form in which names are kept and compared: composed characters, no blanks around it."""
    return unicodedata.normalize("NFC", text.strip())


JOINERS = "\u200c\u200d"
"""The two signs without a shape that some scripts need between letters."""


def is_printable(text: str, breaks: str = "") -> bool:
    """Whether a text can be printed as it stands in the file.

    It has no control characters but breaks, none that turn the direction of writing or have no shape, no surrogates and
    no private use.
    """
    hidden = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
    return all(
        c in breaks or c in JOINERS or (unicodedata.category(c) not in hidden and ord(c) & 0xFFFE != 0xFFFE)
        for c in text
    )


def truncate(text: str) -> str:
    """A text of at most MAX_SHOWN_CHARACTERS, with dots if it is shortened."""
    return text if len(text) <= MAX_SHOWN_CHARACTERS else text[: MAX_SHOWN_CHARACTERS - 3] + "..."


def format_value(value: Any) -> str:
    """A value as it is written in the file, shortened.

    >>> format_value("90"), format_value(True), format_value("x" * 99)
    ('"90"', 'true', '"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...')
    """
    if isinstance(value, str):
        value = value[:60]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    try:
        text = json.dumps(value, ensure_ascii=False, default=str)
    except (ValueError, TypeError):
        return "(too long to show)"
    return truncate("".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text[:60]))


def closest_word(word: Any, known: Sequence[str]) -> str:
    """The known word that is most like a word, or nothing."""
    close = get_close_matches(str(word)[:60].lower(), [k.lower() for k in known], 1, 0.6)
    return next(k for k in known if k.lower() == close[0]) if close else ""


def did_you_mean(word: Any, known: Sequence[str]) -> str:
    """Advice on a word that is not known.

    >>> did_you_mean("diamter", ["bore", "diameter"]), did_you_mean("x", ["bore", "diameter"])
    ("did you mean 'diameter'?", 'known are bore, diameter')
    """
    twin = next((k for k in known if isinstance(word, str) and look_alike(word, k)), None)
    if twin is not None:
        return f"'{twin}' looks the same, but has other characters: {character_names(word, twin)}"
    close = closest_word(word, known)
    return f"did you mean '{close}'?" if close else "known are " + ", ".join(known)


def character_names(one: str, other: str) -> str:
    """The first characters in which two texts differ, by name.

    >>> character_names("A", "\N{GREEK CAPITAL LETTER ALPHA}")
    'Latin capital letter A and Greek capital letter alpha'
    """
    pairs = (pair for pair in zip(one, other, strict=False) if pair[0] != pair[1])
    return " and ".join(_character_name(c) for c in next(pairs, ()))


def _character_name(c: str) -> str:
    words = unicodedata.name(c, f"character {ord(c)}").lower().capitalize()
    return f"{words[:-1]}{words[-1].upper()}" if words[-2:-1] == " " else words
