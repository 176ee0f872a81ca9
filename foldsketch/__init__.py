"""Foldsketch: paper models and set-up sheets for turned parts whose round features do not share one axis.

The verbs of the command line, for a notebook:

    part, findings = foldsketch.read_part(path)
    made = foldsketch.model(part)                  # facets, blocks, nets, sheets, checked by the oracle
    foldsketch.write_model(made, folder, "cover")  # PDF, SVG, net file, picture
    plan = foldsketch.plan(part, foldsketch.read_machine(path))  # set-ups
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from foldsketch.job.outputs import write_model as write_model
    from foldsketch.job.pipeline import Choices as Choices
    from foldsketch.job.pipeline import Model as Model
    from foldsketch.job.quick_model import model as model
    from foldsketch.job.summary import summary as summary
    from foldsketch.part.file.read import read_part as read_part
    from foldsketch.setup.machine_file.read import read_machine as read_machine
    from foldsketch.setup.plan.plan import plan as plan
    from foldsketch.solid.faceting.sides import FacetChoice as FacetChoice

_WHERE = {
    "Choices": "foldsketch.job.pipeline",
    "Model": "foldsketch.job.pipeline",
    "model": "foldsketch.job.quick_model",
    "write_model": "foldsketch.job.outputs",
    "read_part": "foldsketch.part.file.read",
    "read_machine": "foldsketch.setup.machine_file.read",
    "plan": "foldsketch.setup.plan.plan",
    "FacetChoice": "foldsketch.solid.faceting.sides",
    "summary": "foldsketch.job.summary",
}


def __getattr__(name: str) -> Any:
    """Import a verb when it is first asked for, so that `import foldsketch` costs nothing."""
    if name in _WHERE:
        from importlib import import_module

        return getattr(import_module(_WHERE[name]), name)
    raise AttributeError(f"module 'foldsketch' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted([*globals(), *_WHERE])
