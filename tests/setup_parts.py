"""Parts that several tests of set-ups plan, and what they ask of a plan."""

import dataclasses
from pathlib import Path

from foldsketch.part.model import Axis, Blank, Cylinder, Feature, Part
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.machine_file.read import read_machine
from foldsketch.setup.plan.plan import plan

ROOT = Path(__file__).parents[1]
MACHINES = {
    name: read_machine(ROOT / "samples" / "machines" / f"{name}.toml")
    for name in ("single-spindle", "twin-spindle", "small", "twin", "large")
}
SINGLE, SMALL, TWIN = MACHINES["single-spindle"], MACHINES["small"], MACHINES["twin"]
ONE_SPINDLE = dataclasses.replace(DEFAULT_MACHINE, kind="single", spindles=DEFAULT_MACHINE.spindles[:1])

COVER = Part(
    "cover",
    (Axis("A"), Axis("B", (20.0, 0.0, 0.0)), Axis("C", (-20.0, 0.0, 0.0))),
    (
        Feature("flange", "A", Cylinder(90), 0, 12, stock=2.0),
        Feature("inlet", "B", Cylinder(30), 12, 32, stock=2.0),
        Feature("outlet", "C", Cylinder(30), 12, 32, stock=2.0),
    ),
    density=7850.0,
    material="steel",
    blank=Blank("casting"),
)
"""A flange of 90 x 12 with two spigots of 30 x 20 on its +z face, 40 mm apart, cast in steel with 2 mm of stock."""

ECCENTRIC = (Feature("body", "A", Cylinder(60), 0, 40), Feature("pin", "B", Cylinder(20), 40, 60))
"""A body of 60 x 40 with a pin of 20 x 20 on it, on an axis of its own."""


def part_of(features, **axes):
    """A part in steel; axes: x and y of every axis beside A."""
    made = (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in axes.items()))
    return Part("p", made, tuple(features), density=7850.0, material="steel")


def planned(features=ECCENTRIC, machine=DEFAULT_MACHINE, batch=None, **axes):
    return plan(part_of(features, **(axes or {"B": (6.0, 0.0)})), machine, batch=batch)


def findings(made, message):
    """The findings of one kind in a plan and its set-ups."""
    return [f for f in (*made.findings, *(f for s in made.setups for f in s.findings)) if f.code == message.code]


def reasons(made):
    """Feature and codes of the reasons why it is not cut."""
    return {name: {f.code for f in found} for name, found in made.unturned}
