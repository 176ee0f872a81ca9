"""What can be wrong with a part file; machine files are read by the same checks."""

from __future__ import annotations

from foldsketch.base.findings import Message

# The file and its text.
FILE_IS_FOLDER = Message("file-is-folder", "error", "is a folder", "name a part file in it")
FILE_NOT_REGULAR = Message("file-not-regular", "error", "is not a file", "name a part file (TOML or JSON)")
FILE_NOT_FOUND = Message("file-not-found", "error", "does not exist", "{advice}")
FILE_UNREADABLE = Message("file-unreadable", "error", "cannot be read ({reason})", "check the name")
FILE_TOO_LARGE = Message("file-too-large", "error", "is larger than {most}", "a part file is a short text")
FILE_IS_MESH = Message("file-is-mesh", "error", "is a mesh", "run `foldsketch read {name} --units mm` first")
FILE_IS_CAD = Message("file-is-cad", "error", "is a CAD file", "run `foldsketch read {name}` first")
FILE_NOT_TEXT = Message(
    "file-not-text", "error", "is not a text file, or not saved as UTF-8", "name a part file (TOML or JSON)"
)
FILE_NOT_UTF8 = Message("file-not-utf8", "error", "is not UTF-8 text", "save the file as UTF-8")
FILE_EMPTY = Message("file-empty", "error", "is empty", "start from one of the samples")
BRACKETS_TOO_DEEP = Message(
    "brackets-too-deep", "error", "has brackets nested {levels} deep", "a part file needs no more than four"
)
KEY_TOO_LONG = Message(
    "key-too-long", "error", "has a key with more than {most} names in it", "a part file needs no dots in keys"
)
NUMBER_TOO_LONG = Message("number-too-long", "error", "has a number of more than a thousand digits", "shorten it")
TEXT_NOT_UNDERSTOOD = Message("text-not-understood", "error", "cannot be understood: {reason}", "see docs/part-file.md")
JSON_NOT_OBJECT = Message(
    "json-not-object",
    "error",
    "is not a JSON object",
    "a part file in JSON is {{ … }} with the keys of docs/part-file.md",
)

# Rows that TOML does not accept.
KEY_TWICE = Message(
    "key-twice", "error", "the key '{key}' is given twice", "keep one; each [[axis]] or [[feature]] begins a new table"
)
SINGLE_BRACKETS = Message(
    "single-brackets", "error", "[{name}] is in single brackets", "write [[{name}]] above each {name}"
)
EQUALS_MISSING = Message(
    "equals-missing",
    "error",
    "expected an equals sign after the key in '{row}'",
    "write key = value, such as diameter = 90",
)
COMMA_IN_NUMBER = Message("comma-in-number", "error", "'{row}': a comma in a number", "write a decimal point: {number}")
VALUES_WITHOUT_BRACKETS = Message(
    "values-without-brackets", "error", "'{row}': several values without brackets", "write {key} = [{values}]"
)
WORDS_AFTER_NUMBER = Message(
    "words-after-number",
    "error",
    "'{row}': words after a number",
    'write the number alone: lengths are in units = "…" at the top, angles in degrees',
)
TRUE_NOT_LOWER = Message(
    "true-not-lower", "error", "'{row}': expected true or false in small letters", "write cut = true"
)
QUOTES_MISSING = Message("quotes-missing", "error", "'{row}': a word without quotes", 'write {key} = "{word}"')
POINT_FIRST = Message("point-first", "error", "'{row}': a number begins with its point", "write 0.5, not .5")
VALUE_MISSING = Message(
    "value-missing", "error", "'{row}': the value is missing", "write key = value, such as diameter = 90"
)
BRACKET_OPEN = Message(
    "bracket-open", "error", "a bracket is not closed, or a comma is missing between numbers", "write [0, 14]"
)
QUOTES_OPEN = Message("quotes-open", "error", "the quotes are not closed", 'put a text between two quotes: "flange"')

# Keys and values.
UNKNOWN_KEY = Message("unknown-key", "error", "unknown key '{key}'", "{advice}")
KEY_OF_OTHER_SHAPE = Message("key-of-other-shape", "error", "a {shape} has no {key}", "{key} is a size of a {owners}")
KEY_MISSING = Message("key-missing", "error", "{key} is missing", "{advice}")
KEYS_TOGETHER = Message("keys-together", "error", "{keys} cannot be given together", "{advice}")
VALUE_TYPE = Message("value-type", "error", "{key} = {given}: expected {expected}")
VALUE_RANGE = Message("value-range", "error", "{key} = {given}: expected {least} to {most}")
VALUE_TOO_LOW = Message("value-too-low", "error", "{key} = {given}: expected more than {bound}")
VALUE_UNKNOWN = Message(
    "value-unknown",
    "error",
    "{key} = {given}: expected {expected}",
    "{advice}",
    about="The value is none of those that the key can have.",
)
TEXT_TOO_LONG = Message("text-too-long", "error", "{key} = {given}: longer than {most} characters", "shorten it")
CONTROL_CHARACTER = Message(
    "control-character",
    "error",
    "{key} = {given}: has a control character, or one without a shape",
    "use letters, digits and signs",
)
NAME_TWICE = Message("name-twice", "error", "a second {kind} named '{name}'", "give each {kind} a name of its own")
TABLE_MISSING = Message("table-missing", "error", "no [[{key}]] table", "at least one {key} is needed")
TABLES_NOT_LIST = Message("tables-not-list", "error", "{key} is not a list of tables", "write [[{key}]] above each")
TOO_MANY_TABLES = Message(
    "too-many-tables", "error", "{count} {key} tables: at most {most} are read", "leave out what does not matter"
)
MORE_ERRORS = Message(
    "more-errors",
    "error",
    "and {count:more error}",
    "fix the first ones first",
    about="A file with very many errors: only the first are listed.",
)
DENSITY_UNKNOWN = Message(
    "density-unknown",
    "note",
    "the density of {given} is not known: mass figures will be missing",
    "add density = … (kg/m3); {advice}",
)

# Axes.
AXIS_UNKNOWN = Message("axis-unknown", "error", "{key} = {given}: no such axis", "{advice}")
AXIS_NOT_ALONG_Z = Message(
    "axis-not-along-z", "error", "axis '{axis}' is not parallel to z", "give at = [x, y] instead of an offset"
)
FIRST_AXIS_OFFSET = Message(
    "first-axis-offset", "error", "the first axis cannot be offset from another", "give at = [0, 0]"
)
AXES_CIRCULAR = Message(
    "axes-circular", "error", "the axis is measured from itself: {way}", "give one of them at = [x, y]"
)
AXIS_WRITTEN_TWICE = Message(
    "axis-written-twice",
    "note",
    "is the same line as axis {other}: its features are on axis {other}",
    "use one letter for both",
)
NAMES_LOOK_ALIKE = Message(
    "names-look-alike",
    "warning",
    "'{name}' and '{other}' look alike on paper, but are different characters ({characters})",
    "use letters of one alphabet",
)
DIRECTION_ZERO = Message("direction-zero", "error", "direction = {given} has no length", "give [1, 0, 0] for along x")

# Features.
NO_MATERIAL = Message(
    "no-material", "error", "every feature is a cut: there is no material", "add the material that they cut"
)
END_BELOW_START = Message(
    "end-below-start", "error", "end is not above start ({start} to {end})", "start is the lower of the two"
)
FEATURE_TOO_SHORT = Message(
    "feature-too-short", "error", "only {length} from start to end", "the least length is {least}"
)
CONE_WITHOUT_SIZE = Message("cone-without-size", "error", "both diameters of the cone are 0", "give at least one")
RING_WITHOUT_WALL = Message(
    "ring-without-wall",
    "error",
    "bore = {bore} is not smaller than the diameter, {diameter}",
    "the wall of a ring is between them",
)
OUTLINE_TOO_FEW = Message(
    "outline-too-few-corners", "error", "the outline has fewer than three corners", "list all its corners in order"
)
OUTLINE_NO_AREA = Message(
    "outline-no-area", "error", "the outline encloses no area", "list its corners in order, once around"
)
OUTLINE_SAME_CORNERS = Message(
    "outline-same-corners", "error", "corners {first} and {second} of the outline are the same", "take one of them out"
)
OUTLINE_TURNS_BACK = Message(
    "outline-turns-back",
    "error",
    "the outline turns back on itself at corner {corner}",
    "list its corners in order, once around",
)
OUTLINE_CROSSES = Message(
    "outline-crosses",
    "error",
    "sides {first} and {second} of the outline cross or touch",
    "list its corners in order, once around",
)
HULL_NEGATIVE_RADIUS = Message(
    "hull-negative-radius", "error", "hull: the radius of entry {entry} is below 0", "use 0 for a sharp corner"
)
HULL_SMALL_RADIUS = Message(
    "hull-small-radius", "error", "hull: the radius of entry {entry} is below {least}", "use 0 for a sharp corner"
)
HULL_NO_AREA = Message(
    "hull-no-area", "error", "the hull encloses no area", "give radii, or three corners that make a triangle"
)

# The blank.
TABLE_NOT_TABLE = Message("table-not-table", "error", "{key} is not a table", "write [{key}] above its keys")
KEY_OF_OTHER_BLANK = Message(
    "key-of-other-blank", "error", "a {kind} has no {key}", "{key} is for a blank of kind {owners}"
)
BLANK_FACE_UNKNOWN = Message(
    "blank-face-unknown", "error", "faces has {value}, which is no end of a feature along z", "{advice}"
)
BLANK_CORE_UNKNOWN = Message("blank-core-unknown", "error", "cores has {value}, which is no bore along z", "{advice}")
