"""Reasons: why a surface is not held or reached, why not another order, and offsets that cannot be set."""

from foldsketch.base.findings import Message

# Holding -------------------------------------------------------------------------------------------------------------

SWING_TOO_LARGE = Message("swing-too-large", "note", "the part swings {swing}, the machine takes {most}")
TOO_LONG_FOR_CHUCK = Message("too-long-for-chuck", "note", "{length} must go into the chuck, only {depth} fits")
BLOCKS_JAWS = Message("blocks-jaws", "note", "'{feature}' is in front of the jaws")
STROKE_TOO_SHORT = Message(
    "jaw-stroke-too-short",
    "note",
    "'{feature}' does not pass the open jaws: each must open by {needed}, their stroke is {stroke}",
)
GRIP_TOO_SHORT = Message("grip-too-short", "note", "only {length} long, the jaws need {needed}")
GRIP_BLOCKED = Message("grip-blocked", "note", "'{feature}' leaves only {length} to grip, the jaws need {needed}")
BORE_CLOSED_AT_CHUCK = Message("bore-closed-at-chuck", "note", "the bore does not open at the chuck end")
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
JAWS_ON_EDGE = Message(
    "jaws-on-edge",
    "warning",
    "jaws {jaws} bear on the round with their edge, {slope}° off square: they slide and push the work out sideways",
    "tighten the other two first and shape the packing of these to the round, or use a fixture",
)
NO_CENTRE_HOLES = Message("no-centre-holes", "note", "no centre holes fit on axis {axis} in both ends at that moment")
BORED_JAWS_TOO_NARROW = Message(
    "bored-jaws-too-narrow",
    "note",
    "jaws bored off centre need {needed} of width here, these have {width}: up to {most} off centre goes",
)
BORED_JAWS_TOO_DEEP = Message(
    "bored-jaws-too-deep",
    "note",
    "jaws bored off centre would come to {radius} from the chuck's centre, below its least radius of {least}: up to "
    "{most} off centre goes",
)
BAR_NOT_FED = Message(
    "bar-not-fed",
    "note",
    "a bar of {diameter} does not go through the spindle (bar = {most} in the machine file): it is sawn into pieces",
    about="`bar` of the spindle in the machine file; 0 where it has none.",
)
NO_PARTING_BLADE = Message(
    "no-parting-blade", "note", "no blade goes {needed} deep to part the bar off: it is sawn into pieces"
)
NO_CLAMPING_FOUND = Message(
    "no-clamping-found", "note", "no clamping on this machine both holds the work and lets a tool get there"
)
WORK_TOO_HEAVY = Message("work-too-heavy", "note", "the work weighs {mass}, the spindle carries {most}")

# Tool access ---------------------------------------------------------------------------------------------------------

CHUCK_COVERS = Message("chuck-covers-feature", "note", "the chuck covers it")
CHUCK_IN_THE_WAY = Message("chuck-in-the-way", "note", "no tool gets there past the chuck and its jaws")
STANDS_ON_FACE = Message("stands-on-face", "note", "no tool passes what stands on it as the part turns ({features})")
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
BLADE_TOO_NARROW = Message(
    "blade-too-narrow",
    "note",
    "a blade would go in {needed} deep; one {width} wide goes {depth} deep",
    "a wider blade, or depth in its [[cutter]]",
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

TOO_HIGH_FOR_STRAPS = Message(
    "too-high-for-straps",
    "note",
    "straps on a face plate do not keep work {height} high from tipping that stands on {width}",
    "a chuck, a fixture, or a support",
)

# Why another order was not chosen ------------------------------------------------------------------------------------

ORDER_LEAVES_FEATURES = Message("order-leaves-features", "note", "leaves {features} unturned")
ORDER_COSTS_MORE = Message("order-costs-more", "note", "takes {minutes} a part")
ORDER_COSTS_LESS = Message("order-costs-less", "note", "takes less, {minutes} a part")
ORDER_EQUALLY_GOOD = Message("order-equally-good", "note", "as good within the estimate")

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
