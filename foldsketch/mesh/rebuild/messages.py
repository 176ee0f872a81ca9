"""What rebuilding a part from a mesh reports."""

from foldsketch.base.findings import Message

NO_SOLID = Message(
    "no-solid-from-sections", "error", "its sections do not make a solid", "see the other messages about this mesh"
)
CURVED_IN_STEPS = Message(
    "curved-surface-in-steps",
    "note",
    "between {low} and {high} along the datum axis its curved surface is made in straight steps",
)

_COMPARED = (
    "the rebuilt part has {volume} of the mesh's volume and {area} of its area, and is at most {deviation} off the "
    "mesh, {mean} on average"
)
REBUILT = Message("rebuilt-part", "note", _COMPARED)
REBUILT_BESIDE_CHORDS = Message(
    "rebuilt-part-beside-chords", "note", f"{_COMPARED}; the mesh's own facets are up to {{chord}} inside its rounds"
)
REBUILT_FAR_OFF = Message(
    "rebuilt-part-far-off",
    "warning",
    _COMPARED,
    "correct the part file by hand, or use flat panels (--panels)",
    about="The volume of the rebuilt part differs from that of the mesh by more than 3 %.",
)
