"""How much of a ball, a cone or a ring a mesh has to show before it is claimed, and how large one may be.

Each part stands a little below a limit of evaluate.py, or a little above it; the limits are common practice.
"""

from __future__ import annotations

from math import asin, cos, sin, sqrt
from pathlib import Path

import manifold3d as m3
import pytest

from meshes import box, from_solid, read, rounds, turned


def crowned(
    radius: float, a: float, wall: float, foot: list[tuple[float, float]], steps: int = 24
) -> list[tuple[float, float]]:
    """The profile of a spigot of radius a whose end, at height wall, is crowned with a ball of a radius."""
    half = asin(a / radius)
    arc = [
        (radius * sin(half * k / steps), wall + radius * (cos(half * k / steps) - cos(half))) for k in range(steps + 1)
    ]
    return [*foot, (a, wall), *arc[-2:0:-1], (0, arc[0][1])]


@pytest.mark.parametrize(("over", "claimed"), [(1.06, False), (0.94, True)])
def test_a_dish_larger_than_the_part_is_no_ball(over: float, claimed: bool, tmp_path: Path) -> None:
    size = sqrt(60**2 + 60**2 + 45**2)  # the box's diagonal; the crown is some 5 mm high
    profile = crowned(over * size, 30, 40, [(0, 0), (30, 0)])
    assert bool(rounds(read(turned(profile, 96), tmp_path), "sphere")) is claimed


@pytest.mark.parametrize(("share", "claimed"), [(1.6e-3, False), (3e-3, False), (6e-3, True)])
def test_a_crown_of_less_than_four_thousandths_of_a_ball_is_not_claimed(
    share: float, claimed: bool, tmp_path: Path
) -> None:
    """A cap of height h is h / 2R of a ball of radius R; on a spigot of radius a that is (1 - cos asin(a / R)) / 2.

    Its normals spread by sin(asin(a / R)) / 2 across: a bend of some 7 degrees to either side is asked for.
    """
    radius = 80.0
    a = 2 * radius * sqrt(share * (1 - share))
    profile = crowned(radius, a, 40, [(0, 0), (45, 0), (45, 12), (a, 12)])
    found = read(turned(profile, 96), tmp_path)
    assert bool(rounds(found, "sphere")) is claimed
    assert [round(m.diameter, 3) for m in rounds(found)].count(90.0) == 1


def sector(angle: float, profile: list[tuple[float, float]], per_turn: int = 240) -> m3.Manifold:
    """A profile turned by some degrees about z, from x on."""
    return m3.CrossSection([profile]).revolve(max(6, round(angle / 360 * per_turn)), angle)


CONED = [(60.0, 0.0), (100.0, 0.0), (100.0, 8.0), (60.0, 14.0)]


@pytest.mark.parametrize(("angle", "claimed"), [(26.0, False), (36.0, True)])
def test_a_cone_of_less_than_thirty_degrees_is_not_claimed(angle: float, claimed: bool, tmp_path: Path) -> None:
    part = sector(angle, CONED) + box(20, -120, 0, 70, 120.0, 6)  # it makes the part larger than the cone's radius
    assert bool(rounds(read(from_solid(part), tmp_path), "cone")) is claimed


@pytest.mark.parametrize(("angle", "claimed"), [(36.0, False), (80.0, True)])
def test_a_cone_larger_than_the_part_is_not_claimed(angle: float, claimed: bool, tmp_path: Path) -> None:
    """Of 80 mm radius at its middle: a piece of 36 degrees is 74 mm long, one of 80 degrees 135 mm."""
    assert bool(rounds(read(from_solid(sector(angle, CONED)), tmp_path), "cone")) is claimed


@pytest.mark.parametrize(("angle", "claimed"), [(9.0, False), (20.0, True)])
def test_a_ring_of_less_than_twelve_degrees_is_not_claimed(angle: float, claimed: bool, tmp_path: Path) -> None:
    """A bent round bar, with a block at one end that makes the part larger than the bend's radius."""
    bar = m3.CrossSection.circle(9, 48).translate((70, 0)).revolve(max(6, round(angle / 4)), angle)
    part = bar + box(40, -100, -15, 60, 100.0, 30)
    assert bool(rounds(read(from_solid(part), tmp_path), "torus")) is claimed


@pytest.mark.parametrize(("angle", "claimed"), [(30.0, False), (90.0, True)])
def test_a_ring_larger_than_the_part_is_not_claimed(angle: float, claimed: bool, tmp_path: Path) -> None:
    """Of 70 mm radius: a piece of 30 degrees is 45 mm long, one of 90 degrees 110 mm."""
    bar = m3.CrossSection.circle(9, 48).translate((70, 0)).revolve(round(angle / 4), angle)
    assert bool(rounds(read(from_solid(bar), tmp_path), "torus")) is claimed
