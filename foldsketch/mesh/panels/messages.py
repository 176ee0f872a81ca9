"""What simplifying a mesh to flat panels reports."""

from foldsketch.base.findings import Message

TOO_FEW_PANELS = Message(
    "panels-too-few", "error", "{count:panel encloses|panels enclose} no space", "allow at least {least}"
)
OPEN_MESH = Message(
    "panels-of-open-mesh", "error", "is not closed, so it has no nets", "close the holes before you export it"
)
LIBRARY_MISSING = Message(
    "panels-library-missing",
    "error",
    "needs the package fast-simplification to be simplified",
    "pip install -e '.[panels]'",
)
NONE_FOUND = Message("panels-not-found", "error", "no closed surface of {count:panel} was found", "allow more panels")
ALL_CROSS = Message(
    "panels-cross",
    "error",
    "every surface of {count:panel} that was found runs through itself",
    "allow more panels",
)
SIMPLIFIED = Message(
    "mesh-simplified",
    "note",
    "{triangles:triangle} became {panels:panel} with {volume} of its volume; it is at most {mesh_off} off them, and "
    "they {panels_off} off it",
)
