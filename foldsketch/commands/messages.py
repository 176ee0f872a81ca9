"""What the commands have to say about their options and about the working time of a model."""

from foldsketch.base.findings import Message

PANELS_NEED_MESH = Message(
    "panels-need-mesh", "error", "works with a mesh only, and this is a part file", "run without --panels"
)
FILE_IS_YOURS = Message(
    "file-not-from-read", "error", "this file exists and was not written by read", "choose another name with --out"
)
NO_WEB_PACKAGES = Message(
    "web-not-installed",
    "error",
    "the local page needs the packages starlette and uvicorn",
    "pip install starlette uvicorn",
)
PORT_IN_USE = Message("port-in-use", "error", "{port} is in use by another program", "choose another port")

_WHAT = "takes about {minutes:minute} at {whose} pace"

LONG_PANELS = Message("build-long-panels", "note", _WHAT, "fewer --panels are quicker")
LONG = Message("build-long", "note", _WHAT, "--quick is quicker")
LONG_QUICK_MANY_PANELS = Message(
    "build-long-many-panels",
    "note",
    _WHAT,
    "a smaller --scale or another --join may be quicker; above {most:panel} they are not tried for you",
)
LONG_QUICK_OPTIONS = Message(
    "build-long-options", "note", _WHAT, "{options}", "For a quick model; options that were tried and are quicker."
)
LONG_QUICK_NO_OPTION = Message("build-long-no-option", "note", _WHAT, "only a simpler part would be quicker")
