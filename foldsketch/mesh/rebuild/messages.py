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
ROUNDS_ALONE = Message(
    "rebuilt-from-rounds-alone",
    "warning",
    "its sections could not be used, so it was rebuilt from its {count:round feature} alone",
    "check lengths, and add flats, webs and pockets to the part file by hand",
)
