"""What is found in a part from its dimensions, and what is left out of it for paper."""

from __future__ import annotations

from foldsketch.base.findings import Message

AXIS_UNUSED = Message("axis-unused", "note", "has no feature", "take it out, or put a feature on it")
AXES_ON_ONE_LINE = Message("axes-on-one-line", "note", "lie on the same line", "one letter would do for both")
PART_VERY_LARGE = Message("part-very-large", "note", "is {size} across", "check the numbers and the units")
PART_VERY_SMALL = Message("part-very-small", "note", "is only {size} across", "check the numbers and the units")
CUT_BEFORE_MATERIAL = Message(
    "cut-before-material",
    "warning",
    "comes before any material in the part file",
    "move it below the material that it cuts",
)
CUT_REMOVES_FEATURE = Message(
    "cut-removes-feature", "error", "cuts away all of '{feature}'", "make the cut smaller or shorter"
)
CUT_MISSES_MATERIAL = Message("cut-misses-material", "warning", "cuts no material", "check its axis, start and end")
WALL_VERY_THIN = Message(
    "wall-very-thin",
    "warning",
    "leaves a {place} of only {thickness} on '{feature}'",
    "cut right through, or check the sizes",
    about="The place is a wall around a bore, or a floor below it.",
)
FEATURE_HIDDEN = Message(
    "feature-hidden",
    "warning",
    "is completely inside '{outer}' and adds nothing",
    "take it out, or check its start and end",
)
HOLES_MEET = Message("holes-meet", "warning", "runs into '{other}'", "move one of them, or make it smaller")
HOLE_CUTS_SIDE = Message(
    "hole-cuts-side", "warning", "cuts into the side of '{feature}'", "move it, shorten it or make it smaller"
)
HOLE_BREAKS_OUT = Message(
    "hole-breaks-out", "warning", "breaks out of the side of '{feature}'", "move it, or make it smaller"
)
BOSSES_MERGE = Message(
    "bosses-merge", "note", "merges with '{other}'", "move one of them apart, if they are meant to stand clear"
)

TINY_CUT_LEFT_OUT = Message(
    "tiny-cut-left-out",
    "note",
    "is left out: its {dimension} is below {least} on paper",
    "print larger, or with a smaller --least-step, to keep it",
)
TINY_STEP_MERGED = Message(
    "tiny-step-merged",
    "note",
    "is merged into '{into}': the step is below {least} on paper",
    "print larger, or with a smaller --least-step, to keep it",
)

OUTLINE_SLANTED = Message(
    "outline-slanted",
    "error",
    "the mass of a plate with an outline cannot be worked out on a slanted axis",
    "give the plate by hull",
)
