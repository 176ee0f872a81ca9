"""What a centre and straps keep tools from."""

import pytest

from foldsketch.setup.model import PartEnd
from foldsketch.setup.plan.targets import Place, Target
from foldsketch.setup.plan.workholding import Workholding, is_covered, workholdings
from foldsketch.setup.work.holding import as_plate, held_surfaces
from foldsketch.setup.work.states import WorkStates
from setup_parts import MACHINES
from setup_works import COVER, RAW, SHAFT, SHAFT_DRIVE, SMALL, A, B

BETWEEN, FACE_PLATE, FIXTURE, JAWS = (
    Workholding(way, None) for way in ("between_centres", "face_plate", "offset_fixture", "hard_jaws")
)


@pytest.fixture(scope="module")
def states():
    return WorkStates(COVER)


def place(states, line, at, plate=False):
    end: PartEnd = "+z"
    held = next(h for h in held_surfaces(states, RAW) if h.name == "flange")
    held = as_plate(states, RAW, held, end) if plate else held
    return Place(SMALL.spindle("main"), end, held, (-2.0, 6.0), line, at)


@pytest.mark.parametrize(
    ("name", "holding", "centre", "covered"),
    [
        ("inlet bore", BETWEEN, False, True),
        ("inlet bore", JAWS, True, True),
        ("inlet bore", JAWS, False, False),
        ("outlet bore", BETWEEN, False, False),
        ("inlet spigot", BETWEEN, False, False),
        ("inlet spigot +z", BETWEEN, False, True),
        ("inlet spigot +z", JAWS, True, False),  # faced and drilled for the centre, then the centre comes up
        ("outlet spigot +z", BETWEEN, False, False),
    ],
)
def test_a_centre_stands_in_a_bore_and_before_an_end(states, name, holding, centre, covered):
    """The cover with B on the centreline: no bar gets into the inlet bore past a centre that stands in it."""
    assert is_covered(states, place(states, "B", B), holding, centre, Target(name, "turned")) is covered


@pytest.mark.parametrize(
    ("name", "holding", "covered"),
    [("flange", FACE_PLATE, True), ("flange", FIXTURE, True), ("inlet spigot +z", FACE_PLATE, False)],
)
def test_straps_lie_on_what_they_hold(states, name, holding, covered):
    """A raw disc is strapped on the face plate: its rim and its face wait for another set-up."""
    assert is_covered(states, place(states, "A", A, plate=True), holding, False, Target(name, "turned")) is covered


def test_a_journal_too_small_for_the_jaws_is_clamped_centred():
    """The drive journal of 30 on the large lathe, whose jaws close to 60: a fixture that holds it 6 off also holds it
    centred [C]; straps do not keep the shaft upright on 30; on the small lathe jaws hold it."""
    shaft = WorkStates(SHAFT)
    held = next(h for h in held_surfaces(shaft, SHAFT_DRIVE) if h.name == "drive journal" and not h.raw)

    def ways(machine):
        main = machine.spindle("main")
        return {w.way for w in workholdings(shaft, SHAFT_DRIVE, frozenset({""}), held, "A", 0.0, main, machine)[0]}

    assert ways(MACHINES["large"]) == {"offset_fixture"}
    assert ways(SMALL) == {"pads", "soft_jaws"}


def test_straps_hold_low_work_alone():
    """The cover, 42 high, on its flange of 90: strapped; the shaft on its journal: told why not."""
    cover, shaft, large = WorkStates(COVER), WorkStates(SHAFT), MACHINES["large"]
    main = large.spindle("main")
    low = next(h for h in held_surfaces(cover, RAW) if h.name == "flange")
    tall = next(h for h in held_surfaces(shaft, SHAFT_DRIVE) if h.name == "drive journal" and not h.raw)
    strapped, _ = workholdings(cover, RAW, frozenset(), as_plate(cover, RAW, low, "+z"), "A", 0.0, main, large)
    assert "face_plate" in {w.way for w in strapped}
    _, refused = workholdings(shaft, SHAFT_DRIVE, frozenset({""}), tall, "A", 0.0, main, large)
    (why,) = [f for f in refused if f.code == "too-high-for-straps"]
    assert why.value("width").value == 30 and why.value("height").value > 100
