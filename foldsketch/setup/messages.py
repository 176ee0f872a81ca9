"""Everything that the set-up floor reports: machine files, what cannot be held or reached, and notes on set-ups.

Reasons why something cannot be done are findings too, so that their lengths can be shown in inches.
"""

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
    "core-stock-assumed", "note", "cast in with {stock} per side, like the rest", "give its stock, or name the cores"
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

# Holding -------------------------------------------------------------------------------------------------------------

SWING_TOO_LARGE = Message("swing-too-large", "note", "the part swings {swing}, the machine takes {most}")
HELD_AXIS_CROSSES = Message("held-axis-crosses", "note", "its axis crosses the spindle")
NO_GRIP_SURFACE = Message("no-grip-surface", "note", "jaws need a cylinder or flats")
TOO_LONG_FOR_CHUCK = Message("too-long-for-chuck", "note", "{length} must go into the chuck, only {depth} fits")
BLOCKS_JAWS = Message("blocks-jaws", "note", "'{feature}' is in front of the jaws")
GRIP_TOO_SHORT = Message("grip-too-short", "note", "only {length} long, the jaws need {needed}")
GRIP_BLOCKED = Message("grip-blocked", "note", "'{feature}' leaves only {length} to grip, the jaws need {needed}")
BORE_NOT_STRAIGHT = Message("bore-not-straight", "note", "only straight bores are held from inside")
BORE_CLOSED_AT_CHUCK = Message("bore-closed-at-chuck", "note", "the bore does not open at the chuck end")
BORE_TOO_SMALL = Message("bore-too-small", "note", "a bore of {diameter} is too small to hold from inside")
OUTSIDE_CHUCK_RANGE = Message(
    "outside-chuck-range",
    "note",
    "a diameter of {diameter}, {offset} off centre, does not fit the chuck ({smallest} to {largest})",
)
NO_OFFSET_HOLDING = Message("no-offset-holding", "note", "nothing in the machine file holds it off centre")
OFFSET_TOO_LARGE = Message("offset-too-large", "note", "{offset} off centre is too much: {method} goes to {most} here")
RAW_HELD_TWICE = Message(
    "raw-held-twice", "note", "its raw surface was held before: jaws do not find it again as it was"
)
RAW_OFF_CENTRE = Message("raw-off-centre", "note", "a raw surface is only held centred, not {offset} off centre")
NO_SUCH_CHUCK = Message("no-such-chuck", "note", "{method} needs a {chuck} chuck, which this spindle does not have")
NO_CENTRE_HOLES = Message("no-centre-holes", "note", "no centre holes fit on axis {axis} in both ends at that moment")
BORED_JAWS_TOO_NARROW = Message(
    "bored-jaws-too-narrow", "note", "jaws bored off centre need {needed} of width here, these have {width}"
)
BORED_JAWS_TOO_DEEP = Message(
    "bored-jaws-too-deep",
    "note",
    "jaws bored off centre would come to {radius} from the chuck's centre, below its least radius of {least}",
)
NO_CLAMPING_FOUND = Message(
    "no-clamping-found", "note", "no clamping on this machine both holds the work and lets a tool get there"
)
WORK_TOO_HEAVY = Message("work-too-heavy", "note", "the work weighs {mass}, the spindle carries {most}")

# Tool access ---------------------------------------------------------------------------------------------------------

CHUCK_COVERS = Message("chuck-covers-feature", "note", "the chuck covers it")
CHUCK_IN_THE_WAY = Message("chuck-in-the-way", "note", "no tool gets there past the chuck and its jaws")
SWEPT_OVER = Message("swept-over", "note", "'{feature}' passes over it as the part turns")
NO_CLEARANCE = Message(
    "no-tool-clearance",
    "note",
    "the tool does not fit beside '{neighbour}': clearance {clearance}, needs {needed}",
)
TOOL_TOO_WIDE = Message(
    "tool-too-wide",
    "note",
    "'{neighbour}' leaves {most} for the {tool}; the narrowest listed is {needed}",
    about="Of an axial tool the lower outer corner counts, of a boring bar the diameter with space for chips.",
)
NEIGHBOUR_IN_FRONT = Message(
    "neighbour-in-front", "note", "'{blocker}' is in front of it and '{neighbour}' turns around it"
)
IN_THE_WAY = Message("in-the-way", "note", "'{blocker}' is in the way of every tool")
REACHED_IN_PART = Message("reached-in-part", "note", "'{blocker}' is in the way: of {length} a tool gets at {reached}")
NO_SUCH_TOOL = Message("no-such-tool", "note", "needs a {tools}, and none is listed", "add a [[cutter]]")
NO_DRILL = Message("no-such-drill", "note", "no drill of {needed} is listed", "add a [[cutter]]")
OVERHANG_TOO_LONG = Message("overhang-too-long", "note", "the tool must stick out {needed}, {allowed} is allowed")
OVERHANG_TOO_LONG_BESIDE = Message(
    "overhang-too-long-beside", "note", "the tool must stick out {needed} beside '{neighbour}', {allowed} is allowed"
)
CUTTER_GAP = Message(
    "no-cutter-for-gap",
    "note",
    "'{neighbour}' leaves a gap of {gap}: a cutter up to {most} goes in, the smallest listed is {needed}",
)
NOT_MILLED = Message("not-milled", "note", "only cylinders and bores along z are milled around or drilled")
SURFACE_COVERED = Message("surface-covered", "note", "it lies inside other material: nothing to cut")
BORE_CUTS_NOTHING = Message("bore-cuts-nothing", "note", "it cuts nothing")
BORE_OPENS_OTHER_WAY = Message("bore-opens-other-way", "note", "it opens to the {end} end")
BORE_CLOSED = Message("bore-closed", "note", "'{feature}' closes it toward the {end} end")

# Why another order was not chosen ------------------------------------------------------------------------------------

ORDER_LEAVES_FEATURES = Message("order-leaves-features", "note", "leaves {features} unturned")
ORDER_COSTS_MORE = Message("order-costs-more", "note", "takes {minutes} a part")
ORDER_EQUALLY_GOOD = Message("order-equally-good", "note", "as good within the estimate")

# The plan ------------------------------------------------------------------------------------------------------------

NOTHING_TO_TURN = Message(
    "nothing-to-turn",
    "error",
    "nothing to turn: no feature parallel to z is machined",
    "add stock = … to a cast feature, or put a cylinder, cone or ring on an axis along z",
)
FEATURE_NOT_TURNED = Message(
    "feature-not-turned",
    "warning",
    "cannot be turned on this machine; the plan says why",
    "try another machine, another fixture, or a shorter neighbouring feature",
)
NO_DENSITY = Message(
    "setup-no-density",
    "note",
    "has no density, so unbalance and its speed limit are missing",
    "add material = … or density = … to the part file",
)
MASS_APPROXIMATE = Message("setup-mass-approximate", "note", "mass is close, not exact: some axes are slanted")
NOT_ALONG_SPINDLE = Message(
    "feature-across-spindle", "note", "is not parallel to the spindle, so it is not turned", "use a driven tool"
)
NOT_ROUND = Message(
    "feature-not-round", "note", "is not round: it is milled, and not on this lathe", "plan it elsewhere"
)
NO_CUTTING_DATA = Message(
    "no-cutting-data",
    "warning",
    "its material has no cutting data: {minutes} a surface are taken, and no cutting speed is known",
    "add [cut.MATERIAL] to the machine file",
)
SEARCH_STOPPED = Message(
    "search-stopped",
    "warning",
    "the search was stopped after {count:combination}: there may be a cheaper order",
    "leave out what does not matter, or plan parts of it apart",
)
LOCATION_NOT_KEPT = Message(
    "location-not-kept",
    "warning",
    "its set-ups add up to {location} of location, {allowed} is allowed",
    "machine it in the set-up of the datum, or indicate it",
)
WEIGHT_WOULD_LIFT = Message(
    "weight-would-lift",
    "note",
    "balance stops the speed: {mass} at a radius of {radius}, opposite the heavy side, would lift it to {speed}",
    "bolt it on, never clamp it",
)
NO_PLACE_FOR_WEIGHT = Message(
    "no-place-for-weight",
    "note",
    "balance stops the speed: a counterweight of {amount} would lift it to {speed}; the machine file gives no place",
    "give weight_radius and weight_planes",
)
USE_A_LIFT = Message("use-a-lift", "warning", "the work weighs {mass}", "use a lift")
SLENDER_WORK = Message(
    "slender-work", "warning", "it stands out {ratio} times the held diameter without support", "use {support}"
)
GRIP_UNKNOWN = Message(
    "grip-unknown", "note", "the cuts need {needed} of grip at rest", "compare it with the plate of the chuck"
)
DRILLED = Message(
    "hole-drilled",
    "note",
    "{most} or less: drilled with a driven tool, no set-up needed",
    'to turn it, add finish = "machined"',
)

# One set-up ----------------------------------------------------------------------------------------------------------

CAST_SURFACE_HELD = Message(
    "cast-surface-held", "note", "grips a cast surface, '{feature}'", "use rocking or floating jaws"
)
FLATS_IN_THREE_JAWS = Message(
    "flats-in-three-jaws", "note", "{flats} flats do not sit in three jaws", "use four jaws or a collet"
)
PLATE_ON_FIXTURE = Message(
    "plate-on-fixture",
    "note",
    "'{feature}' is clamped to the face of a fixture",
    "leave a recess for what is behind it",
)
BEYOND_THREE_JAW_PACKING = Message(
    "beyond-three-jaw-packing",
    "note",
    "the offset is {offset}; from {limit} on, three packed jaws cannot hold",
    "do not pack a three-jaw chuck",
)
CROSS_TRAVEL_NEARLY_USED = Message(
    "cross-travel-nearly-used",
    "note",
    "a sub-spindle offset of {shift} nearly uses up the cross travel of {travel}",
    "check it on the machine",
)
CENTRE_HOLE_NEAR_EDGE = Message(
    "centre-hole-near-edge",
    "warning",
    "its {mouth} mouth needs {needed} to the edge, there is {distance}",
    "leave a longer end to cut off, or hold it in jaws",
)
OVERHANG_BEYOND_BARS = Message(
    "overhang-beyond-bars",
    "warning",
    "the tool sticks out {ratio} times its diameter",
    "beyond {most} times ask the maker of the bar",
)
OVERHANG_NEEDS_BAR = Message(
    "overhang-needs-bar",
    "note",
    "the tool sticks out {ratio} times its diameter: use a {bar} bar",
    "a shorter or thicker tool is stiffer",
)
SPINDLE_ANGLE_LEFT = Message(
    "spindle-angle-left",
    "warning",
    "the spindle stops every {step}: {angle} is left, which puts the axis {beside} off the centreline",
    "turn the part in the chuck by that much, or indicate it",
)

# Formulas ------------------------------------------------------------------------------------------------------------

CANNOT_PACK = Message(
    "cannot-pack-three-jaw",
    "error",
    "a diameter of {diameter} cannot be packed to an offset of {offset}",
    "stay below {limit}, or use four jaws or a fixture",
)
CENTRELINE_OUTSIDE = Message(
    "centreline-outside-diameter",
    "error",
    "an offset of {offset} puts the spindle centreline outside the diameter of {diameter}",
    "hold another feature, or use an offset fixture",
)
