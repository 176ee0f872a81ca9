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

NO_TONGUES = Message(
    "no-tongues",
    "note",
    "{count:block stands|blocks stand} without tongues",
    "the booklet says how they are held; fewer sides, folded walls and no --card leave more room",
    about="Tongues need an end of the block that is all on one face, sides of 6 mm, and 3 mm from a slit to the edge of"
    " that face; card that is compensated for and rolled walls have none.",
)

NOT_TUCKED = Message(
    "not-tucked",
    "note",
    "{count:block is|blocks are} taped and not tucked: {names}",
    "tape where the ticks are; for larger sides print larger, or use fewer sides",
    about="Flaps and tongues need a straight block of 6, 8, 10 or 12 equal sides without a built bore, at least 12 mm "
    "high on paper, with sides of 5.4 mm, and nets that fit the page.",
)

EDGE_NUMBERS_OMITTED = Message(
    "edge-numbers-omitted",
    "note",
    "{count:edge has|edges have} no room for a number",
    "use the neighbouring numbers, or print larger",
)

TAB_NUMBERS_OMITTED = Message(
    "tab-numbers-omitted",
    "note",
    "{count:tab is|tabs are} too small for a number",
    "use the neighbouring numbers, or print larger",
)

OFFSET_OMITTED = Message(
    "offset-omitted", "note", "no face has room for the offset of this axis", "see the set-up sheets, or print larger"
)

NAMES_OMITTED = Message(
    "names-omitted",
    "note",
    "no room on the net for the names of {names}",
    "go by the titles beside the nets",
    about="Once it is cut out, such a net bears no name: write its number on it.",
)
