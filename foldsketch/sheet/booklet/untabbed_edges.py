"""Text on edges without a tab: those that need none, and those where none fits."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.net.model import Nets


def untabbed_edges_text(nets: Nets, steps: Sequence[AssemblyStep], row: int, numbered: bool) -> list[str]:
    """About edges without a tab, in one step; numbered: their numbers are on the sheets."""
    if nets.hold != "glue":
        return []
    return _taped_edges_text(nets, steps, row, numbered)


def unglued_edges_text(nets: Nets) -> list[str]:
    """Once for the whole model: about edges around ends that need no tab."""
    if not any(b.bare and b.joint is None for p in nets.pieces for b in p.butts):
        return []
    return ["An edge where no tab goes gets no glue: the folds and tabs beside it hold it."]


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
