"""What is found in part files."""

from foldsketch.base.findings import Message

BLANK_NOT_A_TABLE = Message("blank-not-a-table", "error", "blank is not a table", "write [blank] above its keys")
BLANK_KIND = Message("blank-kind", "error", "kind = {value}: expected bar, sawn or casting", "{hint}")
BLANK_LIST = Message("blank-list", "error", "{key} = {value}: expected a list of names", 'write {key} = ["…", "…"]')
BLANK_FACE_UNKNOWN = Message(
    "blank-face-unknown", "error", "faces has {value}, which is no end of a feature along z", "{hint}"
)
BLANK_CORE_UNKNOWN = Message("blank-core-unknown", "error", "cores has {value}, which is no bore along z", "{hint}")
