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
    "pip install -e '.[web]'",
)
PORT_IN_USE = Message("port-in-use", "error", "{port} is in use by another program", "choose another port")

QUICK_IS_MINUTES = Message("quick-is-minutes", "error", "is no option any more", "use --minutes 10")
MINUTES_UNKNOWN = Message(
    "minutes-unknown", "error", "'{given}' is no number of minutes", "use {least} to {most}, or all"
)
