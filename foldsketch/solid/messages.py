"""Every finding about prisms, blocks and card thickness, once."""

from __future__ import annotations

from foldsketch.base.findings import Message

# Faceting.

FACET_CHOICE = Message(
    "facet-choice",
    "error",
    "{value} is not allowed",
    "use {allowed}",
    about="a facet option is out of range; the place is the option",
)
CHORD_ERROR_EXCEEDED = Message(
    "chord-error-exceeded",
    "note",
    "only {sides:flat side}, {deviation} off the true circle on paper ({asked} asked for)",
    "more sides would be too narrow to fold; print larger, or set --sides",
)
FLATS_YIELD = Message(
    "flats-yield",
    "note",
    "{features} take the area of the true circle, not its diameter across flats: there is no room beside them",
    about="In a model built within a budget of minutes a diameter has its flats on the true circle, so that a rule "
    "reads it, where there is room.",
)
ROLL_RADIUS_TOO_SMALL = Message(
    "roll-radius-too-small",
    "note",
    "folded, not rolled: card cannot be rolled to a radius of {radius} on paper, only to {least} or more",
    "for a rolled wall print larger",
)
ROLL_WALL_CROSSED = Message(
    "roll-wall-crossed",
    "note",
    "folded, not rolled: '{other}', on a tilted or cross axis, meets its wall",
)

# Joining.

FEATURE_WITHOUT_VOLUME = Message(
    "feature-without-volume", "error", "the faces enclose no volume", "check the diameters, lengths and outline"
)
CUT_AWAY = Message(
    "feature-cut-away", "error", "the cuts leave no material", "make a cut smaller, or remove the feature"
)
CUT_APART = Message(
    "feature-cut-apart", "warning", "the cuts divide it into {bodies} separate bodies", "each is built separately"
)
CAVITY_FILLED = Message(
    "cavity-filled",
    "warning",
    "{cavities:closed cavity|closed cavities} inside, without a way in; not built on paper",
    "check the start and end of the cut",
)
SURFACE_NOT_CLOSED = Message(
    "surface-not-closed",
    "error",
    "two faces almost coincide, so the surface does not close",
    "extend the cut 0.1 mm past the face, or move one of the features",
)
BODIES_APART = Message(
    "bodies-apart",
    "warning",
    "{bodies} bodies have no flat face in common: {names}",
    "contact at a line or a point cannot be glued; if they belong together, let them overlap or meet on a flat face",
)
EDGE_USED_TWICE = Message(
    "edge-used-twice", "error", "uses the edge from corner {start} to corner {end} a second time", "repair the mesh"
)
FACE_WITHOUT_AREA = Message("face-without-area", "error", "has no area", "repair the mesh")
EDGES_OPEN = Message(
    "edges-open", "error", "{edges:edge belongs|edges belong} to one face only", "close the holes in the mesh"
)

# Card thickness.

CARD_NOT_COMPENSATED = Message(
    "card-not-compensated",
    "warning",
    "not compensated for card thickness: the model is {thickness} too large outside and too small in bores",
    "use thinner card, a larger scale, or --join faces",
)
WALL_TOO_THIN = Message(
    "wall-too-thin-for-card",
    "warning",
    "the wall to '{bore}' is {wall} on paper, too thin for two layers of card and their tabs",
    "use thinner card or a larger scale",
)
SPIGOT_JAMS = Message(
    "spigot-jams",
    "warning",
    "would jam in '{bore}': no clearance for the card",
    "reduce its diameter by {reduction}, or leave it out",
)
