"""Random parts as whole models: each must end in a model that three checks pass, or in a clear finding.

The checks are the fold-up check, a second one that reads only the net file, and one that reads only the printed sheets
(not with a card's thickness, for which creases are printed beside the edges of the net file).

python benchmarks/random_models.py 0 1000            # seeds from, to, with the default choices
python benchmarks/random_models.py 0 1000 options    # with all choices drawn at random
"""

from __future__ import annotations

import json
import random
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "write"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "validation"))

from test_net_json import verdict
from test_printed_sheets import check_paper_against_net_file

from foldsketch import Choices, model
from foldsketch.base.card import NO_CARD, Card
from foldsketch.base.findings import FoldsketchError
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.write.net_json import net_json
from strategies import random_part

CLOSE = 1e-6
"""mm, and share of the volume, within which the second check finds a model in order."""

PLOTTED = 10
"""Of so many models one is drawn as DXF too, which takes longer than everything else."""


def random_choices(r: random.Random) -> Choices:
    """Choices with every value that goes together drawn at random."""
    hold = r.choice(["glue", "glue", "tape"])
    facets = FacetChoice(
        chord_error=r.choice([0.2, 0.5, 1.5]),
        radius_rule=r.choice(["inside", "equal-area", "outside"]),
        walls="folded" if hold == "tape" else r.choice(["folded", "rolled"]),
        sides=r.choice([None, None, 3, 6, 17]),
        rotation=r.choice([0.0, r.uniform(-3, 3)]),
    )
    return Choices(
        paper=r.choice(["A4", "A3", "Letter", "180x250"]),
        scale=r.choice([None, None, 0.2, 1.0, 2.0]),
        sheets=r.choice([1, 6, 40]),
        facets=facets,
        join=r.choice(["auto", "faces", "fuse"]),
        minutes=r.choice([None, 5.0, 10.0, 15.0, 30.0]),
        hold=hold,
        card=r.choice([NO_CARD, NO_CARD, Card(0.25)]),
        least_step=r.choice([0.0, 0.0, 2.0]),
    )


def main(first: int, last: int, at_random: bool) -> int:
    """Make and check the models; returns 1 if one crashed or failed."""
    count: Counter[str] = Counter()
    reasons: Counter[str] = Counter()
    slowest, started = (0.0, -1), time.monotonic()
    for seed in range(first, last):
        r = random.Random(seed)
        part = random_part(r)
        choices = random_choices(r) if at_random else Choices()
        begun = time.monotonic()
        try:
            made = model(part, choices)
            assert made.nets.checks is not None and made.nets.checks.passed(), made.nets.checks
            assert max(verdict(json.loads(net_json(made.nets, ())))) < CLOSE
            if not choices.card.thickness:
                check_paper_against_net_file(made, plotted=seed % PLOTTED == 0)
            count["checked"] += 1
        except FoldsketchError as why:
            count["refused"] += 1
            reasons[why.findings[0].code] += 1
        except Exception as why:
            count["crashed or failed"] += 1
            place = traceback.extract_tb(why.__traceback__)[-1]
            print(f"seed {seed}: {type(why).__name__} {str(why)[:300]} ({Path(place.filename).name}:{place.lineno})")
            sys.stdout.flush()
        slowest = max(slowest, (time.monotonic() - begun, seed))
    print(f"{last - first} parts in {time.monotonic() - started:.0f} s: {dict(count)}; refused: {dict(reasons)}")
    print(f"slowest: seed {slowest[1]}, {slowest[0]:.1f} s")
    return int(count["crashed or failed"] > 0)


if __name__ == "__main__":
    start, stop = (int(v) for v in (sys.argv[1:3] or ("0", "1000")))
    raise SystemExit(main(start, stop, "options" in sys.argv))
