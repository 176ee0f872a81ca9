"""Text on edges without a tab: those where none fits, and those that need none."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Nets


def untabbed_edges_text(nets: Nets, steps: Sequence[AssemblyStep], row: int, numbered: bool) -> list[str]:
    """About edges without a tab, in one step; numbered: their numbers are on the sheets."""
    if nets.hold != "glue":
        return []
    return [*_unglued_edges_text(nets, steps, row), *_taped_edges_text(nets, steps, row, numbered)]


def _unglued_edges_text(nets: Nets, steps: Sequence[AssemblyStep], row: int) -> list[str]:
    """Once for the whole model, at the first step that glues a rim with edges left without a tab."""
    bare = {(p.id, b.panel) for p in nets.pieces for b in p.butts if b.bare and b.joint is None}
    bare |= {(b.meets.piece, b.meets.panel) for p in nets.pieces for b in p.butts if b.bare and b.joint is None}
    ends = {(p.id, q.id) for p in nets.pieces for q in p.panels if q.kind == "end"} & bare
    rims = {
        t.number for p in nets.pieces for t in p.held_edges if {(p.id, t.panel), (t.meets.piece, t.meets.panel)} & ends
    }
    if row != next((k for k, step in enumerate(steps) if rims & set(step.tabs)), None):
        return []
    return [
        "Here and on all nets of this model: an edge where no tab goes gets no glue; the folds and tabs beside it "
        "hold it."
    ]


def _taped_edges_text(nets: Nets, steps: Sequence[AssemblyStep], row: int, numbered: bool) -> list[str]:
    """At the last step of a block: its edges where no tab fits."""
    step = steps[row]
    block_of = {p.id: p.block for p in nets.pieces}
    block = None if step.kind == "join" else block_of[step.piece]
    rest = [s for s in steps[row + 1 :] if s.kind != "join" and block_of[s.piece] == block]
    own = [p for p in nets.pieces if p.block == block]
    numbers = list(dict.fromkeys(b.number for p in own for b in p.butts if not b.bare))
    if rest or not numbers:
        return []
    if not numbered:
        return ["Where two edges have a sign and no tab, tape the joint from outside, last of all."]
    edges = f"Edge {numbers[0]}" if len(numbers) == 1 else f"Edges {format_number_ranges(sorted(numbers))}"
    if any(t.number in numbers for p in own for t in p.tabs):
        return [f"{edges}: where there is no tab, tape the joint from outside, last of all."]
    edges += " has" if len(numbers) == 1 else " have"
    return [f"{edges} no tab: tape the joint from outside, last of all."]


def format_number_ranges(numbers: Sequence[int]) -> str:
    """Numbers in their order, runs shortened.

    >>> format_number_ranges([7, 1, 2, 3, 9])
    '7, 1 to 3, 9'
    """
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)
