"""Islands: a boss in a recess, its bore, and cuts across; volumes by hand."""

from math import pi

import pytest
import trimesh

from foldsketch.mesh.rebuild.islands import in_file_order
from foldsketch.part.model import Axis, Cylinder, Feature, Part, Ring
from foldsketch.solid.joining.reference_mesh import tessellate_part

AXES = (Axis("A"), Axis("B", (6, 0, 0)), Axis("C", (0, 0, 10), (1, 0, 0)))
DISC = Feature("disc", "A", Cylinder(60), 0, 20)
RECESS = Feature("recess", "A", Cylinder(50), 5, 20, cut=True)
BOSS = Feature("boss", "B", Cylinder(20), 5, 18)
HOLE = Feature("hole", "B", Cylinder(8), 0, 18, cut=True)
CROSS = Feature("cross", "C", Cylinder(4), -40, 40, cut=True)


def volume(*features):
    return trimesh.Trimesh(*tessellate_part(Part("p", AXES, features)), process=False).volume


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (3, 2, 1, 0), (2, 0, 3, 1)])
def test_a_boss_stands_in_its_recess_and_its_hole_goes_through(order):
    features = [(DISC, RECESS, BOSS, HOLE)[k] for k in order]
    ordered = in_file_order(features, AXES)
    assert volume(*ordered) == pytest.approx(pi * (900 * 20 - 625 * 15 + 100 * 13 - 16 * 18), rel=1e-3)


def test_a_cut_across_goes_through_a_boss_in_a_recess():
    ordered = in_file_order([CROSS, BOSS, RECESS, DISC], AXES)
    assert [f.name for f in ordered] == ["disc", "recess", "boss", "cross"]


def test_a_pin_in_a_cut_across_comes_after_it():
    pin = Feature("pin", "C", Cylinder(4), -35, 35)
    ordered = in_file_order([pin, CROSS, DISC], AXES)
    assert [f.name for f in ordered] == ["disc", "cross", "pin"]


def test_without_islands_material_comes_before_cuts_in_the_order_given():
    groove = Feature("groove", "A", Ring(66, 40), 8, 12, cut=True)
    spigot = Feature("spigot", "A", Cylinder(40), 20, 30)
    bore = Feature("bore", "A", Cylinder(10), 0, 30, cut=True)
    ordered = in_file_order([groove, DISC, bore, spigot], AXES)
    assert [f.name for f in ordered] == ["disc", "spigot", "groove", "bore"]
