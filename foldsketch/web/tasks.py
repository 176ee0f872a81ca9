"""What the page asks for: a model, its set-ups, pages and files, a mesh read. Bad input comes back as findings."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from foldsketch.base.findings import Finding, FoldsketchError, worst_first
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.units import format_count
from foldsketch.web.downloads import draw_pages, make_download
from foldsketch.web.messages import (
    MESH_ENDING,
    MESH_NOT_ROUND,
    MESH_OUT_OF_MEMORY,
    MESH_UNITS,
    OUT_OF_MEMORY,
    UNKNOWN_TASK,
)
from foldsketch.web.session_cache import MACHINE_SOURCE, SessionCache

if TYPE_CHECKING:
    from foldsketch.mesh.features.mesh_reading import MeshReading
    from foldsketch.part.spoken.spoken import Heard

_cache = SessionCache()

PAGE_CONTROLS = {
    **{name: name for name in ("minutes", "paper", "scale", "sides", "radius", "walls", "join", "card", "hold")},
    "anyway": '"read it anyway"',
}
"""Options of a command for which the page has a control, and what the page calls it."""

MAX_SPOKEN_LETTERS = 20_000
"""Longest text that is taken for spoken lines."""


def run_task(task: dict[str, Any], listener: Listener = ignore_progress) -> dict[str, Any]:
    """One task done. Values for the page come back as JSON in `json`, files as bytes in `data`."""
    tasks: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
        "make": _make,
        "setups": _setups,
        "pages": _pages,
        "read": _read,
        "say": _say,
        "download": _download,
    }
    try:
        if task.get("do") not in tasks:
            raise UNKNOWN_TASK.error()
        values = tasks[task["do"]]({**task, "listener": listener})
    except FoldsketchError as why:
        values = findings_for_page(why.findings)
    except MemoryError:
        values = findings_for_page([(MESH_OUT_OF_MEMORY if task["do"] == "read" else OUT_OF_MEMORY).at()])
    return values if "data" in values else json_answer(values)


def json_answer(values: dict[str, Any]) -> dict[str, Any]:
    """Values for the page, as JSON in `json`."""
    return {"json": json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode()}


def findings_for_page(findings: Iterable[Finding], units: str = "mm") -> dict[str, Any]:
    """Findings as the page shows them: worst first, lengths in mm or inches, in the page's words.

    line: of the part or machine file (of), where the finding names one; each: for what is said of features, the
    words for each name.
    """
    every = list(findings)
    return {"findings": [_finding_for_page(f, units, every) for f in worst_first(every)]}


def _finding_for_page(f: Finding, units: str, every: Iterable[Finding]) -> dict[str, Any]:
    alike = ((re.fullmatch(r"feature '(.*)'", g.where), g) for g in every if (g.code, g.level) == (f.code, f.level))
    each = {place[1]: reword_for_page(*g.wording(units)) for place, g in alike if place}
    place = re.match(r"(part|machine) file line (\d+)(?:, |: |$)", f.where)
    where = f.where[place.end() :] if place else f.where
    what, cure = f.wording(units)
    text = reword_for_page(what, cure)
    line = {"line": int(place[2]), "of": place[1]} if place else {}
    where = reword_for_page(where)
    shown = {"text": f"{where}: {text}" if where else text, **({"each": each} if each else {})}
    return {"level": f.level, "code": f.code, **shown, **line}


def reword_for_page(what: str, cure: str = "") -> str:
    """What a finding says and its cure, with the page's controls in place of options, without what the page cannot do.

    >>> reword_for_page("is left out", "add --minutes all, or --scale 1:1")
    'is left out; add minutes all, or scale 1:1'
    >>> reword_for_page("is narrow", "merge steps with --least-step, or print larger")
    'is narrow; print larger'
    """
    what, cure = (
        re.sub(rf"--({'|'.join(PAGE_CONTROLS)})\b", lambda m: PAGE_CONTROLS[m[1]], text) for text in (what, cure)
    )
    if "--" in cure:
        cure = ", or ".join(way for way in cure.split(", or ") if "--" not in way)
    return f"{what}; {cure}" if cure else what


def _make(task: dict[str, Any]) -> dict[str, Any]:
    """The model for the stage. Its set-ups are a task of their own, so that the nets are seen sooner."""
    from foldsketch.job.summary import summary
    from foldsketch.part.collisions import find_collisions
    from foldsketch.web.build_facts import build_facts
    from foldsketch.web.session_cache import choices_from_task
    from foldsketch.web.share import facts_or_picture

    try:
        part, made = _cache.part_and_model(task)
    except FoldsketchError as why:
        collisions = find_collisions(_cache.part) if _cache.part else ()
        raise FoldsketchError((*why.findings, *collisions)) from None
    return {
        "build": build_facts(made, choices_from_task(task)),
        "facts": facts_or_picture(made, None),
        "sheets": len(made.sheets),
        "summary": reword_for_page(summary(made)),
        **findings_for_page((*_cache.findings, *made.findings), part.units),
    }


def _setups(task: dict[str, Any]) -> dict[str, Any]:
    """The set-ups for the stage, or a note that says why there are none."""
    from foldsketch.web.session_cache import machine_from_task
    from foldsketch.web.setup_facts import set_up_facts

    part, made = _cache.part_and_model(task)
    planned, findings = _cache.plan_and_findings(task)
    # A fault of the machine file is one to settle; that a part has no set-ups is only worth knowing.
    notes = [f if f.where.startswith(MACHINE_SOURCE) else replace(f, level="note") for f in findings]
    machine = machine_from_task(task) if planned else None
    return {**set_up_facts(made, planned, machine), **findings_for_page(notes, part.units)}


def _pages(task: dict[str, Any]) -> dict[str, Any]:
    """Pages as SVG, exactly as they print."""
    from foldsketch.write.svg import svg

    return {"pages": [svg(p).decode() for p in draw_pages(_cache, task, str(task.get("which")))], "findings": []}


def _read(task: dict[str, Any]) -> dict[str, Any]:
    """The bytes of a mesh, STEP or IGES file to a part file's text.

    The client's name never becomes a path: only its ending is looked at. Of a file with several bodies the task names
    those to take (body: "2", "1,3"); else the answer is what there is to choose from.
    """
    from foldsketch.base.units import MM_PER_UNIT
    from foldsketch.job.bodies import chosen_readings, part_of_bodies
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
    body = str(task.get("body") or "")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"part{ending}"
        path.write_bytes(task["data"])
        readings, found = chosen_readings(path, units, body or "all", False, task["listener"])
    if not body and len(readings) > 1:
        return {"bodies": [_body_in_words(k, r) for k, r in enumerate(readings, 1)], "findings": []}
    round_ones = [r for r in readings if r.has_round_features]
    if not round_ones:
        return findings_for_page((*found, MESH_NOT_ROUND.at()))
    reading = round_ones[0]
    try:
        part, more = part_of_bodies(round_ones, bool(task.get("anyway")))
    except FoldsketchError as why:
        unlike = any(f.code in UNLIKE_CODES for f in why.findings)
        return {"unlike": unlike, **findings_for_page((*why.findings, *found))}
    source = "a mesh" if reading.kind == "mesh" else f"{reading.kind.upper()}, in mm"
    text = part_to_toml(part, f"Read from {source}. Edit freely.")
    return {"text": text, **findings_for_page((*more, *found))}


def _body_in_words(number: int, reading: MeshReading) -> dict[str, Any]:
    size = " × ".join(f"{v:.4g}" for v in reading.size)
    rounds = format_count(sum(m.is_round for m in reading.features), "round feature")
    return {"number": number, "words": f"{size} mm, {rounds}", "round": reading.has_round_features}


def _say(task: dict[str, Any]) -> dict[str, Any]:
    """Spoken lines to what was heard of them, and to a part file's text: the whole, and what they add to the part."""
    from foldsketch.part.file.read import parse_part
    from foldsketch.part.spoken.read import heard_sentence
    from foldsketch.part.spoken.spoken import hear_part

    units: Any = "in" if task.get("units") == "in" else "mm"
    said = str(task.get("said", ""))[:MAX_SPOKEN_LETTERS]
    heard = hear_part(said, units)
    made = {
        "lines": [_heard_line(h) for h in heard.heard],
        "heard": heard_sentence(heard, units),
        "text": heard.text if "[[feature]]" in heard.text else "",
        "more": "",
        "keys": {},
    }
    try:
        text = str(task.get("text", ""))
        part, _ = parse_part(text, "json" if text.lstrip().startswith("{") else "toml", "part file")
        added = hear_part(said, part.units, part)
        more = added.text if "[[feature]]" in added.text else ""
        made |= {
            "more": more,
            "keys": dict(added.of_part) if added.text else {},
            "onto": list(dict.fromkeys(a for h in added.heard for a in h.axes)),
        }
        whole = "[[feature]]" in heard.text and heard.heard[0].axes in ((), ("A",))
        if added.text and not whole:  # what begins off centre, or needs a flange, is meant for the part that is there
            made["text"] = ""
            made["heard"] = heard_sentence(added, units)
            made["lines"] = [_heard_line(h) for h in added.heard]
    except FoldsketchError:
        pass  # there is no whole part to add to
    return made


def _heard_line(h: Heard) -> dict[str, Any]:
    words = h.fault.wording()[0] if h.fault else h.words
    return {"said": h.said, "axes": list(h.axes), "words": words, "fault": h.fault is not None}


def _download(task: dict[str, Any]) -> dict[str, Any]:
    """A file, or several packed."""
    return {"data": make_download(_cache, task, str(task.get("what")))}
