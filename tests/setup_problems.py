"""Random set-up problems and a brute force that answers them from the definition alone."""

import itertools
import math

from foldsketch.setup.model import Clamping

WAYS = ["centred", "packed three-jaw", "four-jaw", "between centres", "bored jaws", "offset fixture"]


def random_problem(r):
    """Clampings, features that are needed, whether the machine is a twin, and its cross travel."""
    names = [f"f{k}" for k in range(r.randint(1, 4))]
    centres = [(0.0, 0.0), (r.choice([10.0, 30.0]), 0.0), (0.0, r.choice([15.0, 45.0]))]
    made = []
    for _ in range(r.randint(1, 7)):
        line = r.randrange(3)
        offset = r.choice([0.0, 0.0, 5.0, 12.0])
        made.append(
            Clamping(
                r.choice(["main", "sub"]),
                r.choice(["+z", "-z"]),
                f"h{r.randrange(3)}",
                "ABC"[r.randrange(3)],
                "ABC"[line],
                "centred" if offset == 0 else r.choice(WAYS[1:]),
                offset,
                centres[line],
                (0.0, 8.0),
                tuple(sorted(r.sample(names, r.randint(0, min(2, len(names)))))),
                r.choice([0.0, 100.0, 250.5, 4000.0]),
                r.choice(["", "", "", names[0]]),
            )
        )
    return made, frozenset(names), r.random() < 0.6, r.choice([20.0, 60.0])


def brute(clampings, needed, twin, travel, longest=5):
    """Every sequence of up to so many clampings, judged by the rules: the most features, then the fewest clampings,
    then the fewest off centre or moved off centre, then least unbalance in all, then least to set. None for none."""
    best = None
    for n in range(1, longest + 1):
        for steps in itertools.product(range(len(clampings)), repeat=n):
            used = [clampings[k] for k in steps]
            if twin:
                if used[0].spindle != "main":
                    continue
                pairs = list(itertools.pairwise(used))
                if any(a.spindle == b.spindle or a.from_end == b.from_end for a, b in pairs):
                    continue
                moves = [0.0] + [math.dist(a.at, b.at) for a, b in pairs]
                if max(moves) > travel + 1e-9:
                    continue
            else:
                moves = [0.0] * n
            done: set[str] = set()
            held = True
            for c in used:
                held = held and (not c.required_bore or c.required_bore in done)
                done |= set(c.turned) & needed
            if not held:
                continue
            off = sum(1 for c, m in zip(used, moves, strict=True) if c.offset > 0 or m > 1e-9)
            effort = sum(WAYS_COST[c.holding_method] for c in used)
            key = (-len(done), n, off, round(sum(c.unbalance for c in used), 6), effort)
            if done and (best is None or key < best):
                best = key
    return best


WAYS_COST = {w: k for k, w in enumerate(WAYS)}
