"""Notes and warnings about a plan and its set-ups."""

from foldsketch.base.findings import Message

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
TURNED_TO_CORNERS = Message(
    "turned-to-corners",
    "note",
    "is turned to {diameter}, over its corners; its flats are milled elsewhere",
    "mill the flats after the last set-up that holds it",
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
    "{mass} at a radius of {radius}, {place}, would lift the speed to {speed}",
    "bolt it on, never clamp it",
)
HOLDER_SPEED_USUAL = Message(
    "holder-speed-usual",
    "note",
    "{rim} at the rim of the {holder} is taken as usual: {speed}",
    "if its maker or a balanced build allows more, give {key} in the machine file",
)
COUPLE_ON_BEARINGS = Message(
    "couple-on-bearings",
    "warning",
    "unbalance and couple together put {force} on a spindle bearing, {allowed} is allowed",
    "balance in two planes, or turn slower",
)
NO_PLACE_FOR_WEIGHT = Message(
    "no-place-for-weight",
    "note",
    "a counterweight of {amount} would lift the speed to {speed}",
    "where one can be bolted on, give force, weight_radius and weight_planes in the machine file",
)
ANGLE_TO_OTHER_AXIS = Message(
    "angle-to-other-axis",
    "note",
    "{axis} lies {turn} from {other} about {datum}, seen from the {end} end",
    "set the work to that angle on what is turned about {other}",
)
USE_A_LIFT = Message("use-a-lift", "warning", "the work weighs {mass}", "use a lift")
SLENDER_WORK = Message(
    "slender-work", "warning", "it stands out {ratio} times the held diameter without support", "use {support}"
)
GRIP_UNKNOWN = Message(
    "grip-unknown",
    "note",
    "the cuts need {needed} of grip at rest; none needs more than {given}, usual for a chuck of this size",
    "compare it with the plate of the chuck, and give grip_force in the machine file",
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
THIN_WALL = Message(
    "thin-wall",
    "warning",
    "the wall under the jaws is {wall} of a diameter of {diameter}",
    "{cure}",
)
MILLED_ROUND = Message(
    "milled-round",
    "note",
    "mills {names} with the spindle indexed: expect {out} out of round",
    "where that matters, as under a bearing, add turned = true or round = … to the feature",
)
DRIVEN_TORQUE = Message(
    "driven-torque",
    "warning",
    "a {tool} of {size} needs {needed} on {names}, the driven tool gives {given}",
    "take a smaller cut, or make it elsewhere",
)
RAW_FACE_ON_FIXTURE = Message(
    "raw-face-on-fixture",
    "note",
    "the cast face of '{feature}' lies on the {holder}",
    "seat it on three points and pack the rest",
)
CENTRE_HOLE_STAYS = Message(
    "centre-hole-stays", "note", "centre holes stay in the ends of the part", "check that the drawing allows them"
)
SURFACE_IN_TWO_SETUPS = Message(
    "surface-in-two-set-ups",
    "note",
    "is cut in two set-ups: expect a line at {height} and a step of up to {share}",
    "where that matters, hold another surface",
)
PLATE_ON_FIXTURE = Message(
    "plate-on-fixture",
    "note",
    "'{feature}' is clamped to the face of the {holder}",
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
X_AXIS_ASSUMED = Message(
    "x-axis-assumed",
    "note",
    "the sub-spindle moves {shift} off centre; not every one has an X axis, and the machine file gives no x_axis",
    "set x_axis = 0 if it has none: then its jaws are bored off centre, or the part is put in again by hand",
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

# Jaw drawings --------------------------------------------------------------------------------------------------------

NO_OFFSET_JAWS = Message(
    "no-offset-jaws",
    "note",
    "plan {plan} holds nothing off centre in bored jaws or a fixture; plan {others} does",
    "add --plan and its number",
)
NO_OFFSET_JAWS_ANYWHERE = Message(
    "no-offset-jaws-anywhere",
    "note",
    "plan {plan} holds nothing off centre in bored jaws or a fixture, nor does any other plan printed",
    "the reasons, if jaws were tried, follow",
)
JAW_DATA_DEFAULT = Message(
    "jaw-data-default",
    "note",
    "not in the machine file: {keys}; the jaw drawing takes jaws {width} wide, and no place for a counterweight but "
    "those that are given",
    "give them under [[spindle]], from the chuck maker's plate or measured",
)
JAWS_CANNOT_BE_BORED = Message(
    "jaws-cannot-be-bored",
    "error",
    "{why}",
    "take wider jaws, a larger chuck or another way of holding",
    about="A pocket that these jaws cannot have; it says which offset would go.",
)
NO_WALL_LEFT = Message(
    "no-wall-left", "note", "the pocket would reach {short} beyond what the chuck holds: up to {most} off centre goes"
)

NO_FIXTURE_PLATE = Message(
    "no-fixture-plate",
    "note",
    "no fixture plate is drawn: '{held}' is raw, not round, or centred, and nothing round locates it off centre",
    "locate it by pins in its holes; the toolroom lays that plate out",
)
NO_SWING_FOR_PLATE = Message(
    "no-swing-for-plate",
    "error",
    "its fixture plate would be {plate} in diameter, the machine swings {swing}",
    "hold another feature, or take a larger machine",
)
PLATE_CUT_AWAY = Message(
    "plate-cut-away",
    "note",
    "no fixture plate is drawn: its hole of {hole} would take away the {what}",
    "locate the work on something else, or let the toolroom lay the plate out",
)
PLATE_NOT_BALANCED = Message(
    "plate-not-balanced",
    "note",
    "no pocket in the fixture plate takes {unbalance} g mm away",
    "bolt a counterweight opposite, and balance it",
)
