"""Speeds of a set-up and as they are printed, and what stops the spindle there."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.setup.formulas.turning_time import WantedSpeed
from foldsketch.setup.formulas.work_limits import SpeedLimit

SPEED_LIMIT_TEXT = {
    "balance": "balance stops it there",
    "force": "the force on the spindle stops it there",
    "grip": "the grip stops it there",
    "machine": "machine and chuck stop it there",
    "three-jaw": "the three-jaw chuck stops it there",
    "four-jaw": "the four-jaw chuck stops it there",
    "face plate": "the face plate stops it there",
    "fixture": "the fixture stops it there",
    "cut": "the cut decides",
}
"""What users read of a `SpeedLimit`."""


WEIGHT_OFF_TEXT = "the spindle must bear the weight coming off"
"""What users read where the force on the spindle stops work with a counterweight."""


def speed_limit_text(limit: str, weighted: bool) -> str:
    """What stops the spindle there. weighted: with a counterweight."""
    return WEIGHT_OFF_TEXT if weighted and limit == "force" else SPEED_LIMIT_TEXT.get(limit, limit)


@dataclass(frozen=True, slots=True)
class Speeds:
    """Speeds of a set-up, r/min.

    balance, balance_weighted, force: as loaded, with the counterweight, and by the force on the spindle, None where an
    input is missing; machine: of machine and what is on its spindle, machine_limit: what of them sets it; grip: what
    the jaws would hold at the fastest cut, None where unknown or not asked; cut: what that cut wants, None without
    cutting data; recommended: the highest that a cut uses, None where none can be recommended; limit: what stops it
    there, "" for none; roughing: where the slowest pass begins; slow, fast: what the cut asks for there and at the
    highest speed.
    """

    balance: float | None
    balance_weighted: float | None
    force: float | None
    machine: float
    grip: float | None
    cut: float | None
    recommended: float | None
    limit: SpeedLimit | str
    roughing: float | None
    slow: WantedSpeed | None = None
    fast: WantedSpeed | None = None
    machine_limit: SpeedLimit = "machine"


def rounded_down(speed: float) -> int:
    """A speed as it is printed: down to 10 r/min, small ones down to 1."""
    return int(speed) if speed < 100 else int(speed / 10 + 1e-9) * 10
