"""What the local page has to say about what it was asked."""

from foldsketch.base.findings import Message

MINUTES_NOT_A_NUMBER = Message("minutes-not-a-number", "error", "is no number", "give a number of minutes, or all")
NOT_WHOLE = Message("sides-not-whole", "error", "is not a whole number", "type a whole number, or leave it empty")
NO_SETUPS = Message("no-setups-to-draw", "error", "there are none to draw", "see the findings")
NO_JAWS = Message(
    "page-no-jaws", "error", "no set-up of this plan bores jaws or has a fixture plate", "see the set-up sheets"
)
NO_MACHINE = Message("page-no-machine", "note", "no machine is chosen, so there are no set-ups", "choose one under See")
UNKNOWN_FILE = Message("unknown-download", "error", "this file is not offered")
UNKNOWN_TASK = Message("unknown-task", "error", "unknown task")
NOT_JSON = Message("request-not-json", "error", "the request is not a JSON object")
OUT_OF_MEMORY = Message(
    "page-out-of-memory",
    "error",
    "this needs more memory than one run may use",
    "leave features out, or use fewer sides",
)
MESH_OUT_OF_TIME = Message(
    "page-mesh-out-of-time",
    "error",
    "reading stopped after {seconds}",
    "export fewer triangles or one body alone; the command foldsketch read has no such limit",
)
MESH_OUT_OF_MEMORY = Message(
    "page-mesh-out-of-memory",
    "error",
    "reading this file needs more memory than one run may use",
    "export fewer triangles, or one body alone",
)
OUT_OF_TIME = Message("page-out-of-time", "error", "stopped after {seconds}", "leave features out, or use fewer sides")
STOPPED = Message("page-stopped", "error", "stopped before it was done", "any change starts it again")
BUG = Message("page-bug", "error", "this is a bug in Foldsketch ({kind})", "please report the part file")
MESH_ENDING = Message("page-mesh-ending", "error", "a mesh, STEP or IGES file ends in {endings}")
MESH_UNITS = Message("page-mesh-units", "error", "the unit of the mesh is missing", "choose mm, cm, m or in")
MESH_NOT_ROUND = Message(
    "page-mesh-not-round", "error", "no round features", "make its model on the command line: foldsketch make"
)
