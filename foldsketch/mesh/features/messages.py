"""What recognising a mesh reports."""

from foldsketch.base.findings import Message

UNKNOWN_UNIT = Message("mesh-unit-unknown", "error", "'{unit}' is not a unit", "give {known}")
NO_SUCH_BODY = Message("mesh-body-unknown", "error", "there is no body '{body}'", "give {bodies}, or its number")

_NO_UNIT = "no unit was given: taken as mm it is {x} x {y} x {z}, taken as inches {inch_x} x {inch_y} x {inch_z}"
UNIT_ASSUMED = Message("mesh-unit-assumed", "warning", _NO_UNIT, "add --units mm, in, cm or m")
UNIT_NOT_AS_IN_FILE = Message(
    "mesh-unit-not-as-in-file", "warning", _NO_UNIT, "the file itself says {unit}: add --units {unit}"
)
NOISY = Message(
    "mesh-noisy",
    "warning",
    "its corners are about {noise} off smooth surfaces (one standard deviation): a diameter measured on n corners is "
    "good to about {accuracy} / sqrt(n)",
    "use the mesh from CAD if there is one",
)

LEFT_OUT = Message(
    "features-left-out",
    "note",
    "{kind}: {count} left out of the paper model ({area}, {share} of the surface)",
    "to keep them add --keep",
)
DRAFT_STRAIGHTENED = Message(
    "draft-straightened",
    "note",
    "{kind}: {count} made straight at mid-height size ({area}, {share} of the surface)",
    "to keep them add --keep",
)
KEPT = Message("features-kept", "note", "{kind}: {count} kept ({area}, {share} of the surface)")

BOLT_CIRCLE = Message("bolt-circle", "note", "{count:hole} Ø{hole} on a bolt circle Ø{diameter} about axis {axis}")
NO_ROUND_FEATURES = Message("no-round-features", "note", "has no round features, so there is nothing to turn")
ONLY_PARTIAL_ROUNDS = Message(
    "only-partial-rounds", "note", "has no round feature of more than half a turn, so there is nothing to turn"
)

_NOT_MEASURED = "({share} of the surface), is not measured"
OVAL_WALL = Message("oval-wall", "warning", f"an oval wall, {{long}} x {{short}} {_NOT_MEASURED}")
CURVED_WALL = Message(
    "curved-wall", "warning", f"a curved wall that is neither flat nor a cylinder, such as a cam {_NOT_MEASURED}"
)
CURVED_PROFILE = Message(
    "curved-profile",
    "warning",
    f"a turned surface whose profile is neither straight nor an arc, such as a dome {_NOT_MEASURED}",
)
FREE_FORM = Message("free-form", "warning", f"a free-form surface {_NOT_MEASURED}")
SMALL_SURFACES = Message(
    "small-surfaces-not-measured", "note", "{share} of the surface, in small pieces, is not recognised"
)
