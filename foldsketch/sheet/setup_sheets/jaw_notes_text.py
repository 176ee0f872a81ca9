"""The notes of a jaw drawing: how to bore, check, load and run the jaws; "[12]" is a blank, "~" a space that holds."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, sin

from foldsketch.setup.model import SetUp
from foldsketch.setup.plan.jaw_pocket import TURN_LOCATION_MM, JawPocket, place_on_face
from foldsketch.setup.speed_text import rounded_down, speed_limit_text
from foldsketch.sheet.setup_sheets.jaw_face_frame import number

INSERT_SHARE = 0.25
"""Of the jaw's width by which rocking inserts stand beside a contact."""

JAW_CAUTIONS = (
    "First estimates from the nominal part: measure before boring.",
    "The chuck and jaw makers' limits go before every figure here.",
    "Balance; prove at low speed, guards closed, out of line.",
    "Local rules and a licensed or trained person decide.",
)
"""At the foot of every jaw drawing."""

BLANKS = (
    ("serration", 12),
    ("key", 12),
    ("screws, depth", 12),
    ("jaw part No.", 12),
    ("material, HB", 12),
    ("H above chuck", 12),
    ("largest Ø held", 12),
    ("gap as bored", 12),
    ("wall left", 12),
)
"""What the maker gives or the toolroom measures; the line runs to the edge."""


def jaw_notes(p: JawPocket) -> list[str]:
    """The notes in order; the first word of each is a heading."""
    found = [*_boring(p), *_checking(p), _contacts(p), *_weight(p), speed_note(p.setup)]
    if p.offset:
        found.append(_way_round(p))
        if p.turn_matters:
            turn = degrees(atan2(TURN_LOCATION_MM, p.offset))
            c = p.setup.clamping
            found.append(
                f"Stop for the turn about {c.held_axis} [26] the round pocket leaves it free; {turn:.2f}° "
                f"there moves {c.on_centreline} by {number(TURN_LOCATION_MM)}."
            )
    if not p.rests:
        stop = f"; {number(p.behind)} of the work lies behind it" if p.behind else ""
        found.append(f"Rest no rest face in these jaws{stop}. Stop inside the spindle [20]")
    return found


def _boring(p: JawPocket) -> list[str]:
    unit = "bar" if p.spindle.power else "N~m on the key"
    how = f"Bore gripped inwards as in use, on ring Ø [12] at [10]~{unit}"
    if p.spindle.c_axis and p.offset:
        y, x = p.held / 2, p.held / 2 - p.offset
        reach = f"X {number(x)} past centre, " if x > 0 else ""
        how += f"; or mill in place, C locked with jaw~1 on X: Y {number(y)} each way, {reach}less half the cutter"
    needed = p.setup.clamping_force
    cuts = f" (the cuts need {needed / 1000:.1f})" if needed else ""
    return [f"{how}.", f"Use at [10]~{unit}; grip at rest, by gauge, [10]~kN{cuts}."]


def _checking(p: JawPocket) -> list[str]:
    """The check with a plug and an indicator."""
    e, v = p.offset, p.values
    plug = f"Check plug Ø{number(p.held)}, turned by hand: reads"
    if not e:
        return [f"{plug} {number(2 * v.centre)} at most."]
    near = p.held / 2 - e
    slides = f"{number(e + p.held / 2)}~and~{number(near)}" if near > 0 else number(e + p.held / 2)
    return [f"{plug} 2e = {2 * e:.2f} ±{number(2 * v.centre)}, high at jaw~1; by slide {slides}."]


def _contacts(p: JawPocket) -> str:
    beside = max(c.beside for c in p.contacts)
    on = f"; on jaws 2 and 3, {number(round(beside, 1))} beside the middle" if beside > 0.05 else ""
    text = f"Ticks: where each jaw presses{on}. Needs {number(round(p.width_needed, 1))} of {number(p.width)}."
    feature = next((f for f in p.setup.work.features if f.name == p.setup.clamping.held_on), None)
    if feature is not None and feature.finish == "cast" and not feature.stock:
        text += f" Cast surface: two rocking inserts a jaw, {number(INSERT_SHARE * p.width)} either side of its tick."
    return text


def _weight(p: JawPocket) -> list[str]:
    s = p.setup
    if not s.weights or not p.offset:
        return []
    places = []
    for w in s.weights:
        turn = degrees(p.direction(w.angle)) % 360
        where = "opposite jaw~1" if abs(turn - 180) < 0.5 else f"{turn:.0f}° from jaw~1"
        where = "beside jaw~1" if abs((turn + 180) % 360 - 180) < 0.5 else where
        places.append(f"{w.mass:.3f}~kg {where}, {number(w.plane)} behind the face")
    use = "" if s.weighted else " The plan does without it."
    radius = number(s.weights[0].radius)
    return [f"Weight {'; '.join(places)}; bolted at {radius}, for the part. First balance the bored jaws.{use}"]


def speed_note(s: SetUp, balance: str = "the weight") -> str:
    """The highest speed and what sets it, with a blank for the plate. balance: what takes the unbalance away."""
    v = s.speeds
    plate = " Plate [14]~r/min."
    if v.limit == "only indexed":
        return "Speed the spindle only indexes; driven tools cut." + plate
    if v.recommended is None:
        return f"Speed no figure: {v.limit}." + plate
    text = f"Speed at most {rounded_down(v.recommended)}~r/min: {speed_limit_text(v.limit, s.weighted)}"
    if s.weighted and v.balance is not None:
        text += f"; without {balance} {rounded_down(v.balance)}: prove out below that first"
    return f"{text}.{plate}"


def _way_round(p: JawPocket) -> str:
    """What of the part lies towards jaw 1, so that it does not go in half a turn wrong."""
    stamp = "Stamp 1~2~3 first; 2 and 3 are mirror images."
    if not p.turn_matters:
        return f"Loading any way round: nothing on the part tells yet. {stamp}"
    return f"Loading {loading_text(p.setup)}. {stamp}"


def loading_text(s: SetUp) -> str:
    """Which feature lies where from jaw 1, or from the direction of the offset."""
    best, centre = None, place_on_face(s, *s.held_at)[0]
    for f in s.work.features:
        axis = s.work.axis(f.axis)
        if f.cut or not axis.along_z or f.axis in (s.clamping.held_axis, s.clamping.on_centreline):
            continue
        x, y = place_on_face(s, axis.point[0], axis.point[1])
        x -= centre
        if best is None or hypot(x, y) > hypot(best[1], best[2]) + 1e-9:
            best = (f, x, y)
    if best is None:
        return f"{s.clamping.on_centreline} away from jaw~1, on the spindle axis"
    f, x, y = best
    turn = degrees(atan2(y, x))
    if cos(atan2(y, x)) > 0.98:
        where = "towards jaw~1"
    elif cos(atan2(y, x)) < -0.98:
        where = "away from jaw~1"
    else:
        side = "2" if sin(atan2(y, x)) > 0 else "3"
        where = f"{abs(turn):.0f}° from jaw~1 towards jaw~{side}"
    return f"{f.name} ({f.axis}) {where}"
