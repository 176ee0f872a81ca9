"""The paper fixture of in-hand.md's plan of the cover, and what stands on the tray: seated, off, turned."""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from foldsketch.job import messages as m
from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.in_hand_outputs import set_up_in_hand
from foldsketch.job.paper_chuck import paper_chuck
from foldsketch.job.paper_held import bodies
from foldsketch.job.paper_rig import stop_strip, tool_pieces, tool_room
from foldsketch.net.model import Nets
from foldsketch.net.refold import check_nets, fold_piece
from foldsketch.part.file.read import read_part
from foldsketch.setup.plan.plan import plan
from tests.in_hand_plan import CRANK, crank_in_fixture, three_set_ups
from tests.setup_works import COVER, SAMPLES, SMALL, TWIN

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def cover():
    return model(COVER, Choices(scale=1.0))


@pytest.fixture(scope="module")
def fixture(cover):
    return paper_chuck(three_set_ups().setups[1], TWIN, cover)


def standing(chuck):
    """Every flap that stands up, from its folds alone: its line on the floor and its height."""
    folded = fold_piece(chuck.disc)
    for panel in chuck.disc.panels[1:]:
        rotation, shift = folded[panel.id]
        corners = np.column_stack((panel.outline, np.zeros(4))) @ rotation.T + shift
        assert np.abs(np.sort(corners[:, 2])[:2]).max() < 1e-9
        yield panel.feature, shapely.LineString(corners[corners[:, 2] < 1e-9][:, :2]), corners[:, 2].max()


def hits(chuck, part_bodies, turn=0.0, shift=(0.0, 0.0), without=()):
    """Flaps that bodies, upright on the floor, turned and moved, run into."""
    moved = []
    for b in part_bodies:
        shape = affinity.rotate(shapely.Polygon(b.outline), turn, origin=(0, 0))
        moved.append((affinity.translate(shape, *shift), b.start))
    floor = shapely.Polygon(chuck.disc.panels[0].outline)
    seat = min(start for shape, start in moved if shape.intersects(floor))
    return {
        name
        for name, line, height in standing(chuck)
        for shape, start in moved
        if name not in without and start - seat < height and shape.distance(line) < 1e-9
    }


def test_figures_of_in_hand_md(fixture):
    """Section 3: half width d/2 + 0.5 + t on three sides, d/2 + 0.3 on the inner one, floor of radius 26, walls 16."""
    lines = {name: (line, height) for name, line, height in standing(fixture)}
    box = shapely.unary_union([lines[f"wall {k}"][0] for k in (1, 2, 3)]).bounds
    assert box == pytest.approx((20 - 18.3, -18.7, 20 + 18.7, 18.7))
    assert lines["flap"][0].bounds[0] == pytest.approx(1.7)
    assert {round(h, 6) for _, h in lines.values()} == {16.0}
    floor = shapely.Polygon(fixture.disc.panels[0].outline)
    assert floor.bounds[0] == pytest.approx(-26, abs=0.1)


def test_it_folds_up_and_its_corners_meet(fixture):
    checks = check_nets(Nets("fixture", 1.0, (), (), (fixture.disc, fixture.cone)))
    assert checks.passed() and checks.refold_gap < 1e-9 and len(fixture.disc.butts) == 2


def test_the_seated_part_meets_nothing_and_does_when_it_is_off(fixture, cover):
    whole = bodies(fixture.set_up, cover)
    assert not hits(fixture, whole)
    for t in (0, math.pi / 2, -math.pi / 2, math.pi):
        assert hits(fixture, whole, shift=(0.9 * math.cos(t), 0.9 * math.sin(t)))
    assert hits(fixture, whole, turn=8) and hits(fixture, whole, turn=-8)


def test_it_goes_on_only_one_way(fixture, cover):
    """in-hand.md, section 7: without a key it goes on half a turn wrong, over the outlet. The key alone stops that."""
    whole = bodies(fixture.set_up, cover)
    assert not hits(fixture, whole, turn=180, without=("key",))
    assert hits(fixture, whole, turn=180) == {"key"}
    assert [f.code for f in fixture.findings] == [m.FIXTURE_HAS_KEY.code]


def test_the_sheet_says_both_swings(fixture):
    """in-hand.md, section 8: about A the flange's octagon reaches 48.7 (45 / cos 22.5), the round one 45."""
    assert fixture.disc.size == "part swings Ø97, round Ø90"


def test_windows_leave_card(fixture):
    windows = [shapely.Polygon(h) for h in fixture.disc.panels[0].holes]
    floor = shapely.LinearRing(fixture.disc.panels[0].outline)
    assert len(windows) == 2 and windows[0].distance(windows[1]) >= 3
    key = min(windows, key=lambda w: w.centroid.x)
    assert key.distance(shapely.Point(0, 0)) >= 4 and key.distance(floor) >= 3
    dots = [d for mark in fixture.disc.marks if mark.kind == "pin" for d in mark.dots]
    assert len(dots) == 4 and all(w.distance(shapely.Point(x, y)) >= 2 for w in windows for x, y, _ in dots)


def test_the_tool_gets_the_room_of_in_hand_md(cover):
    """Section 4: 7.5 in paper and not 9.0, tool 6 wide, 30 out."""
    room = tool_room(three_set_ups().setups[0], cover)
    assert room.paper == pytest.approx(27 - 18 / math.cos(math.pi / 8), abs=1e-6)
    assert (room.round_part, room.side, room.overhang) == (pytest.approx(9), 6, pytest.approx(30, abs=0.5))
    checks = check_nets(Nets("tool", 1.0, (), (), tool_pieces(room)))
    assert checks.passed() and checks.refold_gap < 1e-9


def test_the_stop_stands_on_the_line_of_its_slits():
    strip = stop_strip()
    assert check_nets(Nets("stop", 1.0, (), (), (strip,))).passed()
    folded = fold_piece(strip)
    upright = strip.panel(0).outline
    foot = np.column_stack((strip.panel(1).outline, np.zeros(len(strip.panel(1).outline))))
    rotation, shift = folded[1]
    assert np.abs((foot @ rotation.T + shift)[:, 1]).max() < 1e-9, "the foot lies flat at the fold"
    assert upright[:, 1].min() < -5, "the tongues go on below it"


def test_sixteen_minutes_for_three_set_ups(cover):
    """in-hand.md, section 6: 15.5, and 1.9 for the tool and its holder; 16 is what was asked for."""
    made = set_up_in_hand(cover, three_set_ups(), TWIN)
    assert 15.5 * 0.9 < made.minutes <= 16.0
    # Less than the 1.9 of a tube with a glued seam: 9 (a fold), 18 (glue) and 0.12 s a mm for the fourth wall.
    assert made.minutes + made.tool_minutes <= 16.05 and made.tool_minutes > 0.9
    assert [len(c.creases) for c in made.chucks] == [4, 0, 4]
    assert made.chucks[0].radius == made.chucks[2].radius == 75, "in-hand.md, section 2"


def test_words_stand_upright_on_the_stands_sheets(cover):
    """Read from the PDF itself: every letter runs to the right, but for those along the tool."""
    import pypdfium2

    made = set_up_in_hand(cover, three_set_ups(), TWIN)
    document = pypdfium2.PdfDocument(made.files["stands.pdf"])
    for page in document:
        words = page.get_textpage()
        text = words.get_text_range()
        assert "pierce last" in text
        for word in ("pierce last", "nuts here"):
            at = text.index(word)
            boxes = [words.get_charbox(k) for k in (at, at + len(word) - 1)]
            assert boxes[1][0] - boxes[0][0] > 5 * abs(boxes[1][1] - boxes[0][1])
    document.close()


def test_the_crank_stands_in_a_fixture():
    """Held by a journal with the throw's axis on the spindle, which lies outside the journal."""
    made = model(CRANK, Choices())
    c = paper_chuck(crank_in_fixture().setups[0], TWIN, made)
    whole = bodies(c.set_up, made)
    assert c.fixture is not None and not hits(c, whole)
    assert hits(c, whole, turn=8) and hits(c, whole, turn=-8)


def test_a_bore_with_the_arm_around_it_gets_no_stops():
    """The rocker's pivot bore is gripped where the arm lies: a wall there would stand in the arm."""
    part = read_part(SAMPLES / "three-boss-rocker.toml")[0]
    made = model(part, Choices())
    found = [paper_chuck(s, SMALL, made) for s in plan(part, SMALL).setups[1:]]
    assert found and all(not c.creases and c.fixture is None for c in found)
    assert all([f.code for f in c.findings] == [m.JAW_DRAWN_ONLY.code] for c in found)
