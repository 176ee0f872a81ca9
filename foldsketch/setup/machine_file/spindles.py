"""Read [[spindle]]: what chuck and spindle hold, carry and move."""

from __future__ import annotations

from typing import Any

from foldsketch.part.file.line_numbers import KeyPath
from foldsketch.part.file.value_reader import ValueReader
from foldsketch.setup import messages
from foldsketch.setup.spindle import CHUCK_KINDS, RIM_SPEED_M_PER_S, ChuckKind, Default, Spindle, complete_spindle

REQUIRED_LENGTHS = ("smallest", "largest", "grip", "depth", "jaw_width", "jaw_height")
LENGTHS = ("soft_jaw_width", "jaw_stroke", "weight_radius", "bearing_span")
TRAVELS = ("jaw_clearance", "bar", "x_axis", "y_axis", "x_below")
"""Lengths that may be 0."""

PLAIN_NUMBERS = ("rotating_mass", "force", "grip_force", "fixture_pull", "part_weight", "c_torque")
"""kg, N and N m: above 0, in these units whatever the file's."""

SPEEDS = ("speed", *RIM_SPEED_M_PER_S)
"""r/min."""

MAX_WEIGHT_PLANES = 20

FLAGS = ("power", "c_axis")
SPINDLE_KEYS = (
    *("name", *REQUIRED_LENGTHS, *SPEEDS, "chuck", "chucks", *FLAGS, *LENGTHS, *TRAVELS, *PLAIN_NUMBERS),
    *("grip_loss", "weight_planes"),
)


def read_spindle(
    r: ValueReader, place: KeyPath, table: dict[str, Any], ways: tuple[str, ...], cross_travel: float
) -> tuple[Spindle, tuple[Default, ...]] | None:
    """A spindle and the defaults it took; None after an error. ways: keys of [holding]; cross_travel: mm."""
    before = len(r.errors)
    r.check_keys(place, table, SPINDLE_KEYS)
    given: dict[str, Any] = {"name": r.name((*place, "name"), table.get("name"))}
    for key in (*REQUIRED_LENGTHS, "speed"):
        if key not in table:
            r.report_missing(place, key, f"give {key} = …")
    for key, value in table.items():
        at = (*place, key)
        if key in REQUIRED_LENGTHS or key in LENGTHS:
            given[key] = r.length(at, value)
        elif key in TRAVELS:
            given[key] = r.length(at, value, zero=True)
        elif key in SPEEDS or key in PLAIN_NUMBERS:
            given[key] = r.number(at, value, 0, 1e6, above=0)
        elif key == "grip_loss":
            given[key] = r.number(at, value, 0, 1e6)
        elif key in FLAGS:
            given[key] = r.flag(at, value)
        elif key == "chuck":
            given[key] = r.choice(at, value, CHUCK_KINDS)
        elif key == "chucks":
            given[key] = _read_chucks(r, at, value)
        elif key == "weight_planes":
            rows = [[v] for v in value] if isinstance(value, list) else value
            given[key] = tuple(v for row in r.rows(at, rows, 1, MAX_WEIGHT_PLANES) or () for v in row)
    if len(r.errors) > before or None in given.values():
        return None
    if given["smallest"] >= given["largest"]:
        r.add_finding((*place, "smallest"), messages.CHUCK_RANGE_REVERSED.at())
        return None
    return complete_spindle(given, ways, cross_travel)


def _read_chucks(r: ValueReader, place: KeyPath, value: Any) -> tuple[ChuckKind, ...]:
    found = [r.choice(place, v, CHUCK_KINDS) for v in r.words(place, value) or []]
    return tuple(c for c in found if c is not None)
