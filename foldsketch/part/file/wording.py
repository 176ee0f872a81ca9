"""Names and values of a part file as they are compared and as messages show them."""

from __future__ import annotations

import json
import math
import unicodedata
from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

MAX_SHOWN_CHARACTERS = 40
"""Longer values and rows are shortened in messages."""


def normalize_name(text: str) -> str:
    """A name in the one form in which names are kept and compared: composed characters, no blanks around it."""
    return unicodedata.normalize("NFC", text.strip())


def is_printable(text: str, breaks: str = "") -> bool:
    """Whether a text can be printed: no control characters but breaks, no surrogates, no private use."""
    return all(
        c in breaks or (unicodedata.category(c) not in {"Cc", "Cs", "Co", "Zl", "Zp"} and ord(c) & 0xFFFE != 0xFFFE)
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
    close = closest_word(word, known)
    return f"did you mean '{close}'?" if close else "known are " + ", ".join(known)
