"""Paper models and set-up sheets for turned parts whose round features do not share one axis.

Everything the commands do is a function. Lengths are mm, angles in reports are degrees. Wrong input raises
`FoldsketchError`; its `findings` say where, what and what to do.

>>> import foldsketch
>>> part, findings = foldsketch.read_part("samples/eccentric-shaft.toml")
>>> made = foldsketch.model(part)
>>> planned = foldsketch.plan(part)
>>> made, planned
(<Model 'Eccentric shaft': 3 nets on 1 sheet A4 at 1:1>, <SetUpPlan 'Eccentric shaft': 3 set-ups, turned complete>)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from foldsketch.assembly.work_time import Pace as Pace
    from foldsketch.base.card import Card as Card
    from foldsketch.base.findings import Finding as Finding
    from foldsketch.base.findings import FoldsketchError as FoldsketchError
    from foldsketch.job.budget import model as model
    from foldsketch.job.choices import Choices as Choices
    from foldsketch.job.inputs import model_from_mesh as model_from_mesh
    from foldsketch.job.inputs import read_mesh as read_mesh
    from foldsketch.job.inputs import reading_report as reading_report
    from foldsketch.job.jaw_outputs import JawFiles as JawFiles
    from foldsketch.job.jaw_outputs import jaw_drawings as jaw_drawings
    from foldsketch.job.model import Model as Model
    from foldsketch.job.outputs import booklet as booklet
    from foldsketch.job.outputs import write_model as write_model
    from foldsketch.job.report import model_report as model_report
    from foldsketch.job.setup_outputs import lesson as lesson
    from foldsketch.job.setup_outputs import setup_sheets as setup_sheets
    from foldsketch.job.summary import summary as summary
    from foldsketch.part.file.read import read_part as read_part
    from foldsketch.part.file.write import part_to_toml as part_to_toml
    from foldsketch.part.model import Axis as Axis
    from foldsketch.part.model import Cone as Cone
    from foldsketch.part.model import Cylinder as Cylinder
    from foldsketch.part.model import Feature as Feature
    from foldsketch.part.model import Part as Part
    from foldsketch.part.model import Plate as Plate
    from foldsketch.part.model import PrismShape as PrismShape
    from foldsketch.part.model import Ring as Ring
    from foldsketch.part.spoken.read import read_spoken as read_spoken
    from foldsketch.setup.machine import DEFAULT_MACHINE as DEFAULT_MACHINE
    from foldsketch.setup.machine import Machine as Machine
    from foldsketch.setup.machine_file.read import read_machine as read_machine
    from foldsketch.setup.model import SetUpPlan as SetUpPlan
    from foldsketch.setup.plan.plan import plan as plan
    from foldsketch.setup.plan.report import plan_report as plan_report
    from foldsketch.solid.faceting.sides import FacetChoice as FacetChoice
    from foldsketch.web.share import share as share

    __version__: str

_MODULES = {
    "assembly.work_time": ("Pace",),
    "base.card": ("Card",),
    "base.findings": ("Finding", "FoldsketchError"),
    "job.choices": ("Choices",),
    "job.inputs": ("model_from_mesh", "read_mesh", "reading_report"),
    "job.jaw_outputs": ("JawFiles", "jaw_drawings"),
    "job.model": ("Model",),
    "job.outputs": ("booklet", "write_model"),
    "job.budget": ("model",),
    "job.report": ("model_report",),
    "job.setup_outputs": ("lesson", "setup_sheets"),
    "job.summary": ("summary",),
    "part.file.read": ("read_part",),
    "part.file.write": ("part_to_toml",),
    "part.model": ("Axis", "Cone", "Cylinder", "Feature", "Part", "Plate", "PrismShape", "Ring"),
    "part.spoken.read": ("read_spoken",),
    "setup.machine": ("DEFAULT_MACHINE", "Machine"),
    "setup.machine_file.read": ("read_machine",),
    "setup.model": ("SetUpPlan",),
    "setup.plan.plan": ("plan",),
    "setup.plan.report": ("plan_report",),
    "solid.faceting.sides": ("FacetChoice",),
    "web.share": ("share",),
}
"""Where each public name lives."""

_HOME = {name: f"foldsketch.{module}" for module, names in _MODULES.items() for name in names}

__all__ = ["__version__", *sorted(_HOME)]


def __getattr__(name: str) -> Any:
    """Import a name when it is first used, so that `import foldsketch` stays light."""
    from importlib import import_module, metadata

    if name == "__version__":
        return metadata.version("foldsketch")
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module 'foldsketch' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
