"""What a run has to say about the choices, the model and its files."""

from foldsketch.base.findings import Message

OUT_OF_RANGE = Message("choice-out-of-range", "error", "{value} is out of range", "use {least} to {most}")
UNKNOWN_CHOICE = Message("choice-unknown", "error", "{value} is not a choice", "use {known}")
WRONG_TYPE = Message("choice-wrong-type", "error", "{value} is not {expected}")

NAMES_NOT_PRINTABLE = Message(
    "names-not-printable",
    "warning",
    "no font on this computer has {characters}; a question mark is printed instead",
    "install a font that has them, or change the names",
)
DOES_NOT_FOLD = Message(
    "nets-do-not-fold",
    "error",
    "the nets do not fold back to the model: edges are {gap} apart, panels overlap by {overlap}; no sheet is written",
    "this is a bug in Foldsketch: please report the part file. Fewer --sides or --join fuse may help meanwhile",
)
QUICK_CHANGED = Message(
    "quick-model-changed",
    "note",
    "is {changes}: about {after:minute} to build",
    "with --scale {scale} --join {join} it takes about {before:minute}",
    "Choices that are not named on the command line would be changed again.",
)
QUICK_SMALLER = Message(
    "quick-model-smaller",
    "note",
    "is {changes}: about {after:minute} to build",
    "with --scale {scale} --join {join} it takes about {before:minute}; lessons and gauges need the model's scale",
    "As quick-model-changed, for a model at a smaller scale.",
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
MORE_BODIES = Message("more-bodies", "warning", "contains more bodies: {names}", "choose one with --body")

NO_DXF = Message("dxf-not-installed", "error", "needs the package ezdxf", "pip install ezdxf")
SAME_NAME = Message(
    "two-parts-one-name",
    "error",
    "two part files have this name: one lesson would overwrite the other",
    "rename one of them",
)
