"""The notes of a fixture plate's drawing; "[12]" is a blank, "~" a space that holds."""

from __future__ import annotations

from math import atan2, degrees, hypot

from foldsketch.setup.plan.fixture_plate import BALANCED_G_MM, FixturePlate
from foldsketch.setup.plan.jaw_pocket import TURN_LOCATION_MM
from foldsketch.sheet.setup_sheets.jaw_face_frame import number
from foldsketch.sheet.setup_sheets.jaw_notes_text import loading_text, speed_note

FIXTURE_CAUTIONS = (
    "First estimates from the nominal part: measure before boring.",
    "The chuck and machine makers' limits go before every figure.",
    "Balance; prove at low speed, guards closed, out of line.",
    "Local rules and a licensed or trained person decide.",
)
"""At the foot of every fixture drawing."""

FIXTURE_BLANKS = (
    ("register Ø to spindle", 12),
    ("bolts to spindle, Ø", 12),
    ("their torque", 12),
    ("key or dowel", 12),
    ("clamps on the work", 12),
    ("plate part No.", 12),
    ("material, HB", 12),
    ("plate speed, balance", 12),
    ("Ø held, measured", 12),
)
"""What the maker gives or the toolroom measures; the line runs to the edge."""


def fixture_notes_text(p: FixturePlate) -> list[str]:
    """The notes in order; the first word of each is a heading."""
    c, v = p.setup.clamping, p.values
    reads = f"turned by hand: reads 2e = {2 * p.offset:.2f} ±{number(2 * v.centre)}"
    check = f"plug Ø{number(p.held)} in the bore" if p.locator == "bore" else "the spigot"
    found = [
        f"Seat the maker's: see the blanks. Skim face and rim in place; run-out at most {number(v.centre)}.",
        f"Locate Ra {number(v.roughness)} on {p.locator} and rest face; corner relief 1 × 0.5, edges 0.5 × 45°.",
        f"Check {check}, {reads}, high in the direction of {c.held_axis}.",
        *([f"Hole Ø{number(p.through)} through on the spindle axis: the tool runs out into it."] if p.through else []),
        f"Clamps [18] the four M{number(v.screw)} holes are a pattern to start from; the toolroom sizes clamps and "
        "screws.",
        _balance(p),
        speed_note(p.setup, "its balance pockets" if p.pockets else "the weight").replace("Plate [14]", "Maker's [14]"),
        f"Loading {_way_round(p)}, seen on the plate's face.",
    ]
    if p.relief:
        found.append(f"Relief Ø{number(p.relief)} on the bore's axis, {number(p.behind + 1)} below the rest face.")
    elif p.behind:
        found.append(f"Behind the rest face lie {number(p.behind)} of the work: relieve the plate there [14]")
    if p.turn_matters:
        turn = degrees(atan2(TURN_LOCATION_MM, p.offset))
        found.append(
            f"Stop for the turn about {c.held_axis} [22] the round {p.locator} leaves it free; {turn:.2f}° there moves "
            f"{c.on_centreline} by {number(TURN_LOCATION_MM)}."
        )
    return found


def _way_round(p: FixturePlate) -> str:
    """Which feature lies where from the direction of the offset."""
    text = loading_text(p.setup)
    for jaw, way in (
        ("1 towards jaw~2", "1 anticlockwise"),
        ("1 towards jaw~3", "1 clockwise"),
        ("jaw~1", "the offset"),
    ):
        text = text.replace(jaw, way)
    return text


def _balance(p: FixturePlate) -> str:
    """The balance pockets, or what is to be done without."""
    if p.unbalance is None:
        return "Balance mass unknown: [20]~g~mm, by a trial run."
    heavy, turn = hypot(*p.unbalance), round(degrees(atan2(p.unbalance[1], p.unbalance[0]))) % 360
    if heavy < BALANCED_G_MM:
        return f"Balance under {BALANCED_G_MM:.0f}~g~mm with the work in, by calculation: no pocket."
    amount = f"Balance {float(f'{heavy:.3g}'):.0f}~g~mm at {turn}°, plate (steel) and work"
    if not p.pockets:
        at = p.weight_radius
        weight = f"{heavy / at / 1000:.2f}~kg"
        return f"{amount}: no pocket has room. Bolt {weight} opposite at radius {number(at)}; finish by trial."
    b = p.pockets[0]
    each = "P" if len(p.pockets) == 1 else "P1 and P2, each"
    angles = " and ".join(f"{round(degrees(atan2(q.at[1], q.at[0]))) % 360}°" for q in p.pockets)
    return (
        f"{amount}: mill {each} Ø{number(b.diameter)}, {b.depth:.1f} deep, at radius {hypot(*b.at):.1f}, {angles}. "
        "Leave a tenth, finish by trial; screws, clamps and nuts are not in the sum."
    )
