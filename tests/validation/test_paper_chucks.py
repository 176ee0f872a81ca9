"""Paper chucks from their net files alone: the model's own printed end is seated on the disc, cross on cross.

What is held, how far off centre and which way round must come out as the drawing says: diameters and offsets are those
of the two parts, distances of jaws are worked out by hand. Nothing of what made the chucks is used; faults put into the
files are found.
"""

import copy
import json
import math

import numpy as np
import pytest
import shapely

from foldsketch.job.budget import model
from foldsketch.job.choices import Choices
from foldsketch.job.in_hand_outputs import set_up_in_hand
from foldsketch.write.net_json import net_json
from tests.in_hand_plan import three_set_ups
from tests.setup_works import COVER, SHAFT, SMALL, TWIN, planned_cover, planned_shaft

pytestmark = pytest.mark.slow

CARD, PLAY = 0.2, 0.3
"""A card's thickness and the play of a jaw, mm."""

R = 45.0
FOUR = math.sqrt(R**2 - 7.5**2), math.sqrt(R**2 - 9.5**2)
"""A jaw 25 wide square to the offset touches a round of 90 where its edge is nearest to the middle: 20 and 22 less
12.5."""


def bored(r, e):
    """Where the middle line of a bored jaw, 120 degrees from the offset, meets a round: the rule of cosines."""
    return -e / 2 + math.sqrt(r**2 - 0.75 * e**2)


# Which chuck; the feature in it, its diameter, offset; the side on which the offset lies (jaw 1: +1); jaws' distances.
WANTED = {
    ("three", 1): ("flange", 90.0, 20.0, -1, (25.0, FOUR[0], 65.0, FOUR[0])),
    ("three", 3): ("flange", 90.0, 22.0, -1, (23.0, FOUR[1], 67.0, FOUR[1])),
    ("bored", 3): ("flange", 90.0, 20.0, 1, (65.0, bored(R, 20.0), bored(R, 20.0))),
    ("bored", 4): ("flange", 90.0, 22.0, 1, (67.0, bored(R, 22.0), bored(R, 22.0))),
    ("shaft", 2): ("drive journal", 30.0, 0.0, 1, (15.0, 15.0, 15.0)),
    ("shaft", 3): ("drive journal", 30.0, 6.0, 1, (21.0, bored(15.0, 6.0), bored(15.0, 6.0))),
}


@pytest.fixture(scope="module")
def files():
    """For every chuck that is looked at its net file, and that of the part's model."""
    cover, shaft = model(COVER, Choices()), model(SHAFT, Choices(scale=1.0))
    runs = {"three": (cover, three_set_ups(), TWIN), "bored": (cover, planned_cover(3), TWIN)}
    runs["shaft"] = (shaft, planned_shaft(), SMALL)
    made = {name: set_up_in_hand(*run).files for name, run in runs.items()}
    parts = {name: json.loads(net_json(run[0].nets, run[0].sheets)) for name, run in runs.items()}
    keys = [*WANTED, ("three", 2)]
    return {(name, k): (json.loads(made[name][f"chuck-{k}.net.json"]), parts[name]) for name, k in keys}


def crosses(piece, panel):
    """Where the axes' crosses are on a panel, by letter; several of one letter must agree."""
    found = {}
    for m in piece["marks"]:
        if m["kind"] == "centre" and m["panel"] == panel and not m["text"]:
            found[m["axis"]] = np.array(m["at"])
    return found


def printed_end(part, feature, *letters):
    """Outline (n, 2) of an end of a feature as one looks at it in its chuck, and its crosses, from the part's net file.

    The worked end is +z: what lies on the disc is the -z end, looked at through the part.
    """
    for piece in part["pieces"]:
        for panel in piece["panels"]:
            at = crosses(piece, panel["id"])
            if panel["feature"] == feature and panel["kind"] == "end" and set(letters) <= set(at):
                down = panel["to_space"][2][2] < 0
                way = np.array((-1.0 if down else 1.0, 1.0))
                return np.array(panel["outline"]) * way, {k: p * way for k, p in at.items()}
    raise AssertionError(feature)


def raised(chuck):
    """Every flap by name: its crease (2, 2) and the height of its tip, folded by the file's own angle."""
    disc = chuck["pieces"][0]
    found = {}
    for fold in disc["folds"]:
        panel = next(p for p in disc["panels"] if p["id"] == fold["panels"][1])
        (p, q), turn = np.array(fold["line"]), math.radians(fold["angle"])
        u = (q - p) / np.linalg.norm(q - p)
        beside = (np.array(panel["outline"]) - p) @ np.array((-u[1], u[0]))  # left of the crease
        far = beside[np.abs(beside).argmax()]
        # Turned about u, what is at the left goes up by the sine; what is left of it in the plane is the cosine.
        found[panel["feature"]] = (np.array((p, q)), far * math.sin(turn), abs(far * math.cos(turn)))
    return found


def faults(chuck, part, feature, diameter, offset, side, distances):
    """What is wrong with a chuck for a feature of this diameter, held so far off centre."""
    found = []
    disc = chuck["pieces"][0]
    rim = np.array(disc["panels"][0]["outline"])
    at = crosses(disc, 0)
    spindle = next(k for k, p in at.items() if np.hypot(*p) < 1e-6)
    held = next((k for k in at if k != spindle), spindle)
    if np.hypot(*rim.mean(axis=0)) > 1e-6 or np.ptp(np.hypot(*rim.T)) > 1e-6:
        found.append("rim not round the spindle")
    if np.hypot(*(at[held] - (side * offset, 0.0))) > 1e-6:
        found.append("offset")
    outline, own = printed_end(part, feature, spindle, held)
    wide = [float(np.ptp(outline @ (math.cos(t), math.sin(t)))) for t in np.linspace(0, math.pi, 3601)]
    if abs(min(wide) - diameter) > 1e-3:
        found.append("diameter")
    # Cross on cross: the spindle's at the middle, the held axis towards the disc's own cross of it.
    moved = outline - own[spindle]
    turn = 0.0  # on centre the end lies as it is printed
    if held != spindle:
        way, there = own[held] - own[spindle], at[held]
        turn = math.atan2(there[1], there[0]) - math.atan2(way[1], way[0])
    c, s = math.cos(turn), math.sin(turn)
    seated = shapely.Polygon(moved @ np.array(((c, s), (-s, c))))
    if any(seated.exterior.distance(shapely.Point(p)) > 0.02 for p in shown(disc, held)):
        found.append("printed outline")
    flaps = {k: v for k, v in raised(chuck).items() if k.startswith("jaw ")}
    if len(flaps) != len(distances):
        found.append("jaws missing")
    for name, (crease, tip, left) in flaps.items():
        number = int(name.split()[1])
        if tip < 4 or left > 1e-6:
            found.append(f"{name} not upright")
        middle = crease.mean(axis=0)
        want = (number - 1) * 2 * math.pi / len(distances)
        off = (math.atan2(middle[1], middle[0]) - want + math.pi) % (2 * math.pi) - math.pi
        if (name == "jaw 1" and abs(off) > 1e-6) or abs(off) > math.radians(31):
            found.append(f"{name} not where it is numbered")
        normal = np.array((crease[1][1] - crease[0][1], crease[0][0] - crease[1][0]))
        normal = normal / np.linalg.norm(normal) * (1 if normal @ middle > 0 else -1)
        if abs(math.remainder(math.atan2(normal[1], normal[0]) - want, 2 * math.pi)) > 1e-6:
            found.append(f"{name} turned")
        along = np.array((-normal[1], normal[0]))
        half, mid = np.linalg.norm(crease[1] - crease[0]) / 2, middle @ along
        lane = shapely.Polygon(
            [normal * f + along * (mid + half * w) for f, w in ((0, -1), (1e3, -1), (1e3, 1), (0, 1))]
        )
        gap = middle @ normal - float((shapely.get_coordinates(seated.intersection(lane)) @ normal).max())
        if abs(gap - PLAY - CARD) > 0.01:
            found.append(f"{name} {gap:.2f} off what it holds")
    words = {float(m["text"]) for m in disc["marks"] if m["kind"] == "text" and m["size"] == 2.5}
    wrong = [w for w in words if min(abs(w - d) for d in distances) > 0.051]
    return found + [f"figure {w:g}" for w in wrong]


def shown(disc, axis):
    """Corners of the outline that is printed of what is held."""
    return [p for m in disc["marks"] if m["kind"] == "outline" and m["axis"] == axis for run in m["paths"] for p in run]


@pytest.mark.parametrize("key", WANTED, ids=lambda k: f"{k[0]}-{k[1]}")
def test_diameter_offset_and_angle_come_out_of_the_net_files(files, key):
    assert faults(*files[key], *WANTED[key]) == []


def jaw_panels(chuck):
    disc = chuck["pieces"][0]
    return [(p, f) for p in disc["panels"][1:] for f in disc["folds"] if f["panels"][1] == p["id"]]


def move(panel, fold, by):
    panel["outline"] = (np.array(panel["outline"]) + by).tolist()
    fold["line"] = (np.array(fold["line"]) + by).tolist()


def moved_jaw(chuck):
    panel, fold = jaw_panels(chuck)[1]
    out = np.array(fold["line"]).mean(axis=0)
    move(panel, fold, 0.9 * out / np.hypot(*out))


def turned_jaw(chuck):
    panel, fold = jaw_panels(chuck)[1]
    c, s = math.cos(math.radians(8)), math.sin(math.radians(8))
    for tree, key in ((panel, "outline"), (fold, "line")):
        tree[key] = (np.array(tree[key]) @ np.array(((c, s), (-s, c)))).tolist()


def leaning_jaw(chuck):
    chuck["pieces"][0]["folds"][0]["angle"] = -80.0


def jaw_folded_back(chuck):
    chuck["pieces"][0]["folds"][0]["angle"] = 90.0


def cross_off(chuck):
    for m in chuck["pieces"][0]["marks"]:
        if m["kind"] == "centre" and np.hypot(*m["at"]) > 1:
            m["at"] = [m["at"][0] + 0.5, m["at"][1]]


def outline_turned(chuck):
    c, s = math.cos(math.radians(8)), math.sin(math.radians(8))
    for m in chuck["pieces"][0]["marks"]:
        if m["kind"] == "outline" and m["axis"]:
            m["paths"] = [(np.array(run) @ np.array(((c, s), (-s, c)))).tolist() for run in m["paths"]]


def numbers_swapped(chuck):
    (one, _), (two, _) = jaw_panels(chuck)[1:3]
    one["feature"], two["feature"] = two["feature"], one["feature"]


def printed_small(chuck):
    for panel, fold in jaw_panels(chuck):
        panel["outline"] = (0.98 * np.array(panel["outline"])).tolist()
        fold["line"] = (0.98 * np.array(fold["line"])).tolist()


def figure_wrong(chuck):
    mark = next(m for m in chuck["pieces"][0]["marks"] if m["kind"] == "text" and m["size"] == 2.5)
    mark["text"] = f"{float(mark['text']) + 0.2:.1f}"


FAULTS = {
    moved_jaw: "off what it holds",
    turned_jaw: "turned",
    leaning_jaw: "not upright",
    jaw_folded_back: "not upright",
    cross_off: "offset",
    outline_turned: "printed outline",
    numbers_swapped: "not where it is numbered",
    printed_small: "off what it holds",
    figure_wrong: "figure",
}


@pytest.mark.parametrize("fault", FAULTS, ids=lambda f: f.__name__)
@pytest.mark.parametrize("key", [("three", 1), ("bored", 4), ("shaft", 3)], ids=lambda k: f"{k[0]}-{k[1]}")
def test_a_fault_in_the_file_is_found(files, key, fault):
    chuck, part = copy.deepcopy(files[key])
    fault(chuck)
    assert any(FAULTS[fault] in text for text in faults(chuck, part, *WANTED[key]))


@pytest.mark.parametrize(("key", "other"), [(("three", 1), ("three", 3)), (("bored", 3), ("bored", 4))])
def test_the_chuck_of_another_offset_is_found(files, key, other):
    wrong = faults(files[other][0], files[key][1], *WANTED[key])
    assert "offset" in wrong


def fixture_faults(chuck, diameter, offset):
    """What is wrong with a fixture: its walls stand a play and a card off what is held, the flap a play."""
    flaps, found = raised(chuck), []
    axis = np.array((offset, 0.0))  # what is held is away from the fence, along +x
    for name, (crease, tip, left) in flaps.items():
        if tip < 4 or left > 1e-6:
            found.append(f"{name} not upright")
        p, q = crease
        u = (q - p) / np.linalg.norm(q - p)
        away = abs(float((axis - p) @ np.array((-u[1], u[0]))))
        play = {"flap": 0.3, "wall": 0.5 + CARD}.get(name.split()[0])
        if play is not None and abs(away - diameter / 2 - play) > 1e-6:
            found.append(f"{name} {away - diameter / 2:.2f} off")
    walls = sum(name.startswith("wall") for name in flaps)
    return found + ([] if walls == 3 and "flap" in flaps else ["walls missing"])


def test_the_fixture_has_its_pocket_where_the_spigot_is(files):
    """The inlet spigot of 36 with axis A, 20 away, on the spindle."""
    chuck, _ = files["three", 2]
    assert fixture_faults(chuck, 36.0, 20.0) == []
    assert fixture_faults(chuck, 36.0, 22.0) and fixture_faults(chuck, 30.0, 20.0)
    for k, (panel, _) in enumerate(jaw_panels(chuck)):
        if panel["feature"] == "key":
            continue
        wrong = copy.deepcopy(chuck)
        panel, fold = jaw_panels(wrong)[k]
        (ax, ay), (bx, by) = fold["line"]
        move(panel, fold, 0.4 * np.array((ay - by, bx - ax)) / math.hypot(bx - ax, by - ay))
        assert any(panel["feature"] in text for text in fixture_faults(wrong, 36.0, 20.0))
    leaning = copy.deepcopy(chuck)
    leaning_jaw(leaning)
    assert "flap not upright" in fixture_faults(leaning, 36.0, 20.0)
