"""HTML for notebooks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def html_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table.

    >>> html_table(["axis"], [["A"], ["<B>"]])
    '<table><tr><th>axis</th></tr><tr><td>A</td></tr><tr><td>&lt;B&gt;</td></tr></table>'
    """
    lines = ["".join(f"<th>{escape(cell)}</th>" for cell in head)]
    lines += ["".join(f"<td>{escape(cell)}</td>" for cell in row) for row in rows]
    return f"<table>{''.join(f'<tr>{line}</tr>' for line in lines)}</table>"
