"""Random parts: each must end in a checked model or a clear finding.

The second fold-up check, which reads only the net file, must agree with the first.

python benchmarks/random_parts.py 0 10000        # seeds from, to
python benchmarks/random_parts.py 0 3000 quick   # as quick models, held to the rules of bare edges too
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "write"))

from test_net_json import verdict

from foldsketch.base.findings import FoldsketchError
from foldsketch.net.build import build_nets
from foldsketch.net.model import Nets
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.blocks import join
from foldsketch.write.net_json import net_json
from nets import coarsen_facets
from rigid import flexes
from strategies import random_part
from tab_rules import hold_to_the_rules

MANY = 250
"""Blocks of more panels are not asked whether they can give."""

CLOSE = 1e-6
"""mm, and share of the volume, within which the second oracle finds a model in order."""


def main(first: int, last: int, quick: bool) -> int:
    count: Counter[str] = Counter()
    reasons: Counter[str] = Counter()
    slowest = (0.0, -1)
    worst = [0.0, 0.0, 0.0]
    started = time.monotonic()
    for seed in range(first, last):
        r = random.Random(seed)
        part = random_part(r)
        rule = r.choice(["faces", "fuse"])
        choice = FacetChoice(
            radius_rule=r.choice(["inside", "equal-area", "outside"]), chord_error=r.choice([0.3, 0.5, 1.5])
        )
        page = r.choice([None, (190.0, 264.0)])
        begun = time.monotonic()
        try:
            faceted = facet(part, 1.0, coarsen_facets(choice) if quick else choice)
            nets = build_nets(faceted, join(faceted, rule), 1.0, page, sparse=quick)
            if quick:
                count["bare edges"] += hold_to_the_rules(nets)
                give = [b.id for b in nets.blocks if _panels(nets, b.id) <= MANY and flexes(nets, b.id)]
                # What gives with every edge glued gives as a full model too.
                ours = [b for b in give if flexes(nets, b, glued=lambda _: True) < flexes(nets, b)]
                count["blocks"] += sum(_panels(nets, b.id) <= MANY for b in nets.blocks)
                count["blocks that give"] += len(ours)
                if ours:
                    print(f"seed {seed}: blocks {ours} give")
        except FoldsketchError as why:
            count["refused"] += 1
            reasons[why.findings[0].what] += 1
        except Exception as why:
            count["crashed"] += 1
            print(f"seed {seed}: {why!r}")
        else:
            count["checked" if nets.checks.passed() else "failed"] += 1
            if not nets.checks.passed():
                print(f"seed {seed}: {nets.checks}")
            found = verdict(json.loads(net_json(nets, ())))
            worst = [max(pair) for pair in zip(worst, found, strict=True)]
            count["agreed"] += max(found) < CLOSE
            if max(found) >= CLOSE:
                count["failed"] += 1
                print(f"seed {seed}: the second oracle says {found}")
            count["pieces"] += len(nets.pieces)
            count["tabs"] += sum(len(p.tabs) for p in nets.pieces)
            count["butt joints"] += sum(len(p.butts) for p in nets.pieces)
        slowest = max(slowest, (time.monotonic() - begun, seed))
    print(f"{last - first} parts in {time.monotonic() - started:.0f} s: {dict(count)}")
    for what, n in reasons.most_common():
        print(f"  refused {n}: {what}")
    print("  second oracle: worst gap {:.1e} mm, panels {:.1e} mm, volume {:.1e}".format(*worst))
    print(f"slowest: seed {slowest[1]}, {slowest[0]:.1f} s")
    return 1 if count["crashed"] or count["failed"] else 0


def _panels(nets: Nets, block: int) -> int:
    return sum(len(p.panels) for p in nets.pieces if p.block == block)


if __name__ == "__main__":
    first, last = (int(v) for v in (sys.argv[1:3] or ("0", "10000")))
    raise SystemExit(main(first, last, "quick" in sys.argv))
