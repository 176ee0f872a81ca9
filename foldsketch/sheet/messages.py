"""What the sheets have to say: nets that fit no page, and choices of paper and scale that cannot be read."""

from foldsketch.base.findings import Message

FITS_NO_PAGE = Message(
    "net-fits-no-page", "error", "does not fit on a page of {paper}", "use larger paper or a smaller scale"
)

PAPER_UNKNOWN = Message(
    "paper-unknown",
    "error",
    "unknown paper size '{given}'",
    "use A4, A3, Letter, Tabloid, or width and height in mm such as 210x297",
)
PAPER_MISSPELT = Message("paper-misspelt", "error", "unknown paper size '{given}'", "did you mean {meant}?")
PAPER_OUT_OF_RANGE = Message(
    "paper-out-of-range", "error", "paper size {given} is out of range", "use 100 to 2000 mm for width and height"
)

SCALE_INVALID = Message("scale-invalid", "error", "'{given}' is not a scale", "use 1:1, 1:2, 2:1 …, or auto")

BY_HAND_CROSSED = Message("by-hand-crossed", "note", "left out by hand: its axis is not parallel to axis {axis}")
BY_HAND_NO_CIRCLE = Message(
    "by-hand-no-circle",
    "note",
    "left out by hand: no circle on a face shows it",
    about="Grooves, pockets and holes that open on no flat face are not on the by-hand page.",
)
BY_HAND_DETAIL = Message("by-hand-detail", "note", "left out by hand: too small a step to fold")
BY_HAND_INSIDE = Message("by-hand-inside", "note", "left out by hand: it is inside '{other}'")
BY_HAND_RUNS_INTO = Message("by-hand-runs-into", "note", "left out by hand: it runs into '{other}'")
BY_HAND_TOO_SMALL = Message(
    "by-hand-too-small", "note", "left out by hand: {size} on paper is too small to fold", "print at a larger --scale"
)
BY_HAND_TAPER = Message("by-hand-taper", "note", "straight by hand: Ø{start} to Ø{end} on the part")
BY_HAND_FLATS = Message("by-hand-flats", "note", "{sides} sides by hand, {flats} on the part; across flats it is right")
BY_HAND_PLATE = Message("by-hand-plate", "note", "by hand the rectangle around its outline")
BY_HAND_NOTHING = Message(
    "by-hand-nothing", "error", "has nothing that can be folded by hand", "print the sheets and leave out --by-hand"
)
BY_HAND_TOO_LARGE = Message(
    "by-hand-too-large",
    "error",
    "too large by hand: its {what} does not fit on {paper}",
    "print at a smaller --scale",
)
BY_HAND_APART = Message(
    "by-hand-apart",
    "error",
    "falls apart by hand: '{loose}' has nothing to stand on",
    "print the sheets and leave out --by-hand",
)
BY_HAND_TOO_MUCH = Message(
    "by-hand-too-much",
    "error",
    "does not fit on one page by hand: {bodies:body|bodies}, {squares:kind|kinds} of square to mark",
    "print the sheets and leave out --by-hand",
)
