"""The two worked parts as their blanks are, and states of their work, for several tests."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from foldsketch.part.file.read import read_part
from foldsketch.part.model import Blank
from foldsketch.setup.machine_file.read import read_machine
from foldsketch.setup.plan.jaw_pocket import has_bored_jaws, jaw_pocket
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import WorkStates

SAMPLES = Path(__file__).parents[1] / "samples"
TWIN, SMALL = (read_machine(SAMPLES / "machines" / f"{name}.toml") for name in ("twin", "small"))

COVER = replace(read_part(SAMPLES / "bilge-pump-cover.toml")[0], blank=Blank("casting"))
SHAFT = replace(read_part(SAMPLES / "eccentric-shaft.toml")[0], blank=Blank("sawn", 60.0, 108.0))

A, B, C = (0.0, 0.0), (20.0, 0.0), (-22.0, 0.0)
SHAFT_B = (6.0, 0.0)

RAW = frozenset()
HOLES = [f"bolt hole {k}" for k in (1, 2, 3, 4)]
COVER_RUN_1 = frozenset(
    {Band("flange", 4.5, 12.0), "inlet spigot +z", "outlet spigot +z"}
    | {"inlet spigot", "outlet spigot", "inlet bore", "outlet bore"}
)
"""After the first clamping: d90 from the line beside the jaws on, spigots and bores."""

COVER_TURNED_1 = frozenset(["flange", "flange -z", *HOLES])
"""After flange, joint and holes, before the spigots are turned."""

COVER_TURNED_B = COVER_TURNED_1 | {"inlet spigot", "inlet spigot +z", "inlet bore"}
SHAFT_DRIVE = frozenset(["drive journal -z", "drive journal"])
SHAFT_JOURNALS = SHAFT_DRIVE | {"tail journal +z", "tail journal"}


def everything(states: WorkStates):
    """The state with all done."""
    return frozenset(states.to_machine)


@lru_cache
def planned_cover(number=1):
    """A printed plan of the cover on the twin; the third turns the spigots in bored jaws."""
    return plan(COVER, TWIN, number=number)


@lru_cache
def planned_shaft():
    """Fifty shafts on the small lathe: the eccentric in bored jaws."""
    return plan(SHAFT, SMALL, batch=50)


@lru_cache
def bored_pockets():
    """Every pocket of these two plans, with the part, by name."""
    found = [(COVER, jaw_pocket(COVER, TWIN, s)) for s in planned_cover(3).setups if has_bored_jaws(s)]
    found += [(SHAFT, jaw_pocket(SHAFT, SMALL, s)) for s in planned_shaft().setups if has_bored_jaws(s)]
    return {f"{part.name}, set-up {p.setup.number}": (part, p) for part, p in found}
