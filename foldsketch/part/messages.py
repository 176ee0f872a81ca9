"""What is found in a part from its dimensions, and what is left out of it for paper."""

from __future__ import annotations

from foldsketch.base.findings import Message

DETAILS_LEFT_OUT = Message(
    "details-left-out",
    "note",
    "leaves out {features}",
    "run without --quick to keep them",
    about="A quick model has no small bores, chamfers or narrow grooves.",
)
BORES_FILLED = Message(
    "bores-filled",
    "note",
    "fills the bore of {features}",
    "run without --quick to keep it open",
    about="In a quick model a ring with a small bore becomes a solid cylinder.",
)
