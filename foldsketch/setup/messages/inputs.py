"""What the set-up floor says of its inputs: the machine file and the blank."""

from foldsketch.base.findings import Message

# The machine file ----------------------------------------------------------------------------------------------------

MACHINE_UNITS = Message(
    "machine-units", "error", 'units = {value}: expected "mm" or "in"', "write it at the top; units are never guessed"
)
MACHINE_KIND = Message("machine-kind", "error", 'kind = {value}: expected "twin" or "single"', "{hint}")
MACHINE_SPINDLES = Message(
    "machine-spindles", "error", "a {kind} machine has the spindles {names}", "name them so, in that order"
)
CHUCK_RANGE_REVERSED = Message(
    "chuck-range-reversed", "error", "smallest is not below largest", "give the range of diameters the chuck holds"
)
MACHINE_NO_TOOL = Message(
    "machine-no-tool", "error", "no [tool] table", "give room, overhang, driven_diameter, drill and force"
)
MACHINE_NO_CUTTING_DATA = Message(
    "machine-no-cutting-data",
    "error",
    "cut '{material}' lacks {keys}, and there are no usual figures for this material",
    "give them all",
)
MACHINE_DEFAULTS = Message(
    "machine-defaults",
    "note",
    "not in the machine file, so taken as usual: {keys}",
    "give your own; docs/machine-file.md says where to find each",
)

# The blank -----------------------------------------------------------------------------------------------------------

BLANK_ASSUMED_CASTING = Message(
    "blank-assumed-casting",
    "note",
    "taken as a casting, with stock on the ends that carry nothing, and bores from 25 mm cast in",
    "add [blank] to the part file to say what it is",
)
BLANK_ASSUMED_SAWN = Message(
    "blank-assumed-sawn",
    "note",
    "taken as sawn from a bar, {diameter} in diameter and {length} long",
    "add [blank] to the part file to say what it is",
)
CORE_STOCK_ASSUMED = Message(
    "core-stock-assumed",
    "note",
    "cast in with {stock} per side, like the rest",
    "give its stock; [blank] cores lists the bores that are cast in",
)
BAR_TOO_SMALL = Message(
    "bar-too-small",
    "error",
    "a bar of {diameter} is too small: the part needs {needed} around axis {axis}",
    "take a larger bar",
)
BAR_TOO_SHORT = Message(
    "bar-too-short", "error", "a piece of {length} is too short: the part is {needed} long", "saw it longer"
)

NO_SUCH_PLAN = Message(
    "no-such-plan", "error", "there is no plan {given}: {count:plan is|plans are} printed", "give 1 to {count}"
)
BATCH_OUT_OF_RANGE = Message("batch-out-of-range", "error", "a batch of {given} cannot be planned", "give 1 to {most}")
CASTING_WITHOUT_STOCK = Message(
    "casting-without-stock",
    "error",
    "a casting without stock: it is cast to size, and there is nothing to cut",
    'add stock = … to each feature that is to be machined, or take kind = "bar" or "sawn"',
)
LOCATION_FROM_CAST = Message(
    "location-from-cast",
    "warning",
    "its location of {allowed} hangs on as-cast surfaces: nothing is machined on the datum axis {axis}",
    "machine a bore or a diameter of the datum first, or take a machined axis as the datum",
)
