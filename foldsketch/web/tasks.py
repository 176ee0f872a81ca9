"""What the page asks for: a model, its set-ups, pages and files, a mesh read. Bad input comes back as findings."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from foldsketch.base.findings import Finding, FoldsketchError, worst_first
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.web.downloads import draw_pages, make_download
from foldsketch.web.messages import MESH_ENDING, MESH_NOT_ROUND, MESH_UNITS, OUT_OF_MEMORY, UNKNOWN_TASK
from foldsketch.web.session_cache import SessionCache

_cache = SessionCache()

PAGE_CONTROLS = {
    **{name: name for name in ("minutes", "paper", "scale", "sides", "radius", "walls", "join", "card")},
    "anyway": '"read it anyway"',
}
"""Options of a command for which the page has a control, and what the page calls it."""


def run_task(task: dict[str, Any], listener: Listener = ignore_progress) -> dict[str, Any]:
    """One task done. Values for the page come back as JSON in `json`, files as bytes in `data`."""
    tasks: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
        "make": _make,
        "setups": _setups,
        "pages": _pages,
        "read": _read,
        "download": _download,
    }
    try:
        if task.get("do") not in tasks:
            raise UNKNOWN_TASK.error()
        values = tasks[task["do"]]({**task, "listener": listener})
    except FoldsketchError as why:
        values = findings_for_page(why.findings)
    except MemoryError:
        values = findings_for_page([OUT_OF_MEMORY.at()])
    return values if "data" in values else json_answer(values)


def json_answer(values: dict[str, Any]) -> dict[str, Any]:
    """Values for the page, as JSON in `json`."""
    return {"json": json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode()}


def findings_for_page(findings: Iterable[Finding], units: str = "mm") -> dict[str, Any]:
    """Findings as the page shows them: worst first, lengths in mm or inches, options as the page's own controls."""
    return {
        "findings": [
            {"level": f.level, "code": f.code, "text": reword_for_page(f.text_in(units))} for f in worst_first(findings)
        ]
    }


def reword_for_page(text: str) -> str:
    """A finding's text with the page's own control in place of an option, or the command in front of any other.

    >>> reword_for_page("add --minutes all, or --scale 1:1; --least-step 2 merges steps")
    'add minutes all, or scale 1:1; foldsketch make --least-step 2 merges steps'
    """
    text = re.sub(rf"--({'|'.join(PAGE_CONTROLS)})\b", lambda found: PAGE_CONTROLS[found[1]], text)
    return re.sub(r"(?<!make )--(?=[a-z])", "foldsketch make --", text)


def _make(task: dict[str, Any]) -> dict[str, Any]:
    """The model for the stage. Its set-ups are a task of their own, so that the nets are seen sooner."""
    from foldsketch.job.summary import summary
    from foldsketch.web.share import facts_or_picture

    part, made = _cache.part_and_model(task)
    return {
        "facts": facts_or_picture(made, None),
        "sheets": len(made.sheets),
        "summary": summary(made),
        **findings_for_page((*_cache.findings, *made.findings), part.units),
    }


def _setups(task: dict[str, Any]) -> dict[str, Any]:
    """The set-ups for the stage, or a note that says why there are none."""
    from foldsketch.web.facts import set_up_facts

    part, made = _cache.part_and_model(task)
    planned, findings = _cache.plan_and_findings(task)
    notes = [replace(f, level="note") for f in findings]
    return {**set_up_facts(made, planned), **findings_for_page(notes, part.units)}


def _pages(task: dict[str, Any]) -> dict[str, Any]:
    """Pages as SVG, exactly as they print."""
    from foldsketch.write.svg import svg

    return {"pages": [svg(p).decode() for p in draw_pages(_cache, task, str(task.get("which")))], "findings": []}


def _read(task: dict[str, Any]) -> dict[str, Any]:
    """The bytes of a mesh, STEP or IGES file to a part file's text.

    The client's name never becomes a path: only its ending is looked at.
    """
    from foldsketch.base.units import MM_PER_UNIT
    from foldsketch.job.inputs import largest_reading, rebuild_and_compare
    from foldsketch.mesh import CAD_FILE_SUFFIXES, READ_FILE_SUFFIXES
    from foldsketch.mesh.comparison.verdict import UNLIKE_CODES
    from foldsketch.part.file.write import part_to_toml

    ending, units = str(task.get("ending", "")).lower(), task.get("units")
    if ending not in READ_FILE_SUFFIXES:
        raise MESH_ENDING.error(endings=", ".join(READ_FILE_SUFFIXES))
    if ending in CAD_FILE_SUFFIXES:
        units = None  # the file has its own
    elif units not in MM_PER_UNIT:
        raise MESH_UNITS.error()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"part{ending}"
        path.write_bytes(task["data"])
        reading, found = largest_reading(path, units, None, False, task["listener"])
    if not reading.has_round_features:
        return findings_for_page((*found, MESH_NOT_ROUND.at()))
    try:
        part, more, _ = rebuild_and_compare(reading, bool(task.get("anyway")))
    except FoldsketchError as why:
        unlike = any(f.code in UNLIKE_CODES for f in why.findings)
        return {"unlike": unlike, **findings_for_page((*why.findings, *found))}
    source = "a mesh" if reading.kind == "mesh" else f"{reading.kind.upper()}, in mm"
    text = part_to_toml(part, f"Read from {source}. Edit freely.")
    return {"text": text, **findings_for_page((*more, *found))}


def _download(task: dict[str, Any]) -> dict[str, Any]:
    """A file, or several packed."""
    return {"data": make_download(_cache, task, str(task.get("what")))}
