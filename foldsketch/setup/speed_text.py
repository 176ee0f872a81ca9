"""Speeds as they are printed, and what stops the spindle there."""

SPEED_LIMIT_TEXT = {
    "balance": "balance stops it there",
    "force": "the force on the spindle stops it there",
    "grip": "the grip stops it there",
    "machine": "machine and chuck stop it there",
    "cut": "the cut decides",
}
"""What users read of a `SpeedLimit`."""


def rounded_down(speed: float) -> int:
    """A speed as it is printed: down to 10 r/min, small ones down to 1."""
    return int(speed) if speed < 100 else int(speed / 10 + 1e-9) * 10
