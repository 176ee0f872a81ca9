"""Why a STEP or IGES file is refused, and what is noted about one that is read."""

from foldsketch.base.findings import Message

EXPORT_AGAIN = "export it again"


def _refusal(code: str, what: str, cure: str = EXPORT_AGAIN, about: str = "") -> Message:
    return Message(code, "error", what, cure, about)


NOT_INSTALLED = _refusal(
    "cad-not-installed",
    "reading {format} needs the optional package cascadio",
    "run pip install -e '.[cad]' in the folder of Foldsketch, or export the part as STL",
)
NOT_THAT_FORMAT = _refusal("cad-not-that-format", "is not a {format} file, whatever its name says")
CUT_SHORT = _refusal("cad-cut-short", "is cut short: a {format} file ends with {end}, and this one does not")
KERNEL_FAILED = _refusal("cad-unreadable", "the CAD kernel cannot read it: the file is damaged")
KERNEL_NOT_STARTED = _refusal(
    "cad-kernel-not-started",
    "the CAD kernel did not start, so the file was not read",
    "close other programs and try again; if that does not help, install the package cascadio again",
)
KERNEL_NO_MEMORY = _refusal(
    "cad-out-of-memory",
    "the CAD kernel was stopped: it may take {memory} of memory, and the file needs more or the computer has less free",
    "close other programs and try again, or export it as STL",
)
TOO_SLOW = _refusal(
    "cad-too-slow",
    "the CAD kernel was stopped after {seconds}: the file is damaged or far too detailed",
    "export it again, or export it as STL",
)
NO_SOLID = _refusal("cad-without-solid", "has no solid or surface, only curves, points or nothing", "export the solid")
UNIT_CONTRADICTS = _refusal(
    "cad-unit-contradicts", "the file itself says that its unit is {unit}, not {asked}", "run without --units"
)
FACES_MISSING = _refusal(
    "cad-faces-missing",
    "the file lists {listed:face} and the CAD kernel made {made} of them: the file is damaged",
    EXPORT_AGAIN,
)
BODY_OPEN = _refusal(
    "cad-body-open",
    "its surface is not closed ({count:open edge}), so it is not a solid",
    "export it as a closed solid",
)
UNIT_NOT_IN_FILE = Message(
    "cad-unit-not-in-file", "warning", "the file does not say its unit, so it was taken as mm", "check one size"
)
SOLIDS_UNITED = Message(
    "cad-solids-united",
    "warning",
    "bodies {bodies} overlap, so they were joined into one",
    "if they are separate parts, export them one by one",
)
