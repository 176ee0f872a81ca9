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
