"""Findings: what the house has to say about a part, a model or a set-up, and the one base error."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Level = Literal["note", "warning", "error"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One note, warning or error: where it is, what it is and what to do about it.

    >>> print(Finding("error", "feature 'boss'", "the diameter is negative", "give a diameter above 0"))
    error: feature 'boss': the diameter is negative; give a diameter above 0
    """

    level: Level
    where: str
    what: str
    cure: str = ""

    @property
    def text(self) -> str:
        """Where, what and the cure in one line, without the level."""
        parts = f"{self.where}: {self.what}" if self.where else self.what
        return f"{parts}; {self.cure}" if self.cure else parts

    def __str__(self) -> str:
        return f"{self.level}: {self.text}"

    def as_dict(self) -> dict[str, str]:
        """The finding as the report files carry it."""
        return {"level": self.level, "text": self.text}


class FoldsketchError(Exception):
    """The one base error: the input or the options are at fault, and each finding says where and the cure."""

    def __init__(self, findings: Finding | Iterable[Finding]) -> None:
        self.findings: tuple[Finding, ...] = (findings,) if isinstance(findings, Finding) else tuple(findings)
        super().__init__("\n".join(str(f) for f in self.findings))


def refuse(where: str, what: str, cure: str = "") -> FoldsketchError:
    """The error for one finding, ready to be raised."""
    return FoldsketchError(Finding("error", where, what, cure))
