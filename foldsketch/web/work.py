"""The heavy work behind the page, in a process of its own that can be stopped, with bounds on time and memory."""

from __future__ import annotations

import io
import json
import multiprocessing
import tempfile
import threading
import zipfile
from dataclasses import dataclass, field
from math import isfinite
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

SECONDS = 60.0
"""After so long a run is stopped."""

MEMORY = 3 * 1024**3
"""Bytes of address space that a run may take, where the system can bound it."""

ENDINGS = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")


def answer(task: dict[str, Any]) -> dict[str, Any]:
    """One task: make, read or download. Whatever is wrong with the input comes back as findings."""
    from foldsketch.base.findings import FoldsketchError

    try:
        match task["do"]:
            case "make":
                return _make(task)
            case "read":
                return _read(task)
            case "pages":
                return _pages(task)
            case "download":
                return _download(task)
            case _:
                return {"findings": [{"level": "error", "text": "unknown task"}]}
    except FoldsketchError as why:
        return {"findings": [f.as_dict() for f in why.findings]}
    except MemoryError:
        text = "this takes more memory than a run may have; leave features out, or use fewer sides"
        return {"findings": [{"level": "error", "text": text}]}


Known = tuple[Any, Any, Any, list[dict[str, str]]]
_last: tuple[str, Known] | None = None


def _model(task: dict[str, Any]) -> Known:
    """Part, model, plan and findings of a part file's text and the choices beside it; the last ones are kept."""
    global _last
    key = json.dumps([task.get(k) for k in ("text", "paper", "scale", "sides", "radius", "join")], sort_keys=True)
    if _last is None or _last[0] != key:
        _last = (key, _modelled(task))
    return _last[1]


def _whole(value: object) -> int | None:
    """The whole number that a field holds, None when it is empty. Raises FoldsketchError."""
    from foldsketch.base.findings import refuse

    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value) or value != int(value):
        raise refuse("sides", "is no whole number", "give a whole number, or nothing")
    return int(value)


def _modelled(task: dict[str, Any]) -> Known:
    from foldsketch import job
    from foldsketch.base.findings import FoldsketchError
    from foldsketch.part.read import parse_part
    from foldsketch.setup.machine import INVENTED
    from foldsketch.setup.plan import plan
    from foldsketch.sheet.paper import parse_scale
    from foldsketch.solid.sides import FacetChoice

    text = str(task.get("text", ""))
    kind = "json" if text.lstrip().startswith("{") else "toml"
    part, findings = parse_part(text, "json" if kind == "json" else "toml", "part file")
    sides = _whole(task.get("sides"))
    radius = task.get("radius")
    join = task.get("join")
    choices = job.Choices(
        paper=str(task.get("paper") or "A4"),
        scale=parse_scale(str(task.get("scale") or "auto")),
        facets=FacetChoice(
            sides=sides or None,
            radius=radius if radius in ("inside", "equal-area", "outside") else "equal-area",
        ),
        join=join if join in ("faces", "fuse") else "faces",
    )
    made = job.model(part, choices)
    told = [f.as_dict() for f in (*findings, *made.findings)]
    try:
        planned = plan(part, INVENTED)
    except FoldsketchError as why:
        planned = None
        told += [{"level": "note", "text": f.text} for f in why.findings]
    return part, made, planned, told


def _make(task: dict[str, Any]) -> dict[str, Any]:
    from foldsketch.account import summary
    from foldsketch.web.facts import facts

    _, made, planned, told = _model(task)
    return {"facts": facts(made, planned), "sheets": len(made.sheets), "summary": summary(made), "findings": told}


def _pages(task: dict[str, Any]) -> dict[str, Any]:
    """The sheets or the talk sheets as SVG, exactly as they print."""
    from foldsketch.setup.machine import INVENTED
    from foldsketch.sheet.draw import draw_sheets
    from foldsketch.sheet.talk import draw_talk
    from foldsketch.write.svg import svg

    part, made, planned, _ = _model(task)
    if task.get("which") == "talk":
        pages = draw_talk(part, INVENTED, planned) if planned else ()
    else:
        pages = draw_sheets(made.nets, made.sheets)
    return {"pages": [svg(p).decode() for p in pages], "findings": []}


def _read(task: dict[str, Any]) -> dict[str, Any]:
    """A mesh's bytes to a part file's text. The client's name never becomes a path: only its ending is looked at."""
    from foldsketch.mesh.rebuild import rebuild
    from foldsketch.mesh.recognise import read_mesh
    from foldsketch.part.write import part_to_toml

    ending = str(task.get("ending", "")).lower()
    if ending not in ENDINGS:
        return {"findings": [{"level": "error", "text": f"meshes end in {', '.join(ENDINGS)}"}]}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"mesh{ending}"
        path.write_bytes(task["data"])
        readings = read_mesh(path, task.get("units") or None, False, None, lambda stage, done: None)
    found = [f.as_dict() for f in readings[0].findings]
    if not readings[0].turned:
        return {"findings": [*found, {"level": "error", "text": "no round features: make it on the command line"}]}
    part, told = rebuild(readings[0], False)
    return {
        "text": part_to_toml(part, "Read from a mesh. Edit freely."),
        "findings": [*found, *(f.as_dict() for f in told)],
    }


def _download(task: dict[str, Any]) -> dict[str, Any]:
    from foldsketch.setup.machine import INVENTED
    from foldsketch.sheet.draw import draw_sheets
    from foldsketch.sheet.talk import draw_talk
    from foldsketch.web.share import share_html
    from foldsketch.write.net_json import net_json
    from foldsketch.write.pdf import pdf
    from foldsketch.write.svg import svg

    part, made, planned, _ = _model(task)
    pages = draw_sheets(made.nets, made.sheets)
    files = {
        "sheets.pdf": pdf(pages, part.name),
        "model.net.json": net_json(made.nets, made.sheets),
        "model.html": share_html(made, planned),
        "part.toml": str(task.get("text", "")).encode(),
        **{f"sheet-{k}.svg": svg(p) for k, p in enumerate(pages, 1)},
    }
    if planned:
        files["set-ups.pdf"] = pdf(draw_talk(part, INVENTED, planned), f"{part.name}, set-ups")
    what = task.get("what")
    if what in files:
        return {"data": files[str(what)]}
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as z:
        for name, data in files.items():
            z.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    return {"data": packed.getvalue()}


def _serve(pipe: Connection) -> None:
    """The process: tasks in, answers out."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    except (ImportError, ValueError, OSError):
        pass  # this system cannot bound it
    while True:
        try:
            task = pipe.recv()
        except (EOFError, KeyboardInterrupt):
            return
        try:
            pipe.send(answer(task))
        except Exception as why:  # our fault: told as such, and the process lives on
            text = f"our fault ({type(why).__name__}); please report the part file"
            pipe.send({"findings": [{"level": "error", "text": text}]})


@dataclass
class Worker:
    """One process that does one task at a time; stop ends what it is doing."""

    seconds: float = SECONDS
    _process: BaseProcess | None = None
    _pipe: Connection | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def start(self) -> None:
        """Have the process ready."""
        if self._process is not None and self._process.is_alive():
            return
        context = multiprocessing.get_context("spawn")
        self._pipe, other = context.Pipe()
        self._process = context.Process(target=_serve, args=(other,), daemon=True)
        self._process.start()
        other.close()

    def run(self, task: dict[str, Any]) -> dict[str, Any]:
        """The answer to a task, or a finding that it was stopped."""
        with self._lock:
            self.start()
            pipe = self._pipe
            assert pipe is not None
            try:
                pipe.send(task)
                if pipe.poll(self.seconds):
                    found: dict[str, Any] = pipe.recv()
                    return found
                text = f"stopped after {self.seconds:g} s; leave features out, or use fewer sides"
            except (EOFError, OSError):
                text = "stopped"
            self.stop()
            return {"findings": [{"level": "error", "text": text}]}

    def stop(self) -> None:
        """End the process and what it is doing."""
        process, self._process = self._process, None
        if process is not None and process.is_alive():
            process.kill()
            process.join(5)


class Workers:
    """A worker for each tab, so that tabs do not wait for or stop each other; of too many the oldest goes."""

    def __init__(self, most: int = 4, seconds: float = SECONDS) -> None:
        self.most, self.seconds = most, seconds
        self._own: dict[str, Worker] = {}
        self._lock = threading.Lock()

    def of(self, tab: str) -> Worker:
        """The worker of a tab, named by whatever the tab calls itself."""
        with self._lock:
            worker = self._own.pop(tab, None) or Worker(self.seconds)
            self._own[tab] = worker
            while len(self._own) > self.most:
                self._own.pop(next(iter(self._own))).stop()
            return worker
