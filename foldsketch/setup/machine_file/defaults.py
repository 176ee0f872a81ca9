"""What a machine file left out, as notes."""

from __future__ import annotations

from foldsketch.base.findings import Finding, Quantity
from foldsketch.setup.machine import Machine
from foldsketch.setup.messages import MACHINE_DEFAULTS
from foldsketch.setup.spindle import Default


def default_findings(machine: Machine, units: str = "mm") -> list[Finding]:
    """One note for the machine and for each spindle that names the defaults that were used, in "mm" or "in"."""
    by_place: dict[str, list[Default]] = {}
    for d in machine.defaults:
        by_place.setdefault(d.where, []).append(d)
    found = []
    for where, used in by_place.items():
        keys = ", ".join(f"{d.key} {d.value.text(units) if isinstance(d.value, Quantity) else d.value}" for d in used)
        found.append(MACHINE_DEFAULTS.at(where or f"machine '{machine.name}'", keys=keys))
    return found
