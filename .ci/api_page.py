"""The page of the Python API, made from the docstrings of every public name (NumPy style)."""

from __future__ import annotations

import inspect
import re
import textwrap
from collections.abc import Iterator

import foldsketch

GROUPS = {
    "Read": ("read_part", "read_spoken", "read_mesh", "read_machine", "DEFAULT_MACHINE"),
    "Build a part in code": (
        "Part",
        "Axis",
        "Feature",
        "Cylinder",
        "Cone",
        "Ring",
        "PrismShape",
        "Plate",
        "part_to_toml",
    ),
    "Make the model": ("model", "model_from_mesh", "Choices", "FacetChoice", "Pace", "Card", "Model"),
    "Plan the set-ups": ("plan", "SetUpPlan", "Machine"),
    "Write": ("write_model", "booklet", "setup_sheets", "jaw_drawings", "JawFiles", "lesson", "share"),
    "Reports": ("summary", "model_report", "plan_report", "reading_report"),
    "Errors and findings": ("FoldsketchError", "Finding"),
}
"""Every public name, in the order of the page."""

HEAD = """# The Python API

Everything the commands do is a function. Lengths are mm; angles in reports are degrees, in objects radians. Wrong input
raises `foldsketch.FoldsketchError`; its `findings` say where, what and what to do. `import foldsketch` is light: each
name is imported when it is first used. This page is written by `python .ci/pages.py` from the docstrings;
`help(foldsketch.model)` says the same. [notebook.ipynb](notebook.ipynb) has all of it to run.

## One part

```python
import foldsketch

part, findings = foldsketch.read_part("samples/eccentric-shaft.toml")
made = foldsketch.model(part)  # nets and sheets, test-folded
foldsketch.write_model(made, "out", "eccentric-shaft")  # PDF, SVG, net file, picture
planned = foldsketch.plan(part)  # set-ups on the default machine
print(foldsketch.summary(made))
```

In a notebook `part` shows its plan and side view, `made` its picture and sheets, `planned` a table.

## Many parts, one table

```python
import csv, sys
from pathlib import Path

import foldsketch

table = csv.writer(sys.stdout)
for path in sorted(Path("samples").rglob("*-*.toml")):
    try:
        part, _ = foldsketch.read_part(path)
        made, planned = foldsketch.model_report(foldsketch.model(part)), foldsketch.plan_report(foldsketch.plan(part))
    except foldsketch.FoldsketchError as error:
        table.writerow([path.stem, error.findings[0].text])
        continue
    for s in planned["setups"]:
        table.writerow([path.stem, made["sheets"], s["number"], s["on_centreline"], s["offset"], s["way"]])
```

## From an STL

```python
import foldsketch

part, findings = foldsketch.read_mesh("samples/bilge-pump-cover-cast.stl", units="mm")
for finding in findings:
    print(finding)
```

## Reference
"""

TAIL = """
## What may change

The names on this page and their parameters stay the same within 0.1; everything else in the package may change. Reports
may get new keys; the present ones keep their names and meaning.
"""


def api_page() -> str:
    """The page, as Markdown."""
    blocks = [HEAD]
    for title, names in GROUPS.items():
        blocks.append(f"### {title}\n")
        blocks += ["\n".join(_entry(name)) + "\n" for name in names]
    return "\n".join(blocks) + TAIL


def _entry(name: str) -> Iterator[str]:
    """The lines about one public name."""
    what = getattr(foldsketch, name)
    if not callable(what):
        yield f"#### `{name}`\n\n`{what!r}`"
        return
    parameters = inspect.signature(what).parameters.values()
    shown = ", ".join(p.name + ("" if p.default is p.empty else f"={_short(p.default)}") for p in parameters)
    yield f"#### `{name}({'…' if isinstance(what, type) else shown})`\n"
    summary, sections = _sections(inspect.getdoc(what) or "")
    yield _inline(summary)
    for title, body in sections.items():
        if title == "Examples":
            yield f"\n```pycon\n{body}\n```"
        else:
            kind = title.lower() + " " if title in ("Returns", "Raises") else ""
            yield from (f"- {kind}{field}" for field in _fields(body))


def _sections(doc: str) -> tuple[str, dict[str, str]]:
    """The text before the first section, and each section's text by its title."""
    head, *rest = re.split(r"^(\w[\w ]*)\n-{3,}\n", doc, flags=re.M)
    return head.strip(), {title: body.strip() for title, body in zip(rest[::2], rest[1::2], strict=True)}


def _fields(body: str) -> Iterator[str]:
    """The entries of a section as a list: name and kind, then what it is."""
    for row in re.findall(r"^(\S.*)\n((?:(?: {4}.*)?\n?)*)", body + "\n", re.M):
        name, _, kind = row[0].partition(" : ")
        named = f"`{name}`" + (f" ({_inline(kind)})" if kind else "")
        yield f"{named}: {_inline(textwrap.dedent(row[1]).strip())}"


def _inline(text: str) -> str:
    """Text on one line for each paragraph, with Markdown's code marks."""
    paragraphs = [" ".join(p.split()) for p in text.split("\n\n")]
    return "\n\n".join(paragraphs).replace("``", "`")


def _short(default: object) -> str:
    """A default value, short enough for a signature."""
    return "…" if callable(default) or len(repr(default)) > 12 else repr(default)
