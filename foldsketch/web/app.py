"""The local page's server: a few routes, every request checked, heavy work done elsewhere."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from foldsketch.web.downloads import DOWNLOAD_MEDIA_TYPES
from foldsketch.web.messages import NOT_JSON
from foldsketch.web.request_guard import RequestGuard
from foldsketch.web.share import SCRIPT_FILES, page_css, web_file_text
from foldsketch.web.tasks import findings_for_page
from foldsketch.web.turns import Turns
from foldsketch.web.worker import WorkerPool
from foldsketch.write.dxf import dxf_available

SERVED_FILES = (
    *SCRIPT_FILES,
    *("page.css", "desk.css", "margin.css"),
    *("desk.js", "partfile.js", "plan.js", "side.js", "table.js", "cells.js", "pages.js"),
    *("findings.js", "moments.js", "opening.js", "titleblock.js", "entry.js", "machine.js", "machineform.js"),
    *("adding.js", "patterns.js", "shapes.js", "sight.js"),
)

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


class _Pages:
    """What the server answers.

    samples: a folder of part files to begin with; pool: who does the work.
    """

    def __init__(self, samples: Path | None, pool: WorkerPool) -> None:
        self.samples, self.pool, self.turns = samples, pool, Turns(pool)

    async def index(self, request: Request) -> Response:
        """The page."""
        return _page_response(web_file_text("desk.html"), "text/html")

    async def file(self, request: Request) -> Response:
        """A script or a style sheet of the page."""
        name = request.path_params["name"]
        if name not in SERVED_FILES:
            return Response("no such file", 404)
        text = page_css() if name == "page.css" else web_file_text(name)
        return _page_response(text, "text/css" if name.endswith(".css") else "text/javascript")

    async def list_samples(self, request: Request) -> Response:
        """The part files to begin with."""
        return JSONResponse(_files_of(self.samples))

    async def list_machines(self, request: Request) -> Response:
        """The machine files to choose from."""
        return JSONResponse(_files_of(self.samples and self.samples / "machines"))

    async def able(self, request: Request) -> Response:
        """Which optional packages are installed."""
        return JSONResponse({"dxf": dxf_available()})

    async def work(self, request: Request) -> Response:
        """A model, its set-ups or its pages."""
        task = await _read_task(request)
        if task is None:
            return JSONResponse(findings_for_page([NOT_JSON.at()]), 400)
        return await self._run(request, {**task, "do": request.url.path.strip("/")})

    async def read(self, request: Request) -> Response:
        """The bytes of a mesh, STEP or IGES file to a part file's text."""
        asked = request.query_params
        task: dict[str, Any] = {"do": "read", "data": await request.body(), "ending": asked.get("ending", "")}
        task |= {"units": asked.get("units", ""), "anyway": asked.get("anyway") == "1", "body": asked.get("body", "")}
        return await self._run(request, task)

    async def download(self, request: Request) -> Response:
        """A file to save."""
        what = request.path_params["what"]
        task = await _read_task(request)
        if task is None or what not in DOWNLOAD_MEDIA_TYPES:
            return Response("no such download", 404)
        return await self._run(request, {**task, "do": "download", "what": what}, DOWNLOAD_MEDIA_TYPES[what])

    async def _run(self, request: Request, task: dict[str, Any], kind: str = "") -> Response:
        """The answer to a task. kind: of the file that it should give, or nothing for values."""
        made = await self.turns.run(request, _tab(request), task)
        if made is None:
            return Response(status_code=499)  # for nobody: the client has gone
        if "data" in made:
            return Response(made["data"], media_type=kind, headers={"X-Content-Type-Options": "nosniff"})
        return Response(made["json"], 422 if kind else 200, media_type="application/json")

    async def stage(self, request: Request) -> Response:
        """How far the tab's task is."""
        return JSONResponse(self.pool.stage(_tab(request)))

    async def cancel(self, request: Request) -> Response:
        """Stop the tab's task."""
        await run_in_threadpool(self.pool.stop, _tab(request))
        return JSONResponse({})


def make_app(port: int, samples: Path | None = None, pool: WorkerPool | None = None) -> ASGIApp:
    """The application for a port. samples: a folder of part files to begin with; pool: who does the work."""
    pages = _Pages(samples, pool or WorkerPool())
    app = Starlette(
        routes=[
            Route("/", pages.index),
            Route("/files/{name}", pages.file),
            Route("/samples", pages.list_samples),
            Route("/machines", pages.list_machines),
            Route("/able", pages.able),
            *(Route(f"/{name}", pages.work, methods=["POST"]) for name in ("make", "setups", "pages", "say")),
            Route("/read", pages.read, methods=["POST"]),
            Route("/download/{what}", pages.download, methods=["POST"]),
            Route("/stage", pages.stage, methods=["POST"]),
            Route("/cancel", pages.cancel, methods=["POST"]),
        ]
    )
    return RequestGuard(app, port)


def _files_of(folder: Path | None) -> list[dict[str, str]]:
    found = sorted(folder.glob("*.toml")) if folder and folder.is_dir() else []
    return [{"name": p.stem.replace("-", " "), "text": p.read_text("utf-8")} for p in found]


def _page_response(text: str, kind: str) -> Response:
    headers = {
        "Content-Security-Policy": CONTENT_SECURITY_POLICY,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cache-Control": "no-store",
    }
    return Response(text, media_type=kind, headers=headers)


async def _read_task(request: Request) -> dict[str, Any] | None:
    try:
        task = json.loads(await request.body())
        # Half of a surrogate pair is no text: nothing that quotes it could be sent back.
        json.dumps(task, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        return None
    return task if isinstance(task, dict) and _is_flat(task) else None


def _is_flat(task: dict[str, Any]) -> bool:
    """Whether the values are plain, or lists and objects of plain ones: no task is deeper."""
    inner = [v.values() if isinstance(v, dict) else v for v in task.values() if isinstance(v, dict | list)]
    return not any(isinstance(w, dict | list) for v in inner for w in v)


def _tab(request: Request) -> str:
    """What the tab that asks calls itself."""
    return request.headers.get("x-tab", "")[:40]
