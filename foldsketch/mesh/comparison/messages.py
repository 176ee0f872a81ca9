"""What comparing a rebuilt part, or flat panels, with the file reports."""

from foldsketch.base.findings import Message

_COMPARED = (
    "the rebuilt part has {volume} of the mesh's volume and {area} of its area, and is at most {deviation} off the "
    "mesh, {mean} on average"
)
REBUILT = Message("rebuilt-part", "note", _COMPARED)
REBUILT_BESIDE_CHORDS = Message(
    "rebuilt-part-beside-chords", "note", f"{_COMPARED}; the mesh's own facets are up to {{chord}} inside its rounds"
)

_AMOUNT = "the model has {volume} of the file's volume and is up to {deviation} off it"
_CURE = "repair the file and read it again, or go on with --anyway"
_ABOUT = (
    "The model is off by more than 2 % of the volume or 1 % of the box's diagonal, fillets, chamfers and draft that "
    "are left out on purpose apart. A model of n flat panels is allowed what n panels are off on a ball."
)
MISSING = Message(
    "model-lacks-material", "error", f"{{what}} at z {{low}} to {{high}} is missing: {_AMOUNT}", _CURE, about=_ABOUT
)
FILLED = Message(
    "model-fills-space", "error", f"{{what}} at z {{low}} to {{high}} is filled: {_AMOUNT}", _CURE, about=_ABOUT
)
WRONG_VOLUME = Message("model-has-wrong-volume", "error", _AMOUNT, _CURE, about=_ABOUT)

_NEAR_ABOUT = "The model is off by more than 1 % of the volume or 0.5 % of the box's diagonal, and less than an error."
OFF_AT = Message(
    "model-off", "warning", f"{{what}} at z {{low}} to {{high}} differs: {_AMOUNT}", "check it there", about=_NEAR_ABOUT
)
OFF_IN_VOLUME = Message(
    "model-off-in-volume", "warning", _AMOUNT, "compare its lengths with the drawing", about=_NEAR_ABOUT
)
