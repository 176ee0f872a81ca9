"""What assembly reports: parts of a net that are hard to build, and a working speed that cannot be read."""

from __future__ import annotations

from foldsketch.base.findings import Message

NARROW_PANELS = Message(
    "panels-narrow",
    "note",
    "{count:panel is|panels are} narrower than {limit}, the narrowest {narrowest} ('{feature}')",
    "merge small steps with --least-step, set wider sides with --smallest, or print larger",
)

PANELS_WITHOUT_WIDTH = Message(
    "panels-without-width",
    "error",
    "{count:face is|faces are} narrower than {limit} on paper, which nobody can cut",
    "change a size or an offset by a tenth of a millimetre, or print larger",
)

NARROW_TABS = Message(
    "tabs-narrow",
    "note",
    "{count:tab is|tabs are} narrower than {limit}, the narrowest {narrowest}",
    "apply the glue with a pointed brush, or print larger",
)

NARROW_BRIDGES = Message(
    "bridges-narrow",
    "note",
    "{count:panel has|panels have} a strip beside an opening or notch that is narrower than {limit}, the narrowest "
    "{narrowest}",
    "cut with a knife and back with tape, or print larger",
)

SLENDER_NECK = Message(
    "neck-slender", "note", "two large parts hang together by a fold of {length}", "back it with tape before you fold"
)

PACE_NOT_A_NUMBER = Message(
    "pace-not-a-number", "error", "'{word}' gives no seconds", "give seconds as in fold=4 glue=12; known are {known}"
)

PACE_UNKNOWN_STEP = Message(
    "pace-unknown-step", "error", "'{name}' is not a step", "give seconds as in fold=4 glue=12; known are {known}"
)

PACE_OUT_OF_RANGE = Message(
    "pace-out-of-range", "error", "{name} = {number} is out of range", "give 0 to {most} seconds"
)
