"""What net reports: the kinds of findings about tabs and about numbers on paper."""

from __future__ import annotations

from foldsketch.base.findings import Message

NO_TAB_FITS = Message(
    "no-tab-fits",
    "warning",
    "no tab fits on {count:edge} ({numbers})",
    "join with tape or a drop of glue, or print larger",
    about="Edges too short, or with corners too sharp, for a glue tab. They are numbered, and the booklet says when to "
    "tape them.",
)

NO_TAB_NEEDED = Message(
    "no-tab-needed",
    "note",
    "{count:edge around ends and holes needs|edges around ends and holes need} no tab and no glue",
    "for tabs everywhere add --minutes all",
    about="A model built within minutes leaves tabs out where the folds and tabs beside an edge hold it.",
)

NO_TAPE_NEEDED = Message(
    "no-tape-needed",
    "note",
    "{count:edge around ends and holes needs|edges around ends and holes need} no tape",
    about="Edges without ticks: the folds and the tape beside them hold them.",
)

EDGE_NUMBERS_OMITTED = Message(
    "edge-numbers-omitted",
    "note",
    "{count:edge has|edges have} no room for a number",
    "use the neighbouring numbers, or print larger",
)

EDGE_NUMBERS_AS_STROKES = Message(
    "edge-numbers-as-strokes",
    "note",
    "{count:glued edge has|glued edges have} two short strokes (=) instead of a number, for lack of room",
    "see the booklet, or print larger",
    about="Where tabs are spared: an edge with neither tab nor number gets no glue.",
)

TAB_NUMBERS_OMITTED = Message(
    "tab-numbers-omitted",
    "note",
    "{count:tab is|tabs are} too small for a number",
    "use the neighbouring numbers, or print larger",
)
