"""Progress and deadlines: stages report how far they are, and stop when the time is over."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import Protocol

from foldsketch.base.findings import Quantity
from foldsketch.base.messages import TIME_LIMIT


class Listener(Protocol):
    """Called with the progress of a stage; may raise to cancel it."""

    def __call__(self, stage: str, done: float) -> None:
        """stage: its verb in a word or two; done: share of it from 0 to 1."""


def ignore_progress(stage: str, done: float) -> None:
    """The listener that does nothing."""


@dataclass(slots=True)
class Deadline:
    """A number of seconds that a run may take, counted from when the deadline is made."""

    seconds: float
    started: float = field(default_factory=time.monotonic)

    def check(self, what: str) -> None:
        """Raise FoldsketchError if the time is over. what: the stage or part to name in the error."""
        if time.monotonic() - self.started > self.seconds:
            raise TIME_LIMIT.error(what, limit=Quantity(self.seconds, "s"))
