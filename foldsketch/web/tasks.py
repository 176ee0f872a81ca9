"""What the page asks for: a model, its set-ups, its pages, its files, a mesh read. Bad input comes back as findings."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.web.downloads import draw_pages, make_download
from foldsketch.web.session_cache import SessionCache

_cache = SessionCache()

PAGE_CONTROLS = ("paper", "scale", "sides", "radius", "walls", "join", "card")
"""Options of a command that the page has a control of the same name for."""


def run_task(task: dict[str, Any], listener: Listener = ignore_progress) -> dict[str, Any]:
    """One task done. Values for the page come back as JSON in `json`, files as bytes in `data`."""
    from foldsketch.base.findings import FoldsketchError

    task = {**task, "listener": listener}

    tasks: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
        "make": _make,
        "setups": _setups,
        "pages": _pages,
        "read": _read,
        "download": _download,
    }
    try:
        made = tasks[task["do"]](task) if task.get("do") in tasks else _error_values("unknown task")
    except FoldsketchError as why:
        made = {"findings": [f.as_dict() for f in why.findings]}
    except MemoryError:
        made = _error_values("this takes more memory than a run may have; leave features out, or use fewer sides")
    if "data" in made:
        return made
    if "findings" in made:
        made["findings"] = [{**f, "text": reword_for_page(f["text"])} for f in made["findings"]]
    return {"json": json.dumps(made, ensure_ascii=False, separators=(",", ":")).encode()}


def reword_for_page(text: str) -> str:
    """What a finding says of the options of a command, in the words of the page's own controls.

    >>> reword_for_page("leave --quick out, or give --scale 1:1; --least-step 2 merges steps")
    'untick quick model, or give scale 1:1; foldsketch make --least-step 2 merges steps'
    """
    text = text.replace("leave --quick out", "untick quick model").replace("--quick", "the quick model")
    text = re.sub(rf"--({'|'.join(PAGE_CONTROLS)})\b", r"\1", text)
    return re.sub(r"(?<!make )--(?=[a-z])", "foldsketch make --", text)


def _error_values(text: str) -> dict[str, Any]:
    return {"findings": [{"level": "error", "text": text}]}


def _make(task: dict[str, Any]) -> dict[str, Any]:
    """The model for the stage; its set-ups are asked for apart, so that the nets are seen the sooner."""
    from foldsketch.job.summary import summary
    from foldsketch.web.share import facts_or_picture

    _, made = _cache.model(task)
    told = [*_cache.findings, *(f.as_dict() for f in made.findings)]
    return {
        "facts": facts_or_picture(made, None),
        "sheets": len(made.sheets),
        "summary": summary(made),
        "findings": told,
    }


def _setups(task: dict[str, Any]) -> dict[str, Any]:
    from foldsketch.web.facts import set_up_facts

    _, made = _cache.model(task)
    planned, told = _cache.plans(task)
    return {**set_up_facts(made, planned), "findings": told}


def _pages(task: dict[str, Any]) -> dict[str, Any]:
    """Pages as SVG, exactly as they print."""
    from foldsketch.write.svg import svg

    return {"pages": [svg(p).decode() for p in draw_pages(_cache, task, str(task.get("which")))], "findings": []}


def _read(task: dict[str, Any]) -> dict[str, Any]:
    """A mesh's bytes to a part file's text. The client's name never becomes a path: only its ending is looked at."""
    from foldsketch.base.units import MM_PER_UNIT
    from foldsketch.mesh import MESH_FILE_SUFFIXES
    from foldsketch.mesh.features.recognise import read_mesh
    from foldsketch.mesh.rebuild.rebuild import rebuild
    from foldsketch.part.file.write import part_to_toml

    ending, units = str(task.get("ending", "")).lower(), task.get("units")
    if ending not in MESH_FILE_SUFFIXES:
        return _error_values(f"meshes end in {', '.join(MESH_FILE_SUFFIXES)}")
    if units not in MM_PER_UNIT:
        return _error_values("in which unit is the mesh? it is never guessed; choose mm, cm, m or in")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"mesh{ending}"
        path.write_bytes(task["data"])
        readings = read_mesh(path, units, False, None, task.get("listener", ignore_progress))
    found = [f.as_dict() for f in readings[0].findings]
    if not readings[0].has_round_features:
        return {"findings": [*found, *_error_values("no round features: make it on the command line")["findings"]]}
    part, told = rebuild(readings[0], False)
    text = part_to_toml(part, "Read from a mesh. Edit freely.")
    return {"text": text, "findings": [*found, *(f.as_dict() for f in told)]}


def _download(task: dict[str, Any]) -> dict[str, Any]:
    """A file, or several packed."""
    return {"data": make_download(_cache, task, str(task.get("what")))}
