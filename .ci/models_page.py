"""The page of models: every sample and lesson in so many minutes, held by glue, tape or nothing."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
MINUTES: tuple[float | None, ...] = (5, 10, 15, 30, None)
HOLDS = ("glue", "tape", "tuck")

HEAD = """# Models by minutes

What `foldsketch make` builds of every [sample](samples.md) and [lesson](lessons.md) with `--minutes 5`, `10`, `15`,
`30` and `all`, and each `--hold`, on A4. The step is that of [the ladder](building.md#the-minutes) that was taken;
*drawn* is how many features are drawn and not built; sides are the most of any round. Minutes are as estimated of the
model as it came out: where they are more than asked, no step takes less at that size, and the run says so. This page is
written by `python .ci/pages.py --models`, in a minute or two.
"""


def parts() -> list[Path]:
    """The part files, samples first."""
    samples = ROOT / "samples"
    return [*sorted(samples.glob("*.toml")), *sorted(samples.glob("lessons/*.toml"))]


def rows_of(path: Path) -> list[tuple[str, ...]]:
    """Hold, minutes asked, what is built, what holds it and minutes of one part; equal models in one row."""
    from foldsketch.assembly.work_time import measure_work, work_minutes
    from foldsketch.job.budget import model
    from foldsketch.job.choices import Choices
    from foldsketch.part.file.read import read_part
    from foldsketch.sheet.layout.paper import scale_text

    part = read_part(path)[0]
    found: list[tuple[str, ...]] = []
    for hold in HOLDS:
        for minutes in MINUTES:
            made = model(part, Choices(minutes=minutes, hold=hold))
            work = measure_work(made.nets)
            cells = (
                str(dict(made.step.values)["step"]) if made.step else "everything",
                str(len(made.nets.drawn)),
                scale_text(made.nets.scale),
                str(max((p.sides or 0 for p in made.faceted.prisms), default=0)),
                str(len(made.nets.pieces)),
                str(len(made.sheets)),
                work.hold_text,
                f"{work_minutes(work):.0f}",
            )
            asked = "all" if minutes is None else str(minutes)
            if found and found[-1][0] == hold and found[-1][2:] == cells:
                found[-1] = (hold, f"{found[-1][1]}, {asked}", *cells)
            else:
                found.append((hold, asked, *cells))
    return found


def models_page() -> str:
    """The page, as Markdown."""
    from foldsketch.part.file.read import read_part

    lines = [HEAD]
    with ProcessPoolExecutor(max_workers=2) as pool:
        for path, rows in zip(parts(), pool.map(rows_of, parts()), strict=True):
            lines += [
                f"## {read_part(path)[0].name}",
                "",
                "| hold | minutes asked | step | drawn | scale | sides | nets | sheets | held by | minutes |",
                "|---|---|---|---|---|---|---|---|---|---|",
                *(f"| {' | '.join(row)} |" for row in rows),
                "",
            ]
    return "\n".join(lines).rstrip() + "\n"
