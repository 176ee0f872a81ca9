"""What cleaning a mesh reports."""

from foldsketch.base.findings import Message

ENCLOSES_NOTHING = Message(
    "mesh-encloses-nothing",
    "error",
    "encloses no space: all its triangles are needles",
    "export a closed surface mesh",
)
IS_A_SHEET = Message("mesh-is-a-sheet", "error", "is a sheet without thickness, not a solid", "give it a thickness")
ALL_DEGENERATE = Message("mesh-all-degenerate", "error", "all its triangles are without area", "export it again")

FAR_FROM_ORIGIN = Message(
    "mesh-far-from-origin",
    "warning",
    "is {distance} from the origin, so its coordinates are only accurate to {resolution}",
    "move it to the origin before you export it",
)
DUPLICATES_REMOVED = Message("mesh-duplicates-removed", "warning", "removed {count:duplicate triangle}")
BACK_TO_BACK_REMOVED = Message(
    "mesh-back-to-back-removed", "warning", "removed {count:triangle that lies|triangles that lie} back to back"
)
SEAMS_JOINED = Message("mesh-seams-joined", "warning", "joined {count:edge} of faces that did not meet")
HOLES_FILLED = Message(
    "holes-filled",
    "warning",
    "filled {count:small hole}, {area} in all",
    "check the features there",
)
NOT_CLOSED = Message(
    "mesh-not-closed",
    "warning",
    "is not closed: {holes:hole} with {edges:open edge}, {length} in all; its volume and the features at the holes are "
    "uncertain",
    "close the holes before you export it",
)
ONE_SIDED = Message(
    "mesh-one-sided", "warning", "its surface has only one side in places", "check that it is one solid"
)
WINDING_FIXED = Message(
    "mesh-winding-fixed", "warning", "turned {count:triangle that|triangles that} faced the wrong way"
)
INSIDE_OUT_FIXED = Message(
    "mesh-inside-out-fixed", "warning", "turned {count:shell that was|shells that were} inside out"
)
EDGES_OF_MANY_FACES = Message(
    "mesh-edges-of-many-faces",
    "warning",
    "{count:edge has|edges have} more than two faces",
    "check that it is one solid",
)
HOLLOW_INSIDE = Message(
    "mesh-hollow-inside",
    "warning",
    "a closed surface inside the body is read as a hollow",
    "remove it if it is not a hollow",
)
BODIES_OVERLAP = Message(
    "mesh-bodies-overlap",
    "warning",
    "has bodies that overlap and are no clean solids, so they are read as one part without being joined",
    "join them before you export it, so that its volume is exact",
)
BODIES_UNITED = Message(
    "mesh-bodies-united",
    "warning",
    "joined {count:body|bodies} that overlap into one",
    "if they are separate parts, export them one by one",
)
CLOSED_CAVITY = Message(
    "mesh-closed-cavity",
    "warning",
    "has {count:closed cavity|closed cavities} inside, {volume} in all: no paper model shows it",
    "say so when you show the model",
)
DEBRIS_LEFT_OUT = Message("mesh-debris-left-out", "warning", "left out {count:loose bit}, far smaller than the part")

DEGENERATE_REMOVED = Message("mesh-degenerate-removed", "note", "removed {count:triangle} without area")
SLIVERS_IGNORED = Message(
    "mesh-slivers-ignored",
    "note",
    "{count:sliver is|slivers are} ignored in measuring",
    about="A sliver is a triangle no wider than the step to which the coordinates are rounded.",
)
SEVERAL_BODIES = Message(
    "mesh-several-bodies",
    "note",
    "holds {count:separate body|separate bodies}, each read on its own",
    "to read one alone, add --body and its name",
)
