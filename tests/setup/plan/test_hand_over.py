"""Hand-over: both spindle angles put the new axis on the machine's +X, and nothing is hit on the way."""

import math
from dataclasses import replace

import pytest

from foldsketch.setup.plan.hand_over import facing_text, hand_over
from setup_parts import SMALL, planned


def on_face(angle, from_end):
    """A direction in the part, anticlockwise from +x seen from +z, on the face of the chuck that works an end."""
    return angle if from_end == "+z" else -angle


@pytest.mark.parametrize("degrees", [0, 30, 90, 180, 250])
@pytest.mark.parametrize("end", ["+z", "-z"])
def test_both_spindles_turn_the_offset_to_plus_x(degrees, end):
    """C is the polar angle on the part under the tool, so the offset's own angle on each face [ISO 841, M].

    Faces that look at each other see an angle the other way round: both add up to a whole turn.
    """
    first, s = planned(machine=SMALL, batch=10).setups[:2]
    other = "-z" if end == "+z" else "+z"
    first = replace(first, clamping=replace(first.clamping, from_end=other))
    s = replace(s, orientation=math.radians(degrees), clamping=replace(s.clamping, from_end=end))
    over = hand_over(first, s)
    assert math.cos(over.sub - on_face(s.orientation, end)) == pytest.approx(1)
    assert math.cos(over.main - on_face(s.orientation, other)) == pytest.approx(1)
    assert math.cos(over.main + over.sub) == pytest.approx(1)


def test_the_work_is_drawn_out_of_the_main_chuck():
    """Gripped over 20 mm beside an end: so much is in the chuck, and a grip 5 mm beyond leaves that gap."""
    first, s = planned(machine=SMALL, batch=10).setups[:2]
    lowest = min(min(w.start, w.end) for w in first.sweep)
    first = replace(first, clamping=replace(first.clamping, from_end="+z", grip_range=(lowest, lowest + 20)))
    s = replace(s, clamping=replace(s.clamping, from_end="-z", grip_range=(lowest + 25, lowest + 35)))
    over = hand_over(first, s)
    assert (over.gap, over.draw_back) == pytest.approx((5, 20), abs=2.0)  # the sweep is of the raw work, 2 mm longer


def test_facing():
    assert [facing_text(v) for v in (0.0, math.pi, 2 * math.pi - 1e-9)] == ["+X", "-X", "+X"]


def seen_on_face(direction, looks):
    """Polar angle of a direction in space, as one who looks at a chuck's face sees it with the machine's +X level.

    looks: +1 for the main spindle's face, which looks along +Z, -1 for the sub-spindle's. Seen from in front +X is to
    the right on the one; on the other everything is mirrored, and +X is kept where it is.
    """
    x, y, _ = direction
    return math.atan2(looks * y, x)


@pytest.mark.parametrize("degrees", [0.0, 30.0, 100.0, 250.0])
@pytest.mark.parametrize("end", ["+z", "-z"])
def test_c_of_both_spindles_from_geometry_alone(degrees, end):
    """The work in space, without any formula for C [D].

    In the main chuck its worked end looks along +Z; it is turned about Z until the new axis lies towards +X. On each
    face an angle runs anticlockwise as one looks at that face; C is the angle from the part's x to the tool at +X.
    """
    first, s = planned(machine=SMALL, batch=10).setups[:2]
    first = replace(first, clamping=replace(first.clamping, from_end=end))
    other = "-z" if end == "+z" else "+z"
    s = replace(s, orientation=math.radians(degrees), clamping=replace(s.clamping, from_end=other))
    over = hand_over(first, s)

    def turned(v, t):
        return (v[0] * math.cos(t) - v[1] * math.sin(t), v[0] * math.sin(t) + v[1] * math.cos(t), v[2])

    flip = 1.0 if end == "+z" else -1.0  # half a turn about x brings the part's -z end to the front
    x_of_part = (1.0, 0.0, 0.0)
    offset = (math.cos(s.orientation), flip * math.sin(s.orientation), 0.0)
    t = -math.atan2(offset[1], offset[0])
    assert turned(offset, t) == pytest.approx((1.0, 0.0, 0.0))
    for c, looks in ((over.main, 1.0), (over.sub, -1.0)):
        to_tool = -seen_on_face(turned(x_of_part, t), looks)
        assert math.cos(c - to_tool) == pytest.approx(1)
