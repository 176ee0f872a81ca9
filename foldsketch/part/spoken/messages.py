"""What there is to say about spoken lines."""

from foldsketch.base.findings import Message

NOTHING_SAID = Message("spoken-nothing", "error", "nothing is said", "say a line such as: flange 110 x 14")
NOT_UNDERSTOOD = Message(
    "spoken-not-understood",
    "error",
    "'{word}' is not understood here",
    "say it as in: inlet 42 x 35 at 24, 150 deg; or: 4 holes 9 on 74",
)
COMMA_DOUBTFUL = Message(
    "spoken-comma", "error", "{typed} may be {decimal} or {thousands}", "write {decimal} or {thousands}"
)
NUMBER_MISSING = Message("spoken-number-missing", "error", "{what} is missing", "say it as in: {example}")
SIZE_ZERO = Message("spoken-size-zero", "error", "{what} is 0", "a size is more than 0")
NO_UNIT = Message("spoken-unit", "error", "'{given}' is not a unit that a part may have", "say lengths in mm or in")
OTHER_UNIT = Message("spoken-other-unit", "error", "{unit} is not the unit of this part", "give every length in {own}")
BORES_WITHOUT_FEATURES = Message(
    "spoken-bores",
    "error",
    "{bores:bore} for {features:feature}",
    "say it with its feature: inlet 42 x 35, bore 28",
)
ANGLES_DO_NOT_MATCH = Message(
    "spoken-angles",
    "error",
    "{holes:hole} but {angles:angle}",
    "give the first angle, or one for each: 4 holes 9 on 74 from 45 deg",
)
NO_FLANGE = Message("spoken-no-flange", "error", "there is nothing yet to drill or bore", "say the flange first")
OF_NO_FEATURE = Message(
    "spoken-of-no-feature", "error", "no feature is said before it", "say it behind a feature: inlet 42 x 35, cast 2"
)
UNKNOWN_BASE = Message("spoken-unknown-base", "error", "there is no '{name}' to stand on", "say it before")
"""Of `on NAME`."""
