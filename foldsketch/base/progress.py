"""A listener for long work: stages report, the listener shows, and a deadline ends what takes too long."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import Protocol

from foldsketch.base.findings import input_error


class Listener(Protocol):
    """Told how far a stage is; may raise to cancel it."""

    def __call__(self, stage: str, done: float) -> None:
        """stage: its verb in a word or two. done: share of it from 0 to 1."""


def ignore_progress(stage: str, done: float) -> None:
    """The listener that says nothing."""


@dataclass(slots=True)
class Deadline:
    """Seconds that a piece of work may take, counted from its making."""

    seconds: float
    started: float = field(default_factory=time.monotonic)

    def check(self, what: str) -> None:
        """Raise FoldsketchError when the time is over."""
        if time.monotonic() - self.started > self.seconds:
            raise input_error(what, f"took longer than {self.seconds:g} s", "simplify the part or allow more time")
