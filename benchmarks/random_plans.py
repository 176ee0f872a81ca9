"""Random parts through the set-up plan, its report, its words and its talk sheets: an answer or a clear finding.

python benchmarks/random_plans.py 0 150        # seeds from, to
"""

from __future__ import annotations

import dataclasses
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from foldsketch.base.findings import FoldsketchError
from foldsketch.setup.machine import DEFAULT_MACHINE
from foldsketch.setup.machine_file.read import read_machine
from foldsketch.setup.plan.castings_and_time import time_comparison
from foldsketch.setup.plan.figure_text import explain_figures
from foldsketch.setup.plan.plan import plan
from foldsketch.setup.plan.plan_text import plan_table
from foldsketch.setup.plan.report import plan_report_json
from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets
from strategies import random_part

ROOT = Path(__file__).parents[1]


def main(first: int, last: int) -> int:
    machines = [DEFAULT_MACHINE, read_machine(ROOT / "samples" / "machines" / "single-spindle.toml")]
    count: Counter[str] = Counter()
    slowest = (0.0, -1)
    for seed in range(first, last):
        r = random.Random(seed)
        part = dataclasses.replace(random_part(r), density=r.choice([None, 7850.0]))
        for machine in machines:
            start = time.monotonic()
            try:
                made = plan(part, machine)
                plan_report_json(made, (), time_comparison(made, machine))
                plan_table(made)
                explain_figures(made)
                draw_talk_sheets(part, machine, made, (), time_comparison(made, machine))
                count["complete" if not made.unturned else "with features left, and why"] += 1
            except FoldsketchError:
                count["refused with a reason"] += 1
            except Exception as why:
                count["crashed"] += 1
                print(f"seed {seed}, {machine.kind}: {why!r}")
            slowest = max(slowest, (time.monotonic() - start, seed))
    print(f"{last - first} parts on two machines: {dict(count)}; slowest seed {slowest[1]}, {slowest[0]:.1f} s")
    return 1 if count["crashed"] else 0


if __name__ == "__main__":
    a, b = (int(v) for v in (sys.argv[1:3] or ("0", "150")))
    raise SystemExit(main(a, b))
