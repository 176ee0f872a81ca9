"""Pockets of bored jaws: figures of the drawn cover, where jaw 1 stands in the part, and what is refused."""

import dataclasses
import math
from dataclasses import replace

import pytest

from foldsketch.base.drawing import Text
from foldsketch.base.findings import FoldsketchError
from foldsketch.setup import messages as m
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.plan.jaw_pocket import has_bored_jaws, jaw_notes, jaw_pocket, spindle_mark, why_no_pocket
from foldsketch.setup.plan.plan import plan
from foldsketch.sheet.setup_sheets.jaw_drawing import draw_jaw_page
from tests.setup_works import COVER, SHAFT, SMALL, TWIN, planned_cover, planned_shaft


def pockets(part, machine, planned):
    return {s.number: jaw_pocket(part, machine, s) for s in planned.setups if has_bored_jaws(s)}


@pytest.fixture(scope="module")
def inlet():
    """Axis B of the cover on the spindle, d90 held."""
    made = pockets(COVER, TWIN, planned_cover(3))
    return next(p for p in made.values() if p.setup.clamping.on_centreline == "B")


def test_figures_of_the_drawing(inlet):
    """Bore 90.02, 20 off at 0 degrees, 11.5 deep: 0.5 stays clear of the flange's face at 12. Wall 40, a hole of 26 for
    the bore of 22, width 60 of which 38.6 are needed."""
    assert (inlet.bore, inlet.offset, inlet.angle, inlet.depth) == pytest.approx((90.02, 20, 0, 11.5))
    assert (inlet.wall, inlet.through, inlet.width) == pytest.approx((40, 26, 60))
    assert inlet.width_needed == pytest.approx(38.6, abs=0.05)
    assert inlet.rests and inlet.turn_matters and not inlet.behind


def test_jaw_1_stands_on_the_held_axis_side(inlet):
    """B is on the spindle at x = 20: A is 20 towards -x of the part, C 42, and both are towards jaw 1."""
    assert inlet.place(0, 0) == pytest.approx((20, 0))
    assert inlet.place(-22, 0) == pytest.approx((42, 0), abs=1e-9)
    assert inlet.direction(math.pi) == pytest.approx(0)
    # Seen from the worked +z end the part's +y, a quarter turn before its -x, is a quarter turn clockwise of jaw 1.
    assert inlet.place(20, 5) == pytest.approx((0, -5), abs=1e-9)


def test_seen_from_the_other_end_the_work_is_mirrored(inlet):
    flipped = dataclasses.replace(
        inlet,
        setup=dataclasses.replace(inlet.setup, clamping=dataclasses.replace(inlet.setup.clamping, from_end="-z")),
    )
    assert flipped.place(20, 5) == pytest.approx((0, 5), abs=1e-9)
    assert flipped.place(0, 0) == pytest.approx((20, 0))


def test_plan_and_drawing_agree_where_the_jaws_are():
    """The plan's jaws on their middle lines lie on the pocket's round, and jaw 1 on the far side of it."""
    made = planned_shaft()
    s = made.setups[-1]
    p = pockets(SHAFT, SMALL, made)[s.number]
    for j in s.jaws:
        t = j.angle - s.jaws[0].angle
        x, y = j.from_centre * math.cos(t), j.from_centre * math.sin(t)
        assert math.hypot(x - p.offset, y) == pytest.approx(p.held / 2)
    assert s.jaws[0].from_centre == pytest.approx(6 + 15)


def test_a_hole_for_what_stands_behind_the_rest_face():
    """Held by its flange from the joint side the cover's spigots go into the jaws: swing 82, 30 deep."""
    made = pockets(COVER, TWIN, planned_cover(3))
    p = next(p for p in made.values() if p.setup.clamping.from_end == "-z")
    farthest = max(20 + 18, 22 + 15) + 2.0  # the raw inlet has 2 of stock
    assert p.through / 2 >= farthest
    assert p.behind == pytest.approx(30)


def test_without_a_rest_face_the_pocket_goes_right_through(inlet):
    """A bore of 80 on B leaves nothing to rest on where jaws 2 and 3 press, hypot(35, 17.3) = 39 from the spindle."""
    s = inlet.setup
    wide = tuple(
        dataclasses.replace(f, shape=dataclasses.replace(f.shape, diameter=80.0)) if f.name == "inlet bore" else f
        for f in s.work.features
    )
    p = jaw_pocket(COVER, TWIN, dataclasses.replace(s, work=dataclasses.replace(s.work, features=wide)))
    assert not p.rests and p.through == 0
    page = draw_jaw_page(p, "cover", (), 1, 1)
    assert any("no rest face" in i.text for i in page.items if isinstance(i, Text))


def test_the_spindle_mark_moves_at_a_hand_over_off_centre():
    """The direction of the shift is the spindle's 0; jaw 1 stands on it, or opposite where the part is handed over by
    the held axis."""
    s = next(s for s in planned_cover(3).setups if s.clamping.on_centreline == "B")
    shifted = dataclasses.replace(s, shift=20.0, orientation=math.pi / 2)
    p = jaw_pocket(COVER, TWIN, shifted)
    assert p.angle == pytest.approx(math.pi / 2)  # A is towards -x: a quarter turn on from +y, seen from +z
    assert spindle_mark(p) == pytest.approx(3 * math.pi / 2)


def test_a_pocket_that_is_refused_says_which_offset_goes():
    """Jaws of 25 for d90, 20 off: 38.6 needed; (25 - 4) / 1.732 = 12.1 goes."""
    spindle = DEFAULT_MACHINE.spindle("main")
    refused = why_no_pocket(90, 20, spindle)
    assert refused.code == m.BORED_JAWS_TOO_NARROW.code
    assert refused.value("most").value == pytest.approx(12.1, abs=0.05)
    assert why_no_pocket(90, 12.0, spindle) is None
    wall = why_no_pocket(200, 8, dataclasses.replace(spindle, soft_jaw_width=60.0))
    assert wall.code == m.NO_WALL_LEFT.code and wall.value("most").value == pytest.approx(5)
    narrow = dataclasses.replace(TWIN, spindles=tuple(dataclasses.replace(s, soft_jaw_width=25) for s in TWIN.spindles))
    with pytest.raises(FoldsketchError) as error:
        jaw_pocket(COVER, narrow, planned_cover(3).setups[-1])
    assert error.value.findings[0].code == m.JAWS_CANNOT_BE_BORED.code and "12.1 mm" in str(error.value)


@pytest.mark.slow
def test_a_plan_without_bored_jaws_names_the_one_that_has_them():
    first = planned_cover()
    made = tuple(pockets(COVER, TWIN, first).values())
    (note,) = jaw_notes(TWIN, first, made)
    assert (note.code, note.value("others")) == (m.NO_OFFSET_JAWS.code, "3")
    assert jaw_notes(TWIN, planned_cover(3), tuple(pockets(COVER, TWIN, planned_cover(3)).values())) == ()


def test_where_no_plan_has_them_the_reasons_follow():
    bored = tuple((way, most) for way, most in DEFAULT_MACHINE.max_offsets if way == "bored jaws")
    machine = replace(DEFAULT_MACHINE, max_offsets=bored)
    found = jaw_notes(machine, plan(COVER, machine), ())
    assert [f.code for f in found] == [m.NO_OFFSET_JAWS_ANYWHERE.code] + 2 * [m.BORED_JAWS_TOO_NARROW.code]


def test_keys_that_the_machine_file_lacks_are_named():
    first = plan(COVER, DEFAULT_MACHINE)
    made = tuple(pockets(COVER, DEFAULT_MACHINE, first).values())
    told = [f for f in jaw_notes(DEFAULT_MACHINE, first, made) if f.code == m.JAW_DATA_DEFAULT.code]
    assert made and told and "soft_jaw_width" in told[0].value("keys")
