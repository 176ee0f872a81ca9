"""The model report: what is made and how it was checked, as plain values."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace, measure_work, work_minutes
from foldsketch.base.findings import Finding
from foldsketch.job.model import Model

MODEL_FORMAT = "foldsketch-model 1"

MODEL_REPORT_DECIMALS = 4
"""Decimals of mm and minutes in the report."""


def model_report(made: Model, pace: Pace = DEFAULT_PACE, findings: Iterable[Finding] = ()) -> dict[str, Any]:
    """A model as plain values: what ``foldsketch make --json`` prints.

    Parameters
    ----------
    made : Model
        From `model`.
    pace : Pace, optional
        Your working speed, seconds.
    findings : iterable of Finding, optional
        Findings to list before the model's own, such as those of `read_part`.

    Returns
    -------
    dict
        ``part``, ``scale``, ``paper``, ``card`` (thickness), ``join``; the numbers of ``sheets``, ``nets``, ``blocks``
        and ``panels``, and ``least_sheets``, which no layout goes below; ``features`` with their ``sides`` and
        ``chord_error``; ``drawn``: names of those that are not built; ``steps``: the step ``taken``, and the next one
        ``up`` and ``down``; ``work``: ``cut``, ``folds``, ``glue_joints``, ``minutes``; ``fold_up``: ``"passed"`` or
        ``"failed"``; ``checks`` as in the net file; ``findings``. Lengths are mm on paper, in findings mm of the part.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> report = foldsketch.model_report(foldsketch.model(part))
    >>> report["nets"], report["sheets"], report["fold_up"]
    (3, 1, 'passed')
    """
    work = measure_work(made.nets)
    checks = made.nets.checks
    return {
        "format": MODEL_FORMAT,
        "part": made.part.name,
        "units": "mm",
        "scale": made.nets.scale,
        "paper": made.paper.name,
        "card": made.nets.card.thickness,
        "join": made.join,
        "hold": made.nets.hold,
        "sheets": len(made.sheets),
        "least_sheets": made.min_sheets,
        "nets": len(made.nets.pieces),
        "blocks": len(made.solids.blocks),
        "panels": sum(len(p.panels) for p in made.nets.pieces),
        "features": [
            {
                "name": p.feature.name,
                "axis": p.feature.axis,
                "cut": p.cut,
                "sides": p.sides or None,
                "rolled": p.rolled,
                "chord_error": round(p.chord_error, MODEL_REPORT_DECIMALS),
            }
            for p in made.faceted.prisms
        ],
        "drawn": [f.name for f in made.drawn],
        "steps": {
            name: dict(found.values)
            for name, found in (("taken", made.step), ("up", made.step_up), ("down", made.step_down))
            if found is not None
        },
        "work": {
            "cut": round(work.cut, MODEL_REPORT_DECIMALS),
            "folds": work.folds,
            "glue_joints": work.glued,
            "tape_strips": work.strips,
            "minutes": round(work_minutes(work, pace), MODEL_REPORT_DECIMALS),
        },
        "fold_up": "passed" if checks is not None and checks.passed() else "failed",
        "checks": asdict(checks) if checks is not None else {},
        "findings": [f.as_dict() for f in dict.fromkeys((*findings, *made.findings))],
    }
