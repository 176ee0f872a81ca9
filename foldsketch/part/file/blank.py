"""Read [blank]: bar, sawn piece or casting, and what is said about it."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.base.findings import Message
from foldsketch.part.file import messages
from foldsketch.part.file.value_reader import ValueReader
from foldsketch.part.file.value_tree import Table
from foldsketch.part.file.wording import did_you_mean, format_value, normalize_name
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
    table = r.table("blank")
    if table is None:
        return None
    if "kind" not in table:
        r.report_missing(("blank",), "kind", "one of " + ", ".join(KINDS))
        return None
    kind = r.choice(("blank", "kind"), table["kind"], tuple(KINDS))
    if kind is None:
        return None
    before = len(r.errors)
    owners = {key: " or ".join(k for k, keys in KINDS.items() if key in keys) for key in BLANK_KEYS[1:]}
    elsewhere = {
        key: messages.KEY_OF_OTHER_BLANK.at(kind=kind, key=key, owners=owner)
        for key, owner in owners.items()
        if key not in KINDS[kind]
    }
    r.check_keys(("blank",), table, ("kind", *KINDS[kind]), elsewhere)
    diameter, length = (r.length(("blank", k), table[k]) if k in table else None for k in ("diameter", "length"))
    upright = {a.name for a in axes if a.along_z}
    along_z = [f for f in features if f.axis in upright]
    faces = [f"{f.name} {end}" for f in along_z if not f.cut for end in ("-z", "+z")]
    bores = [f.name for f in along_z if f.cut and isinstance(f.shape, Cylinder | Cone)]
    stock = _read_names(r, table, "faces", None if before else faces, messages.BLANK_FACE_UNKNOWN)
    cores = _read_names(r, table, "cores", None if before else bores, messages.BLANK_CORE_UNKNOWN)
    return None if len(r.errors) > before else Blank(kind, diameter, length, stock, cores)


def _read_names(
    r: ValueReader, table: Table, key: str, known: list[str] | None, unknown: Message
) -> tuple[str, ...] | None:
    """A list of known names; None where there is none or after an error. known: None where other errors hide them."""
    if key not in table:
        return None
    names = r.words(("blank", key), table[key])
    if names is None:
        return None
    found = tuple(normalize_name(n) for n in names)
    for name in found:
        if known is not None and name not in known:
            r.add_finding(("blank", key), unknown.at(value=format_value(name), advice=did_you_mean(name, known)))
    return found
