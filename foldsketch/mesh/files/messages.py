"""Why a mesh file is refused, and what is noted about one that is read."""

from foldsketch.base.findings import Message

COARSER = "export it with a coarser tolerance"
AS_STL = "export it as STL"
AS_TEXT = "save it as plain text in UTF-8"


def _refusal(code: str, what: str, cure: str = "export it again", about: str = "") -> Message:
    return Message(code, "error", what, cure, about)


# The file itself
FILE_MISSING = _refusal("mesh-file-missing", "cannot be found or opened", "check the path")
IS_A_FOLDER = _refusal("mesh-file-is-a-folder", "is a folder, not a mesh file", "name one file")
NOT_A_REGULAR_FILE = _refusal("mesh-file-not-regular", "is not an ordinary file", "name a mesh file")
UNREADABLE = _refusal("mesh-file-unreadable", "cannot be read ({reason})", "check the permissions")
EMPTY = _refusal("mesh-file-empty", "is empty")
TOO_LARGE = _refusal("mesh-file-too-large", "has {size}, the limit is {limit}", COARSER)
UNKNOWN_FORMAT = _refusal(
    "mesh-format-unknown", "'{suffix}' is not a mesh format", "give STL, PLY, OBJ, OFF, 3MF or GLB"
)
PACKED = _refusal("mesh-file-packed", "is {kind}, whatever its name says", "unpack it first")
ANOTHER_KIND = _refusal("mesh-file-of-another-kind", "is {kind}, whatever its name says", AS_STL)
UTF16 = _refusal("mesh-file-in-utf16", "is text in UTF-16", AS_TEXT)
NOT_TEXT = _refusal("mesh-file-not-text", "is not plain text", AS_TEXT)

# Any format
INVALID = _refusal("mesh-file-invalid", "is not a valid {format} file")
CUT_SHORT = _refusal(
    "mesh-file-cut-short", "declares {declared} but holds {found}: it is cut short, or not a {format} file"
)
TOO_MANY_TRIANGLES = _refusal("mesh-too-many-triangles", "has {count:triangle}, the limit is {limit}", COARSER)
NO_TRIANGLES = _refusal("mesh-without-triangles", "has no triangles", "export a surface mesh")
NO_SUCH_CORNER = _refusal("mesh-without-that-corner", "a face names a corner that the file does not have")
NOT_NUMBERS = _refusal("mesh-coordinates-not-numbers", "some coordinates are not numbers")
COORDINATES_TOO_LARGE = _refusal(
    "mesh-coordinates-too-large",
    "its coordinates go up to {largest}; no part is that large",
    "check its unit and export it again",
)
ONE_POINT = _refusal("mesh-in-one-point", "all its corners are at one point")

# STL
STL_TOO_SHORT = _refusal("stl-too-short", "has {size:byte}, fewer than the header of an STL")
STL_OTHER_TEXT = _refusal("stl-other-text", "is text that does not start with 'solid', so it is not an STL")
STL_COUNT_WRONG = _refusal("stl-count-wrong", "declares {declared:triangle} but has the size of {found}")
STL_WITHOUT_FACETS = _refusal("stl-without-facets", "starts like an STL but has no facets")
STL_WITHOUT_END = _refusal("stl-without-end", "is cut short: no 'endsolid' after {count:facet}")
STL_CORNERS_WRONG = _refusal("stl-corners-wrong", "has {facets:facet} and {corners:corner}: not three for each")
STL_VERTEX_INVALID = _refusal("stl-vertex-invalid", "some 'vertex' lines do not hold three numbers")
STL_EXTRA_BYTES = Message("stl-extra-bytes", "warning", "has {count:byte} after the last triangle, which are ignored")

# PLY, OBJ, OFF
PLY_HEADER_OPEN = _refusal("ply-header-open", "its header has no 'end_header'")
PLY_HEADER_LINE = _refusal("ply-header-line", "its header has an invalid line, '{line}'")
OBJ_WITHOUT_SURFACE = _refusal("obj-without-surface", "has no 'v' lines or no 'f' lines, so it has no surface")
OBJ_FACE_TOO_LONG = _refusal("obj-face-too-long", "has a face with too many corners")
OBJ_LINE_INVALID = _refusal("obj-line-invalid", "some 'v' or 'f' lines do not hold three numbers")
OFF_COUNTS_MISSING = _refusal("off-counts-missing", "has no counts of corners and faces after 'OFF'")

# GLB
GLB_EXTENSION = _refusal("glb-extension", "needs the glTF extension {extension}", "export it without compression")
GLB_OTHER_FILE = _refusal("glb-other-file", "keeps its data in another file", "export it as one GLB file")
GLB_NOT_A_TREE = _refusal("glb-not-a-tree", "its nodes do not form a tree")
GLB_TOO_MANY_USES = _refusal("glb-too-many-uses", "shows its meshes {count:time}, the limit is {limit}")

# 3MF
THREEMF_NOT_A_ZIP = _refusal("3mf-not-a-zip", "is not a valid zip, as a 3MF must be")
THREEMF_TOO_MANY_FILES = _refusal("3mf-too-many-files", "holds {count:file}, the limit is {limit}", AS_STL)
THREEMF_UNPACKS_TOO_LARGE = _refusal("3mf-unpacks-too-large", "unpacks to {size}, the limit is {limit}", AS_STL)
THREEMF_PACKED_TOO_TIGHT = _refusal(
    "3mf-packed-too-tight",
    "unpacks to more than {limit} times its size, so it is not opened",
    about="A small file that unpacks to a very large one is a common attack.",
)
THREEMF_WITHOUT_MODEL = _refusal("3mf-without-model", "is a zip without a 3D model in it")
THREEMF_ENTITIES = _refusal("3mf-entities", "its XML declares entities")
THREEMF_COMPONENTS = _refusal("3mf-components", "its components are nested too deep or repeated too often", AS_STL)
