"""in-hand.md's plan of the cover, fixed: B on main in four jaws, over to a fixture on A, back to main with C."""

from dataclasses import replace
from functools import lru_cache
from math import pi

from foldsketch.setup.formulas.jaws import four_jaw_settings
from foldsketch.setup.model import JawPlace
from tests.setup_works import A, B, C, planned_cover

FLANGE, SPIGOT = 90.0, 36.0


def jaws(offset):
    """The jaws of the four-jaw chuck as the planner numbers them."""
    found = four_jaw_settings(FLANGE, offset, pi, width=25.0)
    return tuple(JawPlace(k + 1, j.angle, j.contact_radius) for k, j in enumerate(found))


@lru_cache
def three_set_ups():
    """Shifts 20 and 22, four jaws 25 wide, the inlet spigot in the fixture on 16 mm."""
    planned = planned_cover(3)
    on = {s.clamping.on_centreline: s for s in planned.setups}

    def chuck(number, axis, at, offset, towards, shift):
        c = replace(on[axis].clamping, way="four_jaw", holding_method="four-jaw", spindle="main", grip_range=(0.0, 8.0))
        assert c.at == at and c.offset == offset
        return replace(
            on[axis], number=number, clamping=c, jaws=jaws(offset), angle=towards, orientation=towards, shift=shift
        )

    one = chuck(1, "B", B, 20.0, 0.0, 0.0)
    c = replace(
        one.clamping,
        spindle="sub",
        from_end="-z",
        held_on="inlet spigot",
        held_axis="B",
        on_centreline="A",
        holding_method="offset fixture",
        way="offset_fixture",
        offset=20.0,
        at=A,
        grip_range=(26.0, 42.0),
    )
    two = replace(
        one,
        number=2,
        clamping=c,
        held_at=B,
        held_diameter=SPIGOT,
        jaws=(),
        unbalance=planned.setups[0].unbalance,
        unbalance_angle=planned.setups[0].unbalance_angle,
        angle=pi,
        orientation=pi,
        shift=20.0,
    )
    return replace(planned, setups=(one, two, chuck(3, "C", C, 22.0, pi, 22.0)))
