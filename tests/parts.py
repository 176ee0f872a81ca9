"""Named parts that several tests build on. Invented, of the harbour workshop's kind."""

import math

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring

A = Axis("A")


def part(features, *axes, name="test part"):
    return Part(name, (A, *axes), tuple(features))


def at(name, x, y):
    return Axis(name, (x, y, 0.0))


def polar(name, offset, angle):
    return at(name, offset * math.cos(math.radians(angle)), offset * math.sin(math.radians(angle)))


FLANGE = Feature("flange", "A", Cylinder(90), 0, 12)

TWO_SPIGOTS = part(
    [FLANGE, Feature("inlet", "B", Cylinder(36), 12, 42), Feature("outlet", "C", Cylinder(24), 12, 36)],
    at("B", 20, 0),
    at("C", -24, 0),
    name="two spigots",
)
BORED = part(
    [*TWO_SPIGOTS.features, Feature("inlet bore", "B", Cylinder(20), -1, 43, cut=True)],
    *TWO_SPIGOTS.axes[1:],
    name="bored",
)
ECCENTRIC = part(
    [Feature("journal", "A", Cylinder(40), 0, 50), Feature("eccentric", "B", Cylinder(30), 50, 80)],
    polar("B", 5, 30),
    name="eccentric shaft",
)
SLEEVE = part([Feature("sleeve", "A", Ring(60, 20), 0, 40)], name="sleeve")
OFFSET_SLEEVE = part(
    [Feature("body", "A", Cylinder(60), 0, 40), Feature("bore", "B", Cylinder(26), -1, 41, cut=True)],
    at("B", 8, 0),
    name="offset sleeve",
)
TAPER = part([FLANGE, Feature("taper", "B", Cone(40, 28), 12, 42)], at("B", 15, 0), name="taper")
POINT = part([Feature("point", "A", Cone(40, 0), 0, 30)], name="point")
HEX = part(
    [Feature("head", "A", PrismShape(6, 46), 0, 14), Feature("eccentric", "B", Cylinder(30), 14, 44)],
    at("B", 4, 0),
    name="hex",
)
ROCKER = part(
    [
        Feature("web", "A", Plate(hull=((0, 0, 20), (60, 0, 14))), 0, 10),
        Feature("hub", "A", Cylinder(40), 10, 30),
        Feature("boss", "B", Cylinder(28), 10, 24),
        Feature("hub bore", "A", Cylinder(18), -1, 31, cut=True),
    ],
    at("B", 60, 0),
    name="rocker",
)
CROSS = part(
    [
        Feature("boss", "A", Cylinder(50), 0, 60),
        Feature("cross bore", "D", Cylinder(16), -40, 40, cut=True),
    ],
    Axis("D", (0.0, 0.0, 30.0), (1.0, 0.0, 0.0)),
    name="cross drilled",
)
BLIND = part([FLANGE, Feature("pocket", "B", Cylinder(30), 4, 13, cut=True)], at("B", 10, 0), name="blind")
INTERLOCKED = part(
    [Feature("left", "A", Cylinder(50), 0, 30), Feature("right", "B", Cylinder(40), 10, 50)],
    at("B", 22, 0),
    name="interlocked",
)
OVERHUNG = part([FLANGE, Feature("overhung", "B", Cylinder(50), 12, 30)], at("B", 35, 0), name="overhung")

CUP = part([Feature("floor", "A", Cylinder(60), 0, 10), Feature("wall", "A", Ring(60, 36), 10, 40)], name="cup")
STEPPED = part(
    [
        Feature("body", "A", Cylinder(80), 0, 40),
        Feature("bore", "A", Cylinder(24), -1, 41, True),
        Feature("counterbore", "A", Cylinder(50), 25, 41, True),
    ],
    name="stepped bore",
)
BAY = part(
    [Feature("body", "A", PrismShape(4, 60.0), 0, 20), Feature("bay", "B", Cylinder(24), -1, 21, True)],
    at("B", 30, 0),
    name="bay",
)

ALL = [
    TWO_SPIGOTS, BORED, ECCENTRIC, SLEEVE, OFFSET_SLEEVE, TAPER, POINT, HEX, ROCKER, CROSS, BLIND, INTERLOCKED,
    OVERHUNG,
]  # fmt: skip
