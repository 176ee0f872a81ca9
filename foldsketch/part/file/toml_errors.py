"""TOML errors explained for whoever wrote the row, in place of the parser's words."""

from __future__ import annotations

import re

from foldsketch.base.findings import Finding
from foldsketch.part.file import messages
from foldsketch.part.file.wording import truncate


def explain_toml_error(message: str, row: str) -> Finding:
    """What is wrong with a row, from the words of the TOML parser and from the row itself.

    >>> explain_toml_error("Invalid value", "name = Cover").code
    'quotes-missing'
    """
    key, _, value = row.partition("=")
    key, value = key.strip(), value.partition("#")[0].strip()
    if "overwrite" in message:
        return messages.KEY_TWICE.at(key=key)
    if message.startswith("Cannot declare") and row.startswith("["):
        return messages.SINGLE_BRACKETS.at(name=row.strip("[] "))
    if "'=' after a key" in message:
        return messages.EQUALS_MISSING.at(row=truncate(row))
    if "statement" in message and (re.match(r"[-+\d.]+\s*,\s", value) or value.count(",") > 1 or key == "at"):
        return messages.VALUES_WITHOUT_BRACKETS.at(row=truncate(row), key=key, values=truncate(value))
    if "statement" in message and re.match(r"[-+\d.]+,\d", value):
        return messages.COMMA_IN_NUMBER.at(row=truncate(row), number=truncate(value.replace(",", ".")))
    if "statement" in message and re.match(r"[-+\d.]+\s*(?:[^\W\d]|[°\"'⌀])", value):
        return messages.WORDS_AFTER_NUMBER.at(row=truncate(row))
    if message == "Invalid value":
        return _explain_invalid_value(key, value, truncate(row))
    return _explain_brackets_and_quotes(message, value)


def _explain_invalid_value(key: str, value: str, row: str) -> Finding:
    if not value:
        return messages.VALUE_MISSING.at(row=row)
    if value.lower() in ("true", "false", "yes", "no"):
        return messages.TRUE_NOT_LOWER.at(row=row)
    if re.match(r"[^\W\d]", value):
        return messages.QUOTES_MISSING.at(row=row, key=key, word=truncate(value))
    if re.match(r"[-+]?\.\d", value):
        return messages.POINT_FIRST.at(row=row)
    return _explain_brackets_and_quotes("Invalid value", value)


def _explain_brackets_and_quotes(message: str, value: str) -> Finding:
    if "Unclosed array" in message or value[:1] in ("[", "{") or "inline table" in message:
        return messages.BRACKET_OPEN.at()
    if "Unterminated string" in message or "Illegal character '\\n'" in message:
        return messages.QUOTES_OPEN.at()
    return messages.TEXT_NOT_UNDERSTOOD.at(reason=message[:1].lower() + message[1:])
