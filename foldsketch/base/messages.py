"""What the base floor refuses: card, files that cannot be written, work that takes too long."""

from __future__ import annotations

from foldsketch.base.findings import Message

CARD_UNKNOWN = Message(
    "card-unknown",
    "error",
    "'{given}' is neither a thickness nor a grammage",
    "give a thickness such as 0.25mm, or a grammage such as 160gsm",
)
CARD_THICKNESS = Message(
    "card-thickness",
    "error",
    "card {thickness} thick cannot be folded by hand",
    "give {least} to {most}",
    about="The card given with --card is too thin or too thick.",
)
FILE_NOT_WRITTEN = Message("file-not-written", "error", "cannot be written ({reason})", "choose another --out folder")
TIME_LIMIT = Message(
    "time-limit",
    "error",
    "took longer than {limit}",
    "simplify the part or allow more time",
    about="One stage of a run took longer than the run may take.",
)
