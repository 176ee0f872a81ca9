"""How long a model takes to build: a stated model, its seconds common practice and the user's to change."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.job import Model, facts


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds [common practice]: to cut a millimetre, to score and crease a fold, to glue a tab, to set a joint."""

    cut: float = 0.12
    fold: float = 5.0
    glue: float = 18.0
    joint: float = 60.0


def minutes(made: Model, pace: Pace | None = None) -> float:
    """Minutes to cut, crease and glue a model."""
    own = pace or Pace()
    count = facts(made)
    tabs = count["glue joints"] - len(made.nets.joints)
    seconds = count["cut length"] * own.cut + count["folds"] * own.fold + tabs * own.glue
    return (seconds + len(made.nets.joints) * own.joint) / 60
