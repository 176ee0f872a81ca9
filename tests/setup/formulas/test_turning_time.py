"""Turning and facing times: by integration along the cut, by brute force over the number of passes, and by their
laws."""

import math
import random

import pytest
from scipy.integrate import quad

from foldsketch.part.cutting import CUTTING_DATA
from foldsketch.setup.formulas.clamping_force import Grip
from foldsketch.setup.formulas.turning_time import Holding, face, highest_speed, turn
from foldsketch.setup.formulas.work_limits import Cap

IRON, STEEL = CUTTING_DATA["grey cast iron"], CUTTING_DATA["steel"]
FREE = Holding(Cap(1e9, "machine"))


def test_plain_turning_by_hand():
    """Steel, d50 to d46 over 100 mm: one pass of 1.7 at 150 m/min and one at 200, feeds 0.25 and 0.12."""
    cut = turn(100, 25, 23, STEEL, FREE)
    rough, finish = 150_000 / math.pi / 50, 200_000 / math.pi / 46
    assert cut.minutes == pytest.approx(102 / 0.25 / rough + 102 / 0.12 / finish)
    assert (cut.passes, cut.depth) == (1, pytest.approx(1.7))


def test_boring_goes_by_the_diameter_that_is_cut():
    cut = turn(40, 10, 11, STEEL, FREE)
    assert cut.speeds == pytest.approx((150_000 / math.pi / 21.4, 200_000 / math.pi / 22))


def test_little_stock_is_finished_at_once():
    assert turn(40, 20.2, 20, STEEL, FREE).passes == 0
    skin = turn(40, 20, 20, IRON, FREE, skin=True)
    assert (skin.passes, skin.speed) == (0, pytest.approx(0.7 * 160_000 / math.pi / 40))


def test_uneven_stock_is_roughed_slowly_and_finished_at_full_speed():
    even, uneven = turn(40, 30, 20, STEEL, FREE), turn(40, 30, 20, STEEL, FREE, uneven=True)
    assert uneven.speeds[:-1] == pytest.approx([0.7 * n for n in even.speeds[:-1]])
    assert uneven.speeds[-1] == even.speeds[-1]


@pytest.mark.parametrize("cap", [300, 900, 5000, 1e9])
@pytest.mark.parametrize("inner", [0, 8, 25])
def test_facing_is_the_integral_of_the_feed(cap, inner):
    """Time of a pass is the integral of dr / (f n(r)), n the least of 1000 v / (2 pi r), the cap and 3 x the rim's."""
    cut = face(30, inner, 0.2, STEEL, Holding(Cap(cap, "machine")))
    rim = 3 * 200_000 / (2 * math.pi * 30)

    def minutes(r):
        return 1 / (0.12 * min(200_000 / (2 * math.pi * max(r, 1e-12)), cap, rim))

    knee = 200_000 / (2 * math.pi * min(cap, rim))
    expected, _ = quad(minutes, inner, 32, points=[knee] if inner < knee < 32 else None)
    assert cut.minutes == pytest.approx(expected, rel=1e-9)
    reached = min(200_000 / (2 * math.pi * max(inner, 1e-9)), cap, rim)
    assert cut.speed == pytest.approx(reached)
    assert cut.limit == ("machine" if reached == cap else "cut")


def weak_chuck(force=25000.0, loss=6000.0, **more):
    return Grip(30, 20, force, loss, 1800, centre=True, **more)


def brute(length, start, end, data, holding, most=400):
    """Least time over every number of passes, from the formulas as they are written down in the set-up reference."""
    best = math.inf
    for p in range(math.ceil((start - end) / data.depth), most):
        depth, total = (start - end - 0.3) / p, 0.0
        for before, after, rough in [(start - depth * k, start - depth * (k + 1), True) for k in range(p)] + [
            (end + 0.3, end, False)
        ]:
            v, f = (data.rough_speed, data.rough_feed) if rough else (data.finish_speed, data.finish_feed)
            d = 2 * before if rough else 2 * after
            g = holding.grip
            need = 2 * data.force * (before - after) * f * 2 * before / (0.15 * g.diameter)
            spare = g.force / 1.5 - need
            if spare < 0:
                total = math.inf
                break
            held = 30 / math.pi * math.sqrt(spare / (g.loss / (g.top_speed * math.pi / 30) ** 2 + g.unbalance * 1e-6))
            total += (length + 2) / f / min(1000 * v / math.pi / d, holding.cap.speed, held)
        best = min(best, total)
    return best


@pytest.mark.parametrize("force", [6000, 9000, 14000, 25000, 60000])
@pytest.mark.parametrize("unbalance", [0, 5000, 200000])
def test_the_number_of_passes_takes_least_time(force, unbalance):
    holding = Holding(Cap(1800, "machine"), weak_chuck(force, unbalance=unbalance))
    cut = turn(32, 30, 12.5, STEEL, holding)
    expected = brute(32, 30, 12.5, STEEL, holding, most=173)  # down to passes of 0.1 mm
    assert (cut.minutes if cut else math.inf) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("force", [4000, 6000, 9000, 60000])
def test_the_number_of_passes_of_a_bore(force):
    """Boring d20 to d40: as above, each pass at its larger diameter."""
    holding = Holding(Cap(1800, "machine"), weak_chuck(force))
    best = math.inf
    for p in range(5, 98):
        depth, total = 9.7 / p, 0.0
        rows = [(10 + depth * (k + 1), depth, 150, 0.25) for k in range(p)] + [(20, 0.3, 200, 0.12)]
        for r, a, v, f in rows:
            spare = force / 1.5 - 2 * 2200 * a * f * 2 * r / (0.15 * 30)
            held = 1800 * math.sqrt(spare / 6000) if spare > 0 else 0.0
            n = min(1000 * v / math.pi / 2 / r, 1800, held)
            total += 42 / f / n if n else math.inf
        best = min(best, total)
    cut = turn(40, 10, 20, STEEL, holding)
    assert (cut.minutes if cut else math.inf) == pytest.approx(best, rel=1e-9)


def test_the_fastest_cut_is_the_one_to_name():
    slow, fast = turn(40, 30, 28, STEEL, FREE), turn(40, 12, 10, STEEL, Holding(Cap(2500, "balance")))
    assert highest_speed([slow, fast]) is fast
    assert (fast.speed, fast.limit) == (2500, "balance")
    assert fast.wanted == pytest.approx(200_000 / math.pi / 20)
    assert fast.grip_speed == math.inf
    assert highest_speed([]) is None
    held = turn(32, 30, 12.5, STEEL, Holding(Cap(1e9, "machine"), weak_chuck(25000)))
    assert held.grip_speed == pytest.approx(
        weak_chuck(25000).speed_limit(2200 * 0.3 * 0.12, 12.8, 0)
    )  # of the finishing cut
    assert min(held.wanted, held.grip_speed) == held.speed


def test_a_chuck_too_weak_for_any_pass():
    assert turn(32, 30, 12.5, STEEL, Holding(Cap(1800, "machine"), weak_chuck(100))) is None
    assert face(30, 0, 2, STEEL, Holding(Cap(1800, "machine"), weak_chuck(100))) is None


def cuts(cap, force, loss, unbalance, speed, stock, r, length):
    data = STEEL._replace(rough_speed=STEEL.rough_speed * speed, finish_speed=STEEL.finish_speed * speed)
    holding = Holding(Cap(cap, "machine"), Grip(40, 20, force, loss, 4000, unbalance), 30)
    made = turn(length, r + stock, r, data, holding), face(r, 0, min(stock, 4), data, holding)
    return [m.minutes if m else math.inf for m in made]


@pytest.mark.slow
def test_raising_one_limit_never_makes_a_cut_slower():
    """16,000 random raises of one limit on turning and facing: work limit, grip, its loss, unbalance, cutting speed."""
    r = random.Random(19)
    for _ in range(1600):
        base = [r.uniform(200, 4000), r.uniform(5e3, 6e4), r.uniform(0, 2e4), r.uniform(0, 3e4), 1.0]
        body = [r.uniform(0.5, 15), r.uniform(5, 40), r.uniform(2, 80)]
        plain = cuts(*base, *body)
        for k, sense in enumerate((1, 1, -1, -1, 1)):
            better = list(base)
            better[k] *= r.uniform(1, 2) ** sense
            for now, before in zip(cuts(*better, *body), plain, strict=True):
                assert now <= before * (1 + 1e-9)


@pytest.mark.parametrize(
    ("uneven", "share", "last"), [(False, 1.0, 160), (True, 0.7, 160)], ids=["whole", "interrupted"]
)
def test_a_face_begins_at_the_speed_of_its_outside(uneven, share, last):
    """A face that swings 190.4 in grey iron, rough 120 and finish 160 m/min. At the corner n = 1000 v_c / (pi d) [C:
    machining handbooks]: 120 / (pi 0.1904) = 200.6 r/min, with 0.7 for an interrupted cut 140.4; no tool stands the 800
    r/min there, 478 m/min, that the finishing cut rises to at a third of it."""
    cut = face(95.2, 0.0, 2.5, IRON, FREE, uneven=uneven)
    assert cut.lowest == pytest.approx(1000 * 120 * share / (math.pi * 190.4))
    assert cut.lowest * math.pi * 190.4 / 1000 == pytest.approx(120 * share)  # m/min at the corner
    assert cut.slow == (120, share, 190.4)
    assert cut.speed == pytest.approx(1000 * last / (math.pi * 190.4 / 3))
    assert cut.fast == (last, 1.0, pytest.approx(190.4 / 3))
    # Constant surface speed out to the corner takes no less time than the area at the table's speed and feed.
    whole = math.pi * 95.2**2 / 1000
    assert cut.minutes > cut.passes * whole / (120 * share * 0.25) + whole / (last * 0.12)


def test_a_capped_face_begins_at_the_cap():
    """Where balance or machine stop the spindle below what the outside asks for, it runs there from the start."""
    cut = face(30.0, 10.0, 2.0, IRON, Holding(Cap(400.0, "balance")))
    assert cut.lowest == cut.speed == 400 and cut.limit == "balance"
    assert cut.slow.speed == pytest.approx(120_000 / math.pi / 60)
