"""The page of the two parts planned by hand: every figure of its column "program" is planned again."""

import dataclasses
import re
from pathlib import Path

import pytest

from foldsketch.setup.plan.plan import plan
from setup_works import COVER, SHAFT, SMALL, TWIN

PAGE = (Path(__file__).parents[2] / "docs" / "worked-parts.md").read_text(encoding="utf-8")
TURNED = dataclasses.replace(
    COVER,
    features=tuple(
        dataclasses.replace(f, turned=True) if f.name.endswith(("spigot", "bore")) else f for f in COVER.features
    ),
)
TABLES = [t.splitlines() for t in re.findall(r"\| parts \|.*?\n\n", PAGE + "\n", re.S)]
ROWS = [
    (part, machine, *(float(cell) for cell in row.split("|")[1:4]))
    for (part, machine), table in zip(((COVER, TWIN), (TURNED, TWIN), (SHAFT, SMALL)), TABLES, strict=True)
    for row in table[2:]
    if row
]


@pytest.mark.slow
@pytest.mark.parametrize(("part", "machine", "batch", "by_hand", "program"), ROWS, ids=lambda v: str(v)[:12])
def test_minutes_of_the_page(part, machine, batch, by_hand, program):
    made = plan(part, machine, batch=int(batch))
    assert not made.unturned
    assert made.minutes.a_part(int(batch)) == pytest.approx(program, abs=0.055)
    assert program <= by_hand * 1.005


def test_every_row_is_read():
    assert len(ROWS) == 3 + 5 + 4
