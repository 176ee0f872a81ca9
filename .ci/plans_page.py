"""The page of plans: every sample on every invented machine, for one part, fifty and five thousand."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
BATCHES = (1, 50, 5000)
MACHINES = ("single-spindle", "small", "large", "twin-spindle", "twin")

HEAD = """# Set-up plans of the samples

What `foldsketch setups` plans for every [sample](samples.md) on each machine of `samples/machines`, for 1 part, 50 and
5000. A set-up is the way of holding and the axis on the spindle; main spindle, unless it says sub. Speed is the
highest that a cut of the set-up uses, r/min, and what stops it there. Minutes are a part's, setting included.

All machines are invented and all figures first estimates, minutes right to a third. The chuck maker's plate, local
rules and a trained person decide. This page is written by `python .ci/pages.py --plans`, in a minute or two.
"""


def _plans_of(job: tuple[str, str]) -> list[tuple[str, ...]]:
    """Machine, batch, plan, speeds, minutes of one sample on one machine; equal plans in one row."""
    from foldsketch.part.file.read import read_part
    from foldsketch.setup.machine_file.read import read_machine
    from foldsketch.setup.plan.plan import plan

    sample, machine = job
    part = read_part(ROOT / "samples" / f"{sample}.toml")[0]
    found: list[tuple[str, ...]] = []
    for batch in BATCHES:
        made = plan(part, read_machine(ROOT / "samples" / "machines" / f"{machine}.toml"), batch=batch)
        row = (machine, str(batch), *_cells(made))
        if found and found[-1][2:4] == row[2:4]:
            found[-1] = (machine, f"{found[-1][1]}, {batch}", *row[2:4], f"{found[-1][4]}, {row[4]}")
        else:
            found.append(row)
    return found


def _cells(made: Any) -> tuple[str, str, str]:
    """The plan in short, the speeds with what limits them, and minutes a part."""
    from foldsketch.setup.plan.set_up_text import way_text
    from foldsketch.setup.speed_text import rounded_down

    if not made.setups:
        return "nothing: the jaws find nothing to hold", "", ""
    steps, speeds = [], []
    for s in made.setups:
        driven = " and driven tools" if any(c.how == "driven" for c in s.cuts) else ""
        weight = ", weighted" if s.weighted else ""
        sub = "sub " if s.clamping.spindle == "sub" else ""
        steps.append(f"{s.number} {sub}{way_text(s)} {s.clamping.on_centreline}{driven}{weight}")
        v = s.speeds
        speeds.append(f"{rounded_down(v.recommended)} {v.limit}" if v.recommended else str(v.limit))
    left = len(made.unturned)
    cut = len({c.surface for s in made.setups for c in s.cuts} - {name for name, _ in made.unturned})
    lacking = f" (cuts {cut} of {cut + left} surfaces)" if left else ""
    return "; ".join(steps) + lacking, "; ".join(speeds), f"{made.minutes.a_part(made.batch):.1f}"


def plans_page() -> str:
    """The page, as Markdown."""
    from foldsketch.part.file.read import read_part

    samples = sorted(p.stem for p in (ROOT / "samples").glob("*.toml"))
    jobs = [(s, m) for s in samples for m in MACHINES]
    with ProcessPoolExecutor(max_workers=2) as pool:
        rows = dict(zip(jobs, pool.map(_plans_of, jobs), strict=True))
    lines = [HEAD]
    for sample in samples:
        name = read_part(ROOT / "samples" / f"{sample}.toml")[0].name
        lines += [
            f"## {name}",
            "",
            "| machine | parts | set-ups | speed and limit | min a part |",
            "|---|---|---|---|---|",
        ]
        for machine in MACHINES:
            lines += [f"| {' | '.join(row)} |" for row in rows[sample, machine]]
        lines.append("")
    return "\n".join(lines)
