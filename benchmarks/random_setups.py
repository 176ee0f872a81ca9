"""Random set-up problems, the exact search against brute force.

python benchmarks/random_setups.py 0 2000        # seeds from, to
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from foldsketch.setup.plan.search import SequenceRules, best_sequence
from setup_problems import brute, random_problem


def main(first: int, last: int) -> int:
    differ = longer = nothing = 0
    exact = forced = 0.0
    for seed in range(first, last):
        clampings, needed, twin, travel = random_problem(random.Random(seed))
        t0 = time.perf_counter()
        found = best_sequence(clampings, needed, SequenceRules(twin, travel))
        t1 = time.perf_counter()
        expected = brute(clampings, needed, twin, travel)
        exact, forced = exact + t1 - t0, forced + time.perf_counter() - t1
        got = None if found is None else (-len(found.done), *found.cost)
        if got == expected:
            nothing += got is None
        elif got is not None and expected is not None and got[0] < expected[0] and got[1] > 5:
            longer += 1
        else:
            differ += 1
            print(f"seed {seed}: search {got}, brute force {expected}")
    print(
        f"{last - first} problems: {differ} differ, {nothing} without an answer in both, {longer} need more than the "
        f"five clampings of the brute force; search {exact:.2f} s, brute force {forced:.1f} s"
    )
    return 1 if differ else 0


if __name__ == "__main__":
    a, b = (int(v) for v in (sys.argv[1:3] or ("0", "2000")))
    raise SystemExit(main(a, b))
