"""Tool access: cases worked out by hand [D], on both sides of every limit, and what must always hold.

The usual tools [C]: outside 20 wide, 40 long; axial 4 wide and 12 high, 35; blades 3 wide, 35, 4 and 6 wide, 50; bars
of 8, 12, 16 and 20, 4 times that; drills of 5 to 20, 6 times that. What holds a tool is 40 wide.
"""

import dataclasses
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from examples import examples
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Ring
from foldsketch.setup import messages as m
from foldsketch.setup.access.tool_access import Approach, Chuck, check_face_access, check_tool_access, why_not_reached
from foldsketch.setup.cutters import DEFAULT_CUTTERS, Cutter
from foldsketch.setup.machine import DEFAULT_MACHINE

TOOLS = DEFAULT_MACHINE.tools  # 6 mm beside a surface that something turns around, at most 90 mm of stick-out
NO_ROOM = dataclasses.replace(TOOLS, room=0.001)
OTHER = {"+z": "-z", "-z": "+z"}


def part_of(features, axes):
    return Part("p", (Axis("A"), *(Axis(k, (*v, 0.0)) for k, v in axes.items())), tuple(features))


def got(features, name, end="+z", chuck=None, cutters=DEFAULT_CUTTERS, tools=TOOLS, face=None, **axes):
    """The answer for a feature about its own axis; face: for its face that looks up (True) or down."""
    part = part_of(features, axes)
    f = next(f for f in features if f.name == name)
    approach = Approach(part.axis(f.axis).point[:2], end, tools, cutters, chuck)
    if face is not None:
        return check_face_access(part, f, approach, face)
    made = check_tool_access(part, f, approach)
    assert made.reason == why_not_reached(part, f, approach)
    return made


def why(result):
    """Code and values of the reason, None where all is reached; lengths as numbers."""
    if result.reason is None:
        return None
    return (result.reason.code, *(getattr(v, "value", v) for _, v in result.reason.values))


def tool(result):
    """The tool that gets there, its size, and its stick-out."""
    assert result.reason is None
    return (result.reach.tool, result.reach.size, pytest.approx(result.reach.overhang, abs=0.02))


def flipped(features):
    """The part turned end for end."""
    return [dataclasses.replace(f, start=-f.end, end=-f.start) for f in features]


# Outside -------------------------------------------------------------------------------------------------------------

STEPPED = [Feature("thick", "A", Cylinder(60), 0, 30), Feature("thin", "A", Cylinder(30), 30, 70)]


@pytest.mark.parametrize("end", ["+z", "-z"])
@pytest.mark.parametrize("name", ["thick", "thin"])
def test_a_stepped_shaft_is_turned_from_outside(name, end):
    """Right or left hand, the tool stands beside the shoulder and needs no stick-out."""
    r = got(STEPPED, name, end)
    assert tool(r) == ("outside", 20, 0)
    assert r.reach.radial_clearance is None and r.reach.deflection is None
    assert r.reach.open_length == pytest.approx(30 if name == "thick" else 40)


def test_the_chuck_covers_what_it_holds_and_all_behind_it():
    r = got(STEPPED, "thick", chuck=Chuck((0.0, 8.0), 30.0, 100.0))
    assert why(r) == (m.CHUCK_COVERS.code,)
    assert r.reach.open_length == pytest.approx(22, abs=1e-3)
    behind = got(STEPPED, "thick", chuck=Chuck((30.0, 38.0), 15.0, 100.0))
    assert behind.reach.open_length == 0
    down = got(flipped(STEPPED), "thick", "-z", Chuck((-8.0, 0.0), 30.0, 100.0))
    assert (why(down), down.reach.open_length) == ((m.CHUCK_COVERS.code,), pytest.approx(22, abs=1e-3))


@pytest.mark.parametrize(("collar", "clears"), [(30.0, True), (90.0, False)])
def test_behind_a_shoulder_the_chuck_is_near(collar, clears):
    """A neck of 25 behind a collar: only a left-hand tool stands against the shoulder, with its holder towards the
    chuck, 40 wide, and jaws and chuck turn out to 105. So a blade does it whose holder clears the collar: of the blades
    the widest goes in 8 x 6 = 48, and collar and neck differ by 7.5 or 37.5; a collar of 130 asks for 57.5."""
    neck = [
        Feature("stub", "A", Cylinder(15), 0, 8),
        Feature("neck", "A", Cylinder(15), 8, 33),
        Feature("collar", "A", Cylinder(collar), 33, 43),
    ]
    r = got(neck, "neck", chuck=Chuck((0.0, 8.0), 7.5, 105.0))
    assert tool(r) == ("blade", 6, (collar - 15) / 2)
    wide = [*neck[:2], Feature("collar", "A", Cylinder(130), 33, 43)]
    assert why(got(wide, "neck", chuck=Chuck((0.0, 8.0), 7.5, 105.0))) == (m.CHUCK_IN_THE_WAY.code,)
    assert tool(got(wide, "neck")) == ("outside", 20, 0)


@pytest.mark.parametrize(("width", "most"), [(0.5, 0.5), (2.99, 2.99), (3.0, None), (8.0, None)])
@pytest.mark.parametrize("end", ["+z", "-z"])
def test_a_groove_is_as_wide_as_its_blade_or_wider(width, most, end):
    shaft = [*STEPPED, Feature("groove", "A", Ring(30, 24), 50, 50 + width, cut=True)]
    r = got(shaft, "groove", end)
    if most is None:
        assert tool(r) == ("blade", 3 if width < 4 else 6, 3)
        assert r.reach.open_length == pytest.approx(width)
    else:
        assert why(r) == (m.TOOL_TOO_WIDE.code, "thin", "grooving blade", pytest.approx(most, abs=2e-3), 3)


@pytest.mark.parametrize(("depth", "long"), [(24.0, True), (24.1, False), (42.0, False)])
def test_a_slot_is_8_times_as_deep_as_its_blade_is_wide(depth, long):
    slot = [
        Feature("disc", "A", Cylinder(120), 0, 40),
        Feature("slot", "A", Ring(120, 120 - 2 * depth), 20, 23, cut=True),
    ]
    r = got(slot, "slot")
    if long:
        assert tool(r) == ("blade", 3, depth)
        # 200 N on a blade 3 wide and 26 high: I = 3 x 26^3 / 12 = 4394 mm4.
        assert r.reach.deflection == pytest.approx(200 * depth**3 / (3 * 210_000 * 4394))
        assert r.reach.overhang_ratio == pytest.approx(depth / 26)
    else:
        assert why(r) == (m.BLADE_TOO_NARROW.code, pytest.approx(depth, abs=0.02), 3, 24)
        longer = [Cutter("blade", 3.0, 26.0, 45.0, depth=42.0)]
        assert tool(got(slot, "slot", cutters=tuple(longer))) == ("blade", 3, depth)


@pytest.mark.parametrize(("longest", "gets_there"), [(39.0, True), (38.9, False), (15.0, False)])
def test_stock_of_one_name_on_both_sides_is_in_the_way(longest, gets_there):
    """A neck of 22 with the raw bar of 100 left on both sides of it: a slot (100 - 22) / 2 = 39 deep [D]. Both lengths
    of the bar are called the same."""
    work = [
        Feature("bar", "A", Cylinder(100), -32, -12),
        Feature("neck", "A", Cylinder(22), -12, 0),
        Feature("bar", "A", Cylinder(100), 0, 44),
    ]
    listed = (Cutter("outside", 20.0, 20.0, 40.0), Cutter("blade", 3.0, 20.0, longest, depth=50.0))
    for end in ("+z", "-z"):
        r = got(work, "neck", end, cutters=listed)
        if gets_there:
            assert tool(r) == ("blade", 3, 39)
        else:
            assert why(r) == (m.OVERHANG_TOO_LONG.code, pytest.approx(39, abs=0.02), longest)


def test_a_crank_pin_between_its_webs_is_reached_from_the_side():
    """Webs of 80 sweep out to 60 about a pin 20 off: a blade has to go in 60 - 10 mm, and one of 6 goes 48."""
    crank = [
        Feature("web 1", "A", Cylinder(80), 0, 10),
        Feature("pin", "B", Cylinder(20), 10, 40),
        Feature("web 2", "A", Cylinder(80), 40, 50),
    ]
    assert why(got(crank, "pin", B=(20.0, 0.0))) == (m.BLADE_TOO_NARROW.code, pytest.approx(50, abs=0.02), 6, 48)
    long = tuple(c._replace(depth=60.0) if c.kind == "blade" else c for c in DEFAULT_CUTTERS)
    assert tool(got(crank, "pin", cutters=long, B=(20.0, 0.0))) == ("blade", 6, 50)
    too_long = (m.OVERHANG_TOO_LONG.code, pytest.approx(50.1, abs=0.02), 50)
    assert why(got(crank, "pin", cutters=long, B=(20.1, 0.0))) == too_long
    # Between webs twice as far apart a stout tool cuts one half, and its left-hand twin the other.
    apart = [*crank[:1], Feature("pin", "B", Cylinder(20), 10, 52), Feature("web 2", "A", Cylinder(50), 52, 62)]
    near = dataclasses.replace(apart[0], shape=Cylinder(50))
    assert tool(got([near, *apart[1:]], "pin", B=(2.0, 0.0))) == ("outside", 20, 17)


# Beside a neighbour --------------------------------------------------------------------------------------------------

SPIGOTS = [
    Feature("flange", "A", Cylinder(90), 0, 10),
    Feature("low", "B", Cylinder(20), 10, 35),
    Feature("high", "C", Cylinder(16), 10, 45),
]
APART = {"B": (15.0, 0.0), "C": (-15.0, 0.0)}


def test_between_a_spigot_and_the_ring_of_its_neighbour():
    """Spigots of 20 and 16 on centres 30 apart: about the first the other sweeps from 22 on: 12 mm of clearance. The
    other is 35 mm higher than the foot, and the holder reaches over it."""
    r = got(SPIGOTS, "low", **APART)
    assert tool(r) == ("axial", 4, 35)
    assert r.reach.radial_clearance == pytest.approx(12)
    assert r.reach.overhang_ratio == pytest.approx(35 / 10, abs=1e-3)
    # 200 N on an axial tool 4 wide and 10 high: I = 4 x 10^3 / 12 mm4.
    assert r.reach.deflection == pytest.approx(200 * 35**3 / (3 * 210_000 * 4000 / 12), rel=1e-3)
    short = (Cutter("axial", 4.0, 12.0, 34.0),)
    assert why(got(SPIGOTS, "low", cutters=short, **APART)) == (
        *(m.OVERHANG_TOO_LONG_BESIDE.code, "high"),
        *(pytest.approx(35, abs=0.02), 34),
    )
    limited = dataclasses.replace(TOOLS, overhang=30.0)
    assert why(got(SPIGOTS, "low", tools=limited, **APART))[2:] == (pytest.approx(35, abs=0.02), 30)


@pytest.mark.parametrize(("apart", "clearance"), [(24.0, None), (23.9, 5.9)])
def test_the_clearance_that_the_machine_file_asks_for(apart, clearance):
    """Two rounds of 20 and 16 side by side: between them lie apart - 10 - 8 mm, and a tool is to have 6."""
    pair = [Feature("one", "A", Cylinder(20), 0, 30), Feature("two", "B", Cylinder(16), 0, 30)]
    # An axial tool 1 high, so that the clearance alone decides.
    r = got(pair, "one", cutters=(Cutter("axial", 4.0, 1.0, 35.0),), B=(apart, 0.0))
    if clearance is None:
        assert tool(r) == ("axial", 4, 30)
    else:
        assert why(r) == (m.NO_CLEARANCE.code, "two", pytest.approx(clearance), 6)


def widest(r1, r2, height):
    """The tool's lower outer corner must stay inside r2: w <= sqrt(r2^2 - h^2) - r1 [D]."""
    return math.sqrt(max(0.0, r2**2 - height**2)) - r1


@examples(60)
@given(st.floats(3, 30), st.floats(0.5, 20), st.floats(1, 30), st.floats(0.5, 8), st.sampled_from(["+z", "-z"]))
def test_a_shank_beside_a_boss(r1, gap, height, width, end):
    """A boss of r1, and a ring around it from r2 on."""
    r2 = r1 + gap
    assume(abs(width - widest(r1, r2, height)) > 1e-3)
    pair = [Feature("boss", "A", Cylinder(2 * r1), 0, 30), Feature("post", "B", Cylinder(10), 0, 30)]
    cutters = (Cutter("axial", width, height, 35.0),)
    r = got(pair, "boss", end, cutters=cutters, tools=NO_ROOM, B=(r2 + 5, 0.0))
    assert (r.reason is None) == (width < widest(r1, r2, height))


def test_the_tools_height_beside_a_boss_by_hand():
    """sqrt(25^2 - 12^2) - 18 = 3.93: of two axial tools 12 high the one of 3.9 goes in, the one of 4 does not."""
    assert widest(18, 25, 12) == pytest.approx(3.932, abs=1e-3)
    pair = [Feature("inlet", "A", Cylinder(36), 0, 30), Feature("outlet", "B", Cylinder(34), 0, 24)]
    for width, fits in ((3.93, True), (4.0, False)):
        r = got(pair, "inlet", cutters=(Cutter("axial", width, 12.0, 35.0),), B=(42.0, 0.0))
        if fits:
            assert tool(r) == ("axial", 3.93, 30)
        else:
            assert why(r) == (m.TOOL_TOO_WIDE.code, "outlet", "axial tool", pytest.approx(3.93, abs=5e-3), 4)


@pytest.mark.parametrize("end", ["+z", "-z"])
def test_what_is_in_front_bars_the_way_along_the_centreline(end):
    """A pin with a ring around it is reached from its end only, and a head on that end is wider than the pin."""
    features = [
        Feature("pin", "A", Cylinder(20), 0, 30),
        Feature("head", "A", Cylinder(40), 30, 40),
        Feature("post", "B", Cylinder(16), 0, 30),
    ]
    features = features if end == "+z" else flipped(features)
    r = got(features, "pin", end, B=(30.0, 0.0))
    assert why(r) == (m.NEIGHBOUR_IN_FRONT.code, "head", "post")
    assert r.reach.radial_clearance == pytest.approx(12)
    assert tool(got(features, "pin", OTHER[end], B=(30.0, 0.0))) == ("axial", 4, 30)


@pytest.mark.parametrize("end", ["+z", "-z"])
def test_what_only_touches_stands_in_no_ones_way(end):
    """Neighbours that begin where the feature ends, in front of it and behind it; jaws that end where it begins."""
    pair = [Feature("low", "A", Cylinder(20), 10, 35), Feature("high", "B", Cylinder(16), 35, 60)]
    for name in ("low", "high"):
        r = got(pair, name, end, B=(30.0, 0.0))
        assert tool(r)[0] == "outside" and r.reach.radial_clearance is None
        assert r.reach.open_length == pytest.approx(25)
    edge = Chuck({"+z": (0.0, 10.0), "-z": (35.0, 45.0)}[end], 10.0, 60.0)
    lonely = pair[:1]
    assert got(lonely, "low", end, edge).reason is None
    over = Chuck({"+z": (0.0, 10.1), "-z": (34.9, 45.0)}[end], 10.0, 60.0)
    r = got(lonely, "low", end, over)
    assert why(r) == (m.CHUCK_COVERS.code,)
    assert r.reach.open_length == pytest.approx(24.9, abs=1e-3)


def test_a_neighbour_passes_over_it():
    """A boss of 10 sweeps from 7 on, and the pin has 10: at those heights the boss comes where the tool would be."""
    pair = [Feature("pin", "A", Cylinder(20), 0, 30), Feature("boss", "B", Cylinder(10), 20, 40)]
    assert why(got(pair, "pin", B=(12.0, 0.0))) == (m.SWEPT_OVER.code, "boss")


def test_inside_other_material_nothing_is_left_to_turn():
    core = [Feature("core", "A", Cylinder(20), 10, 20), Feature("body", "A", Cylinder(60), 0, 40)]
    assert why(got(core, "core")) == (m.SURFACE_COVERED.code,)
    # Half of it stands out: only that is turned.
    out = [Feature("core", "A", Cylinder(20), 10, 60), core[1]]
    assert got(out, "core").reach.open_length == pytest.approx(20)


# Bores ---------------------------------------------------------------------------------------------------------------

BODY = Feature("body", "A", Cylinder(60), 0, 50)


def test_bores_by_the_end_they_open_to():
    """A pocket of 20: the bar of 12 has room for its chips, 12 / 0.7 = 17.1, that of 16 has not, 22.9."""
    blind = [BODY, Feature("pocket", "A", Cylinder(20), 30, 51, cut=True)]
    top = got(blind, "pocket", "+z")
    assert tool(top) == ("bar", 12, 20)
    assert top.reach.overhang_ratio == pytest.approx(20 / 12, abs=2e-3)
    assert top.reach.deflection == pytest.approx(200 * 20**3 / (3 * 210_000 * math.pi * 12**4 / 64), rel=3e-3)
    assert why(got(blind, "pocket", "-z")) == (m.BORE_CLOSED.code, "body", "-z")
    through = [BODY, Feature("bore", "A", Cylinder(23), -1, 51, cut=True)]
    for end in ("+z", "-z"):
        assert tool(got(through, "bore", end)) == ("bar", 16, 50)
        # It goes on through the jaws, which hold the outside, and into the spindle.
        grip = (0.0, 8.0) if end == "+z" else (42.0, 50.0)
        assert tool(got(through, "bore", end, Chuck(grip, 30.0, 105.0))) == ("bar", 16, 50)


@pytest.mark.parametrize(("bore", "bar"), [(28.6, 20), (28.5, 16), (22.9, 16), (17.2, 12), (11.5, 8)])
def test_the_bar_for_a_bore(bore, bar):
    """20 / 0.7 = 28.57, 16 / 0.7 = 22.86, 12 / 0.7 = 17.14, 8 / 0.7 = 11.43."""
    assert tool(got([BODY, Feature("b", "A", Cylinder(bore), 30, 51, cut=True)], "b")) == ("bar", bar, 20)


def test_a_small_bore_is_drilled_to_size_or_not_at_all():
    small = [BODY, Feature("b", "A", Cylinder(9), 10, 51, cut=True)]
    assert tool(got(small, "b")) == ("drill", 9, 40)
    # 10.5 is not listed; up to the machine's limit of 16 it is to be had.
    odd = [BODY, Feature("b", "A", Cylinder(10.5), 10, 51, cut=True)]
    assert tool(got(odd, "b")) == ("drill", 10.5, 40)
    only_bars = tuple(c for c in DEFAULT_CUTTERS if c.kind == "bar")
    assert why(got(odd, "b", cutters=only_bars)) == (
        *(m.TOOL_TOO_WIDE.code, "body", "boring bar"),
        *(pytest.approx(7.35, abs=5e-3), 8),
    )
    assert why(got(odd, "b", cutters=())) == (m.NO_SUCH_TOOL.code, "boring bar or drill")


def test_a_deep_bore_is_too_far():
    """In 20 mm the bar of 12 sticks out 48 at most: 2 mm lack in a bore of 50."""
    for depth, fits in ((48.0, True), (50.0, False)):
        deep = [dataclasses.replace(BODY, end=depth), Feature("bore", "A", Cylinder(21), -1, 60, cut=True)]
        r = got(deep, "bore")
        assert tool(r) == ("bar", 12, 48) if fits else why(r) == (m.OVERHANG_TOO_LONG.code, pytest.approx(50), 48)


@pytest.mark.parametrize("end", ["+z", "-z"])
@pytest.mark.parametrize(("cone", "opens"), [(Cone(10, 30), "+z"), (Cone(30, 10), "-z")])
def test_a_countersink_by_its_wide_end(cone, opens, end):
    sink = [BODY, Feature("sink", "A", cone, 0, 50, cut=True)]
    bars = (Cutter("bar", 5.0, 5.0, 60.0, 5.0),)
    r = got(sink, "sink", end, cutters=bars)
    assert tool(r)[:2] == ("bar", 5) if end == opens else why(r) == (m.BORE_OPENS_OTHER_WAY.code, opens)


def test_a_slight_back_taper_is_bored():
    """The tip stands 2 mm out beside the bar and leans back 1 in 2: a bore 3 mm wider at its bottom, 40 deep, is not
    too much for a bar that has room at its mouth."""
    taper = [BODY, Feature("taper", "A", Cone(27, 24), 10, 50, cut=True)]
    assert tool(got(taper, "taper")) == ("bar", 16, 40)


@pytest.mark.parametrize(("outer", "reached"), [(20.0, 20), (22.0, 20), (18.0, 18), (17.2, 17.2), (15.8, 0)])
def test_a_bore_reached_through_another(outer, reached):
    """A seat of 20 behind a mouth. The bar of 12 takes 17.14 with its chips, and its tip stands out by 2 mm and leans
    back 1 in 2: behind a shoulder of 1 mm it misses the last 2. The bar of 8 is too short for 40."""
    part = [
        BODY,
        Feature("seat", "A", Cylinder(20), 10, 30, cut=True),
        Feature("mouth", "A", Cylinder(outer), 30, 51, cut=True),
    ]
    r = got(part, "seat")
    if reached == 20:
        assert tool(r) == ("bar", 12, 40)
    elif reached:
        assert why(r) == (m.REACHED_IN_PART.code, "body", 20, pytest.approx(reached, abs=2e-3))
    else:
        assert why(r) == (m.BORE_CLOSED.code, "body", "+z")
    assert why(got(part, "seat", "-z")) == (m.BORE_CLOSED.code, "body", "-z")


def test_a_boss_over_a_bore_closes_it():
    part = [BODY, Feature("lid", "A", Cylinder(30), 50, 60), Feature("bore", "A", Cylinder(20), -1, 50, cut=True)]
    assert why(got(part, "bore")) == (m.BORE_CLOSED.code, "lid", "+z")
    assert tool(got(part[:1] + part[2:], "bore"))[0] == "drill"
    ring = [dataclasses.replace(BODY, start=20), Feature("rim", "A", Ring(40, 20), 50, 60), part[2]]
    # The bar's sleeve does not go into the rim: 40 mm from the bottom to its top.
    assert tool(got(ring, "bore")) == ("bar", 12, 40)


def test_what_stands_close_beside_a_bore_makes_the_tool_longer():
    """Bore of 24, boss of 20 beside it, 20 higher: the sleeve reaches 10 mm beyond the tip, so from 32 on centres it
    stays outside, sticking out 20; nearer it has to stay above, 40."""
    for apart, out in ((32.1, 20), (31.9, 40)):
        part = [
            Feature("flange", "A", Cylinder(100), 0, 20),
            Feature("boss", "B", Cylinder(20), 20, 40),
            Feature("bore", "A", Cylinder(24), -1, 21, cut=True),
        ]
        # On the far side the sleeve reaches 30 mm past the tip, which is 18 beyond the centreline: clear of the boss.
        assert tool(got(part, "bore", B=(apart, 0.0))) == ("bar", 16, out)
        assert tool(got(part, "bore", "-z", B=(apart, 0.0))) == ("bar", 16, 20)


def test_a_bore_in_the_air():
    part = [BODY, Feature("bore", "B", Cylinder(10), 0, 50, cut=True)]
    assert why(got(part, "bore", B=(60.0, 0.0))) == (m.BORE_CUTS_NOTHING.code,)
    low = [BODY, Feature("bore", "A", Cylinder(10), 60, 70, cut=True)]
    assert why(got(low, "bore")) == (m.BORE_CUTS_NOTHING.code,)


def test_a_bore_that_runs_out_is_as_long_as_the_material():
    bore = Feature("bore", "A", Cylinder(24), -3, 57, cut=True)
    for end in ("+z", "-z"):
        r = got([BODY, bore], "bore", end)
        assert r.reach.open_length == pytest.approx(50)
        assert tool(r) == ("bar", 16, 50)


def test_jaws_in_a_bore_leave_the_outside_free():
    bore = Feature("bore", "A", Cylinder(20), -1, 71, cut=True)
    inside = Chuck((0.0, 8.0), 0.0, 105.0, bore=10.0)
    assert tool(got([*STEPPED, bore], "thick", chuck=inside)) == ("outside", 20, 0)
    outside = Chuck((0.0, 8.0), 30.0, 105.0)
    assert why(got([*STEPPED, bore], "thick", chuck=outside)) == (m.CHUCK_COVERS.code,)


def test_a_sleeve_is_turned_outside_and_inside():
    sleeve = [Feature("sleeve", "A", Ring(60, 40), 0, 50)]
    assert tool(got(sleeve, "sleeve")) == ("bar", 20, 50)
    long = [Feature("sleeve", "A", Ring(60, 40), 0, 81)]
    assert why(got(long, "sleeve")) == (m.OVERHANG_TOO_LONG.code, 81, 80)
    # A rod in it leaves only the outside.
    assert tool(got([*long, Feature("rod", "A", Cylinder(40), 0, 81)], "sleeve")) == ("outside", 20, 0)


# Faces ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("end", ["+z", "-z"])
def test_faces_of_a_stepped_shaft(end):
    """From either end the free end and the shoulder that looks up are faced; the one that looks down rests on jaws."""
    shaft = STEPPED if end == "+z" else flipped(STEPPED)
    top, shoulder = got(shaft, "thin", end, face=True), got(shaft, "thick", end, face=True)
    assert tool(top) == ("outside", 20, 0) and top.reach.open_length == pytest.approx(15)
    assert tool(shoulder)[0] == "outside" and shoulder.reach.open_length == pytest.approx(15)
    assert why(got(shaft, "thin", end, face=False)) == (m.SURFACE_COVERED.code,)
    held = Chuck((0.0, 8.0) if end == "+z" else (-8.0, 0.0), 30.0, 105.0)
    assert why(got(shaft, "thick", end, held, face=False)) == (m.CHUCK_IN_THE_WAY.code,)


def test_beside_spigots_the_face_of_a_flange_stays():
    """About A the spigots sweep from 5 to 25, the flange goes to 45: past 25 it is open."""
    r = got(SPIGOTS, "flange", face=True, **APART)
    assert why(r) == (m.SWEPT_OVER.code, "low")
    assert r.reach.open_length == pytest.approx(20, abs=1e-3)


def test_the_bottom_of_a_pocket():
    """To the centre a bar has to pass the line: with its chips it may be no wider than half of the pocket."""
    pocket = [BODY, Feature("pocket", "A", Cylinder(24), 30, 51, cut=True)]
    assert tool(got(pocket, "pocket", face=True)) == ("bar", 8, 20)
    narrow = [BODY, Feature("pocket", "A", Cylinder(22), 30, 51, cut=True)]
    assert why(got(narrow, "pocket", face=True))[0] == m.TOOL_TOO_WIDE.code


@pytest.mark.parametrize(("width", "fits"), [(5.77, True), (5.76, False)])
def test_a_groove_in_the_end_face_asks_for_the_tools_height(width, fits):
    """The straight shank of 4, 12 high, needs sqrt(r2^2 - 12^2) - 20 >= 4, so r2 >= 26.83. Then it cuts the inner wall,
    and of the bottom what its corner clears: the rest asks for a tool that is ground to the groove's own radius."""
    assert math.hypot(24, 12) == pytest.approx(26.833, abs=1e-3)
    r2 = 20 + width + 1.064
    plate = [Feature("plate", "A", Cylinder(100), 0, 30), Feature("groove", "A", Ring(2 * r2, 40), 20, 31, cut=True)]
    cutters = (Cutter("axial", 4.0, 12.0, 35.0),)
    r = got(plate, "groove", cutters=cutters)
    if fits:
        reached = math.sqrt(r2**2 - 12**2) - 20
        assert why(r) == (m.REACHED_IN_PART.code, "plate", pytest.approx(r2 - 20), pytest.approx(reached, abs=2e-3))
    else:
        fits_up_to = pytest.approx(math.sqrt(r2**2 - 12**2) - 20, abs=2.5e-3)  # found to 1/2048 of 4 mm
        assert why(r) == (m.TOOL_TOO_WIDE.code, "plate", "axial tool", fits_up_to, 4)


# What must always hold -----------------------------------------------------------------------------------------------


@st.composite
def shapes(draw):
    """A flange with two spigots beside each other, one of them bored, and where they stand."""
    size = st.floats(4, 40)
    one, two, apart = draw(size), draw(size), draw(st.floats(5, 60))
    high, higher, bore = draw(st.floats(5, 40)), draw(st.floats(5, 60)), draw(st.floats(2, 30))
    features = [
        Feature("flange", "A", Cylinder(90), 0, 10),
        Feature("one", "A", Cylinder(one), 10, 10 + high),
        Feature("two", "B", Cylinder(two), 10, 10 + higher),
        Feature("groove", "A", Ring(one + 2, one * 0.7), 12, 12 + draw(st.floats(0.5, 3)), cut=True),
        Feature("bore", "A", Cylinder(min(bore, one * 0.6)), draw(st.floats(0, 10)), 60, cut=True),
    ]
    return features, {"B": (apart, 0.0)}


def reached(features, axes, end, cutters=DEFAULT_CUTTERS, tools=TOOLS):
    """What is turned about A."""
    part = part_of(features, axes)
    approach = Approach((0.0, 0.0), end, tools, cutters)
    return {f.name for f in features if f.axis == "A" and why_not_reached(part, f, approach) is None}


@pytest.mark.slow
@examples(60)
@given(shapes())
def test_both_ends_are_alike(shape):
    """The part mirrored end for end, worked from the other end, gives the same answers and figures."""
    features, axes = shape
    for name in ("one", "groove", "bore"):
        for end in ("+z", "-z"):
            up, down = got(features, name, end, **axes) if name != "two" else None, None
            down = got(flipped(features), name, OTHER[end], **axes)
            assert (up.reason and up.reason.code) == (down.reason and down.reason.code)
            assert up.reach.open_length == pytest.approx(down.reach.open_length, abs=2e-3)
            assert up.reach.overhang == pytest.approx(down.reach.overhang, abs=0.02)
            assert up.reach.tool == down.reach.tool


@pytest.mark.slow
@examples(60)
@given(shapes(), st.floats(0.3, 0.99), st.floats(1.01, 2), st.sampled_from(["+z", "-z"]))
def test_a_slimmer_or_longer_tool_never_gets_at_less(shape, slim, long, end):
    features, axes = shape
    without = tuple(c for c in DEFAULT_CUTTERS if c.kind != "drill")
    before = reached(features, axes, end, without)
    slimmer = tuple(c._replace(width=c.width * slim, diameter=c.diameter * slim) for c in without)
    longer = tuple(c._replace(overhang=c.overhang * long) for c in without)
    lower = tuple(c._replace(shank=c.shank * slim) for c in without)
    for better in (slimmer, longer, lower, (*without, Cutter("axial", 1.0, 3.0, 60.0))):
        assert before <= reached(features, axes, end, better)


@pytest.mark.slow
@examples(60)
@given(shapes(), st.floats(0, 10), st.floats(0, 10), st.sampled_from(["+z", "-z"]))
def test_a_larger_neighbour_never_helps(shape, wider, higher, end):
    features, axes = shape
    larger = [
        dataclasses.replace(f, shape=Cylinder(f.shape.diameter + wider), end=f.end + higher) if f.name == "two" else f
        for f in features
    ]
    # A neighbour that swallows a piece of the surface leaves less to reach, so only those that stay clear are compared.
    assume(axes["B"][0] > (features[1].shape.diameter + larger[2].shape.diameter) / 2)
    assert reached(larger, axes, end) <= reached(features, axes, end)
    assert reached(features, axes, end, tools=dataclasses.replace(TOOLS, room=TOOLS.room + wider)) <= reached(
        features, axes, end
    )
