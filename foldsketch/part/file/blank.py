"""Read [blank]: bar, sawn piece or casting, and what is said of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from foldsketch.base.findings import Message
from foldsketch.part.file import messages
from foldsketch.part.file.reader import ValueReader, did_you_mean, format_value, normalize_name
from foldsketch.part.model import Axis, Blank, BlankKind, Cone, Cylinder, Feature

KINDS: dict[BlankKind, tuple[str, ...]] = {
    "bar": ("diameter",),
    "sawn": ("diameter", "length"),
    "casting": ("faces", "cores"),
}
"""Kinds of blank and the keys that each has."""

BLANK_KEYS = ("kind", *dict.fromkeys(key for keys in KINDS.values() for key in keys))


def read_blank(r: ValueReader, axes: Sequence[Axis], features: Sequence[Feature]) -> Blank | None:
    """The blank; None where there is none or after an error. axes, features: those that could be read."""
    table = r.tree.values.get("blank")
    if table is None:
        return None
    if not isinstance(table, dict):
        r.add_finding(("blank",), messages.BLANK_NOT_A_TABLE.at())
        return None
    if "kind" not in table:
        r.missing(("blank",), "kind", "one of " + ", ".join(KINDS))
        return None
    kind = next((k for k in KINDS if k == table["kind"]), None)
    if kind is None:
        hint = did_you_mean(table["kind"], list(KINDS))
        r.add_finding(("blank", "kind"), messages.BLANK_KIND.at(value=format_value(table["kind"]), hint=hint))
        return None
    before = len(r.faults)
    owners = {key: " or ".join(k for k, keys in KINDS.items() if key in keys) for key in BLANK_KEYS[1:]}
    elsewhere = {key: f"it belongs to {owner}" for key, owner in owners.items() if key not in KINDS[kind]}
    r.keys(("blank",), table, ("kind", *KINDS[kind]), elsewhere)
    diameter, length = (r.length(("blank", k), table[k]) if k in table else None for k in ("diameter", "length"))
    upright = {a.name for a in axes if a.along_z}
    along_z = [f for f in features if f.axis in upright]
    faces = [f"{f.name} {end}" for f in along_z if not f.cut for end in ("-z", "+z")]
    bores = [f.name for f in along_z if f.cut and isinstance(f.shape, Cylinder | Cone)]
    stock = _read_names(r, table, "faces", None if before else faces, messages.BLANK_FACE_UNKNOWN)
    cores = _read_names(r, table, "cores", None if before else bores, messages.BLANK_CORE_UNKNOWN)
    return None if len(r.faults) > before else Blank(kind, diameter, length, stock, cores)


def _read_names(
    r: ValueReader, table: dict[str, Any], key: str, known: list[str] | None, unknown: Message
) -> tuple[str, ...] | None:
    """A list of known names; None where there is none or after an error. known: None where other errors hide them."""
    if key not in table:
        return None
    value = table[key]
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        r.add_finding(("blank", key), messages.BLANK_LIST.at(key=key, value=format_value(value)))
        return None
    names = tuple(normalize_name(v) for v in value)
    for name in names:
        if known is not None and name not in known:
            r.add_finding(("blank", key), unknown.at(value=format_value(name), hint=did_you_mean(name, known)))
    return names
