"""What a run has to say about the choices, the model and its files."""

from foldsketch.base.findings import Message

OUT_OF_RANGE = Message("choice-out-of-range", "error", "{value} is out of range", "use {least} to {most}")
UNKNOWN_CHOICE = Message("choice-unknown", "error", "{value} is not a choice", "use {known}")
WRONG_TYPE = Message("choice-wrong-type", "error", "{value} is not {expected}")
TAPE_AND_ROLLED_WALLS = Message(
    "tape-and-rolled-walls",
    "error",
    "rolled walls are held by teeth with glue: --hold {hold} cannot hold them",
    "leave out --walls rolled, or leave out --hold {hold}",
)
TUCK_AND_CARD = Message(
    "tuck-and-card",
    "error",
    "a model that is tucked together allows for card of 0.2 mm in its joints already",
    "leave out --card, or leave out --hold tuck",
)

NAMES_NOT_PRINTABLE = Message(
    "names-not-printable",
    "warning",
    "no font on this computer has {characters}; a question mark is printed instead",
    "install a font that has them, or change the names",
)
DOES_NOT_FOLD = Message(
    "nets-do-not-fold",
    "error",
    "the nets do not fold back to the model: edges are {gap} apart, panels overlap by {overlap}, {depth} deep; "
    "no sheet is written",
    "this is a bug in Foldsketch: please report the part file. Fewer --sides or --join fuse may help meanwhile",
)
STEP_TAKEN = Message(
    "step-taken",
    "note",
    "{words}: about {minutes:minute} to build",
    about="Which step of the ladder the model is; docs/building.md lists them.",
)
STEP_UP = Message("step-up", "note", "{gain}: {minutes:minute} more", about="What the next better model would cost.")
STEP_DOWN = Message(
    "step-down", "note", "{words}: {minutes:minute} less", about="What the next poorer model would save."
)
DRAWN = Message(
    "drawn-not-built",
    "note",
    "has {features} drawn on its faces",
    "add --minutes all to build everything",
    about="What does not fit into the minutes is drawn: bores and holes as circles, the rest as lines.",
)
SMALLER = Message(
    "smaller-for-the-minutes",
    "note",
    "is made at {scale}: at {full} it takes about {minutes:minute}",
    "{cure}",
    about="The last thing that the ladder gives up.",
)
TAPED = Message(
    "taped-for-the-minutes",
    "note",
    "is held with tape: with glue it takes about {minutes:minute}",
    "for glue add --hold glue",
    about="Glue gives way to tape before sides and scale do.",
)
OVER_BUDGET = Message(
    "over-budget",
    "note",
    "takes about {minutes:minute}, not {budget:minute}: {reason}",
    "{cure}",
)

BUILT_OF_PLATES = Message(
    "built-of-plates",
    "note",
    "has no round features: it is built of {plates:plate}, off by at most {deviation}; {panels:flat panel} would be "
    "off by {panel_deviation}",
    "for flat panels add --panels {panels}",
)
BUILT_OF_PLATES_ALONE = Message(
    "built-of-plates-only",
    "note",
    "has no round features: it is built of {plates:plate}, off by at most {deviation}; flat panels cannot be made",
)
BUILT_OF_PANELS = Message(
    "built-of-panels",
    "note",
    "is built of flat panels, because plates would be off by {deviation}",
    "more --panels are closer to the mesh",
)
MORE_BODIES = Message(
    "more-bodies",
    "warning",
    "contains more bodies: {names}; only the largest was taken",
    "choose with --body and a name or number, or take all with --body all",
)
BODIES_CUT_EACH_OTHER = Message(
    "bodies-cut-each-other",
    "error",
    "a bore of one body runs on through another body: their one part has {share} of their volume",
    "make them one by one, --body 1 and so on, or go on with --anyway",
)
PANELS_ONE_BODY = Message("panels-one-body", "error", "flat panels are made of one body", "choose one with --body")

NO_DXF = Message("dxf-not-installed", "error", "needs the package ezdxf", "pip install -e '.[dxf]'")
SAME_NAME = Message(
    "two-parts-one-name",
    "error",
    "two part files have this name: one lesson would overwrite the other",
    "rename one of them",
)

JAWS_WITHOUT_DXF = Message(
    "jaws-without-dxf", "note", "no DXF of the jaws: it needs the package ezdxf", "pip install -e '.[dxf]'"
)

PLAIN_PAPER_DISC = Message(
    "plain-paper-disc",
    "note",
    "{way}: its paper chuck is a plain disc with what is held drawn on it",
    "the skewer carries the part there; nothing of paper keeps its turn",
)
CHUCK_TOO_LARGE = Message(
    "paper-chuck-too-large",
    "note",
    "its paper chuck has a radius of {radius}, a page takes {most}",
    "take a smaller --scale",
)
JAW_DRAWN_ONLY = Message(
    "paper-jaw-drawn-only", "note", "no room to fold {jaws} out of the paper chuck: drawn only", "the skewer holds"
)
AXIS_IN_OPENING = Message(
    "axis-in-opening",
    "warning",
    "the model is open there: no paper for the needle",
    "tape a strip of paper flat across the opening at both ends, find the axis on it by its distances, and prick there",
)
BEHIND_PAPER_JAWS = Message(
    "behind-paper-jaws",
    "note",
    "{behind} of the part lie behind the grip and meet the paper chuck's disc: its jaws are drawn, not folded",
    "the skewer carries the part there",
)
FIXTURE_HAS_KEY = Message(
    "paper-fixture-has-key",
    "note",
    "without its key the paper fixture would go on over another feature as well: fold the key up",
    about="A tongue that clears the part as it lies right and stops it when it is turned.",
)
FIXTURE_GOES_ON_WRONG = Message(
    "paper-fixture-goes-on-wrong",
    "warning",
    "the paper fixture goes on in another turn of the part as well, and one key cannot stop that",
    "mind the letter on the pocket's floor",
)
FIXTURE_WITHOUT_FLAP = Message(
    "paper-fixture-without-flap",
    "note",
    "no room for the flap of the paper fixture: it has three walls",
    "the skewer holds",
)
