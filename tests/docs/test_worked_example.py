"""The worked example: every bold figure again from the drawing and the machine file, by formulas, without the program.

Sources: residual unbalance e_per w = G [ISO 21940-11]; jaw forces S F 2 r / (mu D), S = 2 and S_sp = 1.5 [VDI 3106];
n = 1000 v / (pi d) and t = L / (f n), any handbook of turning; packing from plane geometry [D]; carbide in steel,
minutes of workholding, stock of a finishing cut and run-in of a tool: the tables of docs/machine-file.md [M, C].
"""

import re
from math import pi, sqrt
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "worked-example.md").read_text("utf-8")

STEEL = 7.85e-6  # kg/mm3
E, HELD, ECCENTRIC, TAIL, BAR = 6.0, 30.0, 44.0, 25.0, 60.0  # mm
ROTOR, NOSE, GRADE, TOP, LOSS, WEIGHT_RADIUS = 45.0, 800.0, 16.0, 1800.0, 6000.0, 85.0  # samples/machines/small.toml
ROUGH, FINISH, ROUGH_FEED, FINISH_FEED, FORCE = 150.0, 200.0, 0.25, 0.12, 2200.0  # m/min, mm a turn, N/mm2
LOAD, INDICATING, TOOL_CALL = 1.5, 2.5, 0.1  # minutes


def disc(diameter, length):
    return pi / 4 * diameter**2 * length * STEEL


def speed(cutting_speed, diameter):
    return 1000 * cutting_speed / (pi * diameter)


WORK = disc(HELD, 50) + disc(BAR, 22) + disc(TAIL, 32)
UNBALANCE = 1000 * WORK * E  # g mm: all of it around A
BALANCE = 30 / pi * 1000 * GRADE * (ROTOR + WORK) / UNBALANCE
REACH = BAR / 2 + E  # of the bar about B
PASSES = 15
DEPTH = (REACH - ECCENTRIC / 2 - 0.3) / PASSES


def grip_at_rest():
    """For the first pass, which cuts at the largest radius."""
    torque = 2 * FORCE * DEPTH * ROUGH_FEED * 2 * REACH / (0.15 * HELD)
    n = speed(0.7 * ROUGH, 2 * REACH)
    return 1.5 * (torque + LOSS * (n / TOP) ** 2 + UNBALANCE * 1e-6 * (n * pi / 30) ** 2)


def packing():
    """x so that the middle of D between three point jaws, one of them x short, lies e off the centre."""
    low, high = 0.0, 3 * E
    for _ in range(60):
        x = (low + high) / 2
        # The packed jaw at angle 0 touches at R - e; the two others, at 120 degrees, at radius p.
        p = HELD / 2 - E + x
        other = sqrt((p * -0.5 + E) ** 2 + (p * sqrt(3) / 2) ** 2)  # from the centre of D, which is at -e
        low, high = (x, high) if other < HELD / 2 else (low, x)
    return x


def cut_of_set_up_3():
    rough = sum(24 / (ROUGH_FEED * min(BALANCE, speed(0.7 * ROUGH, 2 * (REACH - k * DEPTH)))) for k in range(PASSES))
    return rough + 24 / (FINISH_FEED * min(BALANCE, speed(FINISH, ECCENTRIC)))


SET_UP_3 = cut_of_set_up_3() + TOOL_CALL + INDICATING
PLANNED = [float(m) for m in re.findall(r"^[12] MAIN .* (\d+\.\d)$", PAGE, re.M)]
CYCLE = sum(PLANNED) + SET_UP_3 + 3 * LOAD  # set-ups 1 and 2 as the plan prints them, to 0.1 min
SETTING = 10 + (5 + 10) + (10 + 20) + 3 * 10 + 2 * 3

FIGURES = {
    "12 mm": 2 * E,
    "72 mm": 2 * REACH,
    "0.8890 kg": WORK,
    "5334.3 g mm": UNBALANCE,
    "1314.4 r/min": BALANCE,
    "3698.1 r/min": 30 / pi * sqrt(NOSE * 1e6 / UNBALANCE),
    "1446.9 r/min": speed(FINISH, ECCENTRIC),
    "101.1 N": UNBALANCE * 1e-6 * (BALANCE * pi / 30) ** 2,
    "0.0628 kg": UNBALANCE / (1000 * WEIGHT_RADIUS),
    "24729 N": grip_at_rest(),
    "8.071 mm": packing(),
    "8.66 mm": HELD / (2 * sqrt(3)),
    "6.5 mm": TAIL / 2 - E,
    "5.3": SET_UP_3,
    "16.7": CYCLE,
    "91": SETTING,
    "258 min": SETTING + 10 * CYCLE,
}


def test_every_bold_figure_is_worked_out_here():
    assert re.findall(r"\*\*(\d[^*]*)\*\*", PAGE) == list(FIGURES)


SUMS_OF_ROUNDED = {"16.7": 0.1 + 0.05, "258 min": 10 * 0.1 + 0.5}
"""Figures that are sums of two rounded ones, and how far off that can be."""


@pytest.mark.parametrize("shown", FIGURES)
def test_a_figure_is_what_the_formulas_give(shown):
    figure = shown.split()[0]
    half = 0.5 * 10 ** -len(figure.partition(".")[2])
    assert abs(FIGURES[shown] - float(figure)) <= SUMS_OF_ROUNDED.get(shown, half)


def test_one_pass_less_would_need_more_grip_than_there_is():
    deeper = DEPTH * PASSES / (PASSES - 1)
    assert grip_at_rest() <= 25000 < 1.5 * 2 * FORCE * deeper * ROUGH_FEED * 2 * REACH / (0.15 * HELD)


CALCULATION = re.compile(r"(?<![\d.×/+])((?:[\d. ]|[×/+−π()²]|√\()+?) = \**(\d+(?:\.\d+)?)(?= ?[a-zA-Z*,:]|\.\s)")


def test_the_arithmetic_of_the_page_is_right():
    """What is written before an equals sign gives what is written after it, to the digits shown."""
    done = 0
    for written, figure in CALCULATION.findall(PAGE.replace("\n", " ")):
        term = written.replace(" ", "").replace("×", "*").replace("−", "-").replace("²", "**2")
        term = re.sub(r"(\d)π", r"\1*pi", term).replace("π", "pi").replace("√", "sqrt")
        if not re.search(r"[*/+-]", term) or term.count("(") != term.count(")"):
            continue
        decimals = len(figure.partition(".")[2])
        value = eval(term, {"pi": pi, "sqrt": sqrt})
        assert abs(value - float(figure)) <= max(1.1 * 10**-decimals, 2e-4 * abs(value)), f"{written} = {figure}"
        done += 1
    assert done >= 8
