"""in-hand.md's plan of the cover, fixed: B on main in four jaws, over to a fixture on A, back to main with C."""

from dataclasses import replace
from functools import lru_cache
from math import atan2, hypot, pi

from foldsketch.part.file.read import read_part
from foldsketch.setup.formulas.jaws import four_jaw_settings
from foldsketch.setup.model import JawPlace
from foldsketch.setup.plan.plan import plan
from tests.setup_works import SAMPLES, TWIN, A, B, C, planned_cover

CRANK = read_part(SAMPLES / "single-throw-crank.toml")[0]
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


@lru_cache
def crank_in_fixture():
    """The single-throw crank held by a main journal on 34 mm, with the crank pin's axis on the spindle, shift 25."""
    planned = plan(CRANK, TWIN)
    s = next(s for s in planned.setups if s.clamping.held_on == "main journal 2")
    at = CRANK.axis("B").point[:2]
    c = replace(
        s.clamping,
        on_centreline="B",
        holding_method="offset fixture",
        way="offset_fixture",
        offset=hypot(*at),
        at=at,
        grip_range=(82.0, 116.0),
        from_end="-z",
        spindle="sub",
    )
    angle = atan2(at[1], at[0]) % (2 * pi)
    held = replace(s, clamping=c, jaws=(), angle=angle, orientation=angle, shift=c.offset, unbalance=90000.0)
    return replace(planned, setups=(replace(held, unbalance_angle=(angle + pi) % (2 * pi)),))
